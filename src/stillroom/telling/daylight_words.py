"""What is said of daylight over a year: when a limit can be kept, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import groupby
from zoneinfo import ZoneInfo

import numpy as np

from stillroom.documents.daylight import DaylightYear, Stretch
from stillroom.quantity import NINE_IN_TEN, FloatArray, range_text, stops_text
from stillroom.telling.figures import listed
from stillroom.telling.words import clock, figure, range_of_sd, seconds

MOST_RUNS = 3
"""How many stretches a sentence names."""
SCALE_S = (
    1 / 500, 1 / 250, 1 / 125, 1 / 60, 1 / 30, 1 / 15, 1 / 8, 1 / 4, 1 / 2,
    1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0,
)  # fmt: skip
"""Full steps of open time, as scales and lines are marked with [s]."""
_DAY = timedelta(days=1)
_PLURAL_FROM_STOPS = 7 / 6  # what is rounded to more than one
_LEAST_S = 0.001  # what is rounded to nothing in a document is still a time


@dataclass(frozen=True, slots=True)
class DayRun:
    """Days on end, both ends included; over new year the end lies before the beginning."""

    begins: date
    ends: date


# ── Figures ────────────────────────────────────────────────────────────────────────────────────


def about_seconds(value_s: float) -> str:
    """A reckoned open time, no finer than such a figure is.

    Examples
    --------
    >>> about_seconds(2.04), about_seconds(13.2), about_seconds(97), about_seconds(0.061)
    ('2 s', '13 s', '1 min 40 s', '1⁄16 s')
    """
    if value_s >= 60:
        return seconds(round(value_s, -1))
    if value_s < 0.3:
        return seconds(max(value_s, _LEAST_S))
    return f"{figure(value_s, 2)} s"


def above_limit(value_s: float, limit_s: float) -> str:
    """A reckoned open time that is too long, told so that it never reads as the limit itself.

    Examples
    --------
    >>> above_limit(2.04, 2), above_limit(2.001, 2), above_limit(5.1, 2)
    ('2.04 s', 'just above 2 s', '5.1 s')
    """
    if about_seconds(value_s) != about_seconds(limit_s):
        return about_seconds(value_s)
    finer = f"{figure(value_s, 3)} s"
    return f"just above {seconds(limit_s)}" if finer == about_seconds(limit_s) else finer


def stops_size(stops: float) -> str:
    """How much light, without its sign.

    Examples
    --------
    >>> stops_size(-0.68), stops_size(1.02), stops_size(2.7), stops_size(0.2)
    ('⅔ stop', '1 stop', '2⅔ stops', '0.2 stop')
    """
    size = range_text(stops).removeprefix("±")
    return f"{size} stop" if abs(stops) < _PLURAL_FROM_STOPS else f"{size} stops"


def day_text(day: date) -> str:
    """A day of the year.

    Examples
    --------
    >>> day_text(date(2026, 4, 13))
    '13 April'
    """
    return f"{day.day} {day:%B}"


@lru_cache(maxsize=32)
def zone_called(name: str) -> ZoneInfo:
    """The zone whose clock is meant."""
    return ZoneInfo(name)


def clock_there(moment: datetime, zone: str) -> str:
    """What the clock of a place shows.

    Examples
    --------
    >>> from datetime import UTC
    >>> clock_there(datetime(2026, 6, 21, 11, 5, tzinfo=UTC), "Europe/London")
    '12:05'
    """
    return clock(moment.astimezone(zone_called(zone)))


def ends_text(stretch: Stretch, zone: str) -> str:
    """When a stretch ends; midnight is the end of its day, not the beginning of the next."""
    begins, ends = (m.astimezone(zone_called(zone)) for m in (stretch.begins, stretch.ends))
    is_midnight = ends.time() == time() and ends.date() > begins.date()
    return "24:00" if is_midnight else clock(ends)


def stretch_text(stretch: Stretch, zone: str) -> str:
    """A stretch in a table.

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 6, 21, 11, tzinfo=UTC)
    >>> stretch_text(Stretch(begins=noon, ends=noon + timedelta(hours=2)), "Europe/London")
    '12:00 to 14:00'
    """
    begins, ends = clock_there(stretch.begins, zone), ends_text(stretch, zone)
    return "all day" if (begins, ends) == ("00:00", "24:00") else f"{begins} to {ends}"


def stretches_text(stretches: Sequence[Stretch], zone: str) -> str:
    """Stretches of one day in a table; *never* where there is none."""
    return ", ".join(stretch_text(one, zone) for one in stretches) or "never"


# ── The year ───────────────────────────────────────────────────────────────────────────────────


def seconds_table(year: DaylightYear) -> FloatArray:
    """Seconds needed, days by times on the clock; not a number in the dark [s]."""
    table = np.array(
        [[math.nan if s is None else s for s in row] for row in year.seconds], dtype=np.float64
    )
    return np.maximum(table, _LEAST_S)


def days_within(year: DaylightYear, limit_s: float) -> tuple[date, ...]:
    """Days on which some moment is within a limit, which need not be the one that was asked."""
    if limit_s == year.within_s:
        return year.days_within
    first = date(year.year, 1, 1)
    return tuple(
        first + timedelta(n)
        for n, row in enumerate(year.seconds)
        if any(s is not None and s <= limit_s for s in row)
    )


def at_limit(year: DaylightYear, limit_s: float) -> DaylightYear:
    """The same year with another limit; its map need not be worked out again."""
    if limit_s == year.within_s:
        return year
    changes = {"within_s": limit_s, "days_within": days_within(year, limit_s)}
    return year.model_copy(update=changes)


def runs_of(days: Sequence[date], year: int) -> tuple[DayRun, ...]:
    """Days on end; one over new year is one run, as in the summer of the southern half.

    Examples
    --------
    >>> runs_of([date(2026, 1, 1), date(2026, 12, 30), date(2026, 12, 31)], 2026)
    (DayRun(begins=datetime.date(2026, 12, 30), ends=datetime.date(2026, 1, 1)),)
    """
    runs: list[DayRun] = []
    for _, group in groupby(enumerate(days), key=lambda pair: pair[1] - pair[0] * _DAY):
        members = [day for _, day in group]
        runs.append(DayRun(members[0], members[-1]))
    whole = (date(year, 1, 1), date(year, 12, 31))
    if len(runs) > 1 and (runs[0].begins, runs[-1].ends) == whole:
        runs = [*runs[1:-1], DayRun(runs[-1].begins, runs[0].ends)]
    return tuple(runs)


def best_of_year(year: DaylightYear) -> tuple[float, date, str] | None:
    """The shortest time of the year, its day and what the clock shows; None without any light."""
    table = seconds_table(year)
    if not np.isfinite(table).any():
        return None
    shortest = float(np.nanmin(table))
    alike = np.argwhere(table == shortest)  # by day: figures in a document are rounded
    day, slot = (int(n) for n in alike[len(alike) // 2])
    return shortest, _day_of(year, day), _on_clock(slot * year.step_min)


def longest_within(year: DaylightYear, day: date, limit_s: float) -> str:
    """The longest stretch of one day that keeps a limit, as a table has it; *never* without."""
    row = year.seconds[(day - date(year.year, 1, 1)).days]
    kept = [n for n, s in enumerate(row) if s is not None and s <= limit_s]
    runs = [[n for _, n in g] for _, g in groupby(enumerate(kept), key=lambda p: p[1] - p[0])]
    if not runs:
        return "never"
    longest = max(runs, key=len)
    begins, ends = (_on_clock(n * year.step_min) for n in (longest[0], longest[-1] + 1))
    return "all day" if (begins, ends) == ("00:00", "24:00") else f"{begins} to {ends}"


def year_phrase(year: DaylightYear, limit_s: float) -> str:
    """On which days of the year a limit can be kept.

    Returns
    -------
    str
        Such as ``from 13 April to 29 August``, ``some hour of every day``, ``never``.
    """
    days = days_within(year, limit_s)
    if not days:
        return "never"
    if len(days) == len(year.seconds):
        return "some hour of every day"
    runs = runs_of(days, year.year)
    if len(runs) > MOST_RUNS:
        first, last = runs[0].begins, runs[-1].ends
        return f"on {len(days)} days between {day_text(first)} and {day_text(last)}"
    return listed([_run_text(run) for run in runs])


def _run_text(run: DayRun) -> str:
    if run.begins == run.ends:
        return f"on {day_text(run.begins)}"
    return f"from {day_text(run.begins)} to {day_text(run.ends)}"


def _on_clock(minutes: int) -> str:
    hour, minute = divmod(minutes, 60)
    return f"{hour:02d}:{minute:02d}"


def _day_of(year: DaylightYear, index: int) -> date:
    return date(year.year, 1, 1) + timedelta(index)


def range_sentence(year: DaylightYear, limit_s: float) -> str:
    """How far the figures of a year may be off, at the limit itself."""
    factor = 2.0 ** (NINE_IN_TEN * year.sd_stops)
    low, high = about_seconds(limit_s / factor), about_seconds(limit_s * factor)
    return (
        f"Every figure is a middle estimate, nine in ten within {range_of_sd(year.sd_stops)} "
        f"stop: what is drawn as {seconds(limit_s)} may be {low} or {high}."
    )


def skies_sentence(year: DaylightYear) -> str:
    """What other skies would bring or cost."""
    parts: list[str] = []
    for word, stops in year.skies_stops.items():
        if word == year.about.sky or stops_text(stops) == "0":
            continue
        sky = f"a {word} sky" if not parts else f"a {word} one"
        parts.append(f"{sky} {'brings' if stops > 0 else 'costs'} {stops_size(stops)}")
    if not parts:
        return ""
    return f"At the year’s best hour {listed(parts)}."
