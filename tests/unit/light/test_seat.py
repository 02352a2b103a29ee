"""Daylight on a face where it sits, put together another way."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np
import pytest

from stillroom.errors import BadValue
from stillroom.light.daylight import (
    SKY_WORDS,
    Place,
    Plane,
    Sky,
    light_on,
    outdoors,
    sky_table,
    sun_position,
)
from stillroom.light.seat import WindowSeat, light_at
from stillroom.light.window import (
    OVERCAST,
    UNIFORM,
    Glass,
    Opening,
    Room,
    Spot,
    daylight_factor,
    sunbeam_factor,
)
from stillroom.quantity.spectra import GRADED, float_glass, old330

PUMP_HOUSE = Place(54.3, -1.5, "Europe/London")
TIMES = [datetime(2026, month, 21, hour, tzinfo=UTC) for month in (3, 6, 12) for hour in (9, 12)]
SUN = sun_position(TIMES, PUMP_HOUSE)
BARE, BEHIND = sky_table(GRADED, [old330()]), sky_table(GRADED, [old330()], [float_glass()])
WINDOW = Opening(1.2, 1.5, 0.9, 45, glass=Glass(in_the_light=True), ground_reflectance=0.1)
BRICK = Room.of_surfaces(5.1, 4.2, 2.8, walls="brick")


def test_under_a_closed_cover_it_is_the_daylight_factor_of_a_grey_sky() -> None:
    """Definition of the daylight factor: light there over that of level open ground."""
    seat = WindowSeat(WINDOW, Spot(1.5), BRICK, BRICK)
    outside = outdoors(SUN, BEHIND, 8, "no")
    factor = daylight_factor(WINDOW, Spot(1.5), OVERCAST, BRICK).total
    lit = light_at(seat, SUN, BEHIND, Sky(8, "no"))
    assert lit.actinic_lx[0] == pytest.approx(factor * outside.sky_lx[0], rel=1e-12)
    assert lit.photopic_lx[0] == pytest.approx(factor * outside.sky_lx[1], rel=1e-12)


def test_without_the_sun_a_clear_sky_follows_the_wall_the_window_is_in() -> None:
    """An even sky gives a wall one half: whatever else it gets moves the whole factor."""
    seat = WindowSeat(WINDOW, Spot(1.5))
    outside = outdoors(SUN, BEHIND)
    even = daylight_factor(WINDOW, Spot(1.5), UNIFORM)
    wall = outside.upright_sky_ratio(45) / 0.5
    ground = outside.level_lx[0] / outside.sky_lx[0]
    wanted = outside.sky_lx[0] * (even.from_sky * wall + even.from_ground * ground)
    beam = outside.beam_lx[0] * sunbeam_factor(
        WINDOW, Spot(1.5), SUN.elevation_deg, SUN.azimuth_deg
    )
    lit = light_at(seat, SUN, BEHIND)
    assert lit.actinic_lx[0] == pytest.approx(wanted + beam, rel=1e-12)


@pytest.mark.parametrize("word", SKY_WORDS)
def test_a_window_as_large_as_the_wall_is_the_open_air(word: str) -> None:
    """Two ways to the same light: nose to an opening of fifty metres, or before no wall at all."""
    hole = Opening(50, 50, 0, 45, ground_reflectance=0.1)
    seat = WindowSeat(hole, Spot(0.02, height_m=25))
    inside = light_at(seat, SUN, BARE, SKY_WORDS[word])
    outside = light_on([Plane.upright(45)], SUN, BARE, SKY_WORDS[word])
    apart = np.log2(inside.actinic_lx[0] / outside.actinic_lx[0])
    # A grey sky is darker towards the horizon, which an upright plane of the other model has not.
    assert np.abs(apart).max() < 0.1


def test_the_sun_through_the_window_lights_the_room_too() -> None:
    east = Opening(1.2, 1.5, 0.9, 120, glass=Glass(in_the_light=True))
    beside = Spot(1.5, offset_m=2.0, turn_deg=-45)  # out of the beam at noon
    bare = light_at(WindowSeat(east, beside), SUN, BEHIND).actinic_lx[0]
    white = Room.of_surfaces(5.1, 4.2, 2.8)
    thrown = light_at(WindowSeat(east, beside, white, white), SUN, BEHIND).actinic_lx[0]
    assert (thrown > bare).all()


def test_laminated_glass_costs_paper_more_than_a_meter_shows() -> None:
    """Half a stop more, by the note's own integration of the two glasses."""
    from stillroom.quantity.spectra import laminated_glass

    seat = WindowSeat(WINDOW, Spot(1.5))
    dull = SKY_WORDS["dull"]
    lits = [
        light_at(seat, SUN, sky_table(GRADED, [old330()], [pane]), dull)
        for pane in (float_glass(), laminated_glass())
    ]
    paper, meter = (
        np.log2(getattr(lits[0], lx)[0] / getattr(lits[1], lx)[0])
        for lx in ("actinic_lx", "photopic_lx")
    )
    assert (paper - meter > 0.3).all()
    assert (paper - meter < 0.7).all()


def test_a_face_no_light_of_the_window_reaches_is_refused() -> None:
    with pytest.raises(BadValue, match="no light of the window reaches it"):
        WindowSeat(WINDOW, Spot(1.5, turn_deg=180))


def test_night_is_dark() -> None:
    night = sun_position(datetime(2026, 12, 21, 2, tzinfo=UTC), PUMP_HOUSE)
    lit = light_at(WindowSeat(WINDOW, Spot(1.5)), night, BEHIND)
    assert lit.actinic_lx.tolist() == [[0.0]]
    assert math.isnan(lit.sd_stops[0, 0])
