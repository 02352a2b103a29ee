"""Places, clocks and what they mean on the days they change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.light.daylight import Place, posix_seconds, slots, year_slots

LONDON = Place(52, 0, "Europe/London")
ZONES = (
    *("Europe/London", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu"),
    *("Africa/Cairo", "Pacific/Kiritimati", "America/St_Johns", "UTC"),
)


@pytest.mark.parametrize("zone", ["", "Europe", "Europe/Nowhere", "../etc/passwd", "GMT+1x"])
def test_a_clock_nobody_keeps_is_refused(zone: str) -> None:
    with pytest.raises(BadValue, match="give one such as Europe/London, or UTC"):
        Place(52, 0, zone)


@pytest.mark.parametrize(("latitude", "longitude"), [(90.1, 0), (-91, 0), (0, 180.5), (0, -181)])
def test_what_is_off_the_earth_is_refused(latitude: float, longitude: float) -> None:
    with pytest.raises(OutOfRange, match="itude is "):
        Place(latitude, longitude, "UTC")


def test_a_longitude_with_the_wrong_sign_is_told() -> None:
    (caution,) = Place(40.7, 74, "America/New_York").cautions
    assert "check the sign (east is positive)" in caution


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (39.5, 76.0, "Asia/Shanghai"),  # Kashgar, noon at three by the clock
        (1.9, -157.4, "Pacific/Kiritimati"),  # beyond the date line
        (-13.8, -171.8, "Pacific/Apia"),
        (43.4, -8.4, "Europe/Madrid"),
        (64.1, -21.9, "Atlantic/Reykjavik"),
        (10.0, 100.0, "UTC"),  # on purpose
    ],
)
def test_clocks_that_are_kept_raise_no_caution(
    latitude: float, longitude: float, zone: str
) -> None:
    assert Place(latitude, longitude, zone).cautions == ()


def test_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(BadValue, match="in which time zone the clock shows it"):
        posix_seconds(datetime(2026, 6, 21, 12))  # noqa: DTZ001 - that is what is refused


@pytest.mark.parametrize(
    "times",
    [
        np.array([np.nan]),
        np.array([9e9]),
        np.array(["2300-01-01"], dtype="M8[s]"),
        np.array(["NaT"], dtype="M8[s]"),
        datetime(1850, 1, 1, tzinfo=UTC),
    ],
)
def test_instants_out_of_reach_are_refused(times: object) -> None:
    with pytest.raises(OutOfRange, match="instant is"):
        posix_seconds(times)  # type: ignore[arg-type]


def test_every_way_to_give_an_instant_means_the_same() -> None:
    summer = datetime(2026, 6, 21, 13, tzinfo=ZoneInfo("Europe/London"))
    east = datetime(2026, 6, 21, 17, 45, tzinfo=timezone(timedelta(hours=5, minutes=45)))
    stamp = np.array(["2026-06-21T12:00"], dtype="M8[m]")
    seconds = np.array([1_782_043_200.0])
    found = {float(posix_seconds(one)[0]) for one in (summer, east, stamp, seconds)}
    assert found == {1_782_043_200.0}
    assert posix_seconds([summer, east]).tolist() == [1_782_043_200.0] * 2


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("Europe/London", date(2026, 3, 29), 23),
        ("Europe/London", date(2026, 10, 25), 25),
        ("Europe/London", date(2026, 6, 21), 24),
        ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
        ("Australia/Lord_Howe", date(2026, 10, 4), 23.5),
        ("Africa/Cairo", date(2024, 4, 26), 23),  # from midnight to one
        ("Pacific/Apia", date(2011, 12, 30), 0),  # a day that was not kept at all
        ("UTC", date(2026, 3, 29), 24),
    ],
)
def test_days_on_which_clocks_change(zone: str, day: date, hours: float) -> None:
    quarters = slots(Place(0, 0, zone), day, 1)
    assert len(quarters.posix_s) == 4 * hours
    assert len(np.unique(quarters.posix_s)) == len(quarters.posix_s)


def test_spring_has_a_gap_on_the_clock_and_autumn_shows_its_hour_once() -> None:
    spring = slots(LONDON, date(2026, 3, 29), 1)
    table = spring.on_clock(np.arange(92.0))
    assert np.flatnonzero(np.isnan(table[0])).tolist() == [4, 5, 6, 7]
    assert table[0, 8] == 4
    autumn = slots(LONDON, date(2026, 10, 25), 1)
    table = autumn.on_clock(np.arange(100.0))
    assert not np.isnan(table).any()
    assert table[0, 3:10].tolist() == [3, 4, 5, 6, 7, 12, 13]


@pytest.mark.parametrize(("year", "days"), [(2026, 365), (2028, 366), (2100, 365)])
def test_a_year_has_all_its_quarter_hours(year: int, days: int) -> None:
    quarters = year_slots(LONDON, year)
    assert len(quarters.posix_s) == 96 * days
    assert np.unique(np.diff(quarters.posix_s)).tolist() == [900.0]
    assert quarters.day[[0, -1]].tolist() == [0, days - 1]


@settings(max_examples=25, deadline=None)
@given(
    zone=st.sampled_from(ZONES),
    day=st.dates(date(1971, 1, 1), date(2099, 12, 1)),
    step=st.sampled_from([5, 15, 30, 60]),
    days=st.integers(1, 5),
)
def test_slots_are_what_the_clock_shows(zone: str, day: date, step: int, days: int) -> None:
    place = Place(0, 0, zone)
    made = slots(place, day, days, step)
    assert np.all(np.diff(made.posix_s) > 0)
    for instant, n, clock in zip(made.posix_s, made.day, made.clock_min, strict=True):
        shown = place.at(float(instant))
        assert shown.date() == day + timedelta(int(n))
        assert 60 * shown.hour + shown.minute == clock


@pytest.mark.parametrize(("days", "step"), [(0, 15), (4000, 15)])
def test_too_few_or_many_days_are_refused(days: int, step: int) -> None:
    with pytest.raises(OutOfRange, match="number of days"):
        slots(LONDON, date(2026, 1, 1), days, step)


def test_a_step_that_does_not_divide_the_hour_is_refused() -> None:
    with pytest.raises(BadValue, match="step is 7: give 5, 10, 15"):
        slots(LONDON, date(2026, 1, 1), 1, 7)


def test_years_out_of_reach_are_refused() -> None:
    with pytest.raises(OutOfRange, match="year is 1899"):
        year_slots(LONDON, 1899)
    with pytest.raises(OutOfRange, match="year is 2200"):
        year_slots(LONDON, 2200)
