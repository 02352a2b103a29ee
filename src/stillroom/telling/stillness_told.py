"""The answer about holding still as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.stillness import Stillness
from stillroom.services.stillness_words import SUPPORT_WORDS, through
from stillroom.telling.odds import odds, worth_saying
from stillroom.telling.words import figure, seconds

VIEWING_NAMES = {"in_the_hand": "looked at in the hand", "on_the_wall": "looked at on the wall"}
LIDS_SHOW = 0.25
"""A blink that takes this share of the opening shows in the eyes (invented)."""


@dataclass(frozen=True, slots=True)
class StillnessTold:
    """The line for a page, the rows and sentences that are folded under it."""

    line: str
    """*Blink and sway*: the odds, in one line."""
    blink: str
    """What a blink does; empty for a card."""
    longest: tuple[tuple[str, str], ...]
    """Odds and the longest time that is held with them; empty for several pops."""
    ways: tuple[str, ...]
    """What would help."""
    rows: tuple[tuple[str, str], ...]
    """What it was reckoned from, name and figure."""
    notes: tuple[str, ...]
    """What is not known, and how it could be."""


def told(answer: Stillness) -> StillnessTold:
    """Lines, rows and notes of an answer.

    Parameters
    ----------
    answer : Stillness
        The answer.

    Returns
    -------
    StillnessTold
    """
    if answer.is_card:
        return StillnessTold("Blink and sway: a card holds still.", "", (), (), (), ())
    return StillnessTold(
        line=_line(answer),
        blink=_blink(answer),
        longest=()
        if answer.pops > 1
        else tuple((odds(x.p_held), seconds(_short(x.open_s))) for x in answer.longest),
        ways=tuple(way.text for way in answer.ways),
        rows=_rows(answer),
        notes=_notes(answer),
    )


def _line(answer: Stillness) -> str:
    if answer.freezes:
        return f"Blink and sway: one pop freezes; lids are down {odds(answer.p_blink)}."
    if answer.pops > 1:
        held = through(answer.open_s, answer.pops)
        return f"Blink and sway: holds {held}, {odds(answer.p_held)}."
    longest = next(x.open_s for x in answer.longest if x.p_held == 0.7)
    held = f"holds {seconds(_short(answer.open_s))}, {odds(answer.p_held)}"
    return f"Blink and sway: {held}; 7 in 10 is {seconds(_short(longest))}."


def _blink(answer: Stillness) -> str:
    if not worth_saying(answer.p_blink):
        return ""
    if answer.freezes:
        return f"A pop meets lids on their way {odds(answer.p_blink)}: pop just after a blink."
    if answer.pops > 1:
        hit = f"One of {answer.pops} pops or more meets lids on their way {odds(answer.p_blink)}"
        shows = "shows" if answer.blink_share >= LIDS_SHOW else "hardly shows"
        return f"{hit}; each gives 1⁄{answer.pops} of the light, so that it {shows}."
    if answer.blink_share >= LIDS_SHOW:
        return f"A blink falls in it {odds(answer.p_blink)}, and shows: open just after one."
    return (
        f"A blink falls in it {odds(answer.p_blink)}; it takes 1⁄{round(1 / answer.blink_share)} "
        "of the time and hardly shows."
    )


def _rows(answer: Stillness) -> tuple[tuple[str, str], ...]:
    smear = answer.smear
    viewing = f", {VIEWING_NAMES[answer.viewing]}" if answer.viewing else ""
    held = SUPPORT_WORDS[answer.support] + ("" if answer.support_is_said else " (not said)")
    rows = [
        ("Held", held),
        ("Size on the sheet", f"{figure(answer.magnification, 2)} of life"),
        ("Smear allowed", f"{_mm(answer.allowed_mm)}{viewing}"),
        (
            "Smear expected",
            f"{_mm(smear.median_mm)}, nine in ten {_mm(smear.q05_mm)} to {_mm(smear.q95_mm)}",
        ),
    ]
    if answer.holds_still_s is not None:
        rows.append(("By their own word", seconds(answer.holds_still_s)))
    if answer.sheets_counted:
        rows.append(("Sheets measured", str(answer.sheets_counted)))
    return tuple(rows)


def _notes(answer: Stillness) -> tuple[str, ...]:
    notes = []
    if not answer.support_is_said:
        notes.append("How the sitter is held was not said: say it, it counts most.")
    if answer.is_child:
        notes.append("Children move more; by how much is a guess.")
    if answer.support == "standing":
        notes.append(
            "Give the eyes a mark to rest on: with eyes closed a head sways twice as far."
        )
    if answer.sheets_left_out:
        notes.append(
            f"{_sheets(answer.sheets_left_out)} with a smear {_do(answer.sheets_left_out)} not "
            "count: a flash froze part of the picture, or the strips differ."
        )
    if answer.pops > 1:
        notes.append(
            "Each pop draws a sharp picture; the odds are that they lie within the smear allowed."
        )
    elif answer.has_flash:
        notes.append(
            "What the flash draws stays sharp; the odds are for what steady light draws, which "
            "may show as a second edge."
        )
    if not answer.sheets_counted and answer.sitting is not None:
        notes.append(
            "Measure the smear on a finished sheet by steady light, also where none is seen: it "
            "tells more than any table."
        )
    return tuple(notes)


def _sheets(count: int) -> str:
    return f"{count} sheet" if count == 1 else f"{count} sheets"


def _do(count: int) -> str:
    return "does" if count == 1 else "do"


def _mm(value_mm: float) -> str:
    return f"{figure(value_mm, 2)} mm"


def _short(open_s: float) -> float:
    """A time to two digits: more is not known of how anybody holds."""
    return float(f"{open_s:.2g}")


def smear_text(smear_mm: float) -> str:
    """What was measured, as it is repeated.

    Examples
    --------
    >>> smear_text(0.3), smear_text(0)
    ('a smear of 0.3 mm is written down', 'that no smear is seen is written down')
    """
    if smear_mm == 0:
        return "that no smear is seen is written down"
    return f"a smear of {_mm(smear_mm)} is written down"
