from __future__ import annotations

import math

import pytest

from stillroom.errors import BadValue, OutOfRange
from stillroom.light import Dial, reading_for_stops, settings_stops, stops_below_full

TENTHS = Dial("stops", -7, 0, 0.1)
THIRDS = Dial("stops", -6, 0, 1 / 3)
FRACTION = Dial("fraction", 1 / 64, 1, 1 / 3)
ENERGY = Dial("energy", 75, 1200, 25)


def test_scales_hold_every_step_between_their_ends() -> None:
    assert len(settings_stops(TENTHS)) == 71
    assert len(settings_stops(THIRDS)) == 19
    assert len(settings_stops(FRACTION)) == 19
    assert len(settings_stops(ENERGY, 1200)) == 46


@pytest.mark.parametrize(
    ("dial", "lowest"), [(TENTHS, -7), (THIRDS, -6), (FRACTION, -6), (ENERGY, -4)]
)
def test_settings_rise_from_the_lowest_to_full(dial: Dial, lowest: float) -> None:
    steps = settings_stops(dial, 1200).tolist()
    assert steps == sorted(steps)
    assert steps[0] == pytest.approx(lowest)
    assert steps[-1] == 0


@pytest.mark.parametrize(
    ("dial", "reading", "stops"),
    [
        (TENTHS, -2.3, -2.3),
        (THIRDS, -1.3, -4 / 3),
        (THIRDS, -0.67, -2 / 3),
        (THIRDS, -0.5, -0.5),
        (FRACTION, 0.5, -1),
        (FRACTION, 0.63, -2 / 3),
        (FRACTION, 0.016, -6),
        (ENERGY, 600, -1),
        (ENERGY, 350, math.log2(350 / 1200)),
    ],
)
def test_a_mark_stands_for_its_exact_step(dial: Dial, reading: float, stops: float) -> None:
    assert stops_below_full(dial, reading, 1200) == pytest.approx(stops, abs=1e-9)


def test_the_last_mark_of_a_scale_in_thirds_may_be_rounded_past_its_end() -> None:
    dial = Dial("stops", -5 / 3, 0, 1 / 3)
    assert stops_below_full(dial, -1.7) == pytest.approx(-5 / 3)


@pytest.mark.parametrize(
    ("dial", "reading", "message"),
    [
        (TENTHS, -7.1, "dial is -7.1: give a number from -7 to 0 stops"),
        (TENTHS, 0.1, "dial is 0.1: give a number from -7 to 0 stops"),
        (FRACTION, 2, "dial is 2: give a number from 0.015625 to 1"),
        (ENERGY, 50, "dial is 50: give a number from 75 to 1200 W·s"),
        (TENTHS, math.nan, "dial is nan"),
    ],
)
def test_a_reading_off_the_scale_names_the_scale(dial: Dial, reading: float, message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        stops_below_full(dial, reading, 1200)


def test_the_nearest_reading_is_found() -> None:
    assert reading_for_stops(TENTHS, -2.27) == pytest.approx(-2.3)
    assert reading_for_stops(FRACTION, -1.1) == pytest.approx(0.5)
    assert reading_for_stops(ENERGY, -2, 1200) == 300


def test_no_reading_is_made_up_beyond_the_scale() -> None:
    with pytest.raises(OutOfRange, match="from -7 to 0 stops below full"):
        reading_for_stops(TENTHS, -7.06)
    with pytest.raises(OutOfRange, match="from -7 to 0 stops below full"):
        reading_for_stops(TENTHS, 0.06)
    with pytest.raises(OutOfRange):
        reading_for_stops(TENTHS, math.nan)


def test_a_dial_in_watt_seconds_needs_the_full_energy() -> None:
    with pytest.raises(BadValue, match="give energy_ws"):
        stops_below_full(ENERGY, 600)
    with pytest.raises(OutOfRange, match="dial max is 1200"):
        settings_stops(ENERGY, 600)


@pytest.mark.parametrize(
    ("kind", "low", "high", "step"),
    [
        ("stops", -7, 1, 0.1),
        ("stops", 0, -7, 0.1),
        ("stops", -7, 0, 0),
        ("stops", -7, 0, math.nan),
        ("fraction", 0, 1, 1 / 3),
        ("energy", 75, 1e9, 25),
        ("energy", 75, 1200, -5),
    ],
)
def test_scales_that_cannot_be_are_refused(
    kind: str, low: float, high: float, step: float
) -> None:
    with pytest.raises(OutOfRange, match="dial"):
        Dial(kind, low, high, step)  # type: ignore[arg-type]


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(BadValue, match="choose stops, fraction or energy"):
        Dial("clicks", 0, 1, 1)  # type: ignore[arg-type]


def test_a_head_with_one_setting() -> None:
    dial = Dial("stops", 0, 0, 1)
    assert settings_stops(dial).tolist() == [0]
    assert reading_for_stops(dial, 0) == 0
