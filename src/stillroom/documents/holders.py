"""Holders of sheets: their sides, and what is in each of them."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from stillroom.documents.base import Line, Name, Strict
from stillroom.documents.thing import Thing

SIDE_LETTERS = "ABCDEFGHIJKL"
MOST_SIDES = len(SIDE_LETTERS)

SideState = Literal["loaded", "exposed"]


class HolderSide(Strict):
    """What is in one side; a side of which nothing is said is empty."""

    state: SideState
    paper: Name | None = None
    """The batch of paper in it."""
    sitting: Name | None = None
    sheet: Annotated[int, Field(ge=1, le=10_000)] | None = None
    """With ``exposed``: which sheet of which sitting."""
    mark: Line = ""
    """What is pencilled on the back of the sheet in it."""
    since: AwareDatetime | None = None

    @model_validator(mode="after")
    def _which_sheet(self) -> Self:
        if self.state == "exposed" and (self.sitting is None or self.sheet is None):
            msg = "an exposed side says which sheet of which sitting is in it"
            raise ValueError(msg)
        if self.state == "loaded" and (self.sitting is not None or self.sheet is not None):
            msg = "a loaded side holds no sheet of a sitting yet"
            raise ValueError(msg)
        return self


class Holder(Thing):
    """A holder, or a box or magazine with its sides numbered in order."""

    format_mm: tuple[
        Annotated[float, Field(ge=10, le=2000)], Annotated[float, Field(ge=10, le=2000)]
    ]
    """The sheet it takes, with its insert where it has one."""
    sides: Annotated[int, Field(ge=1, le=MOST_SIDES)] = 2
    insert: Line = ""
    """What makes a larger holder take this sheet, such as ``13 x 18 in 8x10``."""
    spacer_mm: Annotated[float, Field(ge=0, le=20)] | None = None
    """What lies behind the sheet to bring it to the plane of the ground glass."""
    holds: dict[str, HolderSide] = {}
    """Side to what is in it; a side that is left out is empty."""

    @model_validator(mode="after")
    def _sides_it_has(self) -> Self:
        for side in self.holds:
            if side not in self.letters:
                msg = f"holder {self.id!r} has no side {side!r}; it has {', '.join(self.letters)}"
                raise ValueError(msg)
        return self

    @property
    def letters(self) -> tuple[str, ...]:
        """Its sides by name: A, B, ..."""
        return tuple(SIDE_LETTERS[: self.sides])
