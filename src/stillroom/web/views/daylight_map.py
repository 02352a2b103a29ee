"""The year by the hour: lines of equal seconds over months and the clock of the place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from stillroom.documents.daylight import DaylightYear
from stillroom.quantity import FloatArray
from stillroom.telling.daylight_words import (
    SCALE_S,
    above_limit,
    best_of_year,
    seconds_table,
)
from stillroom.telling.figures import listed
from stillroom.telling.words import seconds
from stillroom.web.views.daylight_grid import HOUR_MIN, WIDTH, Grid, Span, spans_of
from stillroom.web.views.line_labels import Label, labels_of

_BETWEEN_S = (3.0, 6.0)
_BETWEEN_FROM_S = 0.5
_LONGEST_S, _LONGEST_OF_BEST = 30.0, 8.0
# Screen greys: the shortest times nearest to the page, the longest darkest, no sun darker still.
_LIGHTEST, _DARKEST, _NO_SUN = 250, 186, 168


@dataclass(frozen=True, slots=True)
class Level:
    """All moments of the year that need at most so many seconds."""

    of_s: float
    key: str
    """What the drawing calls it."""
    said: str
    path: tuple[tuple[int, str], ...]
    """For each stretch of one clock: which, and its lines."""
    tone: int | None
    """Screen grey of the places it adds; none for a line that is drawn only when chosen."""
    is_limit: bool


@dataclass(frozen=True, slots=True)
class LevelLabel:
    """The figure on a line."""

    at: Label
    of: Level


@dataclass(frozen=True, slots=True)
class Change:
    """A change of clocks: where it stands [%], its day, and which way."""

    at: float
    day: date
    is_forward: bool


@dataclass(frozen=True, slots=True)
class YearMap:
    """The map as a template draws it; places in units of the drawing or, of words, in percent."""

    stretches: tuple[tuple[float, float], ...]
    """Beginning and width of each stretch of one clock."""
    day_path: tuple[tuple[int, str], ...]
    """Where the sun is up."""
    sun_down: tuple[float, float] | None
    """Where there is room to say that it is not [%]."""
    levels: tuple[Level, ...]
    """From the longest time to the shortest."""
    tones: tuple[int, int]
    """Greys of what is longer than any line, and of no sun."""
    months: tuple[tuple[float, float, str], ...]
    """Beginning, middle and name [%]."""
    hours: tuple[tuple[float, str], ...]
    """Place and hour [%]."""
    labels: tuple[LevelLabel, ...]
    changes: tuple[Change, ...]
    today: float | None
    """Where today stands [%]; none in another year."""
    limit_key: str
    """The level that is the limit; empty where it has no line."""
    no_line: str
    """Why the limit has no line, else empty."""
    lines: str
    """Which lines there are, in words."""


def year_map(year: DaylightYear, limits_s: Sequence[float], today: date) -> YearMap:
    """Lay the map out.

    Parameters
    ----------
    year : DaylightYear
        Its `within_s` is the chosen limit.
    limits_s : sequence of float
        Limits that may be chosen instead, so that each has its line ready [s].
    today : date
        The day to mark.
    """
    table = seconds_table(year)
    drawn = _drawn_levels(table, year.within_s)
    wanted = sorted({*drawn, *limits_s, year.within_s}, reverse=True)
    spans = spans_of(year)
    grid = Grid(table, year.step_min, spans)
    tones = dict(zip(drawn, _tones(len(drawn)), strict=True))
    paths = {level: grid.path(level) for level in wanted}
    levels = tuple(
        Level(
            of_s=level,
            key=_key(level),
            said=seconds(level),
            path=paths[level],
            tone=tones.get(level),
            is_limit=level == year.within_s,
        )
        for level in wanted
        if paths[level]
    )
    has_line = bool(paths[year.within_s])
    days = len(year.seconds)
    return YearMap(
        stretches=tuple((_x(a, days), _x(b - a, days)) for a, b, _ in spans),
        day_path=grid.day_path(),
        sun_down=grid.dark_corner(),
        levels=levels,
        tones=(_DARKEST, _NO_SUN),
        months=tuple(_months(year.year, days)),
        hours=tuple(_hours(grid.window)),
        labels=_labels(grid, levels, year.within_s, drawn),
        changes=tuple(
            Change(round(100 * at / days, 2), day, is_forward=is_forward)
            for at, day, is_forward in _changes(year, spans)
        ),
        today=_today(year, today),
        limit_key=_key(year.within_s) if has_line else "",
        no_line="" if has_line else _no_line(year),
        lines=f"Lines at {listed([seconds(level) for level in sorted(drawn)])}." if drawn else "",
    )


def _changes(year: DaylightYear, spans: Sequence[Span]) -> Iterator[tuple[int, date, bool]]:
    for before, after in pairwise(spans):
        day = date(year.year, 1, 1) + timedelta(after.begins)
        yield after.begins, day, after.offset > before.offset


def _drawn_levels(table: FloatArray, limit_s: float) -> tuple[float, ...]:
    """Which lines are drawn, ascending: full steps and the limit, as far as anybody would wait."""
    lit = table[np.isfinite(table)]
    if not lit.size:
        return ()
    low, high = float(lit.min()), float(lit.max())
    longest = max(_LONGEST_S, _LONGEST_OF_BEST * low, 2 * limit_s)
    levels = [s for s in SCALE_S if low <= s <= min(high, longest)]
    if low >= _BETWEEN_FROM_S:
        levels += [s for s in _BETWEEN_S if low <= s <= high]
    return tuple(sorted({*levels, *([limit_s] if low <= limit_s else [])}))


def _tones(count: int) -> list[int]:
    """Greys of the places within each of so many levels, the shortest first."""
    step = (_LIGHTEST - _DARKEST) / max(1, count)
    return [round(_LIGHTEST - step * n) for n in range(count)]


def _labels(
    grid: Grid, levels: Sequence[Level], limit_s: float, drawn: Sequence[float]
) -> tuple[LevelLabel, ...]:
    """Places for the figures: the limit chooses first, lines drawn only when chosen come last."""
    by_light = {-1 / level.of_s: level for level in levels}
    order = sorted(
        by_light, key=lambda x: (by_light[x].of_s != limit_s, by_light[x].tone is None, x)
    )
    placed = labels_of(grid.shown, grid.rows_high, order, [-1 / s for s in drawn])
    return tuple(LevelLabel(label, by_light[label.level]) for label in placed)


def _months(year: int, days: int) -> Iterator[tuple[float, float, str]]:
    first = date(year, 1, 1)
    for month in range(1, 13):
        begins = date(year, month, 1)
        ends = date(year + month // 12, month % 12 + 1, 1)
        at, middle = ((d - first).days for d in (begins, begins + (ends - begins) / 2))
        yield round(100 * at / days, 2), round(100 * middle / days, 2), f"{begins:%b}"


def _hours(window: tuple[int, int]) -> Iterator[tuple[float, str]]:
    low, high = window
    for hour in range(0, 25, 3):
        if low <= hour * HOUR_MIN <= high:
            at = 100 * (hour * HOUR_MIN - low) / (high - low)
            yield round(at, 2), f"{hour:02d}"


def _today(year: DaylightYear, today: date) -> float | None:
    if today.year != year.year:
        return None
    return round(100 * ((today - date(year.year, 1, 1)).days + 0.5) / len(year.seconds), 2)


def _no_line(year: DaylightYear) -> str:
    best = best_of_year(year)
    if best is None:
        return "No daylight reaches this seat."
    text = above_limit(best[0], year.within_s)
    return f"No line for {seconds(year.within_s)}: the year’s best is {text}."


def _x(day: float, days: int) -> float:
    return round(WIDTH * day / days, 2)


def _key(limit_s: float) -> str:
    """A name for a level that can stand in a drawing.

    Examples
    --------
    >>> _key(2.0), _key(1.5)
    ('2', '1-5')
    """
    return f"{limit_s:.6g}".replace(".", "-")
