"""A year of seconds as a grid by day and clock, cut where clocks change, and lines through it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.documents.daylight import DaylightYear
from stillroom.quantity import FloatArray
from stillroom.telling.daylight_words import zone_called
from stillroom.web.views.level_lines import rings_at_most, thinned

WIDTH, HEIGHT = 1000.0, 500.0
"""Of the drawing: the year across, the shown hours down."""
HOUR_MIN = 60
DAY_MIN = 24 * HOUR_MIN
_SMOOTH_DAYS = 15  # half of what the edge of night is smoothed over: it is told in slots only
_LEAST_GAP = 0.02
_CORNERS = ((0.06, 0.93), (0.06, 0.07), (0.5, 0.93), (0.5, 0.07))  # where *sun down* may stand
_CORNER = 0.06
_TOLERANCE = 0.25  # of a unit of the drawing: a third of a pixel on a wide screen


class Span(NamedTuple):
    """Days on which the clock is the same: the first, the one after the last, its offset."""

    begins: int
    ends: int
    offset: timedelta


class _Edges(NamedTuple):
    """Where light ends: the day, its last lit slot and the dark one beside it.

    `gap` is how far off night is from the lit slot [slots].
    """

    day: NDArray[np.intp]
    lit: NDArray[np.intp]
    dark: NDArray[np.intp]
    gap: FloatArray


class Grid:
    """A year of light, as the inverse of seconds, with the edge of night smooth between its slots.

    Parameters
    ----------
    table : FloatArray
        Seconds needed, days by times on the clock; not a number in the dark [s].
    step_min : int
        Minutes from one slot to the next [min].
    spans : sequence of Span
        Days of one clock.
    """

    def __init__(self, table: FloatArray, step_min: int, spans: Sequence[Span]) -> None:
        self.window = _window(table, step_min)
        """First and last minute of the day that the map shows [min]."""
        self._step_min, self._spans = step_min, spans
        asked = np.reciprocal(table)
        for begins, _, _ in spans[1:]:
            # The hour that clocks skip is no darkness: the next day tells what it would be.
            skipped = np.isnan(asked[begins]) & ~np.isnan(asked[begins + 1])
            asked[begins, skipped] = asked[begins + 1, skipped]
        is_lit = ~np.isnan(asked)
        self._is_lit = is_lit
        self._dark = _smoothed((~is_lit).astype(np.float64), spans)
        self._values = np.where(is_lit, -asked, 0.0)
        # Light goes evenly to nothing at the edge of night, and on below it to the next slot.
        day, lit, dark, gap = _edges(is_lit, self._dark)
        self._values[day, dark] = asked[day, lit] * (1 / gap - 1)

    @property
    def shown(self) -> FloatArray:
        """What the map shows, times by days: light turned over, so that more is lower [1/s]."""
        first, last = (minute // self._step_min for minute in self.window)
        return np.asarray(self._values[:, first : last + 1].T)

    @property
    def rows_high(self) -> float:
        """Height of the map in rows of `shown`."""
        return (self.window[1] - self.window[0]) / self._step_min

    def path(self, seconds: float) -> tuple[tuple[int, str], ...]:
        """Lines round all that needs at most so many seconds, for each stretch of one clock."""
        return self._paths(self._values, -1 / seconds)

    def day_path(self) -> tuple[tuple[int, str], ...]:
        """Lines round all times with the sun up."""
        return self._paths(self._dark, 0.5)

    def dark_corner(self) -> tuple[float, float] | None:
        """A place of the map where the sun is down all round [%]; None without one."""
        lit = self._is_lit[:, self.window[0] // self._step_min : self.window[1] // self._step_min]
        for x, y in _CORNERS:
            days, slots = (
                slice(max(0, int((at - _CORNER) * size)), int((at + _CORNER) * size) + 1)
                for at, size in ((x, lit.shape[0]), (y, lit.shape[1]))
            )
            if not lit[days, slots].any():
                return 100 * x, 100 * y
        return None

    def _paths(self, values: FloatArray, level: float) -> tuple[tuple[int, str], ...]:
        found = ((n, self._path(values, span, level)) for n, span in enumerate(self._spans))
        return tuple((n, path) for n, path in found if path)

    def _path(self, values: FloatArray, span: Span, level: float) -> str:
        low, high = self.window
        # Two steps more on every side: there, outside the frame, a line finds its way home.
        first, last = low // self._step_min - 2, high // self._step_min + 2
        slots = np.clip(np.arange(first, last + 1), 0, values.shape[1] - 1)
        days = np.clip(np.arange(span.begins - 2, span.ends + 2), span.begins, span.ends - 1)
        parts = []
        for ring in rings_at_most(values[np.ix_(days, slots)].T, level):
            x = (ring[:, 0] + span.begins - 1.5) * WIDTH / len(values)
            y = ((ring[:, 1] + first) * self._step_min - low) * HEIGHT / (high - low)
            line = thinned(np.column_stack((x, y)), _TOLERANCE)
            parts.append("M" + " ".join(f"{px:.1f} {py:.1f}" for px, py in line) + "Z")
        return "".join(parts)


def _smoothed(dark: FloatArray, spans: Sequence[Span]) -> FloatArray:
    """How dark some weeks are, a half at the edge of night: it goes between slots so, day by day.

    A time of day that grows dark or light once within those weeks keeps its day.
    """
    smooth = np.empty_like(dark)
    width = 2 * _SMOOTH_DAYS + 1
    for begins, ends, _ in spans:
        days = np.arange(begins - _SMOOTH_DAYS, ends + _SMOOTH_DAYS)
        padded = dark[np.clip(days, begins, ends - 1)]
        summed = np.cumsum(np.vstack([np.zeros((1, dark.shape[1])), padded]), axis=0)
        smooth[begins:ends] = (summed[width:] - summed[:-width]) / width
    return smooth


def _edges(is_lit: NDArray[np.bool_], dark: FloatArray) -> _Edges:
    """Every place where light and dark meet within a day."""
    day, slot = np.nonzero(is_lit[:, :-1] != is_lit[:, 1:])
    ends = is_lit[day, slot]
    lit, out = np.where(ends, slot, slot + 1), np.where(ends, slot + 1, slot)
    here, there = dark[day, lit], dark[day, out]
    share = (0.5 - here) / np.where(there == here, 1.0, there - here)
    gap = np.where(there > here, np.clip(share, _LEAST_GAP, 1.0), 1.0)
    return _Edges(day, lit, out, gap)


def _window(table: FloatArray, step_min: int) -> tuple[int, int]:
    """Whole hours round all moments with light."""
    lit = np.flatnonzero(np.isfinite(table).any(axis=0)) * step_min
    if not lit.size:
        return 0, DAY_MIN
    low, high = int(lit[0]) // HOUR_MIN, int(lit[-1]) // HOUR_MIN + 1
    return low * HOUR_MIN, high * HOUR_MIN


def spans_of(year: DaylightYear) -> tuple[Span, ...]:
    """Days of one clock: first, the one after the last, and how far it is from universal time."""
    zone, first = zone_called(year.about.zone), date(year.year, 1, 1)
    noons = [
        datetime.combine(first + timedelta(n), time(12), zone) for n in range(len(year.seconds))
    ]
    spans: list[Span] = []
    for offset, group in groupby(range(len(noons)), key=lambda n: noons[n].utcoffset()):
        members = list(group)
        spans.append(Span(members[0], members[-1] + 1, offset or timedelta()))
    return tuple(spans)
