"""A sheet on its way out: four ticks, where it is, the line for its back."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Book, Sheet, Sitter, Sitting
from stillroom.documents.hand_over import SEEN_TO, SeenTo, Whereabouts
from stillroom.telling.figures import listed
from stillroom.telling.names import initials, paper_of, paper_title
from stillroom.telling.sheets_view import mark_of, sheet_href
from stillroom.telling.words import day

TICKS: dict[SeenTo, str] = {
    "dry_scan": "Scanned, dry",
    "fixed_or_told": "Fixed and washed, or told to keep it from light",
    "back_copied": "The line copied on the back",
    "scan_turned": "Their copy of the scan turned left to right",
}
_MISSING: dict[SeenTo, str] = {
    "dry_scan": "a dry scan",
    "fixed_or_told": "fixing, or a word to keep it from light",
    "back_copied": "the line on its back",
    "scan_turned": "a copy of the scan turned for them",
}
STATES: dict[Whereabouts, str] = {
    "given": "Given",
    "promised": "Promised",
    "here": "Still here",
    "binned": "In the bin",
}
"""What the buttons say, the likeliest first."""


@dataclass(frozen=True, slots=True)
class HandingOver:
    """What the template shows.

    Parameters
    ----------
    href : str
        Where the form goes.
    state : str
        Where the sheet is, in a sentence.
    ticks : tuple of (value, label, is ticked)
        What is to be seen to.
    states : tuple of (value, label)
        The buttons.
    back_line : str
        What to copy on the back.
    notes : tuple of str
        What the sitter has not agreed to, and what is missing of a sheet that was given.
    """

    href: str
    state: str
    ticks: tuple[tuple[str, str, bool], ...]
    states: tuple[tuple[str, str], ...]
    back_line: str
    notes: tuple[str, ...]


def handing_over(book: Book, sitting: Sitting, sheet: Sheet) -> HandingOver:
    """Put the part of the page together.

    Parameters
    ----------
    book, sitting, sheet : Book, Sitting, Sheet
        Which sheet.
    """
    said = sheet.hand_over
    ticked = set(said.seen_to) if said else set()
    if said is None and is_scanned_dry(sheet):
        ticked.add("dry_scan")
    return HandingOver(
        href=f"{sheet_href(sitting, sheet.number)}/handed",
        state=_state(sheet),
        ticks=tuple((one, label, one in ticked) for one, label in TICKS.items()),
        states=tuple(STATES.items()),
        back_line=back_line(book, sitting, sheet),
        notes=(*_not_agreed(book, sitting), *_missing(sheet)),
    )


def is_scanned_dry(sheet: Sheet) -> bool:
    """Whether a dry scan of it was read."""
    return any(reading.by == "scan" and reading.state == "dry" for reading in sheet.readings)


def back_line(book: Book, sitting: Sitting, sheet: Sheet) -> str:
    """What is copied on the back of a sheet: plain text without a name but the initials."""
    at = sheet.when or sitting.when
    who = initials(book, sitting)
    paper = paper_title(paper_of(book, sitting))
    first = ", ".join(part for part in (who, f"{day(at)} {at.year}") if part)
    return (
        f"{mark_of(sheet)}. {first}. {paper}, a direct positive made in the camera, the only one. "
        "Left and right are changed over, as in a mirror. Fixed and washed: yes / no. If no, keep "
        "it from strong light."
    )


def _state(sheet: Sheet) -> str:
    said = sheet.hand_over
    if said is None:
        return "Nothing is written down yet: it is still here."
    where = {
        "given": "Given",
        "promised": "Promised, and still here",
        "here": "Still here",
        "binned": "In the bin",
    }[said.state]
    return f"{where}, {day(said.when)}." if said.when else f"{where}."


def _missing(sheet: Sheet) -> list[str]:
    said = sheet.hand_over
    if said is None or said.state != "given":
        return []
    left = [_MISSING[one] for one in SEEN_TO if one not in said.seen_to]
    return [f"It was given without {listed(left, 'and')}."] if left else []


def _not_agreed(book: Book, sitting: Sitting) -> list[str]:
    return [
        f"{sitter.initials} has not said yes to {listed(left, 'or')}."
        for sitter in book.sitters
        if sitter.id in sitting.sitters and (left := _asked_for(sitter))
    ]


def _asked_for(sitter: Sitter) -> list[str]:
    agreed = sitter.at_the_door.said_yes_to
    asked = (("scan_kept", "keeping a scan"), ("may_be_shown", "showing it"))
    return [words for one, words in asked if one not in agreed]
