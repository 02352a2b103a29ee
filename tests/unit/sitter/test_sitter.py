from __future__ import annotations

import math

import pytest

from stillroom.errors import BadValue, OutOfRange
from stillroom.sitter import REGIONS, SKIN_REFLECTANCE, Sitter, region_name, skin_stops


@pytest.mark.parametrize(
    ("sitter", "u"),
    [
        (Sitter("a", skin_reflectance=0.12), 0.15),
        (Sitter("a", skin_guess="light"), 0.3),
        (Sitter("a", skin_guess="unknown"), 0.7),
        (Sitter("a"), 0.7),
    ],
)
def test_skin_says_how_sure_it_is(sitter: Sitter, u: float) -> None:
    assert skin_stops(sitter).u == u


def test_what_was_measured_wins_over_a_guess() -> None:
    stops = skin_stops(Sitter("a", skin_reflectance=0.15, skin_guess="dark"))
    assert stops.value == pytest.approx(-1.0)


def test_medium_lies_half_way_in_stops() -> None:
    light, medium, dark = (
        math.log2(SKIN_REFLECTANCE[guess]) for guess in ("light", "medium", "dark")
    )
    assert medium == pytest.approx((light + dark) / 2)
    assert SKIN_REFLECTANCE["unknown"] == SKIN_REFLECTANCE["medium"]


def test_an_unknown_skin_covers_both_ends() -> None:
    unknown = skin_stops(Sitter("a"))
    for guess in ("light", "dark"):
        other = skin_stops(Sitter("a", skin_guess=guess))
        assert abs(other.value - unknown.value) < 2 * unknown.u


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"skin_reflectance": 1.5}, "skin reflectance is 1.5"),
        ({"skin_reflectance": 0}, "skin reflectance is 0"),
        ({"holds_still_s": -1}, "holds still is -1"),
    ],
)
def test_sitters_that_cannot_be_are_refused(fields: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        Sitter("a", **fields)  # type: ignore[arg-type]


def test_an_unknown_guess_is_refused() -> None:
    with pytest.raises(BadValue, match="choose one of light, medium, dark, unknown"):
        Sitter("a", skin_guess="pink")  # type: ignore[arg-type]


def test_regions_carry_their_trade_names_in_order() -> None:
    assert [region.name for region in REGIONS.values()] == [
        "Key cheek",
        "Shadow cheek",
        "Forehead",
        "Rim edge",
        "Hair",
        "Clothing",
        "Ground",
    ]
    assert [key for key, region in REGIONS.items() if region.is_skin] == [
        "key",
        "shadow",
        "forehead",
    ]


def test_names_a_user_added_stand_as_they_are() -> None:
    assert region_name("bg") == "Ground"
    assert region_name("left_hand") == "Left hand"
    with pytest.raises(BadValue, match="give it a name"):
        region_name("  ")
