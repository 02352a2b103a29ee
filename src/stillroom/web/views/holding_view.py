"""How the sitter is held and focused on, how it fires: what may be said, and what was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.documents.book import Book, Sitting
from stillroom.telling.focus_told import VIEWING_WORDS
from stillroom.telling.names import called
from stillroom.telling.words import tape

CHOICES: Mapping[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "support": (
        "The sitter",
        (
            ("head_rest", "in a head rest"),
            ("seated_arms_on_table", "seated, arms on a table"),
            ("seated", "seated"),
            ("leaning", "leaning"),
            ("standing", "standing"),
        ),
    ),
    "focus_on": (
        "Focused on",
        (
            ("eye", "the eye"),
            ("target_in_chair", "a target in the empty chair"),
            ("head_rest", "the head rest"),
        ),
    ),
    "fires": (
        "It fires by",
        (
            ("sync_shutter", "a shutter with sync"),
            ("cap_in_dark", "cap and pop, lights out"),
            ("cap_in_light", "cap and pop, lights on"),
            ("remote", "a remote"),
            ("second_person", "a second person"),
        ),
    ),
    "viewing": (
        "It is looked at",
        tuple(VIEWING_WORDS.items()),
    ),
}
"""By field of `Holding`: what is asked, and the answers."""

ROOM_ASKED = "The room"

LENGTHS = {"rest_to_eye_mm": "Head rest to eye"}
"""Fields that are typed as lengths, and their names."""


@dataclass(frozen=True, slots=True)
class Question:
    """One row of answers to tap."""

    field: str
    asked: str
    answers: tuple[tuple[str, str], ...]
    said: str


@dataclass(frozen=True, slots=True)
class HoldingView:
    """The folded form."""

    questions: tuple[Question, ...]
    rest_to_eye: str
    is_self_portrait: bool


def choices_in(
    book: Book, sitting: Sitting
) -> Mapping[str, tuple[str, tuple[tuple[str, str], ...]]]:
    """What may be said of a sitting; where it is, only when there are several rooms.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose sitting it is.

    Returns
    -------
    mapping
        As `CHOICES`.
    """
    said = sitting.holding.room
    rooms = tuple(
        (room.id, called(room, room.id))
        for room in book.kit.rooms
        if not room.retired or room.id == said
    )
    if len(rooms) < 2:
        return CHOICES
    return {**CHOICES, "room": (ROOM_ASKED, rooms)}


def holding_view(book: Book, sitting: Sitting, lengths: str) -> HoldingView:
    """What was said of a sitting so far.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose sitting it is.
    lengths : str
        The reader's units.
    """
    holding = sitting.holding
    rest_mm = holding.rest_to_eye_mm
    return HoldingView(
        tuple(
            Question(field, asked, answers, getattr(holding, field) or "")
            for field, (asked, answers) in choices_in(book, sitting).items()
        ),
        "" if rest_mm is None else tape(rest_mm / 1000, lengths),
        holding.is_self_portrait,
    )
