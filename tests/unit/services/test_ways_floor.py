"""Tape on the floor for another camera without a ground glass. Everything here is invented."""

from __future__ import annotations

from typing import Any

import pytest

from stillroom.documents.ways import Ways
from stillroom.services.focus_asked import focus_asked
from stillroom.services.focusing import focus
from stillroom.services.ways import Asked, ways
from stillroom.services.ways.asked import other_of
from stillroom.telling.ways_told import told
from tests.unit.book_cases import book_of
from tests.unit.services.other_camera_books import data

ASKED = Asked("S1", "8x10", lens="360", f_number=11)


def on_the_bigger_one(lens: dict[str, Any], **sitting: Any) -> tuple[dict[str, Any], Ways]:
    """An 8x10 with a fixed back; `lens` is said of its lens."""
    found = data(**sitting)
    found["kit"]["cameras"][-1] |= {"fixed_back": True}
    found["kit"]["lenses"][-1] |= lens
    return found, ways(book_of(found), ASKED)


@pytest.mark.parametrize("flange_mm", [None, 260.0, 420.0])
def test_the_tape_is_where_focus_has_it_also_for_a_telephoto(flange_mm: float | None) -> None:
    """Its lens board stands nearer to the sheet than its principal point, by focal less flange."""
    found, answer = on_the_bigger_one({"flange_at_infinity_mm": flange_mm})
    assert answer.floor is not None
    nearer_m = 0.0 if flange_mm is None else (360 - flange_mm) / 1000
    assert answer.floor.eye_m == pytest.approx(answer.other.subject_distance_m + nearer_m)
    there = other_of(book_of(found), ASKED).book
    assert answer.floor == focus(focus_asked(there, "S1", f_number=11)).floor


def test_a_rest_that_was_taped_is_where_it_was_taped() -> None:
    holding = {"support": "head_rest", "rest_to_eye_mm": 200}
    _, answer = on_the_bigger_one({}, holding=holding)
    assert answer.floor is not None
    assert answer.floor.head_rest_m - answer.floor.eye_m == pytest.approx(0.2)
    shown = dict(told(answer).figures)["Tape on the floor"]
    assert shown.startswith("the eye ")
    assert "from the lens board, the head rest" in shown


def test_with_a_ground_glass_and_somebody_behind_it_no_tape_is_needed() -> None:
    assert ways(book_of(data()), ASKED).floor is None
    alone = data(holding={"is_self_portrait": True})
    assert ways(book_of(alone), ASKED).floor is not None
