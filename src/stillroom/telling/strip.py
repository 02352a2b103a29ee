"""Her own strip and the marks along it, laid out for a template.

Places are percentages of the axis, tones are screen greys from 0 to 255.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stillroom.documents.answers import RegionForecast
from stillroom.documents.book import StripStep
from stillroom.quantity import range_text, stops_text, stops_words

LOW_STOPS = -3.6
HIGH_STOPS = 2.6
_SRGB_LINEAR_END = 0.0031308  # IEC 61966-2-1: where the straight part of the curve ends
_PRINTED_STEPS = 31


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One point of a tone curve: where light falls and what it gives."""

    placement_stops: float
    density: float


@dataclass(frozen=True, slots=True)
class Patch:
    """One grey of the strip."""

    left: float
    width: float
    tone: int
    number: int | None = None
    hole: float = 50.0


@dataclass(frozen=True, slots=True)
class Spindle:
    """What is believed: two ends and the thickest point between them."""

    low: float
    high: float
    peak: float


@dataclass(frozen=True, slots=True)
class Row:
    """One line under a strip, or one track in a table."""

    name: str = ""
    says: str = ""
    range: str = ""
    spoken: str = ""
    spindle: Spindle | None = None
    wanted: tuple[float, float] | None = None
    dot: float | None = None
    tone: int = 0
    best: float | None = None
    seen: float | None = None
    lines: tuple[float, ...] = ()
    is_out: bool = False


@dataclass(frozen=True, slots=True)
class Strip:
    """A whole strip: greys above, stops below, one row a region."""

    patches: tuple[Patch, ...]
    ticks: tuple[tuple[float, str], ...]
    rows: tuple[Row, ...]
    described: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class Axis:
    """A straight axis [stops], drawn from 0 to 100 %."""

    low: float = LOW_STOPS
    high: float = HIGH_STOPS

    def at(self, value: float) -> float:
        """Place of a value; what lies beyond an end is drawn at that end."""
        share = (value - self.low) / (self.high - self.low)
        return round(100 * min(1.0, max(0.0, share)), 2)

    def spindle(self, low: float, best: float, high: float) -> Spindle:
        """Spindle over a range, thickest at its best value."""
        left, right = self.at(low), self.at(high)
        span = max(right - left, 0.01)
        peak = round(100 * (self.at(best) - left) / span, 1)
        return Spindle(left, right, min(100.0, max(0.0, peak)))


def screen_tone(density: float) -> int:
    """Grey a screen shows for a reflection density, 0 to 255.

    References
    ----------
    IEC 61966-2-1 (sRGB), transfer from linear light to code value.

    Examples
    --------
    >>> screen_tone(0.0), screen_tone(1.0), screen_tone(2.0)
    (255, 89, 25)
    """
    linear = min(1.0, 10.0**-density)
    is_straight = linear <= _SRGB_LINEAR_END
    encoded = 12.92 * linear if is_straight else 1.055 * linear ** (1 / 2.4) - 0.055
    return int(255 * encoded + 0.5)


def density_at(curve: Sequence[CurvePoint], placement_stops: float) -> float:
    """Density of a placement, along straight lines between the points of a curve."""
    if placement_stops <= curve[0].placement_stops:
        return curve[0].density
    for before, after in pairwise(curve):
        if placement_stops <= after.placement_stops:
            span = after.placement_stops - before.placement_stops
            share = (placement_stops - before.placement_stops) / span
            return before.density + share * (after.density - before.density)
    return curve[-1].density


def placement_at(curve: Sequence[CurvePoint], density: float) -> float:
    """Placement that gives a density; the curve falls from left to right."""
    if density >= curve[0].density:
        return curve[0].placement_stops
    for before, after in pairwise(curve):
        if density >= after.density:
            drop = before.density - after.density
            share = (before.density - density) / drop if drop else 0.0
            return before.placement_stops + share * (
                after.placement_stops - before.placement_stops
            )
    return curve[-1].placement_stops


def tone_strip(
    curve: Sequence[CurvePoint],
    steps: Sequence[StripStep] = (),
    rows: Sequence[Row] = (),
    axis: Axis | None = None,
) -> Strip:
    """Lay out a strip.

    Parameters
    ----------
    curve : sequence of CurvePoint
        Tone curve of the batch, darkest first.
    steps : sequence of StripStep
        Her own punched strip; without it a printed grey strip is drawn, which says so.
    rows : sequence of Row
        From `region_row`.
    axis : Axis, optional
        Ends of the strip [stops from the middle tone].
    """
    line = axis or Axis()
    ticks = tuple(
        (line.at(stop), stops_text(stop) if stop else "middle")
        for stop in range(int(line.low), int(line.high) + 1)
    )
    if steps:
        patches = _own(curve, steps, line)
        described = (
            f"Your own stepped sheet: {len(steps)} steps from dark to light, "
            "each drawn at its measured place"
        )
    else:
        patches = _printed(curve, line)
        described = "Printed greys from dark to light; a strip of your own would be better"
    return Strip(patches, ticks, tuple(rows), described, is_own=bool(steps))


def region_row(
    region: RegionForecast,
    curve: Sequence[CurvePoint],
    axis: Axis | None = None,
    seen_stops: float | None = None,
) -> Row:
    """One region as a row: what is expected, what is wanted, what was seen."""
    line = axis or Axis()
    expected = region.placement_stops
    half = (expected.q95 - expected.q05) / 2
    wanted = None
    spoken_wanted = ""
    is_out = False
    if region.aim is not None and region.aim.tol_stops is not None:
        low = region.aim.placement_stops - region.aim.tol_stops
        high = region.aim.placement_stops + region.aim.tol_stops
        wanted = (line.at(low), line.at(high))
        is_out = not low <= expected.q50 <= high
        spoken_wanted = f"; wanted {_spoken(low)} to {_spoken(high)}"
    spoken_seen = f"; seen {_spoken(seen_stops)}" if seen_stops is not None else ""
    return Row(
        name=region.name,
        says=stops_text(expected.q50),
        range=range_text(half),
        spoken=(
            f"{region.name}: {_spoken(expected.q50)}, give or take {stops_words(max(half, 1 / 3))}"
            f"{spoken_wanted}{spoken_seen}."
        ),
        spindle=line.spindle(expected.q05, expected.q50, expected.q95),
        wanted=wanted,
        dot=line.at(expected.q50),
        tone=screen_tone(density_at(curve, expected.q50)),
        seen=line.at(seen_stops) if seen_stops is not None else None,
        lines=(line.at(0.0),),
        is_out=is_out,
    )


def _spoken(value: float) -> str:
    if abs(value) < 1 / 6:
        return "the middle tone"
    return f"{stops_words(value)} {'lighter' if value > 0 else 'darker'} than the middle"


def _own(curve: Sequence[CurvePoint], steps: Sequence[StripStep], axis: Axis) -> tuple[Patch, ...]:
    """Her patches, each from midpoint to midpoint; rebate at the left, bare paper at the right."""
    ordered = sorted(steps, key=lambda step: -step.density)
    places = [axis.at(placement_at(curve, step.density)) for step in ordered]
    edges = [(a + b) / 2 for a, b in pairwise(places)]
    first = max(0.0, places[0] - ((edges[0] if edges else 100) - places[0]))
    last = min(100.0, places[-1] + (places[-1] - (edges[-1] if edges else 0)))
    bounds = [first, *edges, last]
    patches = [_patch(0.0, first, curve[0].density)] if first > 0 else []
    for step, place, (left, right) in zip(ordered, places, pairwise(bounds), strict=True):
        width = max(right - left, 0.01)
        patches.append(
            _patch(left, right, step.density, step.step, round(100 * (place - left) / width, 1))
        )
    if last < 100:
        patches.append(_patch(last, 100.0, curve[-1].density))
    return tuple(patches)


def _printed(curve: Sequence[CurvePoint], axis: Axis) -> tuple[Patch, ...]:
    width = 100 / _PRINTED_STEPS
    span = (axis.high - axis.low) / _PRINTED_STEPS
    return tuple(
        _patch(i * width, (i + 1) * width, density_at(curve, axis.low + (i + 0.5) * span))
        for i in range(_PRINTED_STEPS)
    )


def _patch(
    left: float, right: float, density: float, number: int | None = None, hole: float = 50.0
) -> Patch:
    return Patch(round(left, 2), round(right - left, 2), screen_tone(density), number, hole)
