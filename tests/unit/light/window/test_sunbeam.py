"""The sun through an opening, ray by ray and by what must be kept."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.light.window import (
    SUN_RADIUS_DEG,
    Bare,
    Glass,
    Opening,
    Spot,
    sun_flux_factor_m2,
    sun_seen,
    sunbeam_factor,
)
from tests.unit.light.window.oracles import disc_seen, normal_of

SOUTH = Opening(1.2, 1.5, 0.9, azimuth_deg=180)
YEAR = 35_040

openings = st.builds(
    Opening,
    width_m=st.floats(0.01, 2),
    height_m=st.floats(0.01, 2),
    sill_m=st.floats(0, 1.5),
    azimuth_deg=st.floats(0, 359),
    outer_reveal_m=st.floats(0, 0.5),
    inner_reveal_m=st.floats(0, 0.2),
    obstruction_deg=st.floats(0, 30),
)
places = st.builds(
    Spot,
    distance_m=st.floats(0.3, 5),
    offset_m=st.floats(-1, 1),
    height_m=st.floats(0.2, 2),
    turn_deg=st.floats(-80, 80),
    tilt_deg=st.floats(-60, 60),
)
across = st.floats(-0.6, 0.6)


def aimed(opening: Opening, place: Spot, x: float, up: float) -> tuple[float, float]:
    """Where the sun stands when the place sees it at this share of the opening from its middle."""
    right = x * opening.width_m - place.offset_m
    rise = opening.sill_m + (0.5 + up) * opening.height_m - place.height_m
    level = math.hypot(right, place.distance_m)
    azimuth = opening.azimuth_deg + math.degrees(math.atan2(right, place.distance_m))
    return math.degrees(math.atan2(rise, level)), azimuth


@pytest.mark.parametrize(
    ("height_m", "lit"), [(0.02, False), (0.05, True), (1.5, True), (1.56, False)]
)
def test_a_sun_at_30_degrees_reaches_where_a_ruler_says(height_m: float, lit: object) -> None:
    # 1.5 m from the glass it has come down 1.5 tan 30 = 0.866 m: lit from 0.034 m to 1.534 m.
    got = float(sun_seen(SOUTH, Spot(1.5, height_m=height_m), 30.0, 180.0))
    assert got == (1.0 if lit else 0.0)


@settings(max_examples=300, deadline=None)
@given(openings, places, across, across)
@example(Opening(0.005, 1.0, 1.0, 0), Spot(3.0), 0.0, 0.0)
def test_the_disc_ray_by_ray(opening: Opening, place: Spot, x: float, up: float) -> None:
    elevation, azimuth = aimed(opening, place, x, up)
    got = float(sun_seen(opening, place, elevation, azimuth))
    expected = disc_seen(opening, place, elevation, azimuth)
    # A hole smaller than the disc both ways comes out up to 0.055 too bright (a square half as
    # wide as the disc: 0.371 by product of two stripes, 0.318 in truth), a corner seen aslant up
    # to 0.04 off; rays are good to 0.01.
    assert got == pytest.approx(expected, abs=0.07)


@given(st.floats(-1.2, 1.2), st.floats(0.05, 3))
def test_one_edge_cuts_a_segment(radii: float, distance: float) -> None:
    # A wide opening whose lower edge crosses the disc; area of a circle's segment.
    elevation = 20.0
    edge = math.radians(elevation - radii * SUN_RADIUS_DEG)
    place = Spot(distance, height_m=1.0)
    opening = Opening(50.0, 50.0, 1.0 + distance * math.tan(edge), 0)
    d = min(max(radii, -1.0), 1.0)
    segment = 0.5 + (d * math.sqrt(1 - d * d) + math.asin(d)) / math.pi
    assert float(sun_seen(opening, place, elevation, 0.0)) == pytest.approx(segment, abs=1e-6)


def test_a_gap_narrower_than_the_sun_shows_a_stripe_of_it() -> None:
    # 5 mm seen from 3 m: 0.0955 degrees of the sun's 0.533, through its middle.
    half = math.degrees(math.atan(0.0025 / 3)) / SUN_RADIUS_DEG
    stripe = 2 * (half * math.sqrt(1 - half**2) + math.asin(half)) / math.pi
    got = float(sun_seen(Opening(0.005, 2.0, 0.5, 0), Spot(3.0), 5.0, 0.0))
    assert got == pytest.approx(stripe, rel=0.02)


@given(openings, places, across, across, st.floats(-300, 300))
def test_turning_house_and_sun_together_changes_nothing(
    opening: Opening, place: Spot, x: float, up: float, turn: float
) -> None:
    elevation, azimuth = aimed(opening, place, x, up)
    turned = replace(opening, azimuth_deg=(opening.azimuth_deg + turn) % 360)
    there = (azimuth + turn) % 360
    expected = float(sunbeam_factor(opening, place, elevation, azimuth))
    assert float(sunbeam_factor(turned, place, elevation, there)) == pytest.approx(
        expected, abs=1e-6
    )


@given(openings, places, across, across)
def test_the_beam_is_disc_times_cosine_times_panes(
    opening: Opening, place: Spot, x: float, up: float
) -> None:
    elevation, azimuth = aimed(opening, place, x, up)
    el, az = math.radians(elevation), math.radians(azimuth - opening.azimuth_deg)
    u = np.array([math.cos(el) * math.sin(az), math.cos(el) * math.cos(az), math.sin(el)])
    glass = Glass(0.88, 2)
    got = float(
        sunbeam_factor(replace(opening, glass=glass, frame_share=0.25), place, elevation, azimuth)
    )
    disc = float(sun_seen(opening, place, elevation, azimuth))
    expected = disc * max(0.0, float(u @ normal_of(place)))
    assert got == pytest.approx(0.75 * float(glass.transmittance(u[1])) * expected, abs=1e-9)


@pytest.mark.parametrize("bare", [None, Bare(0.3, 1.0, 0.2, 0.3)])
@pytest.mark.parametrize(("elevation", "turn"), [(25.0, 30.0), (40.0, -50.0)])
def test_what_comes_in_is_what_arrives(bare: Bare | None, elevation: float, turn: float) -> None:
    opening = replace(
        SOUTH, outer_reveal_m=0.15, inner_reveal_m=0.2, bare=bare, glass=Glass(), frame_share=0.1
    )
    # On an upright plane 0.8 m inside, added up over squares of 2 cm around where the beam falls.
    slope_x = math.tan(math.radians(turn))
    slope_z = math.tan(math.radians(elevation)) / math.cos(math.radians(turn))
    arrived = 0.0
    for x in np.arange(-0.8, 0.8, 0.02) + 0.01 - 0.8 * slope_x:
        for z in np.arange(0.7, 2.6, 0.02) + 0.01 - 0.8 * slope_z:
            place = Spot(0.8, offset_m=float(x), height_m=max(0.0, float(z)))
            if z >= 0:
                arrived += float(sunbeam_factor(opening, place, elevation, 180 + turn)) * 0.02**2
    came = float(sun_flux_factor_m2(opening, elevation, 180 + turn))
    assert arrived == pytest.approx(came, rel=0.02)


def test_a_year_at_once_is_the_same_as_one_by_one() -> None:
    rng = np.random.default_rng(7)
    elevation, azimuth = rng.uniform(-90, 90, YEAR), rng.uniform(0, 360, YEAR)
    opening = replace(SOUTH, glass=Glass(), obstruction_deg=12, outer_reveal_m=0.1)
    place = Spot(1.0, turn_deg=30)
    year = sunbeam_factor(opening, place, elevation, azimuth)
    assert year.shape == (YEAR,)
    assert 0 < np.count_nonzero(year) < YEAR
    for i in (*np.flatnonzero(year)[:5], 0, 1, 2):
        one = sunbeam_factor(opening, place, float(elevation[i]), float(azimuth[i]))
        assert float(one) == pytest.approx(year[i], abs=1e-12)
    assert np.all(year[elevation < 12 - SUN_RADIUS_DEG] == 0)
    assert np.all(year[np.cos(np.radians(azimuth - 180)) < 0] == 0)
    assert np.all(sun_flux_factor_m2(opening, elevation, azimuth) >= 0)


def test_half_risen_the_sun_is_half_seen() -> None:
    assert float(sun_seen(Opening(2, 2, 0, 0), Spot(1), 0.0, 0.0)) == pytest.approx(0.5)
    assert float(sun_seen(Opening(2, 2, 0, 0), Spot(1), -1.0, 0.0)) == 0


def test_a_wall_so_deep_that_it_hides_all() -> None:
    deep = Opening(0.2, 0.2, 1.0, 0, outer_reveal_m=2.0)
    beside = Spot(0.5, offset_m=1.0)
    assert float(sun_seen(deep, beside, 10.0, -60.0)) == 0
    assert float(sun_flux_factor_m2(deep, 10.0, -60.0)) == 0


@pytest.mark.parametrize(
    ("elevation", "azimuth", "message"),
    [
        (91.0, 0.0, "sun's elevation is 91"),
        (math.nan, 0.0, "sun's elevation is nan"),
        (10.0, 721.0, "sun's azimuth is 721"),
    ],
)
def test_a_sun_that_cannot_be_is_refused(elevation: float, azimuth: float, message: str) -> None:
    for ask in (sun_seen, sunbeam_factor):
        with pytest.raises(OutOfRange, match=message):
            ask(SOUTH, Spot(1), np.array([10.0, elevation]), azimuth)
    with pytest.raises(OutOfRange, match=message):
        sun_flux_factor_m2(SOUTH, elevation, azimuth)
