"""A desk on a book of its own, with the small example that every room's tests share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.services.desk import Desk
from stillroom.store import open_book

EXAMPLE = Path(__file__).parents[1] / "data" / "quarry_lane_small.json"
NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)


def example() -> Book:
    """Invented: two sheets into a sitting, one lamp, two papers."""
    return read_book(EXAMPLE.read_text())


@contextmanager
def open_desk(folder: Path, book: Book | None = None) -> Iterator[Desk]:
    """Open a desk in `folder`; without a book it holds the example."""
    with open_book(folder / "book.db", clock=lambda: NOON) as store:
        store.import_document(example() if book is None else book)
        yield Desk(store, lambda: NOON)
