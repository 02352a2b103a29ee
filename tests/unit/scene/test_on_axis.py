"""Typical light on each region: exact where a light serves, wide elsewhere."""

from __future__ import annotations

import math

import pytest

from stillroom.errors import OutOfRange
from stillroom.light import Modifier
from stillroom.scene import RegionLight, StandingLight, light_on_regions
from stillroom.sitter import REGIONS

BOX = Modifier("box", "softbox", 0.9, 0.9, 2, 2.5, 0.5)
GRID = Modifier("grid", "fabric_grid", loss_stops=0.75, loss_sd_stops=0.4)


def at(
    role: str, region: str, *modifiers: Modifier, m: float | None = 1.0, deg: float = 0.0
) -> RegionLight:
    return light_on_regions(StandingLight(role, modifiers, m, deg), [region])[region]


@pytest.mark.parametrize(
    ("role", "region"), [("key", "key"), ("fill", "shadow"), ("rim", "rim"), ("ground", "bg")]
)
def test_the_region_a_light_serves_is_lit_on_its_axis_and_best_known(
    role: str, region: str
) -> None:
    light = light_on_regions(StandingLight(role, (), 1.2, 0.0), tuple(REGIONS))
    assert light[region].stops == 0
    assert light[region].sd_stops == min(p.sd_stops for p in light.values())
    assert all(p.stops <= 0 for p in light.values())


def test_turned_by_sixty_degrees_gives_half() -> None:
    """Lambert's cosine; closed form."""
    assert at("key", "key", deg=60.0).stops == pytest.approx(-1.0)
    assert at("key", "key", deg=45.0).facing_stops == pytest.approx(-0.5)


def test_a_large_face_near_by_gives_less_than_the_inverse_square() -> None:
    """Square face of side d at distance d, on its axis: closed form for the parallel patch.

    E = 4 L (a / sqrt(a^2 + h^2)) atan(a / sqrt(a^2 + h^2)) with half side a at distance h
    (configuration factor of a rectangle, four quarters; any text on radiative exchange),
    against L (2 a)^2 / h^2 for a small source of the same intensity.
    """
    a, h = 0.45, 0.9
    share = a / math.hypot(a, h)
    extended = 4 * (share / 2) * math.atan(share) * 2  # two equal terms of each quarter
    small = (2 * a) ** 2 / h**2
    wanted = math.log2(extended / small)
    assert at("key", "key", BOX, m=0.9).near_field_stops == pytest.approx(wanted, abs=0.005)
    assert at("key", "key", BOX, m=9.0).near_field_stops == pytest.approx(0, abs=0.01)
    assert at("key", "key", m=0.9).near_field_stops == 0


def test_the_face_is_that_of_the_outermost_thing_with_a_size() -> None:
    """A grid has no face of its own: the box behind it shines."""
    assert at("key", "key", BOX, GRID, m=0.9) == at("key", "key", BOX, m=0.9)


def test_light_of_the_place_has_no_distance() -> None:
    assert at("room", "key", m=None).near_field_stops == 0
    assert at("room", "shadow", m=None).stops == -0.5


def test_a_second_key_is_a_key_and_what_is_unknown_lies_around() -> None:
    assert at("key2", "shadow").stops == at("key", "shadow").stops == at("key 3", "shadow").stops
    assert at("moonbeam", "key").sd_stops == at("room", "key").sd_stops


def test_a_region_somebody_named_is_a_wide_guess_from_every_light() -> None:
    for role in ("key", "fill", "rim", "room"):
        light = at(role, "brim")
        assert (light.spill_stops, light.sd_stops) == (-2.0, 1.0)


@pytest.mark.parametrize(
    ("m", "deg"), [(0.0, 0.0), (-1.0, 0.0), (math.nan, 0.0), (1.0, 90.0), (1.0, math.inf)]
)
def test_what_cannot_stand_there_is_refused(m: float, deg: float) -> None:
    with pytest.raises(OutOfRange):
        at("key", "key", BOX, m=m, deg=deg)
