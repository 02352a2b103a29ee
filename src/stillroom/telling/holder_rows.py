"""Holders on the set list: the side that the next sheet takes."""

from __future__ import annotations

from stillroom.documents.book import Book, Sitting
from stillroom.services.holders import next_side, sides_for
from stillroom.telling.names import called, thing
from stillroom.telling.set_rows import Row, Value


def holder_rows(book: Book, sitting: Sitting, *, is_made: bool = False) -> list[Row]:
    """The holder and side of the next sheet, where the kit has a holder for this camera.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose holders they are.
    is_made : bool
        Whether the list is that of a sheet that was made: its side was taken already.
    """
    if is_made or not sides_for(book, sitting):
        return []
    side = next_side(book, sitting)
    if side is None:
        empty = Value("holder", "holder", "none loaded", "as far as is known", "same", ())
        return [Row("Holder", (empty,), "", "same")]
    paper = called(thing(book.papers, side.paper), side.paper) or "loaded"
    value = Value("holder", "holder", side.title, paper, "same", (), is_wide=True)
    return [Row("Holder", (value,), "", "same")]
