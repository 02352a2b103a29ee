"""Something that lets light in has moved: what that light carried, and how the room is now."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Book, Sitting
from stillroom.telling.place_rows import room_states


@dataclass(frozen=True, slots=True)
class CurtainView:
    """What the template shows."""

    sentence: str
    now: str
    """The state the room is said to be in; empty where none is."""
    others: tuple[str, ...]
    """The states it may be in instead."""


def curtain_view(book: Book, sitting: Sitting, sentence: str) -> CurtainView | None:
    """What to ask before the next sheet; None where no light would be missed.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose room it is.
    sentence : str
        What its light carried, or nothing.
    """
    if not sentence:
        return None
    now = sitting.room_state
    others = tuple(state for state in room_states(book, sitting) if state != now)
    return CurtainView(sentence, now, others)
