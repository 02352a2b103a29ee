"""What all exchanged documents share: strictness, names and ranges."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Strict(BaseModel):
    """A part of a document: unknown fields, NaN and Infinity are refused, nothing is altered."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, allow_inf_nan=False, str_strip_whitespace=True
    )


Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=64, pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._/+-]*$"),
]
"""An identifier: letters, digits, spaces and ``. _ / + -``, at most 64 characters."""

Line = Annotated[str, StringConstraints(max_length=200)]
"""A line of free text."""

Text = Annotated[str, StringConstraints(max_length=4000)]
"""A longer note."""

# The absolute limits below are limits of sense, wider than any real kit: they catch slips of
# unit and of the comma, not unusual practice.
Stops = Annotated[float, Field(ge=-40, le=40)]
SpreadStops = Annotated[float, Field(ge=0, le=10)]
Density = Annotated[float, Field(ge=-0.1, le=4)]
DistanceM = Annotated[float, Field(ge=0.05, le=100)]
SizeM = Annotated[float, Field(ge=0.005, le=20)]
EnergyWs = Annotated[float, Field(ge=1, le=100_000)]
FNumber = Annotated[float, Field(ge=0.5, le=512)]
OpenS = Annotated[float, Field(ge=0.00001, le=86_400)]
ExposureIndex = Annotated[float, Field(ge=0.01, le=3200)]
FocalMm = Annotated[float, Field(ge=5, le=5000)]
DrawMm = Annotated[float, Field(ge=5, le=10_000)]
Points = Annotated[tuple[tuple[float, float], ...], Field(max_length=2000)]
"""A curve: wavelength [nm] and value, ascending."""
Pops = Annotated[int, Field(ge=1, le=64)]
Share = Annotated[float, Field(ge=0, le=0.9)]
