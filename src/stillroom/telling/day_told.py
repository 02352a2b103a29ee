"""A day as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from stillroom.documents.day import Day, DayBag
from stillroom.services.day.words import clock_text, minutes_text, plural
from stillroom.telling.figures import listed
from stillroom.telling.odds import odds
from stillroom.telling.words import day as day_text
from stillroom.telling.words import figure

STATUS_WORDS = {
    "published_seen": "published",
    "published_memory": "published, from memory",
    "common_practice": "common practice, no source",
    "computed": "computed",
    "own": "your own",
    "invented": "invented",
}


@dataclass(frozen=True, slots=True)
class DayTold:
    """A day in lines, rows and tables.

    Parameters
    ----------
    title, headline, range_line, held_up : str
        What kind of day, when it is through, how sure, what holds it up.
    figures : tuple of (str, str)
        Names and figures.
    asked_for : tuple of (str, str, str, str)
        Sitter, when to come, done about, between.
    sheets : tuple of (str, str, str, str, str)
        Sheet, sits down, into the line, readable, washed.
    more : tuple of str
        What one more of a thing buys, and in one line what buys nothing.
    otherwise, notes, cautions : tuple of str
        Other ways to work, what else is worth knowing, cautions.
    assumed : tuple of (str, str)
        Times people take, with how they are known.
    """

    title: str
    headline: str
    range_line: str
    held_up: str
    figures: tuple[tuple[str, str], ...]
    asked_for: tuple[tuple[str, str, str, str], ...]
    sheets: tuple[tuple[str, str, str, str, str], ...]
    more: tuple[str, ...]
    otherwise: tuple[str, ...]
    assumed: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BagTold:
    """What to pack, in rows.

    Parameters
    ----------
    title : str
        For which day.
    rows : tuple of (str, str)
        Paper, holders, plugs, and everything else, each with what it is for.
    baths, cautions : tuple of str
        The baths, and cautions.
    """

    title: str
    rows: tuple[tuple[str, str], ...]
    baths: tuple[str, ...]
    cautions: tuple[str, ...]


def told(answer: Day) -> DayTold:
    """The day in lines.

    Parameters
    ----------
    answer : Day
        The answer.
    """
    return DayTold(
        title=_title(answer),
        headline=_headline(answer),
        range_line=_range_line(answer),
        held_up=answer.held_up.text,
        figures=tuple((name, said) for name, said in _figures(answer) if said),
        asked_for=tuple(
            (
                str(one.sitter),
                _clock(one.comes, answer),
                _clock(one.done.q50, answer),
                f"{_clock(one.done.q05, answer)} to {_clock(one.done.q95, answer)}",
            )
            for one in answer.asked_for
        ),
        sheets=tuple(
            (
                f"{one.sitter}, sheet {one.sheet}" if one.sitter else f"sheet {one.sheet}",
                "" if one.exposed_from is None else _clock(one.exposed_from, answer),
                _clock(one.into_line, answer),
                _clock(one.readable, answer),
                _clock(one.washed, answer),
            )
            for one in answer.planned
        ),
        more=_more(answer),
        otherwise=tuple(one.text for one in answer.otherwise),
        assumed=tuple(
            (one.name, f"{one.low:g} to {one.high:g} {one.unit}; {STATUS_WORDS[one.status]}")
            for one in answer.assumed
        ),
        notes=answer.notes,
        cautions=answer.cautions,
    )


def bag_told(answer: Day) -> BagTold:
    """What to pack, in rows.

    Parameters
    ----------
    answer : Day
        The answer.
    """
    bag = answer.bag
    return BagTold(
        title=f"For {_who(answer)} on {day_text(answer.begins)}",
        rows=(
            ("Paper", _paper(answer)),
            ("Holders", _holders(bag)),
            *((("Plugs", _plugs(bag)),) if bag.load_a is not None else ()),
            *bag.items,
        ),
        baths=tuple(bath.text for bath in bag.baths),
        cautions=answer.cautions,
    )


def _who(answer: Day) -> str:
    if answer.sitters:
        return plural(answer.sitters, "sitter")
    return plural(answer.bag.sheets, "sheet exposed before", "sheets exposed before")


def _title(answer: Day) -> str:
    vessel = {
        "trays": plural(answer.developer_trays, "tray of developer", "trays of developer"),
        "one_tank": plural(answer.tanks, "tank"),
        "drum": plural(answer.tanks, "drum"),
    }[answer.vessel]
    hands = plural(answer.hands, "pair of hands", "pairs of hands")
    return f"{_who(answer)}; {answer.process_name}, {vessel}, {hands}"


def _headline(answer: Day) -> str:
    return f"{_who(answer)}, through about {_clock(answer.finish.q50, answer)}."


def _range_line(answer: Day) -> str:
    said = (
        f"Between {_clock(answer.finish.q05, answer)} and {_clock(answer.finish.q95, answer)} "
        "nine days in ten."
    )
    if answer.sitters and answer.sheets_each > 1:
        said += f" If every spare is used, about {_clock(answer.if_all_used, answer)}."
    if answer.p_by_end is not None and answer.ends is not None:
        said += f" By {_clock(answer.ends, answer)}: {odds(answer.p_by_end)}."
    return said


def _figures(answer: Day) -> tuple[tuple[str, str], ...]:
    fits = ""
    if answer.fits is not None and answer.ends is not None:
        fits = plural(answer.fits, "sitter" if answer.sitters else "sheet")
    landed = minutes_text(answer.minutes_per_landed)
    each = used = ""
    if answer.sitters:
        used = f"about {figure(answer.sheets_used, 2)} of {answer.bag.sheets}"
        each = (
            f"{answer.sheets_each} carried for each, a sheet lands {odds(answer.p_lands)} "
            f"({answer.p_lands_from})"
        )
    return (
        ("Mixing begins", _clock(answer.set_up, answer)),
        ("First sitter" if answer.sitters else "First sheet", _clock(answer.begins, answer)),
        ("Cleared up", f"about {_clock(answer.cleared, answer)}"),
        (f"Fits by {_clock(answer.ends, answer)}" if answer.ends else "Fits", fits),
        ("Sheets", each),
        ("Used", used),
        ("One sheet", f"{minutes_text(answer.flow_min)} through the line"),
        (
            "The line alone",
            f"{figure(answer.per_hour, 2)} sheets an hour, busiest: {answer.per_hour_by}",
        ),
        (
            "For each that lands",
            f"{landed}, {figure(answer.paper_per_landed, 2)} sheets of paper",
        ),
    )


def _more(answer: Day) -> tuple[str, ...]:
    worth = [one.text for one in answer.one_more if one.saves_min >= 1]
    nothing = [one.what for one in answer.one_more if one.saves_min < 1]
    if nothing:
        worth.append(f"Nothing is won by {listed(nothing, 'or')}.")
    return tuple(worth)


def _paper(answer: Day) -> str:
    bag = answer.bag
    if not answer.sitters:
        return plural(bag.sheets, "sheet")
    return (
        f"{plural(bag.sheets, 'sheet')}: {answer.sheets_each} for each of "
        f"{plural(answer.sitters, 'sitter')}, {plural(bag.spares, 'spare')} among them; a test "
        "piece comes off a spare"
    )


def _holders(bag: DayBag) -> str:
    there = "" if bag.holder_sides_there is not None else "; none are written down in the kit"
    return f"{plural(bag.holder_sides, 'side')}, loaded before the first sitter{there}"


def _plugs(bag: DayBag) -> str:
    said = f"{bag.load_a:.0f} A at once"
    if bag.circuits is None:
        return f"{said}; ask what a circuit of the room carries"
    return f"{said}, on {plural(bag.circuits, 'circuit')}; extension leads uncoiled"


def _clock(moment: datetime | None, answer: Day) -> str:
    return "" if moment is None else clock_text(moment, answer.begins)
