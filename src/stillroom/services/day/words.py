"""What is said of a day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from stillroom.documents.day import MomentRange, SitterPlanned
from stillroom.documents.recipes import Recipe
from stillroom.services.day.asked import Ground
from stillroom.services.mixing_words import count_text


def clock_text(moment: datetime, day: datetime) -> str:
    """A moment as a clock shows it, with the day where it is another one.

    Examples
    --------
    >>> noon = datetime(2026, 11, 14, 12)
    >>> clock_text(noon, noon), clock_text(datetime(2026, 11, 15, 0, 30), noon)
    ('12:00', '00:30 the next day')
    """
    days = (moment.date() - day.date()).days
    later = {0: "", 1: " the next day"}.get(days, f" {days} days later")
    return f"{moment:%H:%M}{later}"


def minutes_text(minutes: float) -> str:
    """So many minutes, or hours and minutes from two hours on.

    Examples
    --------
    >>> minutes_text(1), minutes_text(35.4), minutes_text(150)
    ('1 minute', '35 minutes', '2 h 30 min')
    """
    whole = round(minutes)
    if whole < 120:
        return f"{whole} minute{'' if whole == 1 else 's'}"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def plural(count: int, one: str, many: str = "") -> str:
    """A count with its noun.

    Examples
    --------
    >>> plural(1, "sheet"), plural(3, "sheet"), plural(2, "side of a holder", "holder sides")
    ('1 sheet', '3 sheets', '2 holder sides')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def day_sentence(
    sitters: int, sheets: float, finish: MomentRange, begins: datetime, held_up_by: str
) -> str:
    """The day in one sentence or two."""
    about = count_text(round(sheets, 1))
    who = plural(round(sheets), "sheet") if not sitters else plural(sitters, "sitter")
    used = f", about {about} sheets used" if sitters else ""
    return (
        f"{who}{used}: through at about {clock_text(finish.q50, begins)}, between "
        f"{clock_text(finish.q05, begins)} and {clock_text(finish.q95, begins)} nine days in ten. "
        f"{held_up_by}"
    )


def bath_text(
    recipe: Recipe, litres: float, sheets_a_litre: float | None, mixes: int, hours: float | None
) -> str:
    """One bath to mix.

    Examples
    --------
    >>> from stillroom.services.recipes import recipe_called
    >>> bath_text(recipe_called("permanganate"), 2.0, 12.0, 2, 4.0)
    'Acid permanganate bleach: 2 litres, good for about 12 sheets a litre; mixed 2 times, for it \
keeps 4 h.'
    """
    counted = f"{count_text(litres)} litre{'' if litres == 1 else 's'}"
    said = f"{recipe.name}: {counted}"
    if sheets_a_litre is not None:
        said += f", good for about {count_text(int(sheets_a_litre))} sheets a litre"
    if mixes > 1 and hours is not None:
        said += f"; mixed {mixes} times, for it keeps {hours:g} h"
    return f"{said}."


HELD_UP = {
    "tank": "The tank holds the day up: while a sheet is in it no other can begin.",
    "hands": "Hands hold the day up: {who} cannot pose a sitter and move sheets at once.",
    "hands alone": "Hands hold the day up: moving and rocking the sheets takes them longer than "
    "any tray.",
    "holders": "Holders hold the day up: exposed sheets wait in them for the line.",
    "chair": "The chair holds the day up: one sitter is posed at a time.",
    "sitters": "Sitters hold the day up: each waits for the reading of a sheet before the next, "
    "and the next sitter for that one to go.",
    "developer": "The developer holds the day up: the same tray is used twice.",
    "the way itself": "Nothing holds the day up but the way of a sheet itself.",
}
"""What is said of a bottleneck, by its kind."""


def held_up_text(kind: str, hands: int, holds: int = 1, *, with_sitters: bool) -> str:
    """What holds the day up.

    Examples
    --------
    >>> held_up_text("bleach", 1, with_sitters=True)
    'The bleach holds the day up: it holds one sheet at a time.'
    """
    if kind == "hands" and not with_sitters:
        kind = "hands alone"
    if kind == "tank" and holds > 1:
        return f"The {holds} tanks hold the day up: while sheets are in them no other can begin."
    if kind in HELD_UP:
        who = "one pair of them" if hands == 1 else f"{hands} pairs of them"
        return HELD_UP[kind].format(who=who)
    at_once = "one sheet" if holds == 1 else f"{holds} sheets"
    return f"The {kind} holds the day up: it holds {at_once} at a time."


WHAT_MORE = {
    "tank": "one more tank",
    "hands": "one more pair of hands",
    "holders": "one more holder side",
    "chair": "a second camera and chair",
    "developer": "one more tray of developer",
    "last wash": "room for one more sheet in the last wash",
}
"""What one more of a thing is called."""


def what_more(name: str) -> str:
    """One more of a station, in words.

    Examples
    --------
    >>> what_more("hands"), what_more("bleach")
    ('one more pair of hands', 'one more tray of bleach')
    """
    return WHAT_MORE.get(name, f"one more tray of {name}")


def more_text(what: str, saves_min: float) -> str:
    """What it buys.

    Examples
    --------
    >>> more_text("one more tank", 96.2), more_text("one more tray of bleach", 0.4)
    ('One more tank: through 96 minutes earlier.', 'One more tray of bleach: nothing.')
    """
    what = what[0].upper() + what[1:]
    return (
        f"{what}: nothing."
        if saves_min < 1
        else f"{what}: through {minutes_text(saves_min)} earlier."
    )


PATIENT_MIN = 20.0
"""How long a seated grown-up is at ease: common practice, no source [min]."""


def odds_from(said: float | None, advised: float | None, sitting: str | None) -> str:
    """Where the odds that a sheet lands come from.

    Examples
    --------
    >>> odds_from(None, 0.7, "OM")
    'as the next sheet of sitting OM is told to land'
    """
    if said is not None:
        return "as you said"
    if advised is not None and sitting is not None:
        return f"as the next sheet of sitting {sitting} is told to land"
    return "invented, for nothing says yet how surely a sheet lands"


def notes_of(
    ground: Ground,
    sitters: int,
    fits: int | None,
    asked_for: Sequence[SitterPlanned],
    finish: MomentRange,
) -> tuple[str, ...]:
    """What is worth knowing beside the figures.

    Parameters
    ----------
    ground : Ground
        What the day is planned on.
    sitters, fits : int
        How many come, and how many fit.
    asked_for : sequence of SitterPlanned
        When they come.
    finish : MomentRange
        When it is through.
    """
    found = []
    if fits is not None and fits < max(1, sitters):
        what = "sitter" if sitters else "sheet"
        found.append(
            f"By {clock_text(ground.ends, ground.begins)} {plural(fits, what)} "
            f"{'is' if fits == 1 else 'are'} through in one day of two."
            if fits
            else f"Not even one {what} is through by {clock_text(ground.ends, ground.begins)} in "
            "one day of two."
        )
    if finish.q95.date() > ground.begins.date():
        found.append("One day in twenty it runs past midnight: plan fewer, or two days.")
    stays = [one.stays_min for one in asked_for]
    if stays and max(stays) > PATIENT_MIN:
        found.append(
            f"A sitter stays {minutes_text(sum(stays) / len(stays))} on average; about "
            f"{PATIENT_MIN:g} minutes are easy for a grown-up, half of it for a child: let them "
            "rise between sheets, or look at the other ways below."
        )
    if ground.sides_there is None and sitters:
        found.append(
            f"No holders are written down: {plural(ground.sides, 'side')} "
            f"{'is' if ground.sides == 1 else 'are'} taken."
        )
    found.append("Drying comes after it: 10 to 20 minutes for resin-coated, hours for fibre.")
    return tuple(found)
