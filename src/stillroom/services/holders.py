"""Holders: what is in each side now, which side the next sheet takes, what stands against it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from stillroom.documents import book as doc
from stillroom.documents.holders import Holder, HolderSide
from stillroom.documents.to_domain import named
from stillroom.errors import NotPossible, UnknownName

FITS_MM = 5.0
"""Sheets of one trade size are cut, and holders masked, by a few millimetres more or less."""

State = Literal["empty", "loaded", "exposed"]


@dataclass(frozen=True, slots=True)
class Side:
    """One side of one holder, as things stand.

    Attributes
    ----------
    key : str
        What it is called in addresses, forms and on a sheet: ``2 B``.
    title : str
        In a sentence: ``holder 2, side B``.
    state : str
        ``empty``, ``loaded`` or ``exposed``.
    paper, sitting, sheet, mark, since
        As written down; of no meaning where it is empty.
    """

    key: str
    title: str
    holder: Holder
    letter: str
    state: State
    paper: str = ""
    sitting: str = ""
    sheet: int | None = None
    mark: str = ""
    since: datetime | None = None


def holder_title(holder: Holder) -> str:
    """A holder in a sentence.

    Examples
    --------
    >>> holder_title(Holder(id="2", format_mm=(130, 180)))
    'holder 2'
    """
    name = holder.name or holder.id
    return f"holder {name}" if len(name) <= 3 else name


def side_title(holder: Holder, letter: str) -> str:
    """One side in a sentence; a holder of one side is called by its name alone.

    Examples
    --------
    >>> side_title(Holder(id="2", format_mm=(130, 180)), "B")
    'holder 2, side B'
    """
    name = holder_title(holder)
    return name if holder.sides == 1 else f"{name}, side {letter}"


def side_key(holder: Holder, letter: str) -> str:
    """What a side is called where it is written down."""
    return f"{holder.id} {letter}"


def sides_of(book: doc.Book) -> tuple[Side, ...]:
    """Every side of every holder in use, in order, as things stand.

    An exposed sheet that was read, or that went into the developer, is no longer in its holder.
    """
    made = {(x.id, s.number): s for x in book.sittings for s in x.sheets}
    return tuple(
        _side(holder, letter, made)
        for holder in book.kit.holders
        if not holder.retired
        for letter in holder.letters
    )


def _side(holder: Holder, letter: str, made: dict[tuple[str, int], doc.Sheet]) -> Side:
    key, title = side_key(holder, letter), side_title(holder, letter)
    holds = holder.holds.get(letter)
    if holds is None:
        return Side(key, title, holder, letter, "empty")
    if holds.state == "exposed":
        sheet = made.get((holds.sitting or "", holds.sheet or 0))
        if sheet is not None and is_out(sheet):
            return Side(key, title, holder, letter, "empty")
    return Side(
        key,
        title,
        holder,
        letter,
        holds.state,
        paper=holds.paper or "",
        sitting=holds.sitting or "",
        sheet=holds.sheet,
        mark=holds.mark,
        since=holds.since,
    )


def is_out(sheet: doc.Sheet) -> bool:
    """Whether a sheet has left its holder: it was looked at, or is in the trays."""
    return bool(sheet.readings) or sheet.wet is not None


def fits(camera_mm: tuple[float, float], holder_mm: tuple[float, float]) -> bool:
    """Whether a holder goes with a camera, upright or lying.

    Examples
    --------
    >>> fits((130, 180), (178, 127)), fits((130, 180), (203, 254))
    (True, False)
    """
    return all(
        abs(ours - its) <= FITS_MM
        for ours, its in zip(sorted(camera_mm), sorted(holder_mm), strict=True)
    )


def sides_for(book: doc.Book, sitting: doc.Sitting) -> tuple[Side, ...]:
    """The sides that go with the camera of a sitting."""
    if not book.kit.holders:
        return ()
    camera = named("camera", sitting.camera, book.kit.cameras)
    return tuple(s for s in sides_of(book) if fits(camera.format_mm, s.holder.format_mm))


def loaded_for(book: doc.Book, sitting: doc.Sitting) -> tuple[Side, ...]:
    """The sides that are loaded with the paper of a sitting, in the order they are taken."""
    return tuple(
        s
        for s in sides_for(book, sitting)
        if s.state == "loaded" and s.paper in ("", sitting.paper)
    )


def next_side(book: doc.Book, sitting: doc.Sitting) -> Side | None:
    """The side that the next sheet takes by itself, if one is known to be loaded."""
    return next(iter(loaded_for(book, sitting)), None)


def why_none(book: doc.Book, sitting: doc.Sitting) -> str:
    """Why no side can be taken, in a sentence; empty where one can, or no holder fits."""
    sides = sides_for(book, sitting)
    if not sides or next_side(book, sitting) is not None:
        return ""
    exposed = [f"{s.title} holds {s.mark}" for s in sides if s.state == "exposed"]
    other = sorted({s.paper for s in sides if s.state == "loaded"})
    if other and not exposed:
        return (
            f"No side is loaded with {sitting.paper}, only with {', '.join(other)}, so nothing "
            "was written down: load one, or say which was loaded."
        )
    if exposed:
        return (
            f"No loaded side is left ({'; '.join(exposed)}), so nothing was written down and no "
            "sheet is exposed twice: unload and load one, or say which was loaded again."
        )
    return (
        "No side is known to be loaded, so nothing was written down: load one, or say which "
        "was loaded."
    )


def side_called(sides: Iterable[Side], key: str) -> Side:
    """The side of that key.

    Raises
    ------
    UnknownName
        If there is none.
    """
    by_key = {side.key: side for side in sides}
    if key not in by_key:
        raise UnknownName("holder side", key, by_key)
    return by_key[key]


def side_to_expose(
    book: doc.Book, sitting: doc.Sitting, wanted: str | None, *, loaded_again: bool = False
) -> Side | None:
    """The side a sheet is exposed in.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose sheet it is.
    wanted : str or None
        Key of a side; None: the next loaded one, if there is any; empty: none.
    loaded_again : bool
        Whether it is said that it was loaded, whatever is written down.

    Raises
    ------
    UnknownName
        If there is no such side.
    NotPossible
        If it was not loaded since it was exposed, or holds another paper.
    """
    if wanted is None:
        return next_side(book, sitting)
    if not wanted:
        return None
    side = side_called(sides_of(book), wanted)
    if loaded_again:
        return side
    title = side.title[:1].upper() + side.title[1:]
    if side.state == "exposed":
        raise NotPossible(
            f"{title} holds {side.mark}, which is exposed, so nothing was written down: unload "
            "it first, or say that it was loaded again."
        )
    if side.state == "empty":
        raise NotPossible(
            f"{title} is empty as far as is known, so nothing was written down: load it, or say "
            "that it was loaded."
        )
    if side.paper not in ("", sitting.paper):
        raise NotPossible(
            f"{title} is loaded with {side.paper} and this sitting is on {sitting.paper}, so "
            "nothing was written down: take another side, or say that it was loaded again."
        )
    return side


def with_side(holder: Holder, letter: str, holds: HolderSide | None) -> Holder:
    """The holder with something in one side, or with nothing."""
    rest = {name: side for name, side in holder.holds.items() if name != letter}
    if holds is not None:
        rest[letter] = holds
    return holder.model_copy(update={"holds": {name: rest[name] for name in sorted(rest)}})


def exposed(side: Side, sitting: doc.Sitting, number: int, mark: str, when: datetime) -> Holder:
    """The holder of a side once its sheet is exposed: it carries the mark until it is unloaded."""
    holds = HolderSide(
        state="exposed",
        paper=sitting.paper,
        sitting=sitting.id,
        sheet=number,
        mark=mark,
        since=when,
    )
    return with_side(side.holder, side.letter, holds)


def next_marks(book: doc.Book, sitting: doc.Sitting, first: int) -> tuple[tuple[Side, int], ...]:
    """Which sheet each loaded side will be, the next one being no. `first`."""
    return tuple((side, first + n) for n, side in enumerate(loaded_for(book, sitting)))
