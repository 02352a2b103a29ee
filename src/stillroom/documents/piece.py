"""A test piece as it is written in a book."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from stillroom.documents.base import Name, Strict

SideMm = Annotated[float, Field(ge=1, le=2000)]


class Piece(Strict):
    """A test piece: an offcut of the same batch, taped where one region of a sheet falls."""

    region: Name | None = None
    """The only region it tells of; left out: the one that was read, else the aimed one with the
    least tolerance."""
    width_mm: SideMm | None = None
    height_mm: SideMm | None = None
    """Both or neither; left out, it is held to take a fifth of a sheet."""
    centre_mm: tuple[float, float] = (0.0, 0.0)

    @model_validator(mode="after")
    def _both_sides(self) -> Self:
        if (self.width_mm is None) != (self.height_mm is None):
            msg = "a piece takes both width_mm and height_mm, or neither"
            raise ValueError(msg)
        return self
