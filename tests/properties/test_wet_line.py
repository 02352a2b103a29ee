"""What holds of the wet line whatever the figures: directions, round trips, symmetries."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.wetline import (
    bulb_lx,
    factorial_s,
    first_development_shift,
    light_time,
    plateau_stops,
    seconds_at,
    slope_stops,
    slower,
    time_factor,
    torch_lx,
    work_seconds,
)

warmth = st.floats(14, 27)
works = st.floats(0.6, 4)


@given(a=warmth, b=warmth, q10=st.floats(1.05, 4))
def test_warmer_is_quicker(a: float, b: float, q10: float) -> None:
    assume(b - a > 1e-6)
    assert time_factor(a, q10) > time_factor(b, q10)


@given(a=warmth, b=warmth, q10=st.floats(1, 4))
def test_there_and_back_again(a: float, b: float, q10: float) -> None:
    there = time_factor(b, q10, reference_c=a)
    assert there * time_factor(a, q10, reference_c=b) == pytest.approx(1)


@given(seconds=st.floats(1, 3600), temperature_c=warmth)
def test_a_step_without_a_pace_keeps_its_time(seconds: float, temperature_c: float) -> None:
    assert seconds_at(seconds, temperature_c, "none") == seconds


@given(seconds=st.floats(10, 600), temperature_c=warmth, q10=st.floats(1.2, 3))
def test_an_even_tray_integrates_to_the_law(
    seconds: float, temperature_c: float, q10: float
) -> None:
    even = work_seconds([(0, temperature_c), (seconds, temperature_c)], q10)
    assert even * time_factor(temperature_c, q10) == pytest.approx(seconds)


@given(
    seconds=st.floats(30, 600),
    start=warmth,
    end=warmth,
    share=st.floats(0.05, 0.95),
    q10=st.floats(1.2, 3),
)
def test_a_drifting_tray_adds_up_piece_by_piece(
    seconds: float, start: float, end: float, share: float, q10: float
) -> None:
    middle = start + share * (end - start)
    whole = work_seconds([(0, start), (seconds, end)], q10)
    parts = work_seconds([(0, start), (seconds * share, middle), (seconds, end)], q10)
    assert whole == pytest.approx(parts)


@given(seconds=st.floats(30, 600), start=warmth, end=warmth)
def test_a_drifting_tray_lies_between_its_ends(seconds: float, start: float, end: float) -> None:
    worth = work_seconds([(0, start), (seconds, end)])
    ends = sorted(seconds / time_factor(c) for c in (start, end))
    assert ends[0] - 1e-6 <= worth <= ends[1] + 1e-6


@given(seconds=st.floats(60, 300), start=warmth, drift=st.floats(-3, 3))
def test_a_drifting_tray_is_what_a_fine_sum_says(
    seconds: float, start: float, drift: float
) -> None:
    """Against a plain sum of two thousand moments, which knows of no closed form."""
    end = min(max(start + drift, 5), 40)
    n = 2000
    fine = sum(2 ** ((start + (k + 0.5) / n * (end - start) - 20) / 10) for k in range(n))
    assert work_seconds([(0, start), (seconds, end)]) == pytest.approx(
        fine * seconds / n, rel=1e-6
    )


# ── First development ───────────────────────────────────────────────────────────────────────


@given(a=works, b=works)
def test_more_development_is_never_darker(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert plateau_stops(low) <= plateau_stops(high)
    assert slope_stops(low) >= slope_stops(high) > 0


@given(work=works)
def test_the_slope_is_the_slope(work: float) -> None:
    h = 1e-5
    assume(work * math.exp(-h) > 0.6)
    rise = plateau_stops(work * math.exp(h)) - plateau_stops(work * math.exp(-h))
    assert rise / (2 * h) == pytest.approx(slope_stops(work), rel=1e-4)


@given(seconds=st.floats(75, 300), a=st.floats(15, 26), b=st.floats(15, 26))
def test_longer_and_warmer_are_never_darker(seconds: float, a: float, b: float) -> None:
    cold, warm = sorted((a, b))

    def stops(time_s: float, temperature_c: float) -> float:
        return first_development_shift(time_s, temperature_c, process_s=120).stops

    assert stops(seconds, cold) <= stops(seconds, warm)
    assert stops(seconds, cold) <= stops(seconds * 1.1, cold)


@given(temperature_c=warmth)
def test_a_time_made_for_the_temperature_moves_nothing_and_is_less_sure_far_off(
    temperature_c: float,
) -> None:
    shift = first_development_shift(seconds_at(120, temperature_c), temperature_c, process_s=120)
    assert shift.stops == pytest.approx(0, abs=1e-9)
    usual = first_development_shift(120, 20, process_s=120)
    assert shift.sd_stops >= usual.sd_stops * 0.8
    assert shift.sd_stops < 0.15


@given(seconds=st.floats(1, 6000), temperature_c=st.floats(5, 40))
def test_the_estimate_is_always_a_number_with_a_spread(
    seconds: float, temperature_c: float
) -> None:
    shift = first_development_shift(seconds, temperature_c, process_s=120)
    assert math.isfinite(shift.stops)
    assert 0 < shift.sd_stops < 3
    assert -1.5 < shift.stops < 0.1


@given(fresh=st.floats(1, 60), times=st.floats(1, 3))
def test_a_later_sign_never_says_better(fresh: float, times: float) -> None:
    order = ("good", "longer", "spent")
    one, two = slower(fresh, fresh * times), slower(fresh, fresh * times * 1.2)
    assert order.index(one.says) <= order.index(two.says)


@given(sign=st.floats(1, 120))
def test_factors_are_in_order(sign: float) -> None:
    low, high = factorial_s(sign, "mq")
    assert low <= high


@pytest.mark.parametrize("bad", [0, -3, math.nan, math.inf])
def test_a_sign_at_no_time_is_refused(bad: float) -> None:
    with pytest.raises((BadValue, OutOfRange)):
        slower(bad, 10)
    with pytest.raises(OutOfRange):
        factorial_s(bad)


# ── Lights ──────────────────────────────────────────────────────────────────────────────────


@given(flux=st.floats(100, 20_000), near=st.floats(0.1, 3))
def test_twice_as_far_takes_four_times_as_long(flux: float, near: float) -> None:
    one, two = (light_time(bulb_lx(flux, d)).seconds for d in (near, 2 * near))
    assert two == pytest.approx(4 * one)


@given(flux=st.floats(10, 20_000), distance=st.floats(0.1, 3))
def test_a_torch_that_lights_all_round_is_a_bulb(flux: float, distance: float) -> None:
    assert torch_lx(flux, 360, distance) == pytest.approx(bulb_lx(flux, distance))


@given(level=st.floats(1, 100_000))
def test_a_warm_lamp_takes_longer_and_the_range_holds_the_middle(level: float) -> None:
    plain, warm = light_time(level), light_time(level, is_warm=True)
    assert plain.least_s < plain.seconds < plain.sure_s
    assert warm.least_s < warm.seconds < warm.sure_s
    assert 2 * plain.seconds <= warm.seconds <= 4 * plain.seconds
