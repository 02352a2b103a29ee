"""What a command works on: a document from a file or a pipe, or the book."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.errors import BadDocument, BookError, NotPossible

if TYPE_CHECKING:
    from datetime import datetime

    from stillroom.documents.book import Book, Sitting
    from stillroom.services.remembered import BeliefMemo
    from stillroom.store import BookFile

Document = Annotated[
    str | None,
    typer.Argument(
        metavar="DOCUMENT",
        help="A file with a document, or - for standard input; left out: the book.",
        show_default=False,
    ),
]
BookOption = Annotated[
    Path | None,
    typer.Option(
        "--book", metavar="FILE", help="The book; left out: your own.", show_default=False
    ),
]
SittingOption = Annotated[
    str | None,
    typer.Option(
        "--sitting",
        metavar="ID",
        help="Which sitting; left out: the latest that is not finished.",
        show_default=False,
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")]

_BOOK_BEGINS = b"SQLite format 3\x00"


@dataclass(frozen=True, slots=True)
class Given:
    """What was given: always a whole book; the open file where it came from one."""

    book: Book
    store: BookFile | None

    @property
    def memo(self) -> BeliefMemo | None:
        """Where beliefs are remembered, in a book."""
        return None if self.store is None else self.store.memo

    def sitting(self, sitting_id: str | None) -> Sitting:
        """The sitting that was asked for, else the latest not finished, else the latest."""
        from stillroom.documents.to_domain import named  # noqa: PLC0415
        from stillroom.services.sittings import going_on  # noqa: PLC0415

        if sitting_id is not None:
            return named("sitting", sitting_id, self.book.sittings)
        found = going_on(self.book)
        if found is None:
            raise NotPossible("There is no sitting yet: begin one with stillroom serve.")
        return found


@contextmanager
def opened(document: str | None, book: Path | None) -> Iterator[Given]:
    """Open what a command was given, and close it again.

    Raises
    ------
    BadDocument, BadValue, UnknownName
        If a document cannot be used.
    BookError
        If there is no such book.
    """
    if document is not None and book is not None:
        raise BadDocument("Both a document and a book were given: give one of them.")
    if document is None:
        with open_existing(book) as store:
            yield Given(store.load(), store)
        return
    path = Path(document)
    if document != "-" and _is_book(path):
        with open_existing(path) as store:
            yield Given(store.load(), store)
        return
    yield Given(read_document(document), None)


@contextmanager
def open_existing(book: Path | None) -> Iterator[BookFile]:
    """Open a book that is there already."""
    from stillroom.services.paths import find_paths  # noqa: PLC0415
    from stillroom.store import open_book  # noqa: PLC0415

    place = find_paths(book=book).book
    if not place.path.exists() or _is_empty(place.path):
        raise BookError(
            f"There is no book at {place.path} (by {place.origin}): begin one with stillroom "
            "serve, or give a document."
        )
    with open_book(place.path, clock=now) as store:
        yield store


def read_document(document: str) -> Book:
    """Read a document from a file or, for ``-``, from standard input, and check it."""
    from stillroom.documents.checks import check_references  # noqa: PLC0415
    from stillroom.documents.read import LARGEST_BYTES, check_size, read_book  # noqa: PLC0415

    if document == "-":
        name, text = "The document", sys.stdin.buffer.read(LARGEST_BYTES + 1)
        if len(text) > LARGEST_BYTES:  # the rest is not read, so its size is not known
            raise BadDocument(
                f"The document is too large: at most {LARGEST_BYTES / 1e6:g} MB can be read; "
                "split it into several books."
            )
    else:
        name, path = document, Path(document)
        try:
            check_size(path.stat().st_size, name)
            text = path.read_bytes()
        except OSError as error:
            raise BadDocument(f"{name} cannot be read: {error.strerror or error}.") from None
    book = read_book(text, name)
    check_references(book)
    return book


def now() -> datetime:
    """The moment now, in the zone of this machine."""
    from datetime import datetime  # noqa: PLC0415

    return datetime.now().astimezone()  # noqa: TID251 - a door hands the clock in


def _is_empty(path: Path) -> bool:
    """Whether it is a file with nothing in it, which opening would silently make a book."""
    return path.is_file() and path.stat().st_size == 0


def _is_book(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(_BOOK_BEGINS)) == _BOOK_BEGINS
    except OSError:
        return False  # reading it as a document says what is wrong
