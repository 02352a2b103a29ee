"""A finish with a range, and how many sheets are carried and used."""

from __future__ import annotations

import numpy as np
import pytest

from stillroom.errors import BadValue, OutOfRange
from stillroom.wetline.day import (
    Between,
    Coming,
    Line,
    Stage,
    days_lived,
    line_of,
    one_tank_min,
    pile_per_hour,
    range_of,
    sheets_to_land,
    sheets_used,
)


def tank_day(rng: np.random.Generator) -> tuple[Line, list[Coming]]:
    took = Between(20, 28).drawn(rng)
    return line_of([("tank", Stage("tank", round(60 * took), None))]), [Coming()] * 5


def test_nine_in_ten_lie_between() -> None:
    rng = np.random.default_rng(7)
    found = np.array([Between(20, 28).drawn(rng) for _ in range(4000)])
    inside = np.mean((found > 20) & (found < 28))
    assert inside == pytest.approx(0.9, abs=0.02)
    assert np.median(found) == pytest.approx(Between(20, 28).middle, rel=0.01)


def test_five_sheets_in_one_tank_end_as_their_tank_does() -> None:
    days = days_lived(tank_day, 800, np.random.default_rng(1))
    found = range_of([day.finish_s for day in days])
    for seconds, minutes in ((found.q05_s, 20), (found.q50_s, 23.66), (found.q95_s, 28)):
        assert seconds / 300 == pytest.approx(minutes, rel=0.02)


def test_the_same_chance_gives_the_same_range() -> None:
    one, other = (days_lived(tank_day, 50, np.random.default_rng(3)) for _ in range(2))
    assert one == other


@pytest.mark.parametrize("p", [0.2, 0.5, 0.7, 0.9])
def test_sheets_carried_land_as_surely_as_was_asked(p: float) -> None:
    carried = sheets_to_land(p, 0.9, most=100)
    assert 1 - (1 - p) ** carried >= 0.9 - 1e-9
    assert carried == 1 or 1 - (1 - p) ** (carried - 1) < 0.9


def test_sheets_used_are_those_of_sitters_played_by_dice() -> None:
    rng = np.random.default_rng(5)
    lands = rng.random((20_000, 4)) < 0.4
    used = np.where(lands.any(axis=1), lands.argmax(axis=1) + 1, 4)
    assert sheets_used(0.4, 4) == pytest.approx(float(used.mean()), abs=0.03)


def test_rules_refuse_what_is_no_time_or_chance() -> None:
    with pytest.raises(OutOfRange, match="p_lands is 0"):
        sheets_to_land(0)
    with pytest.raises(OutOfRange, match="load_min is -1"):
        one_tank_min([2], 0.6, -1)
    with pytest.raises(BadValue, match="sheets is 0"):
        pile_per_hour(0, [15], 11, 0.1)
    with pytest.raises(BadValue, match="moments_s is"):
        range_of([])
    with pytest.raises(BadValue, match="range is"):
        Between(3, 2)


def test_a_pile_of_one_is_a_sheet() -> None:
    assert pile_per_hour(1, [15.0], 11, 0.5) == 4.0
