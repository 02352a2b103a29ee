from __future__ import annotations

import math

import pytest

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.quantity import (
    SHEET_FORMATS,
    format_length,
    format_offset,
    parse_length_m,
    parse_offset_m,
    sheet_size_mm,
)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("0.9 m", 0.9),
        ("90 cm", 0.9),
        ("900 mm", 0.9),
        ("0,9 m", 0.9),
        (" 1.5M ", 1.5),
        ("½ m", 0.5),
        ("3 ft", 0.9144),
        ("3ft2in", 0.9652),
        ("3 ft 2 in", 0.9652),
        ("3' 2\"", 0.9652),
        ("3′ 2″", 0.9652),
        ("3’ 2”", 0.9652),
        ("3' 2''", 0.9652),
        ("2 ft 4", 0.7112),
        ("2 ft 4½ in", 0.7239),
        ("36 in", 0.9144),
        ("1 inch", 0.0254),
        ("2½ ft", 0.762),
    ],
)
def test_lengths_as_people_write_them(text: str, metres: float) -> None:
    assert parse_length_m(text) == pytest.approx(metres, rel=1e-12)


def test_a_bare_number_needs_its_unit() -> None:
    with pytest.raises(BadValue, match=r"length is '3': a bare number; add its unit"):
        parse_length_m("3")
    assert parse_length_m("3", "ft") == pytest.approx(0.9144)
    assert parse_length_m("90", "cm") == pytest.approx(0.9)


@pytest.mark.parametrize("text", ["", "abc", "-3 m", "3 m 2", "nan m", "inf m", "1e2 m", "3..2 m"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="not a length"):
        parse_length_m(text)


def test_an_unknown_unit_is_named_as_such() -> None:
    with pytest.raises(BadValue, match="unit is not known"):
        parse_length_m("3 furlongs")


@pytest.mark.parametrize("text", ["20000 m", "0 m", "0.01 mm"])
def test_lengths_out_of_range_are_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="length"):
        parse_length_m(text)


@pytest.mark.parametrize(
    ("metres", "metric", "imperial"),
    [
        (0.9, "90 cm", "2 ft 11½ in"),
        (0.905, "90.5 cm", "2 ft 11¾ in"),
        (0.9996, "1.00 m", "3 ft 3¼ in"),
        (1.25, "1.25 m", "4 ft 1¼ in"),
        (0.085, "85 mm", "3¼ in"),
        (0.0042, "4.2 mm", "¼ in"),
        (0.3048, "30.5 cm", "1 ft"),
        (0.33, "33 cm", "1 ft 1 in"),
    ],
)
def test_lengths_as_a_tape_shows_them(metres: float, metric: str, imperial: str) -> None:
    assert format_length(metres) == metric
    assert format_length(metres, "imperial") == imperial


def test_lengths_that_cannot_be_written_are_refused() -> None:
    with pytest.raises(OutOfRange):
        format_length(math.nan)
    with pytest.raises(BadValue, match="choose metric or imperial"):
        format_length(1.0, "nautical")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("4x5", (101.6, 127.0)),
        ("4 × 5 in", (101.6, 127.0)),
        ("4X5 in sheet", (101.6, 127.0)),
        ("5x4", (127.0, 101.6)),
        ('8x10"', (203.2, 254.0)),
        ("Whole Plate", (165.1, 215.9)),
        ("half-plate", (120.65, 165.1)),
        ("quarter plate", (82.55, 107.95)),
        ("13×18cm", (130.0, 180.0)),
        ("18x24", (180.0, 240.0)),
        ("9 x 12", (90.0, 120.0)),
    ],
)
def test_sheets_by_their_trade_names(name: str, size: tuple[float, float]) -> None:
    assert sheet_size_mm(name) == size


def test_every_listed_sheet_is_found_upright() -> None:
    for name, (width, height) in SHEET_FORMATS.items():
        assert sheet_size_mm(name) == (width, height)
        assert width < height


@pytest.mark.parametrize("name", ["", "4x6 furlong", "3x7", "13x18 in"])
def test_an_unknown_sheet_is_refused_with_the_known_ones(name: str) -> None:
    with pytest.raises(UnknownName, match="8x10 in"):
        sheet_size_mm(name)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("-30 cm", -0.3),
        ("−30 cm", -0.3),
        ("– 1 ft", -0.3048),
        ("+2 m", 2.0),
        ("90 cm", 0.9),
        ("0", 0.0),
        ("0 m", 0.0),
        ("0,00 cm", 0.0),
        ("0 ″", 0.0),
    ],
)
def test_what_may_be_nothing_or_go_the_other_way(text: str, metres: float) -> None:
    assert parse_offset_m(text) == pytest.approx(metres)


@pytest.mark.parametrize("text", ["3", "--3 m", "0 furlongs", "-", ""])
def test_a_sign_makes_no_length_of_what_is_none(text: str) -> None:
    with pytest.raises(BadValue):
        parse_offset_m(text)


@pytest.mark.parametrize("metres", [0.0, 0.3, -0.3, -1.25, 12.0])
def test_an_offset_is_read_back(metres: float) -> None:
    assert parse_offset_m(format_offset(metres)) == pytest.approx(metres, abs=0.005)
    assert parse_offset_m(format_offset(metres, "imperial")) == pytest.approx(metres, abs=0.0032)
