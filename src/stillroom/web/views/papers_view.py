"""Papers: how each batch turns light into tone, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stillroom.documents.book import Book, Paper
from stillroom.paper.printed_range import HIGHLIGHT_ABOVE_DMIN, SHADOW_SHARE_OF_NET_DMAX
from stillroom.quantity import range_text, stops_text
from stillroom.telling.names import called, slug
from stillroom.telling.strip import (
    Axis,
    CurvePoint,
    Row,
    Strip,
    placement_at,
    screen_tone,
    tone_strip,
)
from stillroom.telling.words import figure

CHART_AXIS = Axis(-4.0, 3.0)
_DENSITY_STEP = 0.5
_GREYS = 24
_SEES = {
    "graded": "graded, blue-sensitive",
    "variable_contrast": "variable contrast, sees blue and green",
    "own": "with its own response",
}


@dataclass(frozen=True, slots=True)
class BandPoint:
    """One point of a tone curve with its range of nine in ten."""

    placement_stops: float
    density: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Known:
    """What is believed of one batch (see `stillroom.web.beliefs`)."""

    ei: float
    ei_low: float
    ei_high: float
    dmin: float
    dmax: float
    curve: tuple[BandPoint, ...]
    sentence: str

    @property
    def points(self) -> tuple[CurvePoint, ...]:
        """The curve without its range."""
        return tuple(CurvePoint(p.placement_stops, p.density) for p in self.curve)


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One batch in the list."""

    address: str
    title: str
    ei: str
    range: str
    holds: str
    how: str
    track: Row
    is_this: bool
    retired: bool


@dataclass(frozen=True, slots=True)
class Batches:
    """Every batch, on one scale of exposure indices."""

    lines: tuple[BatchLine, ...]
    put_away: tuple[BatchLine, ...]
    ticks: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class ToneChart:
    """From light to tone, in percent of the drawing: up is darker, to the right is more light."""

    line: str
    band: str
    densities: tuple[tuple[float, str], ...]
    stops: tuple[tuple[float, str], ...]
    greys: tuple[tuple[float, float, int], ...]
    holds: tuple[float, float] | None
    holds_text: str
    described: str


@dataclass(frozen=True, slots=True)
class PaperView:
    """One batch on its own page."""

    paper: Paper
    address: str
    title: str
    subtitle: str
    answer: str
    chart: ToneChart
    facts: tuple[tuple[str, str, str], ...]
    strip: Strip | None
    how: str


def batches(book: Book, known: Mapping[str, Known], this: str = "") -> Batches:
    """Lay every batch out on one axis; `this` is the id of the one being looked at."""
    axis = _ei_axis(known.values())
    lines = tuple(_line(paper, known[paper.id], axis, this) for paper in book.papers)
    ticks = tuple(
        (axis.at(power), _ei_text(2.0**power))
        for power in range(math.ceil(axis.low), math.floor(axis.high) + 1)
    )
    return Batches(
        tuple(line for line in lines if not line.retired),
        tuple(line for line in lines if line.retired),
        ticks,
    )


def paper_view(paper: Paper, known: Known) -> PaperView:
    """Everything the page of one batch shows."""
    half = math.log2(known.ei_high / known.ei_low) / 2
    holds = _holds_stops(known)
    grade = f", grade {figure(paper.grade)}" if paper.grade is not None else ""
    batch = f" Batch {paper.batch}." if paper.batch else ""
    return PaperView(
        paper=paper,
        address=f"/papers/{slug(paper.id)}",
        title=called(paper, paper.id),
        subtitle=f"{paper.surface}, {_SEES[paper.response]}{grade}.{batch}",
        answer=(
            f"Exposure index {figure(known.ei, 2)}, known to {range_text(half)} stops."
            + (f" Holds tone for {_stops_held(holds)}." if holds is not None else "")
        ),
        chart=tone_chart(known),
        facts=(
            ("Exposure index", f"EI {figure(known.ei, 2)}", range_text(half)),
            (
                "Nine in ten between",
                f"EI {figure(known.ei_low, 2)} and {figure(known.ei_high, 2)}",
                "",
            ),
            ("Blackest black", f"{known.dmax:.2f}", _density_range(known.curve[0])),
            ("Bare paper", f"{known.dmin:.2f}", _density_range(known.curve[-1])),
        ),
        strip=tone_strip(known.points, paper.comparison_strip) if paper.comparison_strip else None,
        how=known.sentence,
    )


def tone_chart(known: Known) -> ToneChart:
    """The curve, its band and its scales."""
    top = max(2.0, math.ceil((known.dmax + 0.1) / _DENSITY_STEP) * _DENSITY_STEP)
    axis = CHART_AXIS
    shown = [p for p in known.curve if axis.low - 0.5 <= p.placement_stops <= axis.high + 0.5]

    def x(stops: float) -> float:
        return round(100 * (stops - axis.low) / (axis.high - axis.low), 2)

    def y(density: float) -> float:
        return round(100 * (1 - density / top), 2)

    upper = [(x(p.placement_stops), y(p.high)) for p in shown]
    lower = [(x(p.placement_stops), y(p.low)) for p in reversed(shown)]
    ends = _held_between(known)
    whole = range(int(top / _DENSITY_STEP) + 1)
    return ToneChart(
        line=f"M{_smooth([(x(p.placement_stops), y(p.density)) for p in shown])}",
        band=f"M{_smooth(upper)} L{_smooth(lower)}Z",
        densities=tuple((y(n * _DENSITY_STEP), f"{n * _DENSITY_STEP:.1f}") for n in whole),
        stops=tuple(
            (x(stop), stops_text(stop) if stop else "middle")
            for stop in range(int(axis.low), int(axis.high) + 1)
        ),
        greys=tuple(
            (round(100 * i / _GREYS, 2), round(100 / _GREYS + 0.3, 2), screen_tone(density))
            for i in range(_GREYS)
            for density in [top * (1 - (i + 0.5) / _GREYS)]
        ),
        holds=(axis.at(ends[0]), axis.at(ends[1])) if ends else None,
        holds_text=f"holds tone for {_stops_held(ends[1] - ends[0])}" if ends else "",
        described=(
            f"Density against light in stops from the middle tone: from {known.dmax:.2f} "
            f"with little light down to {known.dmin:.2f} with much, through "
            f"{(known.dmin + known.dmax) / 2:.2f} at the middle tone."
        ),
    )


def _smooth(points: Sequence[tuple[float, float]]) -> str:
    """Path through `points` without corners: cubics whose slopes are those of the neighbours."""
    last = len(points) - 1
    slopes = []
    for i in range(len(points)):
        (x0, y0), (x1, y1) = points[max(0, i - 1)], points[min(last, i + 1)]
        slopes.append((y1 - y0) / (x1 - x0))
    parts = [f"{points[0][0]:g} {points[0][1]:g}"]
    for ((x0, y0), (x1, y1)), (m0, m1) in zip(pairwise(points), pairwise(slopes), strict=True):
        third = (x1 - x0) / 3
        parts.append(
            f"C{x0 + third:.2f} {y0 + m0 * third:.2f} {x1 - third:.2f} {y1 - m1 * third:.2f} "
            f"{x1:g} {y1:g}"
        )
    return " ".join(parts)


def _line(paper: Paper, known: Known, axis: Axis, this: str) -> BatchLine:
    low, best, high = (math.log2(ei) for ei in (known.ei_low, known.ei, known.ei_high))
    batch = f", batch {paper.batch}" if paper.batch else ""
    holds = _holds_stops(known)
    return BatchLine(
        address=f"/papers/{slug(paper.id)}",
        title=f"{called(paper, paper.id)}{batch}",
        ei=_ei_text(known.ei),
        range=range_text((high - low) / 2),
        holds=_stops_held(holds) if holds is not None else "",
        how=known.sentence,
        track=Row(spindle=axis.spindle(low, best, high), best=axis.at(best)),
        is_this=paper.id == this,
        retired=paper.retired,
    )


def _ei_axis(known: Iterable[Known]) -> Axis:
    each = tuple(known)
    low = min((math.log2(k.ei_low) for k in each), default=0.0)
    high = max((math.log2(k.ei_high) for k in each), default=3.0)
    return Axis(math.floor(low) - 0.25, math.ceil(high) + 0.25)


def _ei_text(ei: float) -> str:
    return {0.25: "¼", 0.5: "½"}.get(ei) or figure(ei, 2)


def _held_between(known: Known) -> tuple[float, float] | None:
    """Placements between which the paper holds tone, by the end points of ISO 6846."""
    span = known.dmax - known.dmin
    dark = known.dmin + SHADOW_SHARE_OF_NET_DMAX * span
    light = known.dmin + HIGHLIGHT_ABOVE_DMIN
    points = known.points
    if not points[0].density > dark > light > points[-1].density:
        return None
    return placement_at(points, dark), placement_at(points, light)


def _holds_stops(known: Known) -> float | None:
    ends = _held_between(known)
    return ends[1] - ends[0] if ends else None


def _stops_held(stops: float) -> str:
    return f"{stops_text(stops).lstrip('+')} stops"


def _density_range(point: BandPoint) -> str:
    return f"±{(point.high - point.low) / 2:.2f}"
