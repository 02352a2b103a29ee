"""Where the chair stands: a line of factors, a wanted one, and a clear no."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.light.window import (
    OVERCAST,
    UNIFORM,
    Opening,
    Room,
    Sky,
    Spot,
    daylight_factor,
    distance_for,
    factors_along,
)

WINDOW = Opening(1.2, 1.5, 0.9, azimuth_deg=45, ground_reflectance=0)


def test_a_line_of_distances() -> None:
    # The notes' table, overcast, facing.
    got = factors_along(WINDOW, Spot(9.0), np.array([1.0, 1.5, 2.0, 3.0]))
    assert got == pytest.approx([0.16141, 0.09265, 0.05706, 0.02635], rel=0.01)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.35, 9.5), st.sampled_from([UNIFORM, OVERCAST]))
def test_the_distance_of_a_factor_gives_it_back(distance: float, sky: Sky) -> None:
    wanted = daylight_factor(WINDOW, Spot(distance), sky).total
    answer = distance_for(wanted, WINDOW, Spot(1.0), sky=sky)
    assert answer.distances_m == pytest.approx((distance,), rel=1e-6)


@pytest.mark.parametrize(
    ("wanted", "sentence"),
    [
        (0.9, r"No place on this line gives 0\.9: the most is 0\.\d+, 0\.30 m from the glass\."),
        (0.0001, r"No place .* 0\.0001: the least is 0\.00\d+, 10\.00 m from the glass\."),
        (0.09265, r"1\.50 m from the glass gives 0\.0926\."),
    ],
)
def test_the_answer_is_a_sentence(wanted: float, sentence: str) -> None:
    answer = distance_for(wanted, WINDOW, Spot(1.0))
    assert bool(answer.distances_m) is (wanted == 0.09265)
    # Found by hand: what is told as nearest is what stands there.
    assert answer.most == daylight_factor(WINDOW, Spot(answer.most_at_m)).total
    assert answer.least == daylight_factor(WINDOW, Spot(answer.least_at_m)).total
    assert re.fullmatch(sentence, answer.text())


def test_beside_the_window_there_are_two_places() -> None:
    beside = Spot(1.0, offset_m=1.5)
    line = factors_along(WINDOW, beside, np.linspace(0.3, 10, 400))
    wanted = 0.8 * float(np.max(line))
    answer = distance_for(wanted, WINDOW, beside)
    assert len(answer.distances_m) == 2
    assert answer.most >= np.max(line)
    for distance in answer.distances_m:
        got = daylight_factor(WINDOW, Spot(distance, offset_m=1.5)).total
        assert got == pytest.approx(wanted, rel=1e-6)
    assert " and " in answer.text()
    assert " give " in answer.text()
    # Just below the peak both sides of it are found, though they lie close together.
    close = distance_for(answer.most * (1 - 1e-5), WINDOW, beside)
    assert len(close.distances_m) == 2


def test_an_end_of_the_line_counts() -> None:
    here = daylight_factor(WINDOW, Spot(0.3)).total
    assert distance_for(here, WINDOW, Spot(1.0)).distances_m == pytest.approx((0.3,))


def test_a_pale_room_leaves_a_floor_to_the_light() -> None:
    room = Room.of_surfaces(5.1, 4.2, 2.8)
    answer = distance_for(0.003, WINDOW, Spot(1.0), room=room)
    assert answer.distances_m == ()
    assert answer.least > 0.003
    assert distance_for(0.003, WINDOW, Spot(1.0)).distances_m


def test_lines_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadValue, match=r"farthest distance is 0\.3: give more than the nearest"):
        distance_for(0.1, WINDOW, Spot(1.0), farthest_m=0.3)
    with pytest.raises(OutOfRange, match="wanted factor is 0"):
        distance_for(0, WINDOW, Spot(1.0))
    with pytest.raises(OutOfRange, match="nearest distance is 0"):
        distance_for(0.1, WINDOW, Spot(1.0), nearest_m=0)
    with pytest.raises(OutOfRange, match="distance from the glass is 0"):
        factors_along(WINDOW, Spot(1.0), [0.0])
