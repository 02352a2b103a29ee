"""A head that did not fire: named, it goes into what was made; else the sheet is left out."""

from __future__ import annotations

from typing import Any

import pytest

from stillroom.documents.book import Made, Reading, Sheet, Sitting
from stillroom.errors import UnknownName
from stillroom.services import Desk
from stillroom.services.fired import is_left_out, made_as_said, not_fired, stood_after
from stillroom.services.moved import NOT_FIRED
from stillroom.services.readings import bare_reading, landed
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

FILL = f"{NOT_FIRED}: fill"
KEY = f"{NOT_FIRED}: key"


def sitting_with(**sheet: Any) -> Sitting:
    data = head_and_shoulders()
    data["sittings"][0]["sheets"] = [scanned(1, 1.0, 1.5, **sheet)]
    return book_of(data).sittings[0]


def put_right(sheet: Sheet, sitting: Sitting, *moved: str) -> Sheet:
    made = made_as_said(sitting, sheet, moved)
    return sheet.model_copy(update={"made": made, "what_else_moved": moved})


def test_the_head_that_is_named_is_off_and_the_sheet_teaches() -> None:
    sitting = sitting_with(made={"f_number": 8})
    sheet = put_right(sitting.sheets[0], sitting, FILL)
    assert not_fired(sheet) == ("fill",)
    assert sheet.made == Made.model_validate({"f_number": 8, "lights": {"fill": {"on": False}}})
    assert not is_left_out(sheet)
    book = book_of(head_and_shoulders())
    assert bare_reading(book, sheet) is not None


def test_the_head_nobody_knows_leaves_the_sheet_out() -> None:
    sitting = sitting_with(kept=True)
    sheet = put_right(sitting.sheets[0], sitting, NOT_FIRED)
    assert sheet.made is None
    assert is_left_out(sheet)
    assert landed(sheet) is None
    both = put_right(sitting.sheets[0], sitting, NOT_FIRED, FILL)
    assert is_left_out(both)


def test_taken_back_it_is_as_it_was_planned() -> None:
    sitting = sitting_with(made={"lights": {"fill": {"dial": -2.0}}})
    once = put_right(sitting.sheets[0], sitting, FILL)
    back = put_right(once, sitting)
    assert back.made == sitting.sheets[0].made
    another = put_right(once, sitting, KEY)
    assert another.made is not None
    assert not another.made.lights["key"].on
    assert another.made.lights["fill"].on


def test_a_light_that_was_off_by_plan_stays_off_when_another_answer_goes() -> None:
    off = {"lights": {"fill": {"on": False}}}
    sitting = sitting_with(made=off, what_else_moved=["curtain"])
    assert put_right(sitting.sheets[0], sitting).made == sitting.sheets[0].made


@pytest.mark.parametrize(
    "settings",
    [{"f_number": 5.6, "pops": 2}, {"f_number": 5.6, "steps_pops": [1, 2, 4]}],
)
def test_of_several_pops_a_head_may_have_missed_one(settings: dict[str, Any]) -> None:
    sitting = sitting_with(settings=settings, readings=[])
    sheet = put_right(sitting.sheets[0], sitting, FILL)
    assert sheet.made is None
    assert is_left_out(sheet)


def test_a_sheet_is_never_written_down_without_a_light() -> None:
    lights = head_and_shoulders()["sittings"][0]["lights"][:2]
    data = head_and_shoulders(lights=lights)
    data["sittings"][0]["sheets"] = [scanned(1, 1.0, 1.5)]
    sitting = book_of(data).sittings[0]
    sheet = put_right(sitting.sheets[0], sitting, KEY, FILL)
    assert sheet.made is None
    assert is_left_out(sheet)


def test_for_the_next_sheet_it_stands_and_is_on() -> None:
    sitting = sitting_with()
    sheet = put_right(sitting.sheets[0], sitting, FILL)
    assert stood_after(sheet).lights["fill"].on
    assert stood_after(sheet).lights["fill"].dial == -1.0


def test_the_desk_writes_it_with_the_reading_and_takes_it_back(desk: Desk) -> None:
    words = Reading.model_validate({"regions": {"key": {"verdict": "too_dark"}}})
    role = desk.book().sittings[0].lights[-1].role
    before = desk.book().sittings[0].sheets[1].made
    desk.read_sheet("OM", 2, words, what_else_moved=(f"{NOT_FIRED}: {role}",), form_id="f-1")
    made = desk.book().sittings[0].sheets[1].made
    assert made is not None
    assert not made.lights[role].on
    desk.read_sheet("OM", 2, Reading(), form_id="f-2")
    assert desk.book().sittings[0].sheets[1].made == before
    with pytest.raises(UnknownName, match="no light called 'sun'"):
        desk.read_sheet("OM", 2, Reading(), what_else_moved=(f"{NOT_FIRED}: sun",))
