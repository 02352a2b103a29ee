"""The tone strip of the Sitting page, and the steps a sheet is read against."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stillroom.documents.answers import Forecast, RegionForecast
from stillroom.documents.book import Paper
from stillroom.telling.strip import (
    HIGH_STOPS,
    LOW_STOPS,
    Axis,
    CurvePoint,
    Row,
    Strip,
    placement_at,
    region_row,
    tone_strip,
)

_WIDEST = (-6.0, 5.0)
_MARGIN_STOPS = 1 / 3
_NEAR_END = 0.06
_END_DENSITY = 0.01

Curve = Sequence[CurvePoint]


@dataclass(frozen=True, slots=True)
class RegionLine:
    """One region under the strip."""

    region: str
    row: Row
    warning: str


@dataclass(frozen=True, slots=True)
class Tones:
    """Her strip, and every region on it."""

    strip: Strip
    lines: tuple[RegionLine, ...]


def stops_at(curve: Curve, density: float) -> float | None:
    """Placement of a density; nothing at the ends, where a density says no more.

    Examples
    --------
    >>> curve = (CurvePoint(-3, 1.9), CurvePoint(0, 1.0), CurvePoint(3, 0.1))
    >>> round(stops_at(curve, 0.55), 3), stops_at(curve, 0.1)
    (1.5, None)
    """
    if not curve[-1].density + _END_DENSITY < density < curve[0].density - _END_DENSITY:
        return None
    return placement_at(curve, density)


def axis_of(regions: Iterable[RegionForecast]) -> Axis:
    """An axis that holds what is expected and what is wanted, within reason."""
    low, high = LOW_STOPS, HIGH_STOPS
    for region in regions:
        low = min(low, region.placement_stops.q05 - _MARGIN_STOPS)
        high = max(high, region.placement_stops.q95 + _MARGIN_STOPS)
        if region.aim is not None:
            tol = region.aim.tol_stops or 0.0
            low = min(low, region.aim.placement_stops - tol - _MARGIN_STOPS)
            high = max(high, region.aim.placement_stops + tol + _MARGIN_STOPS)
    return Axis(max(_WIDEST[0], low), min(_WIDEST[1], high))


def tones(paper: Paper, curve: Curve, forecast: Forecast) -> Tones:
    """Lay out the strip of one forecast."""
    axis = axis_of(forecast.regions.values())
    lines = tuple(
        RegionLine(name, region_row(region, curve, axis), _warning(region, paper))
        for name, region in forecast.regions.items()
    )
    return Tones(
        tone_strip(curve, paper.comparison_strip, [line.row for line in lines], axis), lines
    )


def _warning(region: RegionForecast, paper: Paper) -> str:
    """Whether the range runs out of paper at an end where an aim is at stake."""
    aim = region.aim
    if aim is None or aim.tol_stops is None:
        return ""
    bare, black = paper.dmin + _NEAR_END, paper.dmax - _NEAR_END
    if region.density.q05 < bare < aim.density:
        return "may go bare"
    if region.density.q95 > black > aim.density:
        return "may go black"
    return ""
