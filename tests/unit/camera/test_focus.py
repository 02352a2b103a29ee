"""Depth about an eye against a thick lens traced ray by ray, and what else focus hangs on."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.camera import (
    Depth,
    bellows_factor,
    blur_at_mm,
    circle_for,
    depth_about,
    depth_of_field_limits_m,
    eye_in_focus,
    f_number_for_depth,
    magnification_from_distance,
    plate_blur_mm,
    pupil_to_focus_mm,
    subject_shift_mm,
)
from stillroom.errors import StillroomError

sys.path.insert(0, str(Path(__file__).parent))
from traced_lens import PLAIN, RETROFOCUS, TELEPHOTO, Traced  # type: ignore[import-not-found]

LENSES = pytest.mark.parametrize("lens", [PLAIN, TELEPHOTO, RETROFOCUS])
DISTANCES = pytest.mark.parametrize("before_mm", [1300.0, 2000.0, 6000.0])


def numbers(lens: Traced) -> tuple[float, float, float]:
    """Focal length, f-number and pupil ratio, from rays."""
    _, entrance = lens.entrance_pupil
    return lens.focal, lens.focal / entrance, lens.exit_pupil[1] / entrance


@LENSES
@DISTANCES
def test_size_and_pupil_as_the_rays_have_them(lens: Traced, before_mm: float) -> None:
    focal, _, ratio = numbers(lens)
    from_principal = before_mm + lens.front_principal
    m = lens.magnification(before_mm)
    assert magnification_from_distance(focal, from_principal / 1000) == pytest.approx(m, rel=1e-9)
    pupil_at, _ = lens.entrance_pupil
    assert pupil_to_focus_mm(focal, m, ratio) == pytest.approx(before_mm + pupil_at, rel=1e-9)


@LENSES
@DISTANCES
@pytest.mark.parametrize("circle_mm", [0.05, 0.2])
def test_at_the_limits_the_traced_disc_is_the_circle(
    lens: Traced, before_mm: float, circle_mm: float
) -> None:
    focal, n, ratio = numbers(lens)
    sheet = lens.image_behind(before_mm)
    depth = depth_about(focal, n, circle_mm, lens.magnification(before_mm), ratio)
    nearer, farther = float(depth.before_mm), float(depth.behind_mm)
    assert lens.blur(before_mm - nearer, sheet) == pytest.approx(circle_mm, rel=1e-8)
    assert nearer < farther
    if math.isfinite(farther):
        assert lens.blur(before_mm + farther, sheet) == pytest.approx(circle_mm, rel=1e-8)


@LENSES
@DISTANCES
@pytest.mark.parametrize("nearer_mm", [-60.0, 5.0, 40.0])
def test_the_disc_of_an_eye_that_is_off(lens: Traced, before_mm: float, nearer_mm: float) -> None:
    focal, n, ratio = numbers(lens)
    traced = lens.blur(before_mm - nearer_mm, lens.image_behind(before_mm))
    m = lens.magnification(before_mm)
    assert blur_at_mm(focal, n, m, nearer_mm, ratio) == pytest.approx(traced, rel=1e-8)


@LENSES
@DISTANCES
@pytest.mark.parametrize("shift_mm", [-0.8, 1.5])
def test_a_sheet_behind_the_glass(lens: Traced, before_mm: float, shift_mm: float) -> None:
    focal, n, ratio = numbers(lens)
    m, sheet = lens.magnification(before_mm), lens.image_behind(before_mm)
    nearer = subject_shift_mm(focal, m, shift_mm)
    assert lens.image_behind(before_mm - nearer) == pytest.approx(sheet + shift_mm, rel=1e-9)
    traced = lens.blur(before_mm, sheet + shift_mm)
    assert plate_blur_mm(shift_mm, n, m, ratio) == pytest.approx(traced, rel=1e-8)


@LENSES
def test_what_the_draw_costs_is_the_cone_of_rays(lens: Traced) -> None:
    """Exposure goes as the square of the cone's slope at the sheet."""
    focal, n, ratio = numbers(lens)
    m = lens.magnification(1500.0)
    at_edge = lens.stop_diameter / 2 / lens.to_stop(1500.0, 1.0)
    _, slope = lens.through(at_edge * 1500.0, at_edge)
    assert (1 / (2 * abs(slope) * n)) ** 2 == pytest.approx(bellows_factor(m, ratio), rel=1e-9)
    assert focal > 0


def test_a_symmetrical_lens_is_the_thin_one() -> None:
    """Against the limits of the textbook, C-15 and C-16 among the published checks."""
    depth = depth_about(300, 2**3.5, 0.2, 300 / 2700)
    near, far = depth_of_field_limits_m(300, 2**3.5, 0.2, 3.0)
    assert float(depth.before_mm) == pytest.approx((3.0 - near) * 1000, rel=1e-9)
    assert float(depth.behind_mm) == pytest.approx((far - 3.0) * 1000, rel=1e-9)


@given(
    n=st.floats(1.4, 90),
    circle=st.floats(0.02, 0.4),
    m=st.floats(0.02, 1.0),
    ratio=st.floats(0.4, 2.0),
)
def test_a_smaller_stop_is_deeper_and_the_stop_comes_back(
    n: float, circle: float, m: float, ratio: float
) -> None:
    one = depth_about(300, np.array([n, n * 1.2]), circle, m, ratio)
    before, behind = np.asarray(one.before_mm), np.asarray(one.behind_mm)
    assert before[0] < before[1]
    assert behind[0] <= behind[1]
    found = f_number_for_depth(300, float(before[0]), circle, m, ratio)
    assert found == pytest.approx(n, rel=1e-6)


@pytest.mark.parametrize("nearer_mm", [0.0, 6.0, -15.0])
def test_chance_of_a_sharp_eye_is_a_count(nearer_mm: float) -> None:
    depth = depth_about(300, 5.4, 0.1, 0.3, 0.7)
    eyes = np.random.default_rng(5).normal(nearer_mm, 8.0, 200_000)
    inside = (eyes < depth.before_mm) & (eyes > -np.asarray(depth.behind_mm))
    said = float(eye_in_focus(depth, 8.0, nearer_mm))
    assert said == pytest.approx(float(inside.mean()), abs=0.004)


def test_in_the_hand_asks_two_stops_of_a_big_sheet_and_one_on_the_wall() -> None:
    """The same head on 13 x 18 cm and 8 x 10 in, twice as large: depth goes as N c / m²."""

    def wanted(viewing: str, format_mm: tuple[float, float], m: float) -> float:
        circle = circle_for(viewing, *format_mm)  # type: ignore[arg-type]
        return f_number_for_depth(300, 12.0, circle, m)

    small, large = (130.0, 180.0), (203.2, 254.0)
    m_small, m_large = 0.22, 0.22 * math.sqrt(2)
    hand, wall = (
        2 * math.log2(wanted(how, large, m_large) / wanted(how, small, m_small))
        for how in ("in_the_hand", "on_the_wall")
    )
    assert 1.5 < hand < 2.2
    assert 0.4 < wall < 1.2


@pytest.mark.parametrize(
    "call",
    [
        lambda: depth_about(300, 0.1, 0.1, 0.3),
        lambda: depth_about(300, 5.6, 0.0, 0.3),
        lambda: blur_at_mm(300, 5.6, 0.3, 5000.0),
        lambda: eye_in_focus(Depth(1.0, 1.0), -1.0),
        lambda: circle_for("in_the_hand", -1.0, 254.0),
        lambda: circle_for("on_the_ceiling", 203.0, 254.0),  # type: ignore[arg-type]
        lambda: f_number_for_depth(300, 5000.0, 0.1, 0.3),
    ],
)
def test_what_cannot_be_is_said(call: object) -> None:
    with pytest.raises(StillroomError):
        call()  # type: ignore[operator]
