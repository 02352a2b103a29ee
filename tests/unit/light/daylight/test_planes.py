"""An upright plane's share of the clear sky."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.light.daylight import OVERCAST_UPRIGHT_RATIO, Plane, upright_sky_ratio
from tests.unit.light.daylight.tables import rows

elevations = st.floats(0, 90)
turns = st.floats(-720, 720)


def general_sky_upright_away(elevation_deg: float) -> float:
    """CIE standard general sky type 12, an upright plane turned away from the sun, over level.

    Gradation a = -1, b = -0.32; indicatrix c = 10, d = -3, e = 0.45 (CIE S 011, from memory; the
    printed ratios say whether memory served). Midpoint sums over the sky.
    """
    zenith = np.radians(np.arange(0.25, 90, 0.5))[:, None]
    azimuth = np.radians(np.arange(0.5, 360, 1.0))[None, :]
    sun_zenith = math.radians(90 - elevation_deg)
    apart = np.arccos(
        np.clip(
            math.cos(sun_zenith) * np.cos(zenith)
            + math.sin(sun_zenith) * np.sin(zenith) * np.cos(azimuth),
            -1,
            1,
        )
    )
    gradation = 1 - np.exp(-0.32 / np.cos(zenith))
    indicatrix = (
        1 + 10 * (np.exp(-3 * apart) - math.exp(-3 * math.pi / 2)) + 0.45 * np.cos(apart) ** 2
    )
    light = gradation * indicatrix * np.sin(zenith)
    upright = np.sum(light * np.sin(zenith) * np.maximum(-np.cos(azimuth), 0))
    return float(upright / np.sum(light * np.cos(zenith)))


@pytest.mark.parametrize("row", rows("upright_sky"), ids=lambda row: row["elevation_deg"])
def test_facing_away_against_two_other_skies(row: dict[str, str]) -> None:
    """Between the model of Perez and type 12, or beside them by half the spread that is given."""
    elevation = float(row["elevation_deg"])
    assert general_sky_upright_away(elevation) == pytest.approx(
        float(row["cie_type_12"]), abs=0.003
    )
    ours = math.log2(float(upright_sky_ratio(elevation, 180.0)))
    others = [math.log2(float(row[name])) for name in ("cie_type_12", "perez")]
    assert min(others) - 0.02 <= ours <= max(others) + 0.13


def test_a_flat_half_is_within_a_quarter_stop_of_facing_away() -> None:
    """Notes: within 0.22 stop."""
    away = upright_sky_ratio(np.arange(0.0, 91.0), 180.0)
    assert np.abs(np.log2(away / 0.5)).max() == pytest.approx(0.22, abs=0.005)


def test_the_printed_table_is_kept() -> None:
    """Notes, section 4: nodes of the three rows."""
    elevation = np.array([3.0, 5, 10, 15, 20, 30, 40, 50, 60, 75, 90])
    for turn, row in (
        (180, [0.583, 0.582, 0.559, 0.534, 0.512, 0.476, 0.452, 0.438, 0.436, 0.455, 0.506]),
        (90, [0.541, 0.559, 0.589, 0.598, 0.595, 0.578, 0.557, 0.539, 0.525, 0.511, 0.506]),
        (0, [0.611, 0.695, 0.908, 1.010, 1.039, 0.995, 0.902, 0.803, 0.711, 0.593, 0.506]),
    ):
        assert upright_sky_ratio(elevation, turn) == pytest.approx(np.array(row), abs=1e-9)


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
    assert f"{OVERCAST_UPRIGHT_RATIO:.4f}" == "0.3962"


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
