"""One light of a bare ledger."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from stillroom.documents.base import Line, Name, SpreadStops, Stops, Strict
from stillroom.exposure import BareDaylight, BareSource


class DaylightModel(Strict):
    """What may have the light of a seat off: the seat, its kind of sky, the day."""

    seat: Name
    sky: Line
    seat_sd_stops: SpreadStops
    sky_sd_stops: SpreadStops
    day_sd_stops: SpreadStops


class SourceModel(Strict):
    """One light."""

    role: Name
    kind: Literal["flash", "continuous", "veil"]
    head: Name | None = None
    modifiers: tuple[Name, ...] = ()
    distance_m: Annotated[float, Field(ge=0.05, le=100)] | None = None
    log2_lx: Stops | None = None
    sd_stops: SpreadStops = 0.0
    geo: Name
    actinic_stops: Stops = 0.0
    actinic_sd_stops: SpreadStops = 0.0
    region_stops: dict[Name, Stops]
    region_sd_stops: dict[Name, SpreadStops] = {}
    state: Annotated[str, Field(max_length=200)] | None = None
    daylight: DaylightModel | None = None
    from_mid_tone: bool = False
    """A veil of fixed placement, such as a pre-flash: `log2_lx` counts from the mid-tone."""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind == "flash" and (self.head is None or self.distance_m is None):
            msg = f"source {self.role!r} is a flash and needs head and distance_m"
            raise ValueError(msg)
        if self.kind != "flash" and self.log2_lx is None:
            msg = f"source {self.role!r} is {self.kind} and needs log2_lx"
            raise ValueError(msg)
        if self.from_mid_tone and self.kind != "veil":
            msg = f"source {self.role!r} is {self.kind}: only a veil is told from the mid-tone"
            raise ValueError(msg)
        stray = sorted(set(self.region_sd_stops) - set(self.region_stops))
        if stray:
            msg = f"region_sd_stops names {stray[0]!r}, which region_stops does not have"
            raise ValueError(msg)
        return self

    def bare(self) -> BareSource:
        """As the engine's record."""
        there = None if self.daylight is None else BareDaylight(**self.daylight.model_dump())
        return BareSource(**self.model_dump(exclude={"daylight"}), daylight=there)
