"""The example book: Quarry Lane, invented, and in no reach of anybody's own book."""

from __future__ import annotations

import json
from base64 import b64decode
from collections.abc import Callable
from datetime import datetime, timedelta
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.documents.read import read_book

if TYPE_CHECKING:
    from stillroom.documents.book import Book
    from stillroom.store import BookFile

FROZEN = ("data", "demo.json")
"""Where the finished example lies in the package; `scripts/make_demo.py` writes it."""
BELIEFS = ("data", "demo_beliefs.json")
"""Where what is believed of it lies, ready made; the same script writes it."""
A_WHILE = timedelta(minutes=5)


def demo_document() -> str:
    """The text of the example book, a document ``book/1``."""
    return files("stillroom.services").joinpath(*FROZEN).read_text(encoding="utf-8")


def demo_book() -> Book:
    """The example book.

    Examples
    --------
    >>> [sitter.initials for sitter in demo_book().sitters]
    ['J. B.', 'O. M.', 'T. R.', 'K. S.']
    """
    return read_book(demo_document(), "The example book")


def open_demo(folder: Path, clock: Callable[[], datetime]) -> BookFile:
    """Write the example into a new book in a folder, and open it.

    Parameters
    ----------
    folder : Path
        An empty folder, which whoever made it takes away again.
    clock : callable
        The moment now, with its zone.

    Returns
    -------
    BookFile
        The open book.

    Raises
    ------
    BookError
        If it cannot be written.
    """
    from stillroom.store import open_book  # noqa: PLC0415

    book = open_book(folder / "quarry-lane.db", clock=clock)
    book.import_document(demo_book())
    for key, value in demo_beliefs().items():
        book.memo.put(key, value)
    return book


def demo_beliefs() -> dict[str, bytes]:
    """What is believed after each sitting of the example, and what the last one's sheets taught.

    By the keys they are kept under, as in any book that has been in use. They could be computed
    again; with them the first page need not wait for sun and sky of two seasons.
    """
    text = files("stillroom.services").joinpath(*BELIEFS).read_text(encoding="ascii")
    return {key: b64decode(value) for key, value in json.loads(text).items()}


def demo_now() -> datetime:
    """The moment at which the example is left: a while after its last sheet was read."""
    moments = [
        reading.when
        for sitting in demo_book().sittings
        if not sitting.finished
        for sheet in sitting.sheets
        for reading in sheet.readings
        if reading.when is not None
    ]
    return max(moments) + A_WHILE
