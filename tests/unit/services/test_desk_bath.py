"""Control strips through the desk: written once, nothing overwritten, taken back."""

from __future__ import annotations

import pytest

from stillroom.documents.book import Sitting
from stillroom.errors import BadValue, NotPossible, StillroomError, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile

PAPER = "sorrel-2/7"
STEPS = {"1": 0.62, "2": 1.10}


def going_on(desk: Desk) -> Sitting:
    sitting_id = desk.control_strips(PAPER).sitting_id
    return next(s for s in desk.book().sittings if s.id == sitting_id)


def test_a_strip_becomes_part_of_the_sitting(desk: Desk) -> None:
    number = desk.run_control_strip(PAPER, STEPS)
    (strip,) = going_on(desk).control_strips
    assert number == 1
    assert strip.steps == STEPS
    assert strip.density_sd is None
    assert not strip.reference


def test_a_form_that_is_sent_twice_writes_one(desk: Desk) -> None:
    first = desk.run_control_strip(PAPER, STEPS, "form-of-one-strip")
    again = desk.run_control_strip(PAPER, STEPS, "form-of-one-strip")
    assert first == again == 1
    assert len(going_on(desk).control_strips) == 1


def test_a_second_one_leaves_the_first_and_everything_else(desk: Desk) -> None:
    before = going_on(desk)
    desk.run_control_strip(PAPER, STEPS)
    desk.run_control_strip(PAPER, {"1": 0.7}, density_sd=0.05)
    after = going_on(desk)
    assert [s.steps for s in after.control_strips] == [STEPS, {"1": 0.7}]
    assert after.model_copy(update={"control_strips": ()}) == before


def test_another_one_is_marked_and_unmarked(desk: Desk) -> None:
    desk.run_control_strip(PAPER, STEPS)
    desk.run_control_strip(PAPER, {"1": 0.7, "2": 1.2})
    sitting = going_on(desk).id
    desk.mark_reference(sitting, 2)
    assert [r.is_reference for r in desk.control_strips(PAPER).runs] == [True, True]
    desk.mark_reference(sitting, 2, reference=False)
    assert [r.is_reference for r in desk.control_strips(PAPER).runs] == [True, False]


def test_one_is_taken_back_and_the_file_remembers_it(desk: Desk, store: BookFile) -> None:
    desk.run_control_strip(PAPER, STEPS)
    sitting = going_on(desk).id
    desk.undo_control_strip(sitting, 1)
    assert going_on(desk).control_strips == ()
    written = [
        len(v.part.control_strips)
        for v in store.history("sittings", sitting)
        if isinstance(v.part, Sitting)
    ]
    assert written[-2:] == [1, 0]


def test_todays_is_told_by_the_clock(desk: Desk) -> None:
    assert desk.control_strips(PAPER).today is None
    desk.run_control_strip(PAPER, STEPS)
    today = desk.control_strips(PAPER).today
    assert today is not None
    assert today.is_reference


@pytest.mark.parametrize(
    ("steps", "word"),
    [({}, "read one step"), ({"1": 3.2}, "held to read"), ({"1": 9.0}, "a number from")],
)
def test_what_cannot_be_is_not_written(desk: Desk, steps: dict[str, float], word: str) -> None:
    with pytest.raises(BadValue, match=word):
        desk.run_control_strip(PAPER, steps)
    assert going_on(desk).control_strips == ()


def test_without_a_sitting_it_has_no_place(desk: Desk) -> None:
    with pytest.raises(NotPossible, match="No sitting with this paper"):
        desk.run_control_strip("lovage/1", STEPS)
    with pytest.raises(UnknownName):
        desk.run_control_strip("tansy/1", STEPS)


def test_a_strip_that_is_not_there_is_said(desk: Desk) -> None:
    sitting = going_on(desk).id
    for verb in (desk.mark_reference, desk.undo_control_strip):
        with pytest.raises(StillroomError, match="control strip"):
            verb(sitting, 1)


def test_the_sitting_speaks_of_the_bath_only_where_strips_are_used(desk: Desk) -> None:
    assert desk.bath_says(going_on(desk).id) == ""
