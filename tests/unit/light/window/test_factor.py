"""Daylight factors against closed forms and sums over the opening."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.light import (
    rectangle_illuminance_per_luminance,
    turned_rectangle_illuminance_per_luminance,
)
from stillroom.light.window import (
    OVERCAST,
    OVERCAST_TYPE_1,
    UNIFORM,
    Bare,
    Glass,
    Opening,
    Sky,
    Spot,
    daylight_factor,
    under_clear_sky,
)
from stillroom.light.window.integral import ALL_IN_FRONT, outside_factors
from tests.unit.light.window.oracles import contour_factor, midpoint_factor

WINDOW = Opening(1.2, 1.5, 0.9, azimuth_deg=45, ground_reflectance=0)

openings = st.builds(
    Opening,
    width_m=st.floats(0.2, 3),
    height_m=st.floats(0.2, 2.5),
    sill_m=st.floats(0, 1.5),
    azimuth_deg=st.floats(0, 359),
    ground_reflectance=st.just(0.0),
)
places = st.builds(
    Spot,
    distance_m=st.floats(0.3, 6),
    offset_m=st.floats(-2, 2),
    height_m=st.floats(0.2, 2),
    turn_deg=st.floats(-180, 180),
    tilt_deg=st.floats(-90, 90),
)


def test_what_hides_the_sky_shines_itself() -> None:
    factor = daylight_factor(replace(WINDOW, obstruction_deg=25), Spot(1.5))
    hidden = daylight_factor(WINDOW, Spot(1.5)).sky - factor.sky
    assert factor.obstruction == pytest.approx(0.2 * hidden, rel=1e-9)


@pytest.mark.parametrize(
    ("sky", "ratio"),
    # The second is the closed form for the 1:3 sky.
    [(UNIFORM, 0.5), (OVERCAST, (math.pi / 6 + 4 / 9) / (7 * math.pi / 9))],
)
def test_an_upright_plane_under_the_whole_sky(sky: Sky, ratio: float) -> None:
    upright = outside_factors(WINDOW, ALL_IN_FRONT, (0.0, 1.0, 0.0), sky)[0]
    assert upright == pytest.approx(ratio, abs=1e-9)


def test_level_ground_gets_half_of_everything_on_one_side_of_a_wall() -> None:
    for sky in (UNIFORM, OVERCAST, OVERCAST_TYPE_1):
        level = outside_factors(WINDOW, ALL_IN_FRONT, (0.0, 0.0, 1.0), sky)[0]
        assert level == pytest.approx(0.5, abs=1e-7)


@given(st.floats(0.1, 3), st.floats(0.1, 3), st.floats(0.2, 8), st.floats(-150, 150))
def test_the_closed_forms_of_a_bright_face(
    width: float, height: float, distance: float, turn: float
) -> None:
    # The same rectangle as a softbox: above the horizon, the face at the level of its lower edge.
    opening = Opening(2 * width, height, 1.0, 0)
    below = Spot(distance, height_m=1.0)
    got = daylight_factor(opening, below, UNIFORM).sky
    whole = rectangle_illuminance_per_luminance(2 * width, 2 * height, distance)
    assert got == pytest.approx(whole / 2 / math.pi, rel=1e-7)
    turned = daylight_factor(opening, replace(below, turn_deg=turn), UNIFORM).sky
    face = turned_rectangle_illuminance_per_luminance(2 * width, 2 * height, distance, turn)
    assert turned == pytest.approx(face / 2 / math.pi, rel=1e-6, abs=1e-12)


@settings(max_examples=200)
@given(openings, places)
@example(replace(WINDOW, sill_m=0.0), Spot(0.05, turn_deg=90))
@example(WINDOW, Spot(0.05, offset_m=0.6, height_m=0.9, turn_deg=-91, tilt_deg=64))
def test_an_even_sky_by_lamberts_contour(opening: Opening, place: Spot) -> None:
    got = daylight_factor(opening, place, UNIFORM).sky
    assert got == pytest.approx(contour_factor(opening, place), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(openings, places, st.floats(0, 40), st.sampled_from([OVERCAST, OVERCAST_TYPE_1, UNIFORM]))
def test_any_sky_by_a_sum_over_the_opening(
    opening: Opening, place: Spot, obstruction: float, sky: Sky
) -> None:
    opening = replace(opening, obstruction_deg=obstruction)
    got = daylight_factor(opening, place, sky).sky
    # The sum takes pieces whole that an obstruction cuts.
    assert got == pytest.approx(midpoint_factor(opening, place, sky.gradation), rel=0.01, abs=2e-5)


@settings(max_examples=40, deadline=None)
@given(openings, places, st.integers(1, 3))
def test_panes_by_a_sum_over_the_opening(opening: Opening, place: Spot, panes: int) -> None:
    glass = Glass(0.9, panes)
    opening = replace(opening, glass=glass, frame_share=0.2)
    got = daylight_factor(opening, place).sky
    summed = midpoint_factor(opening, place, OVERCAST.gradation, glass.transmittance)
    assert got == pytest.approx(0.8 * summed, rel=0.01, abs=2e-5)


@given(
    st.builds(replace, openings, obstruction_deg=st.floats(0, 60)),
    st.floats(0, 1),
    st.floats(0.1, 5),
    st.floats(1.0, 3),
    st.sampled_from([UNIFORM, OVERCAST, OVERCAST_TYPE_1]),
)
def test_moving_away_on_the_axis_never_gains(
    opening: Opening, share: float, near: float, times: float, sky: Sky
) -> None:
    height = opening.sill_m + share * opening.height_m
    close, away = (
        daylight_factor(opening, Spot(d, height_m=height), sky).total for d in (near, near * times)
    )
    assert away <= close * (1 + 1e-9)


@given(openings, places, st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_an_opening_split_in_four_adds_up(
    opening: Opening, place: Spot, across: float, up: float
) -> None:
    opening = replace(opening, glass=Glass(), obstruction_deg=15, ground_reflectance=0.3)
    wide, high = opening.width_m, opening.height_m
    parts = [
        Bare(w, h, x, base)
        for w, x in (
            (across * wide, (across - 1) / 2 * wide),
            ((1 - across) * wide, across / 2 * wide),
        )
        for h, base in ((up * high, 0.0), ((1 - up) * high, up * high))
    ]
    whole = daylight_factor(opening, place).total
    total = sum(daylight_factor(replace(opening, bare=part), place).total for part in parts)
    assert total == pytest.approx(whole, rel=1e-6, abs=1e-9)


@given(openings, places, st.floats(0.2, 5))
def test_a_model_room_is_lit_like_a_real_one(opening: Opening, place: Spot, scale: float) -> None:
    small = replace(
        opening,
        width_m=opening.width_m * scale,
        height_m=opening.height_m * scale,
        sill_m=opening.sill_m * scale,
    )
    there = replace(
        place,
        distance_m=place.distance_m * scale,
        offset_m=place.offset_m * scale,
        height_m=place.height_m * scale,
    )
    expected = daylight_factor(opening, place).total
    assert daylight_factor(small, there).total == pytest.approx(expected, rel=1e-6, abs=1e-9)


@given(openings, places, st.floats(-300, 300))
def test_turning_the_house_or_looking_in_a_mirror_changes_nothing(
    opening: Opening, place: Spot, azimuth: float
) -> None:
    expected = daylight_factor(opening, place).total
    assert daylight_factor(replace(opening, azimuth_deg=azimuth), place).total == expected
    mirrored = replace(place, offset_m=-place.offset_m, turn_deg=-place.turn_deg)
    got = daylight_factor(opening, mirrored).total
    assert got == pytest.approx(expected, rel=1e-9, abs=1e-12)


@given(openings, places, st.floats(0, 1), st.floats(0, 1))
def test_reveals_only_take_away(opening: Opening, place: Spot, outer: float, inner: float) -> None:
    plain = daylight_factor(opening, place).total
    deep = replace(opening, outer_reveal_m=outer, inner_reveal_m=min(inner, 0.25))
    assert daylight_factor(deep, place).total <= plain * (1 + 1e-6)


def test_reveals_seen_from_the_side_close_the_opening() -> None:
    # From 1 m beside the edge of a window 1 m wide in a wall 0.4 m thick, 0.5 m off the glass.
    opening = Opening(1.0, 1.0, 1.0, 0, outer_reveal_m=0.4)
    beside = Spot(0.5, offset_m=-1.5, height_m=1.0, turn_deg=90)
    # The near edge is seen at 1.0 / 0.5, the far one of the outer face at 2.0 / 0.9.
    seen_part = Opening((2 / 0.9 - 2) * 0.5, 2 * (0.5 / 0.9) / 2, 1.0, 0)
    strip = replace(beside, offset_m=-1.0 - seen_part.width_m / 2)
    expected = contour_factor(seen_part, strip)
    assert daylight_factor(opening, beside, UNIFORM).sky == pytest.approx(expected, abs=1e-7)
    nothing = replace(opening, outer_reveal_m=0.6)
    assert daylight_factor(nothing, beside, UNIFORM).total == 0
    assert daylight_factor(nothing, beside, UNIFORM).sd_stops == 0


def test_a_place_in_the_wall_is_refused() -> None:
    with pytest.raises(BadValue, match=r"distance from the glass is 0\.2: that lies in the wall"):
        daylight_factor(replace(WINDOW, inner_reveal_m=0.25), Spot(0.2))


def test_the_ground_outside_reaches_what_looks_down() -> None:
    opening = replace(WINDOW, ground_reflectance=0.8)
    down = daylight_factor(opening, Spot(1.0, height_m=2.0, tilt_deg=-90))
    assert down.sky == 0
    # Turned over, the ground is a uniform sky: the window hangs as far below as it stood above.
    mirror = Opening(1.2, 1.5, 4.0 - 0.9 - 1.5, 45)
    up = daylight_factor(mirror, Spot(1.0, height_m=2.0, tilt_deg=90), UNIFORM)
    assert down.ground == pytest.approx(0.8 * up.sky, rel=1e-9)


def test_a_clear_sky_follows_its_side() -> None:
    uniform = daylight_factor(replace(WINDOW, ground_reflectance=0.1), Spot(1.5), UNIFORM)
    ratios = np.array([0.5, 1.0, 0.436])
    got = under_clear_sky(uniform, ratios, ground_ratio=2.0)
    # The rule of the notes: R x uniform factor x 2, the ground by its own light.
    expected = 2 * ratios * uniform.sky + 2.0 * uniform.ground
    assert got == pytest.approx(expected)
    with pytest.raises(OutOfRange, match="ratio of upright to level is nan"):
        under_clear_sky(uniform, np.array([0.5, math.nan]))
    with pytest.raises(OutOfRange, match="ratio of the light on the ground is -1"):
        under_clear_sky(uniform, 0.5, -1.0)


def test_the_uncertainty_is_that_of_the_parts() -> None:
    plain = daylight_factor(WINDOW, Spot(1.5))
    assert plain.sd_stops == pytest.approx(OVERCAST.factor_sd_stops)
    hidden = daylight_factor(replace(WINDOW, obstruction_deg=60), Spot(1.5))
    assert hidden.sky == 0
    assert hidden.sd_stops == pytest.approx(0.5)
