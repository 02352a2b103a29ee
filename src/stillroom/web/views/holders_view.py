"""Holders: every side with what is in it and the mark it carries; what Shoot may take besides."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Book, Sitting
from stillroom.services.holders import (
    Side,
    holder_title,
    loaded_for,
    next_marks,
    sides_for,
    sides_of,
)
from stillroom.services.marks import last_number, sheet_mark
from stillroom.telling.names import called, clip_code, initials, paper_title, slug, thing
from stillroom.telling.words import clock
from stillroom.web.views.kit_holder import facts_of_holder


@dataclass(frozen=True, slots=True)
class Offered:
    """A side that can be named."""

    key: str
    title: str


@dataclass(frozen=True, slots=True)
class AtShoot:
    """What the Sitting page offers besides the next loaded side."""

    others: tuple[Offered, ...]
    """Other sides that are loaded with its paper."""
    again: tuple[Offered, ...]
    """Sides that would have to be said to be loaded again."""


def at_shoot(book: Book, sitting: Sitting) -> AtShoot:
    """The sides a sheet of this sitting may be exposed in, the next one left out."""
    loaded = loaded_for(book, sitting)
    ready = {side.key for side in loaded}
    return AtShoot(
        others=tuple(Offered(s.key, s.title) for s in loaded[1:]),
        again=tuple(
            Offered(s.key, s.title) for s in sides_for(book, sitting) if s.key not in ready
        ),
    )


@dataclass(frozen=True, slots=True)
class SideLine:
    """One side on the page."""

    key: str
    letter: str
    title: str
    state: str
    told: str
    """What is in it, in a few words."""
    mark: str
    """The mark its sheet carries, or will carry where it is exposed next."""
    clip: int
    """Its clip code, 1 to 8; 0 where no mark is known."""
    clip_said: str
    is_next: bool


@dataclass(frozen=True, slots=True)
class HolderLine:
    """One holder on the page."""

    title: str
    facts: str
    note: str
    href: str
    sides: tuple[SideLine, ...]


@dataclass(frozen=True, slots=True)
class HoldersView:
    """What the template shows."""

    holders: tuple[HolderLine, ...]
    line: str
    sitting: str
    """The sitting that is going on; empty without one."""
    papers: tuple[tuple[str, str, bool], ...]
    """Paper, what it is called, and whether the sitting is on it."""
    load_all: str
    """What one tap loads; empty where nothing is empty."""
    unload_all: str


def holders_view(book: Book, sitting: Sitting | None) -> HoldersView:
    """Put the page together.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting : Sitting or None
        The one that is going on: its paper is loaded by one tap, its marks come next.
    """
    sides = sides_of(book)
    marks = _marks(book, sitting)
    fitting = {s.key for s in sides_for(book, sitting)} if sitting else set()
    empty = [s for s in sides if s.state == "empty" and s.key in fitting]
    exposed = [s for s in sides if s.state == "exposed"]
    on = sitting.paper if sitting else ""
    return HoldersView(
        holders=tuple(
            HolderLine(
                title=holder_title(holder)[:1].upper() + holder_title(holder)[1:],
                facts=facts_of_holder(holder),
                note=holder.note,
                href=f"/kit/holders/{slug(holder.id)}",
                sides=tuple(
                    _line(book, sitting, s, marks) for s in sides if s.holder.id == holder.id
                ),
            )
            for holder in book.kit.holders
            if not holder.retired
        ),
        line=_counted(sides),
        sitting=sitting.id if sitting else "",
        papers=tuple(
            (paper.id, paper_title(paper), paper.id == on)
            for paper in book.papers
            if not paper.retired or paper.id == on
        ),
        load_all=f"All {len(empty)} empty sides loaded with {_paper(book, on)}"
        if len(empty) > 1
        else "",
        unload_all=f"All {len(exposed)} exposed sheets are out" if len(exposed) > 1 else "",
    )


def _paper(book: Book, paper_id: str) -> str:
    return called(thing(book.papers, paper_id), paper_id) or "paper"


def _marks(book: Book, sitting: Sitting | None) -> dict[str, int]:
    """Side to the number of the sheet it will be, in the order sides are taken."""
    if sitting is None:
        return {}
    coming = next_marks(book, sitting, last_number(sitting) + 1)
    return {side.key: number for side, number in coming}


def _line(book: Book, sitting: Sitting | None, side: Side, marks: dict[str, int]) -> SideLine:
    number = side.sheet if side.state == "exposed" else marks.get(side.key)
    mark = side.mark
    if sitting is not None and side.key in marks:
        mark = sheet_mark(initials(book, sitting), marks[side.key])
    return SideLine(
        key=side.key,
        letter=side.letter if side.holder.sides > 1 else "",
        title=side.title,
        state=side.state,
        told=_told(book, side, mark),
        mark=mark,
        clip=(number - 1) % 8 + 1 if number else 0,
        clip_said=clip_code(number) if number else "",
        is_next=bool(marks) and side.key == next(iter(marks)),
    )


def _told(book: Book, side: Side, mark: str) -> str:
    match side.state:
        case "exposed":
            at = f", since {clock(side.since)}" if side.since else ""
            return f"{mark}, exposed{at}"
        case "loaded":
            paper = _paper(book, side.paper) if side.paper else "paper"
            return f"{paper}, will be {mark}" if mark else paper
    return "empty"


def _counted(sides: tuple[Side, ...]) -> str:
    said = [
        f"{n} {state}"
        for state in ("loaded", "exposed", "empty")
        if (n := sum(s.state == state for s in sides))
    ]
    return f"Sides: {', '.join(said)}." if said else ""
