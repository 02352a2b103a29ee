"""Filters on the lens, and the pre-flash: parts of a book."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from stillroom.documents.base import SpreadStops
from stillroom.documents.thing import Thing

PreFlashStops = Annotated[float, Field(ge=0, le=10)]
"""An even flash on the whole sheet, by how far below the mid-tone it alone lands [stops]."""


class Filter(Thing):
    """A filter for the lens; numbers that are left out come from its grade, paper and light."""

    grade: Annotated[int, Field(ge=0, le=5)] | None = None
    """Of a contrast filter, 5 the hardest; left out for any other."""
    loss_stops: Annotated[float, Field(ge=0, le=20)] | None = None
    loss_sd_stops: SpreadStops | None = None
    contrast_log: Annotated[float, Field(ge=-2, le=2)] | None = None
    """Natural logarithm of contrast with it over contrast without."""
    contrast_log_sd: Annotated[float, Field(ge=0, le=2)] | None = None

    @model_validator(mode="after")
    def _known(self) -> Self:
        if self.grade is None and self.loss_stops is None:
            msg = f"filter {self.id!r} needs its grade, or loss_stops"
            raise ValueError(msg)
        return self

    @property
    def changes_contrast(self) -> bool:
        """Whether it is meant to make paper softer or harder."""
        return self.grade is not None or bool(self.contrast_log)
