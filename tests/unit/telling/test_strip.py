"""Her strip and the marks along it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.answers import AimShown, RegionForecast, Spread
from stillroom.documents.book import StripStep
from stillroom.paper import ToneCurve
from stillroom.telling.strip import (
    Axis,
    CurvePoint,
    density_at,
    placement_at,
    region_row,
    screen_tone,
    tone_strip,
)

CURVE = ToneCurve(1.5, 1.0, 0.08, 1.9)
POINTS = [CurvePoint(n / 8, CURVE.density(n / 8)) for n in range(-64, 65)]
STEPS = [StripStep(step=n, density=d) for n, d in enumerate((1.8, 1.6, 1.2, 0.8, 0.45, 0.2), 1)]


# IEC 61966-2-1 (from memory): linear 0.5 is code value 188 of 255, linear 0.18 is 118.
@pytest.mark.parametrize(("density", "tone"), [(0.30103, 188), (0.74473, 118), (0.0, 255)])
def test_a_density_is_shown_as_its_own_grey(density: float, tone: int) -> None:
    assert screen_tone(density) == tone


@given(st.floats(-4, 4))
def test_there_and_back_along_the_curve(placement_stops: float) -> None:
    density = density_at(POINTS, placement_stops)
    assert density == pytest.approx(CURVE.density(placement_stops), abs=0.005)
    assert placement_at(POINTS, density) == pytest.approx(placement_stops, abs=0.01)


@pytest.mark.parametrize("steps", [STEPS, STEPS[::-1], STEPS[:1], []])
def test_the_greys_fill_the_strip_and_grow_lighter(steps: list[StripStep]) -> None:
    patches = tone_strip(POINTS, steps).patches
    assert patches[0].left == 0
    assert patches[-1].left + patches[-1].width == pytest.approx(100, abs=0.02)
    for before, after in pairwise(patches):
        assert before.left + before.width == pytest.approx(after.left, abs=0.02)
        assert before.tone <= after.tone


def test_each_step_stands_at_its_measured_place() -> None:
    axis = Axis()
    numbered = {p.number: p for p in tone_strip(POINTS, STEPS).patches if p.number}
    for step in STEPS:
        patch = numbered[step.step]
        hole = patch.left + patch.width * patch.hole / 100
        assert hole == pytest.approx(axis.at(CURVE.placement(step.density)), abs=0.15)


def test_without_a_strip_of_her_own_it_says_that_it_is_worse() -> None:
    strip = tone_strip(POINTS)
    assert not strip.is_own
    assert "a strip of your own would be better" in strip.described
    assert all(patch.number is None for patch in strip.patches)


def region(q05: float, q50: float, q95: float, tol: float | None = 1 / 3) -> RegionForecast:
    spread = Spread(mean=q50, sd=0.3, q05=q05, q25=q05, q50=q50, q75=q95, q95=q95)
    return RegionForecast(
        name="Key cheek",
        placement_stops=spread,
        density=spread,
        sources={"key": 1.0},
        ledger=(),
        landings=(),
        aim=AimShown(placement_stops=2 / 3, tol_stops=tol, density=0.6, relative_to="skin"),
        p_lands=0.7,
    )


def test_a_row_says_in_words_what_it_draws() -> None:
    row = region_row(region(1 / 3, 2 / 3, 1.0), POINTS, seen_stops=-1.0)
    assert (row.says, row.range) == ("+⅔", "±⅓")
    assert row.spoken == (
        "Key cheek: two thirds of a stop lighter than the middle, give or take a third of a stop; "
        "wanted a third of a stop lighter than the middle to one stop lighter than the middle; "
        "seen one stop darker than the middle."
    )


@pytest.mark.parametrize(("q50", "is_out"), [(0.9, False), (1.1, True), (0.2, True)])
def test_a_best_value_outside_its_brackets_is_marked(q50: float, is_out: bool) -> None:  # noqa: FBT001 - a table of cases
    assert region_row(region(0.0, q50, 1.5), POINTS).is_out is is_out


def test_what_nobody_cares_about_has_no_brackets() -> None:
    row = region_row(region(0, 0.5, 1, tol=None), POINTS)
    assert row.wanted is None
    assert not row.is_out


def test_what_lies_beyond_an_end_is_drawn_at_the_end() -> None:
    spindle = Axis(-1, 1).spindle(-5, 0, 5)
    assert (spindle.low, spindle.peak, spindle.high) == (0, 50, 100)
