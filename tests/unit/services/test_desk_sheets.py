"""Shoot, put right, read, meter: once a form, with the moment it was done."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from stillroom.documents.book import Expected, Made, MeterReading, Reading, Settings
from stillroom.errors import BadValue, NotPossible, StillroomError, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile

AFTERNOON = datetime(2026, 11, 14, 16, 0, tzinfo=UTC)  # when the desk's clock starts
EIGHT = Settings.model_validate({"f_number": 8, "lights": {"key": {"dial": -1.0}}})


def words(**verdicts: str) -> Reading:
    return Reading.model_validate({"regions": {r: {"verdict": v} for r, v in verdicts.items()}})


def sheets(desk: Desk) -> list[object]:
    return list(desk.book().sittings[0].sheets)


def test_a_sheet_gets_number_mark_clip_moment_and_what_was_said(desk: Desk) -> None:
    expected = {"key": Expected(mean_stops=0.6, sd_stops=0.3, q05=0.1, q50=0.6, q95=1.1)}
    made = Made(f_number=11)
    assert desk.shoot("OM", EIGHT, "f-1", expected=expected, p_tones_land=0.7, made=made) == 3
    sheet = desk.book().sittings[0].sheets[2]
    assert (sheet.mark, sheet.clip, sheet.p_tones_land) == ("OM 3", 3, 0.7)
    assert (sheet.settings, sheet.made, sheet.expected) == (EIGHT, made, expected)
    assert sheet.when is not None
    assert timedelta(0) < sheet.when - AFTERNOON < timedelta(minutes=1)


def test_what_was_not_said_is_asked_of_the_engine(desk: Desk) -> None:
    desk.shoot("OM", EIGHT, "f-1")
    sheet = desk.book().sittings[0].sheets[2]
    assert sheet.p_tones_land == 0.6
    assert sheet.expected["key"] == Expected(
        mean_stops=0.1, sd_stops=0.5, q05=-0.7, q50=0.1, q95=0.9
    )


def test_a_double_tap_is_one_sheet(desk: Desk) -> None:
    assert [desk.shoot("OM", EIGHT, form_id, expected={}) for form_id in ("a", "a", "b")] == [
        3,
        3,
        4,
    ]
    assert len(sheets(desk)) == 4


def test_the_ninth_sheet_takes_the_first_clip_again(desk: Desk) -> None:
    for _ in range(7):
        desk.shoot("OM", EIGHT, expected={})
    assert [s.clip for s in desk.book().sittings[0].sheets[2:]] == [3, 4, 5, 6, 7, 8, 1]


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        ({"f_number": 6.3}, "f_number of settings of sheet 3 of sitting 'OM' is 6.3: lens"),
        ({"f_number": 8, "lights": {"key": {"dial": 1}}}, "from -7 to 0 stops"),
        ({"f_number": 8, "lights": {"hair": {"dial": 0}}}, "no light .* called 'hair'"),
    ],
)
def test_what_no_hand_can_set_is_refused(
    desk: Desk, settings: dict[str, object], sentence: str
) -> None:
    with pytest.raises(StillroomError, match=sentence):
        desk.shoot("OM", Settings.model_validate(settings), "f-1", expected={})
    assert len(sheets(desk)) == 2
    assert desk.shoot("OM", EIGHT, "f-1", expected={}) == 3  # the form may come again


def test_what_was_really_set_is_put_right(desk: Desk, store: BookFile) -> None:
    desk.correct_made("OM", 2, Made(pops=2), "f-1")
    assert desk.book().sittings[0].sheets[1].made == Made(pops=2)
    desk.correct_made("OM", 2, None, "f-2")
    assert desk.book().sittings[0].sheets[1].made is None
    assert len(store.sheet_history("OM", 2)) == 3
    with pytest.raises(BadValue, match="f_number of made of sheet 2"):
        desk.correct_made("OM", 2, Made(f_number=7))
    with pytest.raises(UnknownName, match="no sheet of sitting 'OM' called '9'; known here: 1, 2"):
        desk.correct_made("OM", 9, None)


def test_reading_a_sheet(desk: Desk) -> None:
    for _ in range(2):  # a double tap
        desk.read_sheet(
            "OM",
            2,
            words(key="too_light", shadow="black"),
            kept=False,
            because=("tones", "face"),
            what_else_moved=("curtain",),
            note="a draught",
            form_id="f-1",
        )
    sheet = desk.book().sittings[0].sheets[1]
    assert len(sheet.readings) == 3
    assert sheet.readings[2].when is not None
    assert timedelta(0) < sheet.readings[2].when - AFTERNOON < timedelta(minutes=1)
    assert sheet.readings[2].regions == words(key="too_light", shadow="black").regions
    assert (sheet.kept, sheet.not_kept_because) == (False, ("tones", "face"))
    assert (sheet.what_else_moved, sheet.note) == (("curtain",), "a draught")


def test_box_or_bin_alone_adds_no_reading(desk: Desk) -> None:
    desk.read_sheet("OM", 2, Reading(), kept=True)
    sheet = desk.book().sittings[0].sheets[1]
    assert (len(sheet.readings), sheet.kept) == (2, True)


@pytest.mark.parametrize(
    ("reading", "said", "sentence"),
    [
        ({"regions": {"elbow": {"verdict": "black"}}}, {}, r"no region .* called 'elbow'"),
        ({"regions": {"key": {"density": 2.5}}}, {}, r"read from -0\.07 to 2\.05"),
        ({"strips": [{"step": 2, "regions": {}}]}, {}, "it is not a stepped sheet"),
        ({}, {"kept": True, "because": ("face",)}, "because is 'face': a reason goes with a"),
        ({}, {"because": ("face",)}, "a reason goes with a sheet that is not kept"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_whole(
    desk: Desk, reading: dict[str, object], said: dict[str, Any], sentence: str
) -> None:
    before = desk.book()
    with pytest.raises(StillroomError, match=sentence):
        desk.read_sheet("OM", 2, Reading.model_validate(reading), **said)
    assert desk.book() == before


def test_undoing_the_last_reading(desk: Desk) -> None:
    desk.shoot("OM", EIGHT, expected={})
    desk.read_sheet("OM", 3, words(key="too_dark"), kept=False, because=("tones",))
    assert desk.undo_last("OM") == 3
    sheet = desk.book().sittings[0].sheets[2]
    assert (sheet.readings, sheet.kept, sheet.not_kept_because) == ((), None, ())
    assert [desk.undo_last("OM") for _ in range(3)] == [2, 2, 1]
    with pytest.raises(NotPossible, match="has no reading to take back"):
        desk.undo_last("OM")


def test_a_meter_reading_keeps_how_the_set_stood(desk: Desk) -> None:
    said = {"region": "key", "lights_on": ["key"], "shows": {"f_number": 11, "iso": 100}}
    for _ in range(2):  # a double tap
        desk.meter("OM", MeterReading.model_validate(said), "m-1")
    readings = desk.book().sittings[0].meter_readings
    assert len(readings) == 2
    made = desk.book().sittings[0].sheets[1]
    assert readings[1].settings == made.settings.model_copy(update={"pops": 1})
    assert (readings[1].before_sheet, readings[1].when is not None) == (3, True)
    actual = {**said, "settings": {"f_number": 8, "pops": 4}}
    desk.meter("OM", MeterReading.model_validate(actual))
    assert desk.book().sittings[0].meter_readings[2].settings == Settings(f_number=8, pops=4)
    with pytest.raises(UnknownName, match=r"no light .* called 'hair'"):
        desk.meter("OM", MeterReading.model_validate({**said, "lights_on": ["hair"]}))


def test_a_meter_reading_keeps_the_state_of_the_room(desk: Desk) -> None:
    taken = MeterReading.model_validate(
        {"region": "key", "lights_on": ["key"], "shows": {"f_number": 11, "iso": 100}}
    )
    desk.set_room_state("OM", "evening")
    desk.meter("OM", taken)
    desk.set_room_state("OM", "curtains open")
    desk.meter("OM", taken.model_copy(update={"room_state": "curtains closed"}))
    metered = desk.book().sittings[0].meter_readings
    assert [m.room_state for m in metered[-2:]] == ["evening", "curtains closed"]


def test_the_state_of_the_room_of_one_sheet_is_put_right_and_of_no_other(
    desk: Desk, store: BookFile
) -> None:
    before = desk.book().sittings[0]
    desk.correct_room_state("OM", 2, "evening", "f-1")
    after = desk.book().sittings[0]
    assert after.sheets[1] == before.sheets[1].model_copy(update={"room_state": "evening"})
    assert after.model_copy(update={"sheets": before.sheets}) == before
    assert after.sheets[0] == before.sheets[0]
    assert len(store.sheet_history("OM", 2)) == 2
    with pytest.raises(BadValue, match="room_state"):
        desk.correct_room_state("OM", 2, "dusk " * 100)
    assert desk.book().sittings[0] == after
