"""A gap in a curtain against a flash, and against sums done by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stillroom.errors import OutOfRange
from stillroom.light import (
    Modifier,
    distance_stops,
    far_field_loss_stops,
    full_log2_lxs_1m,
)
from stillroom.light.window import (
    OVERCAST,
    Bare,
    Glass,
    Leak,
    Opening,
    Outside,
    Room,
    Spot,
    leak,
    sun_flux_factor_m2,
)
from stillroom.quantity import ratio_of_stops

WINDOW = Opening(1.2, 1.5, 0.9, azimuth_deg=180, glass=Glass(0.88), ground_reflectance=0)
BRICK = Room.of_surfaces(5.1, 4.2, 2.8, walls="brick")
# Clear sky as graded paper weighs it through an old lens, from the notes' table: klx at el 20, 60.
LOW_SUN = Outside(19_320, 48_240, 20.0, 180.0)
NOON = Outside(32_390, 102_050, 60.0, 180.0)


def gap(width_m: float) -> Opening:
    return replace(WINDOW, bare=Bare(width_m, 1.5))


@pytest.fixture(scope="module")
def flash_lxs() -> float:
    """The demo kit: head A, 1200 W·s, full, in the octa with two cloths, 0.9 m from the face."""
    octa = Modifier("octa", "octa", 0.9, 0.9, layers=2, loss_stops=2.5)
    stops = (
        full_log2_lxs_1m(1200, 40, 4)
        - far_field_loss_stops(octa)
        + distance_stops(0.9)
        + octa.near_field_stops(0.9)
    )
    return ratio_of_stops(stops)


def test_the_flash_is_the_one_paper_of_ei_3_wants(flash_lxs: float) -> None:
    # By hand: 1200 x 40 x 4 / 4 pi = 15 279 lx·s at a metre; / 0.81, / 2^2.5, / 1.25 for nearness.
    assert flash_lxs == pytest.approx(15_279 / 0.81 / 2**2.5 / 1.25, rel=1e-4)


def test_a_low_sun_through_a_narrow_gap_by_hand() -> None:
    on_the_face = leak(gap(0.01), Spot(1.5), LOW_SUN)
    # 48 klx, 0.939 for the cosine at face and 0.88 for the glass, and the stripe of the disc that
    # shows: 1 cm from 1.5 m is 0.72 of its width, 0.81 of its area.
    assert on_the_face.beam_lx == pytest.approx(48_240 * 0.9397 * 0.88 * 0.81, rel=0.03)


def test_sky_alone_needs_a_hand_of_curtain(flash_lxs: float) -> None:
    no_sun = replace(NOON, sun_lx=0.0)
    narrow, wide = (leak(gap(w), Spot(1.5), no_sun, BRICK) for w in (0.02, 0.2))
    assert -3.5 < narrow.stops_over(flash_lxs, open_s=5) < -2.5
    assert wide.stops_over(flash_lxs, open_s=5) > 0
    grey = leak(gap(0.02), Spot(1.5), Outside(12_000, sky=OVERCAST), BRICK)
    assert grey.stops_over(flash_lxs, open_s=5) < -4


def test_a_beam_beside_the_sitter_still_lights_the_room() -> None:
    aside = Spot(1.5, offset_m=1.0)
    lit = leak(gap(0.05), aside, NOON, BRICK)
    assert lit.beam_lx == 0
    # The flux, by hand: 5 cm x 1.5 m x cos 60 x glass (a little less at a slant).
    flux = 102_050 * 0.075 * 0.5 * 0.88 * 0.91
    came = float(sun_flux_factor_m2(gap(0.05), 60.0, 180.0)) * NOON.sun_lx
    assert came == pytest.approx(flux, rel=0.03)
    dark = leak(gap(0.05), aside, replace(NOON, sun_lx=0.0), BRICK)
    assert lit.bounced_lx - dark.bounced_lx == pytest.approx(BRICK.lit_by(came, 0.0, gap(0.05))[0])


def test_a_small_gap_far_off_is_a_small_lamp() -> None:
    # L A cos cos / d^2 with L = E_h / pi: 1 x 10 cm, straight ahead, 4 m away, nothing in it.
    hole = Opening(0.01, 0.1, 1.2, 0, ground_reflectance=0)
    got = leak(hole, Spot(4.0), Outside(10_000.0))
    assert got.sky_lx == pytest.approx(10_000 / math.pi * 0.001 / 16, rel=1e-3)


def test_a_holder_that_looks_into_the_room_gets_what_the_room_throws() -> None:
    away = leak(gap(0.05), Spot(2.0, turn_deg=180), LOW_SUN, BRICK)
    assert (away.sky_lx, away.beam_lx) == (0, 0)
    assert away.bounced_lx > 0
    assert away.total_lx == away.bounced_lx


def test_nothing_leaks_where_nothing_shines() -> None:
    night = leak(gap(0.05), Spot(1.5), Outside(0.0), BRICK)
    assert night.total_lx == 0
    assert night.stops_over(1000, open_s=5) == -math.inf
    assert Leak(100.0, 0, 0).stops_over(1000, open_s=20) == 1


def test_what_cannot_be_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="light of the sun is -1"):
        Outside(1000.0, -1.0)
    with pytest.raises(OutOfRange, match="open time is 0"):
        Leak(1, 0, 0).stops_over(1000, 0)
    with pytest.raises(OutOfRange, match="sun's elevation is 95"):
        leak(WINDOW, Spot(1), Outside(1000.0, 1000.0, 95.0))
