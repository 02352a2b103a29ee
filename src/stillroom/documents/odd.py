"""What the tool answers about sheets that contradict everything else."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Made

Chance = Annotated[float, Field(ge=0, le=1)]


class OddSlip(Strict):
    """One slip that would explain a sheet."""

    id: Line
    """What an answer calls it by: ``dial-key``, ``stop``, ``not_fired-rim`` ..."""
    what: Line
    """As it is written down: *the key dial stood 1 lower*."""
    odds: Chance
    sentence: Text
    """What it would have done, and whether the sheet shows it."""
    corrects: Text
    """What is written when it is the answer."""
    same_as: tuple[Line, ...] = ()
    """Ids of others named here that would give the same sheet: one sheet cannot tell."""
    made: Made | None = None
    """What was really set, where the slip can be told so."""
    room_state: Line = ""
    """What the room really was, where that was the slip."""


class OddSheet(Strict):
    """One sheet that contradicts the others, or of which that was said and answered."""

    number: int
    mark: Line
    sentence: Text
    answer: Literal["slip", "put_right", "real"] | None = None
    """``put_right``: what was really made is written down, so that it teaches again."""
    cause: Line = ""
    slips: tuple[OddSlip, ...] = ()
    """The two to four likeliest, while it is not answered."""
    odds_something_else: Chance = 0.0
    odds_scatter: Chance = 0.0


class OddSheets(Strict):
    """The odd sheets of a sitting."""

    stillroom: Literal["odd/1"] = "odd/1"
    sitting: Name
    sheets: tuple[OddSheet, ...]
