"""What a meter showed."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from stillroom.documents.base import FNumber, OpenS, Strict


class Shows(Strict):
    """What a meter showed: an f-number at an ISO (and a time), lux, or EV at ISO 100."""

    f_number: FNumber | None = None
    iso: Annotated[float, Field(ge=0.1, le=102_400)] | None = None
    seconds: OpenS | None = None
    lx: Annotated[float, Field(ge=0.001, le=2_000_000)] | None = None
    ev100: Annotated[float, Field(ge=-15, le=30)] | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(v is not None for v in (self.f_number, self.lx, self.ev100)) != 1:
            msg = "a meter shows exactly one of f_number (with iso), lx and ev100"
            raise ValueError(msg)
        if self.f_number is not None and self.iso is None:
            msg = "an f_number needs the iso the meter was set to"
            raise ValueError(msg)
        return self
