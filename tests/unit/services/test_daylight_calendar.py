"""Usable hours as a calendar, read back by the library of its standard (RFC 5545)."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from icalendar import Calendar

from stillroom.errors import UnknownName
from stillroom.services.daylight_answers import daylight_when
from stillroom.services.daylight_calendar import calendar_of
from tests.unit.services.daylight_books import asked, with_sittings

ACROSS_THE_CHANGE = datetime(2026, 3, 27, 9, tzinfo=UTC)  # clocks go forward on the 29th
WHEN = daylight_when(with_sittings(), asked(), ACROSS_THE_CHANGE, days=5, within_s=4.0)
WRITTEN = datetime(2026, 3, 27, 9, 1, tzinfo=UTC)


@pytest.mark.parametrize("sky", ["clear", "middling"])
def test_every_stretch_is_an_event_at_the_same_instants(sky: str) -> None:
    read = _read(calendar_of(WHEN, sky, written=WRITTEN))
    stretches = [stretch for day in WHEN.days for stretch in day.by_sky[sky]]
    assert stretches
    told = [(event.start, event.end) for event in read.events]
    assert told == [(s.begins, s.ends) for s in stretches]
    begins = [begin for begin, _ in told]
    assert all(isinstance(begin, datetime) and begin.tzinfo is not None for begin in begins)
    assert [str(zone.tz_name) for zone in read.timezones] == ["Europe/London"]


def test_asked_again_the_same_hours_have_the_same_names() -> None:
    later = datetime(2026, 3, 27, 12, tzinfo=UTC)
    names = [
        [str(event.uid) for event in _read(made).events]
        for made in (
            calendar_of(WHEN, written=WRITTEN),
            calendar_of(WHEN, written=later),
            calendar_of(WHEN, "clear", written=later),
        )
    ]
    assert names[0] == names[1]
    assert len(set(names[0])) == len(names[0])
    assert set(names[0]).isdisjoint(names[2])


def test_a_sky_nobody_planned_with_is_named() -> None:
    with pytest.raises(UnknownName, match="planned sky called 'veiled'"):
        calendar_of(WHEN, "veiled", written=WRITTEN)


def _read(made: bytes) -> Calendar:
    read = Calendar.from_ical(made)
    assert isinstance(read, Calendar)
    return read
