"""Contrast filters on variable-contrast paper: light taken, contrast given."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from stillroom.errors import BadValue
from stillroom.paper import (
    FILTER_WORDS,
    GRADE_LOG_RANGES,
    FilterEffect,
    ToneCurve,
    contrast_filter,
    green_share,
)
from stillroom.paper.contrast_filter import SOFT_OVER_HARD
from stillroom.quantity import Stops
from stillroom.quantity.spectra import (
    GRADED,
    GRID_NM,
    VARIABLE_CONTRAST,
    Spectrum,
    cut_off,
    cut_on,
    light_named,
    measured_response,
    uvcut370,
)

LENS = (uvcut370(),)
GRADES = tuple(GRADE_LOG_RANGES)


def test_a_filter_for_each_grade_and_a_word_for_each_filter() -> None:
    assert sorted(grade for pair in FILTER_WORDS.values() for grade in pair) == list(GRADES)


def test_higher_grades_are_harder_and_no_dye_costs_least() -> None:
    effects = [contrast_filter(grade, through=LENS) for grade in GRADES]
    factors = [effect.contrast_factor for effect in effects]
    assert factors == sorted(factors)
    assert factors[2] == pytest.approx(1.0, abs=0.01)
    losses = [effect.loss.value for effect in effects]
    assert losses[0] > losses[1] > losses[2] < losses[3] < losses[4] < losses[5]
    assert min(losses) > 0


def test_the_loss_is_a_sum_over_wavelengths() -> None:
    """Nanometre by nanometre, with the dyes written out: density 0.75 on the blue side of 500."""
    nm = GRID_NM
    yellow = 0.75 / (1 + np.exp((nm - 500) / 8))
    base = 0.9 / (1 + np.exp(-(nm - 350) / 5))
    light = light_named("D55").at_meter.on_grid() * VARIABLE_CONTRAST.spectrum.on_grid()
    behind_lens = light * LENS[0].on_grid()
    lost = math.log2(np.trapezoid(behind_lens * base * 10**-yellow) / np.trapezoid(behind_lens))
    assert contrast_filter(0, through=LENS).loss.value == pytest.approx(-lost, abs=1e-6)


def paper_of(blue: float, green: float) -> Spectrum:
    """Two bands well away from every edge, in chosen shares of an even light."""
    in_blue, in_green = (
        (low <= GRID_NM) & (high > GRID_NM) for low, high in ((420, 460), (530, 560))
    )
    return Spectrum("two bands", GRID_NM, blue * in_blue + green * in_green)


def test_two_bands_by_hand() -> None:
    """Dyes at full density on either: shares and loss follow from two numbers."""
    response = measured_response(paper_of(1.0, 1.0))
    light = light_named("D55")
    blue, green = (
        float(np.sum(light.at_meter.on_grid() * paper_of(*heights).values))
        for heights in ((1.0, 0.0), (0.0, 1.0))
    )
    without = green / (blue + green)
    assert green_share(light, response=response) == pytest.approx(without)
    passed = 10**-1.5  # of the green, by the magenta of grade 5
    left = blue + passed * green
    found = contrast_filter(5, response=response)
    loss = math.log2((blue + green) / (0.9 * left))
    assert found.loss.value == pytest.approx(loss, abs=0.03)
    fewer = without - passed * green / left
    assert found.contrast_factor == pytest.approx(SOFT_OVER_HARD**fewer, rel=0.01)


def test_in_bluer_light_a_hard_filter_adds_less_and_a_soft_one_costs_more() -> None:
    lights = [light_named(name) for name in ("A", "tungsten", "D55", "overcast", "blue-sky")]
    for one, bluer in pairwise(lights):
        hard, harder = (contrast_filter(5, light, LENS).contrast_factor for light in (one, bluer))
        assert harder < hard
        soft, softer = (contrast_filter(0, light, LENS).loss.value for light in (one, bluer))
        assert softer > soft


def test_graded_paper_keeps_its_contrast_and_loses_light() -> None:
    soft = contrast_filter(0, through=LENS, response=GRADED)
    assert soft.contrast_factor == pytest.approx(1.0, abs=0.03)
    assert soft.loss.value > contrast_filter(0, through=LENS).loss.value


def test_what_is_not_known_grows_with_what_is_done() -> None:
    none, some, much = (contrast_filter(grade, through=LENS) for grade in (2, 1, 0))
    assert none.contrast_log_sd < 0.01
    assert none.contrast_log_sd < some.contrast_log_sd < much.contrast_log_sd < 0.5
    assert none.loss.u < some.loss.u < much.loss.u < 1.0
    known = contrast_filter(
        0, through=LENS, response=measured_response(VARIABLE_CONTRAST.spectrum)
    )
    assert known.contrast_log_sd < much.contrast_log_sd
    assert known.contrast_factor == pytest.approx(much.contrast_factor)


def test_green_alone_is_all_soft_and_blue_alone_all_hard() -> None:
    light = light_named("D55")
    assert green_share(light, [cut_on(540.0, 1.0)]) == pytest.approx(1.0, abs=1e-6)
    assert green_share(light, [cut_off(460.0, 1.0)]) == pytest.approx(0.0, abs=1e-6)


def test_a_curve_behind_a_filter_turns_about_its_mid_tone() -> None:
    curve = ToneCurve(1.5, 0.7, 0.05, 1.85)
    softer = FilterEffect(0, Stops(1.5), 0.6, 0.2).on(curve)
    assert softer.contrast_per_stop == pytest.approx(0.9)
    assert softer.density(0.0) == pytest.approx(curve.density(0.0))
    assert softer.density(1.0) > curve.density(1.0)


@pytest.mark.parametrize("grade", [-1, 6, 2.5, True])
def test_filters_that_do_not_exist_are_refused(grade: float) -> None:
    with pytest.raises(
        BadValue, match=r"grade of the filter is .*: give a whole number from 0 to 5"
    ):
        contrast_filter(grade)  # type: ignore[arg-type]


def test_light_the_paper_does_not_see_is_refused() -> None:
    dark = Spectrum("nothing", GRID_NM, np.where(GRID_NM > 700, 1.0, 0.0))
    with pytest.raises(BadValue, match="nothing of it reaches"):
        contrast_filter(0, through=[dark])
    with pytest.raises(BadValue, match="nothing of it reaches"):
        green_share(light_named("D55"), [dark])
