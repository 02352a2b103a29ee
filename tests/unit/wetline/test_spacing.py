"""Several sheets in one line: hands and trays are never wanted twice at once."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.services.processes import built_in, steps_of
from stillroom.wetline import SPACING_S, Timed, Visit, at_temperature, total_s, visits
from stillroom.wetline.spacing import ONE_AT_A_TIME

TRAYS = [p for p in built_in() if p.vessel == "trays"]


def line(process: int = 0, temperature_c: float = 20.0) -> tuple[Timed, ...]:
    return at_temperature(steps_of(TRAYS[process]), temperature_c)


def moves(seen: tuple[Visit, ...]) -> list[tuple[int, float]]:
    found = {(v.sheet, v.begins_s) for v in seen} | {(v.sheet, v.ends_s) for v in seen}
    return sorted(found, key=lambda one: one[1])


@given(
    process=st.integers(0, len(TRAYS) - 1),
    temperature_c=st.floats(14, 27),
    sheets=st.integers(1, 6),
)
def test_hands_and_trays_are_wanted_once(process: int, temperature_c: float, sheets: int) -> None:
    timed = line(process, temperature_c)
    seen = visits(timed, sheets)
    for (one, at), (other, then) in combinations(moves(seen), 2):
        assert one == other or abs(at - then) >= SPACING_S - 1e-6
    for step in ONE_AT_A_TIME:
        stays = sorted((v.begins_s, v.ends_s) for v in seen if v.step == step)
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(stays))


@given(process=st.integers(0, len(TRAYS) - 1), sheets=st.integers(1, 5))
def test_a_sheet_waits_in_water_alone_and_never_too_long(process: int, sheets: int) -> None:
    timed = {one.step.id: one for one in line(process)}
    for visit in visits(tuple(timed.values()), sheets):
        one, stayed = timed[visit.step], visit.ends_s - visit.begins_s
        if one.seconds is None:
            continue
        assert one.longest_s is not None
        most = one.seconds if visit.step in ONE_AT_A_TIME else max(one.longest_s, one.seconds)
        assert one.seconds - 1e-6 <= stayed <= most + 1e-6


@given(sheets=st.integers(1, 5))
def test_every_sheet_goes_through_every_tray_without_a_gap(sheets: int) -> None:
    timed = line()
    for sheet in range(sheets):
        mine = [v for v in visits(timed, sheets) if v.sheet == sheet]
        assert [v.step for v in mine] == [one.step.id for one in timed]
        assert all(a.ends_s == pytest.approx(b.begins_s) for a, b in pairwise(mine))


def test_one_sheet_takes_what_its_steps_take() -> None:
    assert visits(line(), 1)[-1].ends_s == pytest.approx(total_s(line()))


def test_one_tank_does_one_sheet_after_the_other() -> None:
    tank = next(p for p in built_in() if p.vessel == "one_tank")
    timed = at_temperature(steps_of(tank), 20, fill_drain_s=tank.fill_drain_s)
    seen = visits(timed, 3, one_vessel=True, load_s=tank.load_s)
    first = [v.begins_s for v in seen if v.step == "first_development"]
    each = total_s(timed, load_s=tank.load_s)
    assert first == pytest.approx([tank.load_s + n * each for n in range(3)])


@pytest.mark.parametrize("sheets", [0, -1, 41])
def test_no_sheets_or_too_many_are_refused(sheets: int) -> None:
    with pytest.raises(OutOfRange, match="sheets is"):
        visits(line(), sheets)
