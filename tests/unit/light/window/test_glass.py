"""Panes against printed tables and against what no pane can do."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.light.window import Glass

TABLE = Path(__file__).parents[3] / "data" / "daylight" / "window" / "glass.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
glasses = st.builds(
    Glass,
    pane_transmittance=st.floats(0.05, 0.91),
    panes=st.integers(1, 4),
    refractive_index=st.floats(1.35, 1.52),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: "-".join(row.values()))
def test_printed_transmittances(row: dict[str, str]) -> None:
    glass = Glass(float(row["pane_transmittance"]), int(row["panes"]))
    got = float(glass.transmittance(np.cos(np.radians(float(row["angle_deg"])))))
    assert got == pytest.approx(float(row["transmittance"]), abs=0.002)


@pytest.mark.parametrize("angle_deg", [0, 20, 40, 60, 70, 80])
def test_clear_glass_of_6_mm(angle_deg: float) -> None:
    # Polynomial for clear 6 mm glass of "Daylight Algorithms" 2.34, as a CIE report's test case
    # uses it (5.10); quoted in a public mailing list of 2017 (seen).
    cosine = np.cos(np.radians(angle_deg))
    coefficients = [-1.775827, 4.014235, -1.428919, -3.058376, 3.156075, -0.028378]
    fit = float(np.polyval(coefficients, cosine))
    normal = float(np.sum(coefficients))
    got = float(Glass(normal).transmittance(cosine))
    assert got == pytest.approx(fit, abs=0.01)


def test_a_pane_that_takes_nothing_loses_what_its_surfaces_reflect() -> None:
    # n = 1.52: 4.26 in a hundred at each surface; both, and all echoes, leave (1 - r) / (1 + r).
    r = (0.52 / 2.52) ** 2
    lossless = Glass((1 - r) / (1 + r))
    assert lossless.normal_transmittance == pytest.approx(0.918, abs=5e-4)
    assert lossless.diffuse_transmittance + lossless.diffuse_reflectance == pytest.approx(1)
    # At Brewster's angle one polarisation passes whole, the other with r = cos^2(2 theta).
    brewster = np.arctan(1.52)
    s = np.cos(2 * brewster) ** 2
    expected = (1 + (1 - s) / (1 + s)) / 2
    assert float(lossless.transmittance(np.cos(brewster))) == pytest.approx(expected)


def test_light_from_everywhere_through_clear_glass() -> None:
    # The split-flux method counts 0.85 for clear glass (from memory).
    assert Glass(0.91).diffuse_transmittance == pytest.approx(0.85, abs=0.02)


@given(glasses)
def test_more_slant_never_lets_more_through(glass: Glass) -> None:
    passed = glass.transmittance(np.cos(np.radians(np.linspace(0, 90, 91))))
    # One polarisation gains a little up to Brewster's angle; the mean never by a thousandth.
    assert np.all(np.diff(passed) <= 1e-3)
    assert passed[0] == pytest.approx(glass.normal_transmittance)
    assert passed[-1] == pytest.approx(0, abs=1e-9)
    assert glass.diffuse_transmittance + glass.diffuse_reflectance <= 1 + 1e-9


@given(glasses)
def test_another_pane_takes_more(glass: Glass) -> None:
    cosines = np.linspace(0.01, 1, 30)
    more = Glass(glass.pane_transmittance, min(4, glass.panes + 1), glass.refractive_index)
    assert np.all(more.transmittance(cosines) <= glass.transmittance(cosines) + 1e-12)


def test_what_already_stands_in_the_light_is_not_counted_twice() -> None:
    cosines = np.cos(np.radians([0.0, 30.0, 75.0, 90.0, 120.0]))
    absolute, relative = Glass(0.8), Glass(0.8, in_the_light=True)
    got = relative.transmittance(cosines) * absolute.normal_transmittance
    assert got == pytest.approx(absolute.transmittance(cosines))
    assert got[-1] == 0  # from behind


def test_a_pane_brighter_than_its_surfaces_allow_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"pane transmittance is 0.95: .* 0.01 to 0.91"):
        Glass(0.95)
