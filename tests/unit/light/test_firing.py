"""Pops, tubes, circuits and batteries: worked examples as a handbook prints them, and bounds."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.light import (
    OPENED_BY,
    battery_pops,
    burst_s,
    charging_w,
    circuits_for,
    duty,
    lamp_a,
    recycle_at_s,
)


def test_power_is_energy_over_time() -> None:
    """1200 W·s in 2 s is 600 W; at half power in half the time, the same 600 W."""
    assert charging_w(1200, 2.0) == 600
    assert recycle_at_s(2.0, 600, 1200) == 1.0
    assert charging_w(600, recycle_at_s(2.0, 600, 1200)) == 600


def test_watts_are_volts_times_amperes() -> None:
    """2300 W draw 10 A from 230 V, 20 A from 115 V; a 250 W lamp a little more than 1 A."""
    assert lamp_a(2300, 230) == 10
    assert lamp_a(2300, 115) == 20
    assert lamp_a(250, 230) * 230 == pytest.approx(250)


def test_a_burst_counts_the_gaps_between_pops() -> None:
    """Eight pops three seconds apart: 21 s."""
    assert burst_s(8, 3.0) == 21
    assert burst_s(1, 3.0) == 0


def test_a_tube_that_may_ten_a_minute_rests_after_ten_in_a_row() -> None:
    """Ten at full in 27 s: 60 s in all, so 33 s of rest; twenty in a row are too many."""
    found = duty(10, 1000, 1000, recycle_s=3.0, per_minute_full=10)
    assert found.is_within
    assert found.rest_s == pytest.approx(33)
    assert found.pops_per_minute == pytest.approx(20)
    assert not duty(20, 1000, 1000, recycle_s=3.0, per_minute_full=10).is_within
    slow = duty(20, 1000, 1000, recycle_s=6.0, per_minute_full=10)
    assert slow.is_within
    assert slow.rest_s == pytest.approx(6)


def test_a_quarter_of_the_power_is_four_times_the_pops() -> None:
    at_full = duty(5, 1000, 1000, recycle_s=2.0)
    quarter = duty(20, 250, 1000, recycle_s=0.5)
    assert quarter.full_pops == at_full.full_pops
    assert battery_pops(100, 250, 1000) == 400
    assert battery_pops(100, 1000, 1000) == 100


@given(st.lists(st.floats(0.1, 16.0), max_size=6))
def test_circuits_are_few_enough_and_none_is_overloaded(loads: list[float]) -> None:
    """Against every way to share them out: at most one more than the fewest, and never fewer."""
    found = circuits_for(loads, 16.0)
    fewest = next(
        n
        for n in range(len(loads) + 1)
        if any(
            all(
                math.fsum(x for x, on in zip(loads, way, strict=True) if on == at) <= 16.0 + 1e-9
                for at in range(n)
            )
            for way in itertools.product(range(max(n, 1)), repeat=len(loads))
        )
        and (n or not loads)
    )
    assert fewest <= found <= fewest + 1


@given(
    st.integers(1, 64), st.floats(1, 1000), st.floats(0, 30), st.floats(1, 30), st.integers(1, 40)
)
def test_after_its_rest_a_tube_has_kept_its_rate(
    pops: int, energy: float, gap: float, per_minute: float, in_a_row: int
) -> None:
    found = duty(
        pops, energy, 1000, recycle_s=gap, per_minute_full=per_minute, in_a_row_full=in_a_row
    )
    whole_s = burst_s(pops, gap) + found.rest_s
    assert found.full_pops * 60 <= per_minute * whole_s * (1 + 1e-9)
    assert found.full_pops == pytest.approx(pops * energy / 1000)


def test_hands_are_slower_than_shutters() -> None:
    shutter = OPENED_BY["sync_shutter"]
    assert all(x.least_s > shutter.least_s for n, x in OPENED_BY.items() if n != "sync_shutter")
    assert OPENED_BY["cap_in_light"].sd_of(1.0) == OPENED_BY["cap_in_light"].sd_of(9.0) == 0.2


@pytest.mark.parametrize(
    "call",
    [
        lambda: burst_s(0, 3.0),
        lambda: burst_s(2, -1.0),
        lambda: recycle_at_s(3.0, 1300, 1200),
        lambda: charging_w(100, 0.0),
        lambda: duty(1, 0.0, 1000, recycle_s=1.0),
        lambda: duty(1, 10, 1000, recycle_s=1.0, per_minute_full=0.0),
        lambda: lamp_a(100, 0.0),
        lambda: circuits_for([20.0], 16.0),
        lambda: battery_pops(0, 10, 100),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange):
        call()
