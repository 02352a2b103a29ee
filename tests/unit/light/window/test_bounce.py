"""What a room throws about, against the customary form of the split-flux method."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange, UnknownName
from stillroom.light.window import (
    OVERCAST,
    SURFACES,
    UNIFORM,
    Bare,
    Glass,
    Opening,
    Room,
    Spot,
    bounced,
    daylight_factor,
)

WINDOW = Opening(2.0, 1.4, 0.9, 0, glass=Glass(0.91))
PALE = Room(4.0, 5.0, 2.8, ceiling=0.7, walls=0.5, floor=0.2)


def test_the_customary_form() -> None:
    # 0.85 W (C Rfw + 5 Rcw) / (A (1 - R)) in hundredths, C 39 (from memory), reckoned by hand.
    # Split at 1.6 m, the middle of the window; the wall with the window not counted in Rfw, Rcw.
    w, area = 2.8, 2 * 20 + 2 * (4 + 5) * 2.8
    below, above = 14 * 1.6, 14 * 1.2
    rfw = (20 * 0.2 + below * 0.5) / (20 + below)
    rcw = (20 * 0.7 + above * 0.5) / (20 + above)
    mean = (20 * 0.7 + 20 * 0.2 + (50.4 - w) * 0.5 + w * 0.15) / area
    hundredths = 0.85 * w * (39 * rfw + 5 * rcw) / (area * (1 - mean))
    got = sum(bounced(WINDOW, PALE, OVERCAST))
    # 39 is 39.6 and 0.85 is 0.834 when computed.
    assert 100 * got == pytest.approx(hundredths, rel=0.02)


def test_panes_without_a_surface_send_nothing_back_and_let_all_through() -> None:
    bare, glazed = (
        bounced(replace(WINDOW, glass=glass), PALE, UNIFORM) for glass in (None, Glass(0.91))
    )
    assert glazed[0] / bare[0] == pytest.approx(Glass(0.91).diffuse_transmittance, rel=0.01)


@given(st.floats(0.05, 0.9), st.floats(1.5, 20), st.floats(1.5, 20), st.floats(2.5, 5))
def test_no_more_is_swallowed_than_comes_in(
    reflectance: float, width: float, depth: float, height: float
) -> None:
    # With the same reflectance everywhere each square metre swallows (1 - R) of what it gets, and
    # all of it together what was left after the first meeting; the hole swallows all it gets.
    room = Room(width, depth, height, reflectance, reflectance, reflectance)
    hole = Opening(1.0, 1.0, 1.0, 0)
    lit = room.lit_by(100.0, 50.0, hole)
    area = 2 * width * depth + 2 * (width + depth) * height
    swallowed = sum(lit) * ((area - 1) * (1 - reflectance) + 1)
    assert swallowed == pytest.approx(150.0 * reflectance)


def test_a_black_room_throws_nothing_and_a_paler_one_more() -> None:
    assert bounced(WINDOW, Room(4, 5, 2.8, 0, 0, 0), OVERCAST) == (0, 0)
    paler = replace(PALE, walls=0.8)
    assert sum(bounced(WINDOW, paler, OVERCAST)) > sum(bounced(WINDOW, PALE, OVERCAST))


def test_a_curtain_halves_what_comes_in() -> None:
    half = replace(WINDOW, bare=Bare(1.0, 1.4))
    whole = bounced(WINDOW, PALE, OVERCAST)[0]
    # A little less than half: the curtain counts as wall, which sends light back.
    assert bounced(half, PALE, OVERCAST)[0] == pytest.approx(whole / 2, rel=0.02)


def test_warm_surfaces_send_one_to_two_stops_less_to_paper() -> None:
    # From memory, and the reason for a second column; the figures themselves are invented.
    for name in ("brick", "cream paint", "light wood", "dark wood"):
        loss = math.log2(SURFACES[name].eye / SURFACES[name].paper)
        assert 1.0 <= loss <= 2.0, name
    assert all(surface.paper <= surface.eye for surface in SURFACES.values())


def test_a_brick_room_is_darker_to_paper_than_to_the_meter() -> None:
    paper, eye = (
        Room.of_surfaces(5.1, 4.2, 2.8, ceiling="cream paint", walls="brick", weighed_by=whose)
        for whose in ("paper", "eye")
    )
    ratio = sum(bounced(WINDOW, eye, OVERCAST)) / sum(bounced(WINDOW, paper, OVERCAST))
    assert 1.0 < math.log2(ratio) < 2.0


def test_the_room_joins_the_factor() -> None:
    place = Spot(2.0)
    alone, inside = (daylight_factor(WINDOW, place, OVERCAST, room) for room in (None, PALE))
    assert alone.total + sum(bounced(WINDOW, PALE, OVERCAST)) == pytest.approx(inside.total)
    # The sky's 0.2 stop, half a stop each of ground and room, weighted by what each gives.
    parts = (0.2 * inside.sky, 0.5 * inside.ground, 0.5 * (inside.total - alone.total))
    assert inside.sd_stops == pytest.approx(math.hypot(*parts) / inside.total)


def test_what_cannot_be_is_refused_by_name() -> None:
    with pytest.raises(UnknownName, match="no surface called 'velvet'"):
        Room.of_surfaces(5, 4, 3, walls="velvet")
    with pytest.raises(OutOfRange, match="reflectance of the floor is 1"):
        Room(5, 4, 3, 0.5, 0.5, 1)
    with pytest.raises(OutOfRange, match="depth of the room is 0"):
        Room(5, 0, 3, 0.5, 0.5, 0.5)
