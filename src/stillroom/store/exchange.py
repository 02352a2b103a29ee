"""A whole book in and out of the file: merged with what is there, or in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.documents.checks import check_references
from stillroom.errors import DuplicateName, shown
from stillroom.store.parts import ITEMS, MIXES, PAPERS, SITTERS, SITTINGS, THINGS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stillroom.documents.base import Strict
    from stillroom.store.book_file import BookFile


def merge(file: BookFile, document: Book) -> None:
    """Write down everything in `document` that the book does not hold yet.

    Parameters
    ----------
    file : BookFile
        The book, in a transaction.
    document : Book
        What is added; what is the same in both is left alone.

    Raises
    ------
    DuplicateName
        If something of the same name is different here and there.
    UnknownName, BadValue
        If the book would then not go together.
    """
    before = file.load()
    _merge_items(file, before, document)
    sheets = {
        (sitting.id, sheet.number): sheet
        for sitting in before.sittings
        for sheet in sitting.sheets
    }
    metered = {sitting.id: sitting.meter_readings for sitting in before.sittings}
    for sitting in document.sittings:
        for sheet in sitting.sheets:
            known = sheets.get((sitting.id, sheet.number))
            if known is None:
                file.add_sheet(sitting.id, sheet)
            elif known != sheet:
                raise DuplicateName(f"sheets of sitting {shown(sitting.id)}", str(sheet.number))
        for reading in sitting.meter_readings:
            if reading not in metered.get(sitting.id, ()):
                file.add_meter_reading(sitting.id, reading)
    for choice in document.choices:
        if choice not in before.choices:
            file.add_choice(choice)
    check_references(file.load())


def _merge_items(file: BookFile, before: Book, document: Book) -> None:
    there = {(kind, name): part for kind, name, part in _items(before)}
    given: set[tuple[str, str]] = set()
    for kind, name, part in _items(document):
        twice = (kind, name) in given
        if twice or bare(there.get((kind, name), part)) != bare(part):
            raise DuplicateName(kind, name)
        given.add((kind, name))
        file.put(kind, part)


def bare(part: Strict) -> Strict:
    """A sitting or sheet without what is kept in rows of its own; anything else as it is."""
    if isinstance(part, Sitting):
        return part.model_copy(update={"sheets": (), "meter_readings": ()})
    if isinstance(part, Sheet):
        apart = {"readings": ()} | ({"wet": None} if part.wet is not None else {})
        return part.model_copy(update=apart)
    return part


def _items(book: Book) -> Iterator[tuple[str, str, Strict]]:
    groups = {kind: getattr(book.kit, kind) for kind in THINGS}
    groups |= {PAPERS: book.papers, SITTERS: book.sitters, SITTINGS: book.sittings}
    groups[MIXES] = book.mixes
    for kind in ITEMS:
        for part in groups[kind]:
            yield kind, part.id, part
