"""Lines round all that is at or below a level."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from stillroom.quantity import FloatArray
from stillroom.web.views.level_lines import rings_at_most, thinned


def area(ring: FloatArray) -> float:
    x, y = ring.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)


def is_inside(rings: tuple[FloatArray, ...], x: float, y: float) -> bool:
    """By the even-odd rule, along a ray to the right."""
    crossed = 0
    for ring in rings:
        x0, y0 = ring.T
        x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
        over = (y0 > y) != (y1 > y)
        at = x0[over] + (y - y0[over]) * (x1[over] - x0[over]) / (y1[over] - y0[over])
        crossed += int((at > x).sum())
    return crossed % 2 == 1


def bowl(rows: int = 121, columns: int = 161) -> FloatArray:
    y, x = np.mgrid[:rows, :columns]
    return np.asarray(np.hypot(x - 80, y - 60))


@pytest.mark.parametrize("radius", [10.0, 20.5, 50.0])
def test_a_round_hollow_has_the_area_of_a_circle(radius: float) -> None:
    (ring,) = rings_at_most(bowl(), radius)
    assert abs(area(ring)) == pytest.approx(math.pi * radius**2, rel=0.01)
    assert np.hypot(ring[:, 0] - 80, ring[:, 1] - 60) == pytest.approx(radius, abs=0.05)


def test_a_ring_is_two_lines_that_run_opposite_ways() -> None:
    rings = rings_at_most(np.abs(bowl() - 30), 10.0)
    outer, inner = sorted((area(ring) for ring in rings), key=abs, reverse=True)
    assert len(rings) == 2
    assert abs(outer) == pytest.approx(math.pi * 40**2, rel=0.01)
    assert outer * inner < 0
    assert outer + inner == pytest.approx(
        math.copysign(math.pi * (40**2 - 20**2), outer), rel=0.01
    )


def test_what_runs_off_the_grid_is_closed_just_outside_it() -> None:
    values = np.zeros((4, 6))
    (ring,) = rings_at_most(values, 0.5)
    assert ring.min() >= -1
    assert ring[:, 0].max() <= 6
    assert ring[:, 1].max() <= 4
    assert all(is_inside((ring,), x, y) for x in range(6) for y in range(4))


def test_nothing_is_low_enough() -> None:
    assert rings_at_most(np.ones((3, 3)), 0.5) == ()


@given(arrays(np.float64, (7, 9), elements=st.floats(0, 1)), st.floats(0.05, 0.95))
def test_every_point_of_the_grid_is_on_its_own_side(values: FloatArray, level: float) -> None:
    # Lines through a point of the grid itself belong to both sides.
    values = np.where(np.abs(values - level) < 1e-6, level + 1e-3, values)
    rings = rings_at_most(values, level)
    for row in range(7):
        for column in range(9):
            inside = is_inside(rings, column + 1e-9, row + 1e-9)
            assert inside == (values[row, column] <= level)


def test_thinning_leaves_out_corners_but_no_shape() -> None:
    (ring,) = rings_at_most(bowl(), 50.0)
    thin = thinned(ring, 0.1)
    assert len(thin) < len(ring) / 3
    assert abs(area(thin)) == pytest.approx(abs(area(ring)), rel=0.005)
    assert np.hypot(thin[:, 0] - 80, thin[:, 1] - 60) == pytest.approx(50, abs=0.05)


@pytest.mark.parametrize("count", range(3, 9))
def test_a_small_ring_stays_a_ring(count: int) -> None:
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    assert len(thinned(ring, 0.01)) == count
    assert len(thinned(ring, 100.0)) >= 3
