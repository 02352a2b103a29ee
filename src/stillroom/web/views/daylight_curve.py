"""The curve of one day: seconds against the clock, with what nine in ten lie between."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.documents.daylight import DaylightDay, Moment, SecondsRange
from stillroom.telling.daylight_words import SCALE_S, about_seconds, clock_there, zone_called
from stillroom.telling.words import seconds

_HOUR = timedelta(hours=1)
_ABOVE_BEST_STOPS = 3.0
_ABOVE_LIMIT_STOPS = 1.0
_OFF_PAGE = 400.0
_MOST_TICKS = 9
_MOST_HOURS = 13


@dataclass(frozen=True, slots=True)
class HourLine:
    """One line of the table that says the same."""

    at: str
    seconds: str
    range: str


@dataclass(frozen=True, slots=True)
class DayCurve:
    """The curve in percent of its drawing: across the clock, up more seconds."""

    lines: tuple[str, ...]
    """The middle estimate, a line for each time the sun is up."""
    bands: tuple[str, ...]
    """Nine in ten."""
    times: tuple[tuple[float, str], ...]
    ticks: tuple[tuple[float, str], ...]
    limit: float | None
    """Where the limit runs; none where it is off the drawing."""
    limit_said: str
    now: float | None
    """Where now stands; none with another day or hour."""
    hours: tuple[HourLine, ...]
    described: str


def day_curve(day: DaylightDay, at: datetime) -> DayCurve | None:
    """Lay the curve out; None on a day without light.

    Parameters
    ----------
    day : DaylightDay
        The day.
    at : datetime
        The moment now, with its zone.
    """
    runs = tuple(_lit_runs(day.moments))
    if not runs or day.best is None or day.best.seconds is None:
        return None
    zone = zone_called(day.about.zone)
    first, last = runs[0][0].moment.when, runs[-1][-1].moment.when
    begins = first.astimezone(zone).replace(minute=0, second=0, microsecond=0)
    ends = begins + max(1, math.ceil((last - begins) / _HOUR)) * _HOUR
    span_s = (ends - begins).total_seconds()
    low = math.log2(min(day.best.seconds.q05, day.within_s)) - 0.15
    high = max(
        math.log2(day.best.seconds.q50) + _ABOVE_BEST_STOPS,
        math.log2(day.within_s) + _ABOVE_LIMIT_STOPS,
    )

    def x(moment: datetime) -> float:
        return round(100 * (moment - begins).total_seconds() / span_s, 2)

    def y(value_s: float) -> float:
        share = 1 - (math.log2(value_s) - low) / (high - low)
        return round(max(-_OFF_PAGE, min(_OFF_PAGE, 100 * share)), 2)

    def path(points: Sequence[tuple[Moment, float]]) -> str:
        return " ".join(f"{x(moment.when)} {y(value_s)}" for moment, value_s in points)

    limit = y(day.within_s)
    return DayCurve(
        lines=tuple(f"M{path([(p.moment, p.seconds.q50) for p in run])}" for run in runs),
        bands=tuple(
            f"M{path([(p.moment, p.seconds.q95) for p in run])} "
            f"L{path([(p.moment, p.seconds.q05) for p in reversed(run)])}Z"
            for run in runs
        ),
        times=tuple((x(hour), f"{hour.astimezone(zone):%H}") for hour in _hours(begins, ends)),
        ticks=tuple(
            (y(s), seconds(s))
            for s in _thinned([s for s in SCALE_S if low <= math.log2(s) <= high])
        ),
        limit=limit if 0 <= limit <= 100 else None,
        limit_said=seconds(day.within_s),
        now=x(at) if begins <= at <= ends else None,
        hours=tuple(_hour_lines(runs, day.about.zone)),
        described=(
            f"Seconds needed today by the clock: shortest {about_seconds(day.best.seconds.q50)} "
            f"at {clock_there(day.best.when, day.about.zone)}, nine in ten from "
            f"{about_seconds(day.best.seconds.q05)} to {about_seconds(day.best.seconds.q95)}. "
            "The table below has every hour."
        ),
    )


@dataclass(frozen=True, slots=True)
class _Lit:
    moment: Moment
    seconds: SecondsRange


def _lit_runs(moments: Sequence[Moment]) -> Iterator[list[_Lit]]:
    run: list[_Lit] = []
    for moment in moments:
        if moment.seconds is not None:
            run.append(_Lit(moment, moment.seconds))
        elif run:
            yield run
            run = []
    if run:
        yield run


def _hours(begins: datetime, ends: datetime) -> Iterator[datetime]:
    count = round((ends - begins) / _HOUR)
    every = max(1, math.ceil(count / _MOST_HOURS))
    for n in range(0, count + 1, every):
        yield begins + n * _HOUR


def _thinned(values: Sequence[float]) -> Sequence[float]:
    return values[:: max(1, math.ceil(len(values) / _MOST_TICKS))]


def _hour_lines(runs: Sequence[Sequence[_Lit]], zone: str) -> Iterator[HourLine]:
    for run in runs:
        for lit in run:
            if lit.moment.when.astimezone(zone_called(zone)).minute == 0:
                low, high = about_seconds(lit.seconds.q05), about_seconds(lit.seconds.q95)
                yield HourLine(
                    at=clock_there(lit.moment.when, zone),
                    seconds=about_seconds(lit.seconds.q50),
                    range=f"{low} to {high}",
                )
