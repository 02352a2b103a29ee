from __future__ import annotations

import math

import numpy as np
import pytest

from stillroom.errors import BadValue, OutOfRange
from stillroom.paper import (
    ToneCurve,
    contrast_from_iso_range,
    curve_fraction,
    curve_slopes,
    density,
    density_slope,
    iso_range,
    placement,
    rounded_iso_range,
)

SHAPES = [(0.4, 0.01), (1.1, 0.3), (1.5, 1.0), (3.0, 4.0), (12.0, 20.0)]


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_the_formula_as_it_is_written(kappa: float, nu: float) -> None:
    for u in (-2.0, -0.3, 0.0, 0.7, 1.5):
        written = (1 + (2**nu - 1) * math.exp(kappa * u)) ** (-1 / nu)
        assert float(curve_fraction(u, kappa, nu)) == pytest.approx(written, rel=1e-10)


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_half_way_at_the_mid_tone_for_every_shape(kappa: float, nu: float) -> None:
    assert float(density(0.0, kappa, nu, 0.1, 1.9)) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_the_slope_is_the_curves_own(kappa: float, nu: float) -> None:
    u = np.linspace(-4, 4, 33) / kappa
    step = 1e-5 / kappa
    up, down = (density(u + d, kappa, nu, 0.1, 1.9) for d in (step, -step))
    np.testing.assert_allclose(
        density_slope(u, kappa, nu, 0.1, 1.9), (up - down) / (2 * step), rtol=1e-4, atol=1e-9
    )


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_the_slopes_in_contrast_and_asymmetry_are_the_curves_own(kappa: float, nu: float) -> None:
    u = np.linspace(-4, 4, 33) / kappa
    slopes = curve_slopes(u, kappa, nu)
    step = 1e-5
    for by_shape, shapes in (
        (u * slopes.by_placement, [(kappa * math.exp(d), nu) for d in (step, -step)]),
        (slopes.by_log_asymmetry, [(kappa, nu * math.exp(d)) for d in (step, -step)]),
    ):
        up, down = (curve_fraction(u, *shape) for shape in shapes)
        np.testing.assert_allclose(by_shape, (up - down) / (2 * step), rtol=1e-4, atol=1e-9)
    np.testing.assert_allclose(slopes.fraction, curve_fraction(u, kappa, nu), rtol=1e-12)


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_the_mid_slope_as_it_is_written(kappa: float, nu: float) -> None:
    written = -1.8 * kappa * (1 - 2**-nu) / (2 * nu)
    assert float(density_slope(0, kappa, nu, 0.1, 1.9)) == pytest.approx(written, rel=1e-12)


@pytest.mark.parametrize(("kappa", "nu"), SHAPES)
def test_nothing_overflows_far_out(kappa: float, nu: float) -> None:
    u = np.array([-np.inf, -1e6, -500.0, 500.0, 1e6, np.inf])
    with np.errstate(over="raise", invalid="raise", divide="raise"):
        tones = density(u, kappa, nu, 0.1, 1.9)
        slopes = density_slope(u, kappa, nu, 0.1, 1.9)
        by_shape = curve_slopes(u, kappa, nu).by_log_asymmetry
    assert tones[:2] == pytest.approx(1.9)
    assert tones[-2:] == pytest.approx(0.1)
    assert np.all(np.isfinite(slopes))
    assert np.all(np.isfinite(by_shape))
    assert slopes[[0, -1]] == pytest.approx(0)


def test_arrays_broadcast() -> None:
    u = np.linspace(-1, 1, 5)[:, None]
    kappa = np.array([1.0, 1.5, 2.0])
    dmax = np.array([1.7, 1.8, 1.9])
    tones = density(u, kappa, 1.0, 0.1, dmax)
    assert tones.shape == (5, 3)
    assert density_slope(u, kappa, 1.0, 0.1, dmax).shape == (5, 3)
    np.testing.assert_allclose(
        placement(tones, kappa, 1.0, 0.1, dmax), np.broadcast_to(u, (5, 3)), atol=1e-12
    )


@pytest.mark.parametrize("tone", [0.1, 1.9, 0.05, 2.4, math.nan])
def test_a_tone_outside_the_curve_tells_no_exposure(tone: float) -> None:
    with pytest.raises(OutOfRange, match=r"density is .*from 0.1 to 1.9 \(neither end included\)"):
        placement(tone, 1.5, 1.0, 0.1, 1.9)


def test_the_first_tone_outside_is_named() -> None:
    with pytest.raises(OutOfRange, match=r"density is 1.8: give a number from 0.1 to 1.7"):
        placement(np.array([1.0, 1.8]), 1.5, 1.0, 0.1, np.array([1.9, 1.7]))


def test_ends_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(BadValue, match="must lie above Dmin"):
        placement(1.0, 1.5, 1.0, 1.9, 0.1)


@pytest.mark.parametrize(
    ("shape", "message"),
    [
        ((0, 1, 0.1, 1.9), "contrast is 0"),
        ((1.5, 0, 0.1, 1.9), "asymmetry is 0"),
        ((1.5, 1, -1, 1.9), "Dmin is -1"),
        ((1.5, 1, 1.0, 1.05), "Dmax is 1.05"),
        ((1.5, math.nan, 0.1, 1.9), "asymmetry is nan"),
    ],
)
def test_curves_that_cannot_be_are_refused(
    shape: tuple[float, float, float, float], message: str
) -> None:
    with pytest.raises(OutOfRange, match=message):
        ToneCurve(*shape)


def test_the_checked_curve_is_the_same_curve() -> None:
    curve = ToneCurve(1.5, 0.7, 0.1, 1.9)
    assert curve.density(0.8) == float(density(0.8, 1.5, 0.7, 0.1, 1.9))
    assert curve.slope(0.8) == float(density_slope(0.8, 1.5, 0.7, 0.1, 1.9))
    assert curve.placement(0.8) == float(placement(0.8, 1.5, 0.7, 0.1, 1.9))
    assert curve.mid_density == 1.0
    with pytest.raises(OutOfRange, match="placement is 61"):
        curve.density(61)
    with pytest.raises(OutOfRange, match="placement is nan"):
        curve.slope(math.nan)


@pytest.mark.parametrize("wanted", [70, 110, 164])
@pytest.mark.parametrize("nu", [0.3, 1.0, 3.0])
def test_contrast_and_iso_range_are_each_others_inverse(wanted: float, nu: float) -> None:
    kappa = contrast_from_iso_range(wanted, nu, 0.06, 1.85)
    assert iso_range(ToneCurve(kappa, nu, 0.06, 1.85)) == pytest.approx(wanted)


def test_an_iso_range_from_its_end_points() -> None:
    # Symmetric curve: F = 0.9 and F = 0.04 / 1.8 lie ln 9 and ln 44 from the middle.
    written = (math.log(9) + math.log(44)) / 1.5 * math.log10(2) * 100
    assert iso_range(ToneCurve(1.5, 1.0, 0.1, 1.9)) == pytest.approx(written)


@pytest.mark.parametrize(("r", "rounded"), [(104.9, 100), (105, 110), (164, 160)])
def test_an_iso_range_is_printed_in_tens(r: float, rounded: int) -> None:
    assert rounded_iso_range(r) == rounded
