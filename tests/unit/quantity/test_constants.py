from __future__ import annotations

import pytest

from stillroom.errors import OutOfRange
from stillroom.quantity import (
    FULL_STOP_MARKS,
    HALF_STOP_MARKS,
    THIRD_STOP_MARKS,
    Constants,
    f_number_of_av,
)


def test_every_constant_is_printed_with_unit_and_source() -> None:
    table = Constants().table()
    assert len(table) == len(Constants.__dataclass_fields__)
    assert all(row.name and row.unit and row.source for row in table)


def test_the_table_prints_what_is_set() -> None:
    rows = {row.name: row.value for row in Constants(meter_c_lx_s=340).table()}
    assert rows["incident constant C, flat receptor"] == 340
    assert rows["incident constant C, dome"] == 330


@pytest.mark.parametrize(
    ("name", "value"),
    [("meter_c_lx_s", 100), ("meter_k_cd_s_m2", 1.16), ("reference_reflectance", 0)],
)
def test_constants_far_from_any_source_are_refused(name: str, value: float) -> None:
    with pytest.raises(OutOfRange, match="give a number from"):
        Constants(**{name: value})


def test_marks_lie_near_the_numbers_they_stand_for() -> None:
    for mark, av in (THIRD_STOP_MARKS | HALF_STOP_MARKS).items():
        assert mark == pytest.approx(f_number_of_av(av), rel=0.03), mark


def test_marks_rise_and_meet_once() -> None:
    assert list(THIRD_STOP_MARKS) == sorted(THIRD_STOP_MARKS)
    assert set(FULL_STOP_MARKS) <= set(THIRD_STOP_MARKS)
    assert not set(HALF_STOP_MARKS) & set(THIRD_STOP_MARKS)
    steps = [round(3 * av) for av in THIRD_STOP_MARKS.values()]
    assert steps == list(range(len(steps)))
