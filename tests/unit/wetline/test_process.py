"""Steps in order, at temperatures; which light each bears; totals as they were worked out."""

from __future__ import annotations

import pytest

from stillroom.documents.wet import Process
from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.services.processes import built_in, steps_of
from stillroom.wetline import (
    STEPS,
    Step,
    at_temperature,
    check_steps,
    gate,
    light_of,
    total_s,
)

LINE = (
    Step("first_development", 120, 90, 180, pace="developer", lift_s=10),
    Step("first_wash", 60, 30, 120, pace="wash"),
    Step("bleach", 90, 60, 180, ends="eye", pace="bleach", warmest_c=22),
    Step("lights", 20),
    Step("second_development", 90, 60, 180, pace="developer"),
    Step("dry", None, ends="open"),
)


@pytest.mark.parametrize("process", built_in(), ids=lambda p: p.id)
def test_every_process_that_comes_along_can_reverse_a_sheet(process: Process) -> None:
    check_steps(steps_of(process))


@pytest.mark.parametrize("process", built_in(), ids=lambda p: p.id)
def test_every_figure_of_every_process_says_how_it_is_known(process: Process) -> None:
    for step in process.steps:
        told = {basis.figure for basis in step.bases}
        assert "seconds" in told, step.id
        if step.longest_s is not None and step.ends != "open" and step.id != "lights":
            assert "range" in told, step.id


@pytest.mark.parametrize("temperature_c", [14.0, 20.0, 27.0])
def test_the_range_is_kept_where_its_ends_are_in_it(temperature_c: float) -> None:
    assert at_temperature(LINE, temperature_c)


@pytest.mark.parametrize(
    ("temperature_c", "reason"), [(45, "gelatin softens"), (27.1, "softens"), (13.9, "gives out")]
)
def test_no_time_makes_up_for_what_is_beyond(temperature_c: float, reason: str) -> None:
    with pytest.raises(BadValue, match=reason) as told:
        at_temperature(LINE, temperature_c)
    assert str(told.value).startswith(
        f"temperature of the line in degrees C is {temperature_c:g}: "
    )
    assert ". " not in str(told.value)


def test_a_bath_that_must_not_be_warm_is_kept_at_its_limit_and_timed_for_it() -> None:
    warm, limit = (at_temperature(LINE, c)[2] for c in (26.0, 22.0))
    assert warm.temperature_c == 22
    assert warm.seconds == limit.seconds


def test_a_bath_with_a_temperature_of_its_own_does_not_follow_the_line() -> None:
    warm = Step("bleach", 300, pace="bleach", kept_at_c=30)
    assert {at_temperature([warm], c)[0].seconds for c in (16.0, 20.0, 24.0)} == {300}


def test_an_open_step_takes_no_time_that_is_known() -> None:
    assert at_temperature(LINE, 20)[-1].seconds is None


def test_draining_and_filling_are_added_to_each_step_and_do_not_hang_on_temperature() -> None:
    plain, tank = (total_s(at_temperature(LINE, 18, fill_drain_s=s)) for s in (0, 36))
    assert tank - plain == pytest.approx(5 * 36)


@pytest.mark.parametrize("missing", ["first_development", "first_wash", "bleach", "lights"])
def test_without_what_reverses_it_no_sheet_reverses(missing: str) -> None:
    with pytest.raises(BadValue, match=f"without {missing}"):
        check_steps([s for s in LINE if s.id != missing])


def test_steps_stand_in_their_order_and_once() -> None:
    with pytest.raises(BadValue, match="first_wash comes before bleach"):
        check_steps([LINE[0], LINE[2], LINE[1], *LINE[3:]])
    with pytest.raises(BadValue, match="stands there once"):
        check_steps([LINE[0], *LINE])
    with pytest.raises(UnknownName, match="step called 'stop'"):
        check_steps([*LINE, Step("stop", 30)])


@pytest.mark.parametrize("seconds", [0, -5, 1e9])
def test_a_step_takes_some_time(seconds: float) -> None:
    with pytest.raises(OutOfRange, match="seconds of first_development"):
        check_steps([Step("first_development", seconds), *LINE[1:]])


def test_a_step_that_ends_by_time_needs_one() -> None:
    with pytest.raises(BadValue, match="say how long"):
        check_steps([Step("first_development", None), *LINE[1:]])


# ── Light ───────────────────────────────────────────────────────────────────────────────────


def test_every_step_bears_red_until_the_water_after_the_bleach_is_over() -> None:
    assert [s for s in STEPS if light_of(s) == "red"] == list(STEPS[:4])


def test_white_light_waits_for_every_sheet_on_the_bench() -> None:
    assert gate([]).light == "white"
    assert gate([("OM 4", "fix"), ("OM 5", "clear")]).light == "white"
    one = gate([("OM 4", "fix"), ("OM 5", "second_wash")])
    assert one.waits_for == ("OM 5",)
    assert one.sentence == "Red only. OM 5 is still in the water after the bleach."
    three = gate([("A 1", "bleach"), ("B 1", "first_wash"), ("C 1", "first_development")])
    assert three.sentence == "Red only. A 1, B 1 and C 1 are not through the bleach."


def test_a_step_nobody_knows_bears_nothing() -> None:
    with pytest.raises(UnknownName):
        gate([("OM 4", "stop")])
