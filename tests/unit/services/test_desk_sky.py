"""The sky over a sitting, which seat a light is of, and the last look before the cap."""

from __future__ import annotations

import math
from typing import Any

import pytest

from stillroom.documents.book import Light, MeterReading, Settings, Sheet, Sitting
from stillroom.documents.seats import SkySeen
from stillroom.documents.shows import Shows
from stillroom.errors import BadValue, NotPossible, UnknownName
from stillroom.services import Desk

DULL, CLEAR = SkySeen(word="dull"), SkySeen(word="clear")
PLACE = {"id": "quarry", "latitude_deg": 54.3, "longitude_deg": -1.5, "zone": "Europe/London"}
PARLOUR = {
    "id": "parlour",
    "place": "quarry",
    "window": {"faces_deg": 45, "width_m": 1.2, "height_m": 1.5, "distance_m": 1.2},
}
YARD = {"id": "yard", "place": "quarry", "open_air": {"faces_deg": 0, "sun": False}}


@pytest.fixture
def seated(desk: Desk) -> Desk:
    """The small book; the light of its room is that of a window seat."""
    desk.add_thing("places", PLACE)
    desk.add_thing("seats", PARLOUR)
    desk.add_thing("seats", YARD)
    desk.take_seat("OM", "room", "parlour")
    return desk


def sitting(desk: Desk) -> Sitting:
    return desk.book().sittings[0]


def light(desk: Desk, role: str) -> Light:
    return next(one for one in sitting(desk).lights if one.role == role)


def sheet(desk: Desk, number: int) -> Sheet:
    return next(one for one in sitting(desk).sheets if one.number == number)


def alone(desk: Desk) -> str:
    """A sitting by the light of the window alone, on the day of the clock."""
    om = sitting(desk)
    data: dict[str, Any] = {
        "id": "KS",
        "when": "2026-11-14T12:00:00+00:00",
        "paper": om.paper,
        "camera": om.camera,
        "lens": om.lens,
        "sitters": om.sitters,
        "framing": {"magnification": 0.3},
        "lights": [{"role": "key", "kind": "window", "kit_id": "parlour"}],
        "aims": {"key": {"placement_stops": 0.0}},
        "stands": {"f_number": 5.6, "open_s": 4},
        "planned_for": "2026-11-14T12:00:00+00:00",
        "finished": True,
    }
    return desk.add_sitting(data)


# ── Which seat ──────────────────────────────────────────────────────────────────────────────────


def test_a_light_takes_the_kind_of_its_seat(seated: Desk) -> None:
    taken = light(seated, "room")
    assert (taken.kind, taken.kit_id, taken.metered_lx) == ("window", "parlour", None)
    seated.take_seat("OM", "room", "yard")
    assert light(seated, "room").kind == "daylight"
    assert len(sitting(seated).sheets) == 2


def test_a_light_goes_back_to_what_a_meter_showed(seated: Desk) -> None:
    seated.take_level("OM", "room", 90)
    back = light(seated, "room")
    assert (back.kind, back.kit_id, back.metered_lx) == ("window", None, 90)


def test_only_daylight_takes_a_seat(seated: Desk) -> None:
    with pytest.raises(NotPossible, match="The light key is no daylight"):
        seated.take_seat("OM", "key", "parlour")
    with pytest.raises(UnknownName, match="no seat called 'attic'; known here: parlour, yard"):
        seated.take_seat("OM", "room", "attic")
    with pytest.raises(UnknownName, match="no light called 'fill'"):
        seated.take_seat("OM", "fill", "parlour")
    with pytest.raises(BadValue, match=r"the level of room, in lx, is 0\.0: give a number"):
        seated.take_level("OM", "room", 0.0)
    assert light(seated, "room").kit_id == "parlour"


# ── The sky ─────────────────────────────────────────────────────────────────────────────────────


def test_a_sheet_keeps_the_sky_it_was_made_under(seated: Desk) -> None:
    unseen = seated.shoot("OM", Settings(f_number=5.6))
    seated.set_sky("OM", DULL)
    dull = seated.shoot("OM", Settings(f_number=5.6))
    seated.set_sky("OM", CLEAR)
    assert sheet(seated, dull).sky == DULL
    assert sheet(seated, unseen).sky == SkySeen(word="middling")  # what nobody looked at
    assert sitting(seated).sky == CLEAR


def test_what_had_no_sky_of_its_own_keeps_the_one_before(seated: Desk) -> None:
    assert [one.sky for one in sitting(seated).sheets] == [None, None]
    readings = len(sitting(seated).meter_readings)
    assert readings
    seated.set_sky("OM", DULL)
    seated.set_sky("OM", CLEAR)
    assert {one.sky for one in sitting(seated).sheets} == {SkySeen(word="middling")}
    assert {one.sky for one in sitting(seated).meter_readings} == {SkySeen(word="middling")}
    assert len(sitting(seated).meter_readings) == readings


def test_a_meter_reading_keeps_the_sky_it_was_taken_under(seated: Desk) -> None:
    seated.set_sky("OM", DULL)
    shows = Shows(f_number=8, iso=100)
    seated.meter("OM", MeterReading(region="key", lights_on=("room",), shows=shows))
    seated.set_sky("OM", CLEAR)
    assert sitting(seated).meter_readings[-1].sky == DULL


def test_a_sky_sent_twice_is_said_once(seated: Desk) -> None:
    assert seated.set_sky("OM", DULL, "once").sky == DULL
    seated.set_sky("OM", CLEAR)
    assert seated.set_sky("OM", DULL, "once").sky == CLEAR


def test_without_a_seat_nothing_is_said_of_the_sky(desk: Desk) -> None:
    number = desk.shoot("OM", Settings(f_number=5.6))
    assert sheet(desk, number).sky is None
    with pytest.raises(NotPossible, match="No light of this sitting comes from sun and sky"):
        desk.set_sky("OM", DULL)
    with pytest.raises(NotPossible, match="No light of this sitting comes from sun and sky"):
        desk.last_look("OM", DULL)


def test_the_sky_of_one_sheet_is_put_right_alone(seated: Desk) -> None:
    number = seated.shoot("OM", Settings(f_number=5.6))
    seated.correct_sky("OM", number, DULL)
    assert sheet(seated, number).sky == DULL
    assert sitting(seated).sky is None
    assert sheet(seated, 1).sky is None


# ── The last look ───────────────────────────────────────────────────────────────────────────────


def test_a_word_for_the_sky_moves_the_seconds(seated: Desk) -> None:
    who = alone(seated)
    before = seated.look(who)
    clear = seated.last_look(who, CLEAR)
    dull = seated.last_look(who, DULL)
    assert before.now.seconds
    assert clear.now.seconds
    assert dull.now.seconds
    # before a window that no sun reaches, a closed cover is darker than both
    assert dull.now.seconds.q50 > 1.2 * before.now.seconds.q50
    assert dull.now.seconds.q50 > 1.2 * clear.now.seconds.q50
    assert next(s for s in seated.book().sittings if s.id == who).sky == DULL


def test_it_is_told_for_the_stop_that_is_set(seated: Desk) -> None:
    who = alone(seated)
    wide, small = (seated.look(who, Settings(f_number=n)).now.seconds for n in (5.6, 8))
    assert wide
    assert small
    # marked 5.6 is really 5.4 on this lens; 2 log2(8/5.4) stops, and reciprocity above 1 s
    assert math.log2(small.q50 / wide.q50) == pytest.approx(2 * math.log2(8 / 5.4), abs=0.25)


def test_the_meter_is_believed_and_written_down_as_it_stood(seated: Desk) -> None:
    who = alone(seated)
    before = seated.look(who)
    assert before.meter
    assert before.now.seconds
    # a stop more light than expected: E = N^2 C / (S t), C = 250 for a flat disc (ISO 2720)
    lux = 2 * before.meter.q50
    f_number = math.sqrt(lux * 1.0 * 25 / 250)
    plan = Settings(f_number=5.6, open_s=4)
    after = seated.last_look(
        who, Shows(f_number=f_number, iso=25, seconds=1), "once", settings=plan
    )
    assert after.now.seconds
    moved = math.log2(before.now.seconds.q50 / after.now.seconds.q50)
    assert 0.7 < moved < 1.15  # nearly all of it: the meter is surer than tape and compass
    taken = next(s for s in seated.book().sittings if s.id == who).meter_readings
    assert len(taken) == 1
    assert (taken[0].region, taken[0].lights_on, taken[0].settings) == ("key", ("key",), plan)
    assert taken[0].sky == SkySeen(word="middling")


def test_a_form_sent_twice_is_one_reading(seated: Desk) -> None:
    who = alone(seated)
    for _ in range(2):
        seated.last_look(who, Shows(f_number=8, iso=25, seconds=1), "once")
    assert len(next(s for s in seated.book().sittings if s.id == who).meter_readings) == 1


def test_a_spot_meter_is_not_taken_for_one_held_at_the_cheek(seated: Desk) -> None:
    for meter in seated.book().kit.meters:
        seated.retire_thing("meters", meter.id)
    seated.add_thing("meters", {"id": "spot", "kind": "spot"})
    seated.add_thing("meters", {"id": "dome", "kind": "incident_dome"})
    who = alone(seated)
    seated.last_look(who, Shows(f_number=8, iso=25, seconds=1))
    taken = next(s for s in seated.book().sittings if s.id == who).meter_readings[0]
    assert taken.meter == "dome"
