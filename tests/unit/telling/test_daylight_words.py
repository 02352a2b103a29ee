"""Sentences about daylight."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.daylight import Stretch
from stillroom.telling.daylight_today import (
    answer,
    day_at_limit,
    holds_sentence,
    lands_sentence,
    meter_sentence,
    stale_sentence,
    stretches_within,
    today_sentence,
    way_text,
)
from stillroom.telling.daylight_words import (
    about_seconds,
    above_limit,
    at_limit,
    best_of_year,
    days_within,
    longest_within,
    range_sentence,
    runs_of,
    skies_sentence,
    stretch_text,
    year_phrase,
)
from tests.unit.daylight_cases import (
    LIMITS_S,
    NORTH,
    POLAR,
    SOUTH,
    TROPIC,
    YEAR,
    day_of,
    now_of,
    year_of,
)

LONDON = ZoneInfo("Europe/London")
NOVEMBER = date(YEAR, 11, 14)
JUNE = date(YEAR, 6, 21)


def at(hour: int, minute: int = 0, day: date = NOVEMBER) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=LONDON)


# ── The year ───────────────────────────────────────────────────────────────────────────────────


def test_days_of_any_limit_are_those_the_desk_would_name() -> None:
    year = year_of(NORTH, 2.0)
    for limit_s in LIMITS_S:
        told = year_of(NORTH, limit_s)
        assert days_within(year, limit_s) == told.days_within
        assert at_limit(year, limit_s) == told
        assert year_phrase(year, limit_s) == year_phrase(told, limit_s)


def test_one_run_of_days_in_the_north() -> None:
    year = year_of(NORTH)
    first, last = year.days_within[0], year.days_within[-1]
    assert (first.month, last.month) == (3, 9)
    assert year_phrase(year, 2.0) == f"from {first.day} March to {last.day} September"


def test_the_summer_of_the_southern_half_is_one_run_over_new_year() -> None:
    year = year_of(SOUTH)
    without = [d for d in (date(YEAR, 1, 1) + timedelta(n) for n in range(365))
               if d not in set(year.days_within)]  # fmt: skip
    begins, ends = max(without) + timedelta(1), min(without) - timedelta(1)
    assert (begins.month, ends.month) == (8, 5)
    assert year_phrase(year, 2.0) == f"from {begins.day} August to {ends.day} May"


def test_always_and_never() -> None:
    assert year_phrase(year_of(TROPIC), 2.0) == "some hour of every day"
    assert year_phrase(year_of(NORTH), 1.0) == "never"


@given(st.sets(st.integers(0, 364)))
def test_runs_hold_every_day_once(numbers: set[int]) -> None:
    first = date(YEAR, 1, 1)
    days = [first + timedelta(n) for n in sorted(numbers)]
    held = []
    for run in runs_of(days, YEAR):
        day = run.begins
        while True:
            held.append(day)
            if day == run.ends:
                break
            day = first if day == date(YEAR, 12, 31) else day + timedelta(1)
    assert sorted(held) == days


def test_more_runs_than_a_sentence_holds_are_counted() -> None:
    year = year_of(NORTH)
    days = tuple(date(YEAR, month, 10) for month in (2, 4, 6, 8))
    ragged = year.model_copy(update={"days_within": days})
    assert year_phrase(ragged, 2.0) == "on 4 days between 10 February and 10 August"
    single = year.model_copy(update={"days_within": days[:2]})
    assert year_phrase(single, 2.0) == "on 10 February and on 10 April"


def test_the_best_of_the_year_is_at_midsummer_noon() -> None:
    found = best_of_year(year_of(NORTH))
    assert found is not None
    seconds, day, clock = found
    assert abs((day - JUNE).days) <= 15  # figures of a document are rounded: many days are alike
    assert clock in ("12:45", "13:00", "13:15", "13:30")  # summer time, 1.5 degrees west
    assert seconds == min(s for row in year_of(NORTH).seconds for s in row if s is not None)


def test_the_longest_stretch_of_a_day_is_as_in_the_table_of_months() -> None:
    year = year_of(NORTH)
    for row in year.months:
        for limit_s in LIMITS_S:
            told = row.within[f"{limit_s:g}"]
            found = longest_within(year, row.date, limit_s)
            if told is None:
                assert found == "never" or _minutes(found) <= 15
            else:
                # Ours goes by quarters of an hour, the invented table by five minutes.
                by_five = (told.ends - told.begins) / timedelta(minutes=1)
                assert _minutes(found) == pytest.approx(by_five, abs=25)


def _minutes(text: str) -> float:
    h0, m0, h1, m1 = (int(n) for n in re.findall(r"\d\d", text))
    return 60 * (h1 - h0) + m1 - m0


def test_the_range_is_told_at_the_limit_itself() -> None:
    # 1.645 × 0.6 = 0.987 stop: a factor of 1.98 either way.
    assert range_sentence(year_of(NORTH), 2.0) == (
        "Every figure is a middle estimate, nine in ten within ±1 stop: "
        "what is drawn as 2 s may be 1 s or 4 s."
    )


def test_other_skies_bring_or_cost() -> None:
    year = year_of(NORTH)
    assert skies_sentence(year) == (
        "At the year’s best hour a clear sky brings ⅔ stop and a dull one costs 1 stop."
    )
    alike = year.model_copy(update={"skies_stops": {"clear": 0.1, "dull": -0.05}})
    assert skies_sentence(alike) == ""


# ── Today ──────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("there", [NORTH, SOUTH, TROPIC])
def test_hours_within_another_limit_are_those_the_desk_would_name(there: object) -> None:
    assert isinstance(there, type(NORTH))
    for day in (NOVEMBER, JUNE, date(YEAR, 3, 29)):
        for limit_s in LIMITS_S:
            told = day_of(there, day, limit_s).within
            found = stretches_within(day_of(there, day, 99.0), limit_s)
            assert len(found) == len(told)
            for one, other in zip(found, told, strict=True):
                assert abs(one.begins - other.begins) <= timedelta(minutes=5)
                assert abs(one.ends - other.ends) <= timedelta(minutes=5)
            assert day_at_limit(day_of(there, day, 99.0), limit_s).within == found


def test_not_today_names_the_best() -> None:
    day = day_of(NORTH, NOVEMBER)
    assert today_sentence(day, 2.0, at(9)) == "Not today: the best is 3.7 s, at 11:45."
    assert today_sentence(day, 2.0, at(14)) == "Not today: the best was 3.7 s, at 11:45."


def test_today_between_two_times_and_when_that_is_over() -> None:
    day = day_of(NORTH, NOVEMBER, 6.0)
    (stretch,) = day.within
    times = f"between {stretch.begins:%H:%M} and {stretch.ends:%H:%M}"
    assert today_sentence(day, 6.0, at(9)) == f"Today {times}."
    assert today_sentence(day, 6.0, at(18)) == f"Today it was {times}; that is over."


def test_two_stretches_of_a_day() -> None:
    day = day_of(NORTH, NOVEMBER)
    parts = (
        Stretch(begins=at(9), ends=at(10)),
        Stretch(begins=at(13), ends=at(14, 30)),
    )
    broken = day.model_copy(update={"within": parts})
    assert today_sentence(broken, 2.0, at(8)) == (
        "Today between 09:00 and 10:00 and between 13:00 and 14:30."
    )


def test_the_sun_that_stays_up_or_down() -> None:
    down = day_of(POLAR, date(YEAR, 12, 20))
    assert today_sentence(down, 2.0, at(12)) == "Not today: the sun does not rise."
    up = day_of(POLAR, JUNE, 4000.0)
    assert today_sentence(up, 4000.0, at(12)) == "Today all day."


def test_the_whole_answer() -> None:
    year, day = year_of(NORTH), day_of(NORTH, NOVEMBER)
    said = answer(year, day, 2.0, at(9))
    assert said == f"In 2 s: {year_phrase(year, 2.0)}. Not today: the best is 3.7 s, at 11:45."
    best = best_of_year(year)
    assert best is not None
    assert answer(year, day, 1.0, at(9)) == (
        f"In 1 s: never in 2026; the year’s best is 1.4 s, on {best[1].day} June at {best[2]}. "
        "Not today: the best is 3.7 s, at 11:45."
    )
    assert answer(year, day, 8.0, at(9)).startswith(
        "In 8 s: some hour of every day. Today between"
    )


def test_no_light_at_all() -> None:
    year = year_of(NORTH)
    dark = year.model_copy(
        update={"seconds": tuple((None,) * len(row) for row in year.seconds), "days_within": ()}
    )
    day = day_of(NORTH, NOVEMBER)
    assert answer(dark, day, 2.0, at(9)) == (
        "In 2 s: never. No daylight reaches this seat in 2026."
    )


@given(st.floats(0.2, 60), st.floats(1.0001, 1.2))
def test_what_is_too_long_never_reads_as_the_limit(limit_s: float, factor: float) -> None:
    assert above_limit(limit_s * factor, limit_s) != about_seconds(limit_s)


def test_midnight_ends_a_day() -> None:
    zone = "Europe/Oslo"
    begins = datetime(YEAR, 6, 21, 18, tzinfo=ZoneInfo(zone))
    ends = datetime(YEAR, 6, 22, tzinfo=ZoneInfo(zone))
    assert stretch_text(Stretch(begins=begins, ends=ends), zone) == "18:00 to 24:00"
    whole = Stretch(begins=begins.replace(hour=0), ends=ends)
    assert stretch_text(whole, zone) == "all day"


# ── Now ────────────────────────────────────────────────────────────────────────────────────────


def test_how_long_the_plan_is_good() -> None:
    now, day = now_of(NORTH, at(12)), day_of(NORTH, NOVEMBER)
    assert stale_sentence(now, day) == "Good until 12:40 at 4 s; from then 6 s, until 13:50."
    last = now_of(NORTH, at(15, 20), then_s=None, after=())
    assert stale_sentence(last, day) == "Good until 16:00 at 4 s; then the sun is down."


def test_clocks_are_those_of_the_place_whatever_zone_the_moment_carries() -> None:
    day = day_of(NORTH, JUNE)
    noon = datetime(YEAR, 6, 21, 11, tzinfo=UTC)
    assert stale_sentence(now_of(NORTH, noon), day).startswith("Good until 12:40")


def test_the_sun_is_down_now() -> None:
    day = day_of(NORTH, NOVEMBER)
    assert day.rises is not None
    assert day.sets is not None
    early, late = now_of(NORTH, at(5)), now_of(NORTH, at(20))
    assert stale_sentence(early, day) == f"The sun is down until {day.rises:%H:%M}."
    assert stale_sentence(late, day) == f"The sun went down at {day.sets:%H:%M}."
    polar = day_of(POLAR, date(YEAR, 12, 20))
    assert stale_sentence(now_of(POLAR, at(12, day=date(YEAR, 12, 20))), polar) == (
        "The sun does not rise today."
    )
    assert meter_sentence(late) == lands_sentence(late, "key cheek") == holds_sentence(late) == ""


def test_what_goes_with_it() -> None:
    now = now_of(NORTH, at(12))
    assert holds_sentence(now) == "O. M. can hold still for 2 s, which is shorter."
    assert holds_sentence(now_of(NORTH, at(12), holds=True)) == "O. M. can hold still for 2 s."
    assert holds_sentence(now_of(NORTH, at(12), holds=None)) == ""
    assert lands_sentence(now, "key cheek") == "At 4 s the key cheek lands 4 in 10."
    assert meter_sentence(now) == (
        "An incident meter at the face: 120 lx, nine in ten from 60 to 240 lx."
    )


def test_ways_say_what_they_bring_or_cost() -> None:
    nearer, dull = now_of(NORTH, at(12)).ways
    assert way_text(nearer) == ("The chair 0.5 m nearer the window", "1.9 s", "1 stop more")
    assert way_text(dull) == ("Under a dull sky", "8.2 s", "1 stop less")
