"""All sittings, by day, latest first."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from stillroom.documents.book import Book, Sitting
from stillroom.documents.pieces import whole_sheets
from stillroom.telling.names import initials, paper_title, thing
from stillroom.telling.sheets_view import counting
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.words import day


@dataclass(frozen=True, slots=True)
class SittingLine:
    """One sitting in the list."""

    who: str
    href: str
    where: str
    paper: str
    sheets: str
    is_finished: bool


@dataclass(frozen=True, slots=True)
class Day:
    """The sittings of one day."""

    title: str
    sittings: tuple[SittingLine, ...]


def days(book: Book) -> tuple[Day, ...]:
    """Sittings grouped by their day, the latest day first."""
    ordered = sorted(book.sittings, key=lambda s: s.when, reverse=True)
    return tuple(
        Day(f"{day(some[0].when)} {date.year}", tuple(_line(book, s) for s in some))
        for date, group in groupby(ordered, key=lambda s: s.when.date())
        for some in (list(group),)
    )


def _line(book: Book, sitting: Sitting) -> SittingLine:
    paper = thing(book.papers, sitting.paper)
    return SittingLine(
        who=initials(book, sitting) or sitting.id,
        href=sitting_href(sitting.id),
        where=sitting.place,
        paper=paper_title(paper) if paper else sitting.paper,
        sheets=_sheets(sitting),
        is_finished=sitting.finished,
    )


def _sheets(sitting: Sitting) -> str:
    n = whole_sheets(sitting)
    pieces = len(sitting.sheets) - n
    if not n and not pieces:
        return "no sheet yet"
    kept = sum(s.kept is True for s in sitting.sheets)
    unread = sum(counting(s) is None for s in sitting.sheets)
    said = [f"{n} sheet{'s' if n > 1 else ''}", f"{kept} in the box"] if n else []
    if pieces:
        said.insert(1, f"{pieces} test piece{'s' if pieces > 1 else ''}")
    if unread:
        said.append(f"{unread} to read")
    return ", ".join(said)
