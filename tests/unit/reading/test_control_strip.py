"""Control strips: what the bath did, found again from strips of an invented line.

The line here makes its tones by a normal integral, not by the project's own curve, with a
steepness, a black and a white of its own in every run. All its figures are invented.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from stillroom.errors import OutOfRange
from stillroom.paper import ToneCurve
from stillroom.reading import BathShift, bath_shift

BELIEVED = ToneCurve(1.5, 1.0, 0.08, 1.9)
STEEPNESS_LOG_SD = 0.35
READING_SD = 0.03
STEP_SD = 0.05
RUN_SD = 0.05
NINE_IN_TEN = 1.645
MIDDLE = (0.45, -0.35)
WITH_BLACK = (0.45, -0.35, -2.2)


class Line:
    """One lot of strips, and a line that runs them; `steepness` 1 is what is believed."""

    def __init__(self, rng: np.random.Generator, steps: Sequence[float]) -> None:
        self.rng = rng
        self.steps = steps
        # The believed slope at the middle is span x 0.375; a normal integral's is span x s x 0.399
        self.steepness = 0.375 / 0.399 * math.exp(STEEPNESS_LOG_SD * rng.standard_normal())
        self.black = 1.9 + 0.1 * rng.standard_normal()
        self.bare = 0.08 + 0.03 * rng.standard_normal()

    def run(self, bath_stops: float = 0.0, thin: float = 0.0) -> dict[str, float]:
        """Densities read; `thin` is what the blackest loses, dark tones in part, middles not."""
        own = RUN_SD * self.rng.standard_normal() if bath_stops or thin else 0.0
        found = {}
        for n, place in enumerate(self.steps, 1):
            at = place + bath_stops + own + STEP_SD * self.rng.standard_normal()
            share = 0.5 * math.erfc(self.steepness * at / math.sqrt(2))
            tone = self.bare + (self.black - self.bare) * share
            tone -= thin * max(0.0, (share - 0.6) / 0.4)
            found[str(n)] = tone + READING_SD * self.rng.standard_normal()
        return found


def found_over(
    seeds: range, steps: Sequence[float], bath: float, thin: float = 0.0
) -> list[BathShift]:
    lines = [Line(np.random.default_rng([20261125, seed]), steps) for seed in seeds]
    return [
        bath_shift(line.run(), line.run(bath, thin), BELIEVED, slope_log_sd=STEEPNESS_LOG_SD)
        for line in lines
    ]


def covered(shifts: Sequence[BathShift], truth: float) -> float:
    inside = [
        abs(s.value_stops - truth) <= NINE_IN_TEN * s.sd_stops
        for s in shifts
        if s.value_stops is not None
    ]
    assert len(inside) > 0.95 * len(shifts)
    return float(np.mean(inside))


@pytest.mark.parametrize("bath", [-1 / 3, -1 / 2, 1 / 4])
def test_a_bath_that_is_weaker_or_stronger_is_found_within_its_range_nine_times_in_ten(
    bath: float,
) -> None:
    shifts = found_over(range(600), MIDDLE, bath)
    # Nine in ten of 600: the count alone scatters by 0.012, so three of that on the lower side.
    assert 0.865 <= covered(shifts, bath) <= 0.98
    assert float(np.mean([s.value_stops for s in shifts if s.value_stops])) == pytest.approx(
        bath, abs=0.05
    )


def test_two_steps_tell_a_third_of_a_stop_from_none() -> None:
    weak = [s.value_stops for s in found_over(range(300), MIDDLE, -1 / 3)]
    same = [s.value_stops for s in found_over(range(300), MIDDLE, 0.0)]
    below = [v < -1 / 6 for v in weak if v is not None]
    level = [abs(v) < 1 / 4 for v in same if v is not None]
    assert np.mean(below) > 0.85
    assert np.mean(level) > 0.97


@pytest.mark.parametrize("thin", [0.2, 0.35])
def test_thin_blacks_are_told_and_are_not_taken_for_speed(thin: float) -> None:
    shifts = found_over(range(400), WITH_BLACK, 0.0, thin)
    told = [s for s in shifts if s.black_loss > 0]
    assert len(told) > (0.7 if thin < 0.3 else 0.95) * len(shifts)
    assert all("3" not in s.steps for s in told)
    assert float(np.mean([s.value_stops or 0.0 for s in shifts])) == pytest.approx(0.0, abs=0.04)
    assert covered(shifts, 0.0) > 0.9


def test_a_good_second_development_is_not_called_thin() -> None:
    for bath in (0.0, -1 / 3, 1 / 3):
        odd = [s.black_loss != 0 for s in found_over(range(400), WITH_BLACK, bath)]
        assert np.mean(odd) < 0.05


def test_thin_blacks_in_the_reference_are_told_as_such() -> None:
    made = {"1": 0.7, "2": 1.2, "3": 1.4}
    now = {"1": 0.7, "2": 1.2, "3": 1.75}
    shift = bath_shift(made, now, BELIEVED)
    assert shift.black_loss < -0.2
    assert shift.steps == ("1", "2")


def test_what_thinned_the_blacks_may_have_moved_the_middle_so_the_range_is_wider() -> None:
    made = {"1": 0.7, "2": 1.2, "3": 1.75}
    good = bath_shift(made, made, BELIEVED)
    thin = bath_shift(made, {**made, "3": 1.5}, BELIEVED)
    assert thin.value_stops == pytest.approx(0.0)
    assert thin.sd_stops > 1.5 * good.sd_stops


def test_dark_steps_alone_give_no_reading() -> None:
    shift = bath_shift({"1": 1.6, "2": 1.8}, {"1": 1.4, "2": 1.6}, BELIEVED)
    assert shift == BathShift(None, unread="dark_only")


def test_steps_near_bare_paper_give_no_reading() -> None:
    assert bath_shift({"1": 0.10}, {"1": 0.12}, BELIEVED) == BathShift(None, unread="too_flat")
    assert bath_shift({"1": 0.05}, {"1": 0.05}, BELIEVED).value_stops is None  # beyond the curve


def test_steps_of_another_lot_give_no_reading() -> None:
    assert bath_shift({"a": 0.9}, {"b": 0.9}, BELIEVED).unread == "no_common_step"
    assert bath_shift({}, {"1": 0.9}, BELIEVED).unread == "no_common_step"


def test_a_step_near_the_ends_hardly_counts() -> None:
    made = {"1": 0.95, "2": 0.20}
    darker = bath_shift(made, {"1": 0.95, "2": 0.25}, BELIEVED)
    assert darker.steps == ("1", "2")
    # The light step alone says -0.3 stop, the middle one nothing; slopes are 0.66 and 0.17.
    light = bath_shift({"2": 0.20}, {"2": 0.25}, BELIEVED)
    assert light.value_stops is not None
    assert darker.value_stops is not None
    assert light.value_stops < -0.2
    assert abs(darker.value_stops) < 0.2 * abs(light.value_stops)


def test_steps_that_disagree_widen_the_range() -> None:
    made = {"1": 0.7, "2": 1.0}
    agree = bath_shift(made, {"1": 0.8, "2": 1.1}, BELIEVED)
    differ = bath_shift(made, {"1": 0.5, "2": 1.3}, BELIEVED)
    assert differ.sd_stops > 2 * agree.sd_stops


def test_a_reading_by_eye_is_wider_than_one_by_densitometer() -> None:
    made, now = {"1": 0.7, "2": 1.0}, {"1": 0.8, "2": 1.1}
    meter = bath_shift(made, now, BELIEVED)
    eye = bath_shift(made, now, BELIEVED, reference_sd_density=0.08, run_sd_density=0.08)
    assert eye.value_stops == pytest.approx(meter.value_stops, abs=0.02)
    assert eye.sd_stops > 1.5 * meter.sd_stops


def test_the_range_is_never_less_than_one_run_scatters() -> None:
    steps = {str(n): 0.5 + 0.02 * n for n in range(40)}
    assert bath_shift(steps, steps, BELIEVED).sd_stops >= 0.05


@pytest.mark.parametrize("density", [math.nan, math.inf, 5.0, -1.0])
def test_a_density_that_cannot_be_is_refused(density: float) -> None:
    with pytest.raises(OutOfRange, match="density of step 1"):
        bath_shift({"1": 0.9}, {"1": density}, BELIEVED)
