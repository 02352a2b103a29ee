"""An upright plane's share of the clear sky."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.light.daylight import OVERCAST_UPRIGHT_RATIO, Plane, upright_sky_ratio
from tests.unit.light.daylight.tables import general_sky_upright_away

elevations = st.floats(0, 90)
turns = st.floats(-720, 720)


@pytest.mark.parametrize("elevation", [5.0, 10.0, 20.0, 40.0, 60.0])
def test_facing_away_is_no_darker_than_the_darkest_of_skies(elevation: float) -> None:
    """Type 12 scatters once; what is scattered again, and off the ground, comes on top."""
    darkest = general_sky_upright_away(elevation)
    ours = math.log2(float(upright_sky_ratio(elevation, 180.0)) / darkest)
    assert -0.02 <= ours <= 0.4


@given(elevation=elevations, turn=turns)
def test_left_and_right_of_the_sun_are_alike(elevation: float, turn: float) -> None:
    here = float(upright_sky_ratio(elevation, turn))
    assert float(upright_sky_ratio(elevation, -turn)) == pytest.approx(here, abs=1e-9)
    assert float(upright_sky_ratio(elevation, turn + 360)) == pytest.approx(here, abs=1e-9)
    assert 0.4 < here < 1.05


@given(turn=turns)
def test_under_a_sun_in_the_zenith_all_sides_are_alike(turn: float) -> None:
    assert float(upright_sky_ratio(90.0, turn)) == pytest.approx(0.506, abs=1e-9)


def test_all_four_sides_and_the_ground_share_the_sky() -> None:
    """A sky alike everywhere gives 0.5 on the average of all sides.

    A clear one is brighter near the horizon, which upright planes see best: a little more.
    """
    turns = np.arange(0.0, 360.0, 5.0)
    for elevation in (5.0, 20.0, 40.0, 60.0):
        assert 0.5 < upright_sky_ratio(elevation, turns).mean() < 0.8


def test_overcast_ratio() -> None:
    """(pi/6 + 4/9) / (7 pi/9) = 0.3962, closed form of the 1:3 sky."""
    zenith = np.radians(np.arange(0.005, 90, 0.01))
    light = (1 + 2 * np.cos(zenith)) / 3 * np.sin(zenith)
    summed = np.sum(light * 2 * np.sin(zenith)) / np.sum(light * 2 * np.pi * np.cos(zenith))
    assert pytest.approx(summed, abs=1e-5) == OVERCAST_UPRIGHT_RATIO


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"facing_deg": 400.0}, "direction of the plane is 400"),
        ({"ground_reflectance": 1.5}, "reflectance of the ground is 1.5"),
        ({"sky_share": 0.0}, "share of the sky is 0.0"),
        ({"sky_share": 1.1}, "share of the sky is 1.1"),
        ({"skyline_deg": 90.0}, "skyline is 90.0"),
        ({"facing_deg": math.nan}, "direction of the plane is nan"),
    ],
)
def test_impossible_planes_are_refused(wrong: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        Plane(**wrong)  # type: ignore[arg-type]
