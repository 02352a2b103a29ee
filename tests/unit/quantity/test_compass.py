"""Places and directions as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.quantity.compass import (
    POINTS,
    bearing_text,
    bearing_words,
    latitude_text,
    longitude_text,
    parse_bearing_deg,
    parse_latitude_deg,
    parse_longitude_deg,
)


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("54.3", 54.3),
        ("54,3", 54.3),
        ("+54.3°", 54.3),
        ("−54.3", -54.3),
        ("54.3 N", 54.3),
        ("54.3° s", -54.3),
        ("N 54.3", 54.3),
        ("54° 18' N", 54.3),
        ("54°18′N", 54.3),
        ("54 18 north", 54.3),
        ("54° 18′ 36″ N", 54.31),
        ("54° 18’ 36” S", -54.31),
        ("54º 18.6' N", 54.31),
        ("90", 90),
        ("0 S", 0),
    ],
)
def test_a_latitude_in_any_writing(typed: str, degrees: float) -> None:
    assert parse_latitude_deg(typed) == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [("-1.5", -1.5), ("1° 30' W", -1.5), ("W1.5", -1.5), ("179° 59′ E", 179 + 59 / 60)],
)
def test_a_longitude_in_any_writing(typed: str, degrees: float) -> None:
    assert parse_longitude_deg(typed) == pytest.approx(degrees)


@pytest.mark.parametrize("typed", ["95", "90° 1' N", "-90.01", "1000 S"])
def test_beyond_a_pole_there_is_nothing(typed: str) -> None:
    with pytest.raises(OutOfRange, match=r"latitude is .*: give a number from -90 to 90 °\."):
        parse_latitude_deg(typed)


def test_a_longitude_goes_half_way_round() -> None:
    with pytest.raises(OutOfRange, match=r"longitude is '181 W': give a number from -180 to 180"):
        parse_longitude_deg("181 W")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "not a latitude"),
        ("north", "not a latitude"),
        ("54.3, -1.5", "not a latitude"),
        ("54 E", "a latitude is north or south"),
        ("-54 N", "a sign and a letter"),
        ("54° 60' N", "its minutes go from 0 to below 60"),
        ("54° 10' 75\" N", "its seconds go from 0 to below 60"),
        ("54.5° 10' N", "minutes come after whole degrees"),
        ("nan", "not a latitude"),
        ("1e1", "not a latitude"),
    ],
)
def test_what_is_no_latitude_is_said_in_a_sentence(typed: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        parse_latitude_deg(typed)


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_degrees_and_minutes_are_read_back_to_half_a_minute(lat: float, lon: float) -> None:
    assert parse_latitude_deg(latitude_text(lat)) == pytest.approx(lat, abs=0.501 / 60)
    assert parse_longitude_deg(longitude_text(lon)) == pytest.approx(lon, abs=0.501 / 60)


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("N", 0),
        ("ne", 45),
        ("North-East", 45),
        ("north east", 45),
        ("south-south-west", 202.5),
        ("W", 270),
        ("47", 47),
        ("47,5°", 47.5),
        ("0", 0),
        ("360", 0),
    ],
)
def test_a_direction_by_compass_or_degrees(typed: str, degrees: float) -> None:
    assert parse_bearing_deg(typed) == degrees


@pytest.mark.parametrize("typed", ["up", "NN", "EN", "N 30 E", "", "ä"])
def test_what_is_no_direction_is_said(typed: str) -> None:
    with pytest.raises(BadValue, match="give a point of the compass such as N or SW"):
        parse_bearing_deg(typed)


@pytest.mark.parametrize("typed", ["361", "-10"])
def test_a_direction_goes_once_round(typed: str) -> None:
    with pytest.raises(OutOfRange, match="give a number from 0 to 360 °"):
        parse_bearing_deg(typed)


@given(st.floats(0, 360))
def test_a_direction_is_read_back(degrees: float) -> None:
    back = parse_bearing_deg(bearing_text(degrees))
    assert min(abs(back - degrees), 360 - abs(back - degrees)) < 0.06


def test_points_of_the_compass_are_called_by_their_winds() -> None:
    assert [bearing_text(22.5 * n) for n in range(16)] == list(POINTS)
    assert bearing_words(337) == "north-west"
    assert bearing_words(338) == bearing_words(360) == "north"
