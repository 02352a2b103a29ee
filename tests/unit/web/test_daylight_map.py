"""The year by the hour: the lines enclose what the figures say, whatever the place."""

from __future__ import annotations

import re
from datetime import date

import numpy as np
import pytest

from stillroom.light.daylight import sun_days
from stillroom.quantity import FloatArray
from stillroom.web.views.daylight_map import Level, YearMap, year_map
from tests.unit.daylight_cases import LIMITS_S, NORTH, POLAR, SOUTH, TROPIC, YEAR, There, year_of

TODAY = date(YEAR, 11, 14)
PLACES = {"north": NORTH, "south": SOUTH, "polar": POLAR, "tropic": TROPIC}
BRIGHT = NORTH._replace(overhead_s=0.02)
DIM = NORTH._replace(overhead_s=60.0)


def mapped(there: There, within_s: float = 2.0) -> YearMap:
    return year_map(year_of(there, within_s), LIMITS_S, TODAY)


def rings_of(level: Level, stretch: int) -> list[FloatArray]:
    """Corners of the lines of one stretch of one clock, read from what the page is sent."""
    paths = dict(level.path)
    found = []
    for part in paths.get(stretch, "").split("M")[1:]:
        numbers = [float(x) for x in re.findall(r"-?[\d.]+", part)]
        found.append(np.array(numbers).reshape(-1, 2))
    return found


def is_inside(rings: list[FloatArray], x: float, y: float) -> bool:
    crossed = 0
    for ring in rings:
        x0, y0 = ring.T
        x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
        over = (y0 > y) != (y1 > y)
        at = x0[over] + (y - y0[over]) * (x1[over] - x0[over]) / (y1[over] - y0[over])
        crossed += int((at > x).sum())
    return crossed % 2 == 1


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("limit_s", [2.0, 6.0])
def test_a_line_encloses_the_hours_that_need_no_more(name: str, limit_s: float) -> None:
    year = year_of(PLACES[name], limit_s)
    drawn = year_map(year, LIMITS_S, TODAY)
    level = next(lv for lv in drawn.levels if lv.of_s == limit_s)
    low = int(drawn.hours[0][1]) * 60
    # Two hours and their places give the scale of the drawing.
    (y0, h0), (y1, h1) = drawn.hours[0], drawn.hours[-1]
    per_min = 5 * (y1 - y0) / (60 * (int(h1) - int(h0)))
    checked = 0
    for day in range(3, len(year.seconds), 23):
        x = 1000 * (day + 0.5) / len(year.seconds)
        stretch = next(
            n for n, (left, width) in enumerate(drawn.stretches) if left <= x < left + width
        )
        rings = rings_of(level, stretch)
        for slot, needed in enumerate(year.seconds[day]):
            y = 5 * y0 + (slot * year.step_min - low) * per_min
            if not 1 < y < 499:
                continue
            # A figure within a twentieth of the limit may lie on either side of a thinned line.
            if needed is not None and abs(needed / limit_s - 1) < 0.05:
                continue
            assert is_inside(rings, x, y) == (needed is not None and needed <= limit_s)
            checked += 1
    assert checked > 300


@pytest.mark.parametrize("name", ["north", "south", "polar"])
def test_a_change_of_clocks_is_a_step_of_an_hour(name: str) -> None:
    drawn = mapped(PLACES[name])
    (y0, h0), (y1, h1) = drawn.hours[0], drawn.hours[-1]
    hour = 5 * (y1 - y0) / (int(h1) - int(h0))
    level = next(lv for lv in drawn.levels if lv.of_s == 15.0)

    def last(stretch: int, x: float) -> float:
        """Where the afternoon's line stands at an edge of a stretch."""
        found = []
        for ring in rings_of(level, stretch):
            (x0, y0), (x1, y1) = ring.T, np.roll(ring, -1, axis=0).T
            over = (x0 > x) != (x1 > x)
            found += list(
                y0[over] + (x - x0[over]) * (y1[over] - y0[over]) / (x1[over] - x0[over])
            )
        return float(max(found))

    for n, change in enumerate(drawn.changes):
        edge = drawn.stretches[n + 1][0]
        step = last(n + 1, edge + 0.01) - last(n, edge - 0.01)
        assert step == pytest.approx(hour if change.is_forward else -hour, abs=0.15 * hour)


def test_clocks_change_on_the_days_they_do() -> None:
    # Last Sundays of March and October; first Sundays of April and October (tz database).
    north = [(c.day, c.is_forward) for c in mapped(NORTH).changes]
    south = [(c.day, c.is_forward) for c in mapped(SOUTH).changes]
    assert north == [(date(2026, 3, 29), True), (date(2026, 10, 25), False)]
    assert south == [(date(2026, 4, 5), False), (date(2026, 10, 4), True)]
    assert mapped(TROPIC).changes == ()
    assert len(mapped(TROPIC).stretches) == 1


def test_only_the_chosen_limit_is_the_limit() -> None:
    drawn = mapped(NORTH, 3.0)
    assert [lv.said for lv in drawn.levels if lv.is_limit] == ["3 s"]
    assert drawn.limit_key == "3"
    assert drawn.no_line == ""
    assert drawn.lines == "Lines at 2 s, 3 s, 4 s, 6 s, 8 s, 15 s and 30 s."


def test_shorter_times_are_lighter_and_every_grey_is_neutral() -> None:
    tones = [lv.tone for lv in mapped(NORTH).levels if lv.tone is not None]
    assert tones == sorted(tones)
    assert len(set(tones)) == len(tones)
    longest, no_sun = mapped(NORTH).tones
    assert no_sun < longest < tones[0]


def test_a_limit_that_is_never_reached_has_no_line_and_says_so() -> None:
    drawn = mapped(DIM)
    assert drawn.limit_key == ""
    assert drawn.no_line == "No line for 2 s: the year’s best is 1 min 10 s."
    assert [lv.said for lv in drawn.levels] == ["8 min", "4 min", "2 min"]
    assert drawn.labels


@pytest.mark.parametrize("which", ["the limit", "the sun"])
def test_a_limit_that_the_whole_day_keeps_runs_along_sunrise_and_sunset(which: str) -> None:
    drawn = mapped(BRIGHT, 6.0)
    level = next(lv for lv in drawn.levels if lv.is_limit)
    if which == "the sun":
        level = Level(1.0, "sun", "", drawn.day_path, None, is_limit=False)
    (y0, h0), (y1, h1) = drawn.hours[0], drawn.hours[-1]
    per_min = 5 * (y1 - y0) / (60 * (int(h1) - int(h0)))
    days = sun_days(BRIGHT.place, date(YEAR, 1, 1), 365)
    for day in (10, 60, 100, 172, 250, 290, 310, 355):
        x = 1000 * (day + 0.5) / 365
        stretch = sum(x >= left for left, _ in drawn.stretches) - 1
        found = []
        for ring in rings_of(level, stretch):
            (xa, ya), (xb, yb) = ring.T, np.roll(ring, -1, axis=0).T
            over = (xa > x) != (xb > x)
            found += list(
                ya[over] + (x - xa[over]) * (yb[over] - ya[over]) / (xb[over] - xa[over])
            )
        expected = [
            5 * y0 + (at.hour * 60 + at.minute - 60 * int(h0)) * per_min
            for at in (BRIGHT.place.at(float(t[day])) for t in (days.rise_s, days.set_s))
        ]
        # Seconds are told each quarter of an hour: between them night is known to some minutes.
        assert sorted(found) == pytest.approx(expected, abs=9 * per_min)


def test_the_polar_day_is_open_above_and_below_and_the_polar_night_is_dark() -> None:
    drawn = mapped(POLAR)
    assert (drawn.hours[0][1], drawn.hours[-1][1]) == ("00", "24")
    level = Level(1.0, "sun", "", drawn.day_path, None, is_limit=False)
    june, december = 1000 * 171 / 365, 1000 * 355 / 365
    assert all(is_inside(rings_of(level, 1), june, y) for y in (1, 250, 499))
    assert not any(is_inside(rings_of(level, 2), december, y) for y in (1, 250, 499))
    assert drawn.sun_down is not None


def test_no_light_at_all_is_a_map_too() -> None:
    year = year_of(NORTH)
    dark = year.model_copy(
        update={"seconds": tuple((None,) * len(row) for row in year.seconds), "days_within": ()}
    )
    drawn = year_map(dark, LIMITS_S, TODAY)
    assert drawn.levels == ()
    assert drawn.day_path == ()
    assert drawn.no_line == "No daylight reaches this seat."
    assert drawn.labels == ()


def test_today_stands_in_its_own_year_only() -> None:
    year = year_of(NORTH)
    assert year_map(year, LIMITS_S, date(YEAR, 1, 1)).today == pytest.approx(100 / 730, abs=0.01)
    assert year_map(year, LIMITS_S, date(YEAR, 12, 31)).today == pytest.approx(99.86, abs=0.01)
    assert year_map(year, LIMITS_S, date(YEAR + 1, 1, 1)).today is None


@pytest.mark.parametrize("there", [*PLACES.values(), BRIGHT, DIM])
@pytest.mark.parametrize(("width", "height"), [(1240, 560), (300, 330)])
def test_figures_on_lines_do_not_cover_each_other(there: There, width: int, height: int) -> None:
    drawn = mapped(there)
    seen = [lb for lb in drawn.labels if lb.of.tone is not None]
    if width < 400:
        seen = [lb for lb in seen if not lb.at.is_wide]
    for n, first in enumerate(seen):
        assert 0 <= first.at.x <= 100
        assert 0 <= first.at.y <= 100
        for second in seen[n + 1 :]:
            x = abs(first.at.x - second.at.x) / 100 * width
            y = abs(first.at.y - second.at.y) / 100 * height
            assert x > 30 or y > 14


def test_the_limit_is_always_labelled_where_it_has_a_line() -> None:
    for there in (*PLACES.values(), BRIGHT):
        for limit_s in LIMITS_S:
            drawn = mapped(there, limit_s)
            labelled = [lb.of.of_s for lb in drawn.labels]
            assert (limit_s in labelled) == bool(drawn.limit_key)


def test_the_map_is_small_and_soon_there() -> None:
    size = sum(len(path) for lv in mapped(NORTH).levels for _, path in lv.path)
    assert size < 30_000
