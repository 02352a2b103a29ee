"""What of a sitting teaches tones, and what only says how she wants to work."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from stillroom.documents import book as doc
from stillroom.documents.holding import Holding

NO_TONE: Mapping[str, object] = MappingProxyType(
    {"locks": (), "efforts": {}, "dear": "paper", "finished": False, "holding": Holding()}
)
"""What a sitting may say without any belief being another."""


def taught_by(book: doc.Book, sitting_id: str) -> doc.Book:
    """A book without what teaches no tone in one of its sittings.

    Two books that are equal so have the same beliefs within that sitting.
    """
    sittings = (
        s.model_copy(update=dict(NO_TONE)) if s.id == sitting_id else s for s in book.sittings
    )
    return book.model_copy(update={"sittings": tuple(sittings)})
