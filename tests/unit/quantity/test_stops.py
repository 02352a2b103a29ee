from __future__ import annotations

import math

import numpy as np
import pytest

from stillroom.errors import OutOfRange
from stillroom.quantity import (
    Stops,
    light_sum_stops,
    ratio_of_stops,
    stops_decimal_text,
    stops_of_ratio,
    stops_text,
    stops_words,
)


def test_independent_uncertainties_add_in_quadrature() -> None:
    total = Stops(1.0, 0.3) + Stops(-0.4, 0.4)
    assert total.value == pytest.approx(0.6)
    assert total.u == pytest.approx(0.5)


def test_a_difference_is_no_surer_than_a_sum() -> None:
    assert (Stops(1.0, 0.3) - Stops(1.0, 0.4)).u == pytest.approx(0.5)
    assert (Stops(1.0, 0.3) - Stops(0.25)).value == pytest.approx(0.75)
    assert -Stops(1.0, 0.3) == Stops(-1.0, 0.3)


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (-0.737, 0.15, "−0.74 ± 0.15"),
        (-0.737, 0.354, "−0.74 ± 0.35"),
        (-0.737, 0.36, "−0.7 ± 0.4"),
        (2.0, 0.0951, "+2.00 ± 0.10"),
        (2.0, 0.94, "+2.0 ± 0.9"),
        (2.04, 0.96, "+2.0 ± 1.0"),
        (0.001, 0.2, "0.00 ± 0.20"),
        (-12.34, 12.0, "−12 ± 12"),
        (1 / 3, 0.0, "+0.33"),
    ],
)
def test_text_is_rounded_by_the_uncertainty(value: float, u: float, text: str) -> None:
    assert Stops(value, u).text() == text


@pytest.mark.parametrize(("value", "u"), [(math.nan, 0), (math.inf, 0), (0, -0.1), (101, 0)])
def test_stops_that_cannot_be_are_refused(value: float, u: float) -> None:
    with pytest.raises(OutOfRange):
        Stops(value, u)


@pytest.mark.parametrize(
    ("value", "thirds", "words"),
    [
        (0.0, "0", "no change"),
        (0.16, "0", "no change"),
        (0.17, "+⅓", "a third of a stop"),
        (-0.5, "−⅔", "two thirds of a stop"),
        (0.99, "+1", "one stop"),
        (-1.34, "−1⅓", "one and a third stops"),
        (2.0, "+2", "two stops"),
        (12.7, "+12⅔", "twelve and two thirds stops"),
        (-13.0, "−13", "13 stops"),
    ],
)
def test_thirds_as_people_write_them(value: float, thirds: str, words: str) -> None:
    assert stops_text(value) == thirds
    assert stops_words(value) == words


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [(-0.737, 2, "−0.74"), (0.5, 0, "0"), (0.51, 0, "+1"), (-0.0049, 2, "0.00"), (3, 1, "+3.0")],
)
def test_decimals_have_a_true_minus_and_no_signed_zero(
    value: float, places: int, text: str
) -> None:
    assert stops_decimal_text(value, places) == text


@pytest.mark.parametrize("write", [stops_text, stops_words, stops_decimal_text])
def test_writing_refuses_what_is_no_number(write: object) -> None:
    assert callable(write)
    with pytest.raises(OutOfRange, match="give a number from -100 to 100 stops"):
        write(math.nan)


@pytest.mark.parametrize("ratio", [0.0, -1.0, math.inf, math.nan])
def test_a_ratio_without_a_logarithm_is_refused(ratio: float) -> None:
    with pytest.raises(OutOfRange, match="ratio"):
        stops_of_ratio(ratio)


def test_stops_and_ratios() -> None:
    assert stops_of_ratio(0.125) == -3
    assert ratio_of_stops(3) == 8


def test_lights_add_as_light() -> None:
    stops = np.array([[0.0, 0.0], [3.0, 1.0], [-5.0, -np.inf], [-np.inf, -np.inf]])
    got = light_sum_stops(stops)
    assert got[0] == pytest.approx(1.0)
    assert got[1] == pytest.approx(math.log2(10))
    assert got[2] == pytest.approx(-5.0)
    assert got[3] == -math.inf


def test_lights_add_along_the_axis_asked_for() -> None:
    stops = np.array([[1.0, 2.0, 3.0], [1.0, 2.0, 3.0]])
    assert light_sum_stops(stops, axis=0).tolist() == [2.0, 3.0, 4.0]
    assert light_sum_stops(stops).shape == (2,)


def test_a_sum_of_light_neither_overflows_nor_vanishes() -> None:
    assert float(light_sum_stops(np.array([3000.0, 3000.0]))) == 3001.0
    assert float(light_sum_stops(np.array([-3000.0, -3000.0]))) == -2999.0
