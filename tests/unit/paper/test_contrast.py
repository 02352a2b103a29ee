"""The stops a paper holds, light added to one region or to all, and ways to fit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.errors import BadValue
from stillroom.paper import (
    CARD_MOST_STOPS,
    FillWay,
    FilterEffect,
    FilterWay,
    PreFlashWay,
    ToneCurve,
    Way,
    fill_stops_for_lift,
    iso_range,
    lift_stops_of_fill,
    pre_flash_closes_stops,
    pre_flashed_stops,
    range_held_stops,
    range_stops,
    tone_ends,
    ways_to_fit,
)
from stillroom.quantity import Stops

CURVE = ToneCurve(1.5, 1.0, 0.05, 1.85)
SOFT = FilterEffect(0, Stops(1.5, 0.3), 0.6, 0.2)
HALF_SOFT = FilterEffect(1, Stops(0.9, 0.2), 0.8, 0.1)
HARD = FilterEffect(5, Stops(0.8, 0.2), 1.4, 0.15)

shapes = st.builds(
    ToneCurve,
    contrast_per_stop=st.floats(0.3, 5),
    asymmetry=st.floats(0.2, 5),
    dmin=st.floats(0.0, 0.2),
    dmax=st.floats(1.2, 2.2),
)
placements = st.floats(-8, 8)


# ---- what a paper holds -------------------------------------------------------------------------


def test_by_itself_it_is_the_range_on_a_box() -> None:
    """ISO 6846:1992, as quoted: one definition, told in stops."""
    for shape in (CURVE, ToneCurve(1.1, 0.4, 0.1, 1.9), ToneCurve(2.4, 3.0, 0.0, 1.4)):
        assert range_held_stops(shape) == pytest.approx(range_stops(iso_range(shape)), rel=1e-12)


@pytest.mark.parametrize(("above", "below"), [(0.04, 0.18), (0.1, 0.1), (0.3, 0.5)])
def test_the_symmetric_curve_in_closed_form(above: float, below: float) -> None:
    """F = 1 / (1 + e**(kappa u)), so u = ln((1 - F) / F) / kappa."""
    light, dark = above / 1.8, 1 - below / 1.8
    ends = tone_ends(CURVE, above, below)
    assert ends.light_end_stops == pytest.approx(math.log((1 - light) / light) / 1.5)
    assert ends.dark_end_stops == pytest.approx(math.log((1 - dark) / dark) / 1.5)
    assert range_held_stops(CURVE, above, below) == pytest.approx(ends.held_stops)


@given(shapes, st.floats(0.5, 2))
def test_contrast_divides_the_range(shape: ToneCurve, factor: float) -> None:
    """Contrast only stretches the exposure axis about the mid-tone."""
    harder = replace(shape, contrast_per_stop=shape.contrast_per_stop * factor)
    for below in (None, 0.2):
        got = range_held_stops(harder, 0.05, below)
        assert got == pytest.approx(range_held_stops(shape, 0.05, below) / factor)


@given(shapes, st.floats(0.02, 0.4), st.floats(0.02, 0.4))
def test_the_ends_have_the_tones_that_were_asked_for(
    shape: ToneCurve, above: float, below: float
) -> None:
    ends = tone_ends(shape, above, below)
    assert shape.density(ends.light_end_stops) == pytest.approx(shape.dmin + above)
    assert shape.density(ends.dark_end_stops) == pytest.approx(shape.dmax - below)
    assert range_held_stops(shape, above * 1.1, below) < ends.held_stops


# ---- light added --------------------------------------------------------------------------------


@given(placements)
def test_as_much_light_again_is_one_stop(placement: float) -> None:
    """Definition of the stop."""
    assert pre_flashed_stops(placement, -placement) == pytest.approx(placement + 1, abs=1e-12)
    assert lift_stops_of_fill(0.0) == 1.0
    assert fill_stops_for_lift(1.0) == 0.0


@pytest.mark.parametrize(
    ("lift", "times"), [(0.5, math.sqrt(2) - 1), (1.0, 1.0), (1.5, 2**1.5 - 1), (2.0, 3.0)]
)
def test_what_a_card_has_to_add(lift: float, times: float) -> None:
    """2**s times the light is there when 2**s - 1 times it is added."""
    assert fill_stops_for_lift(lift) == pytest.approx(math.log2(times), abs=1e-12)


@given(st.floats(0.001, 10))
def test_lift_and_fill_are_each_others_inverse(lift: float) -> None:
    assert lift_stops_of_fill(fill_stops_for_lift(lift)) == pytest.approx(lift, rel=1e-9)


@pytest.mark.parametrize(
    ("apart", "dark", "below", "ratio"),
    [
        (4.0, -2.0, 2.0, 17 / 2),  # 16 to 1, and 1 on each
        (4.0, -2.0, 3.0, 16.5 / 1.5),
        (3.0, 0.0, -1.0, 10 / 3),  # 8 to 1, and 2 on each
        (0.0, 1.0, 1.0, 1.0),
    ],
)
def test_two_regions_come_together_as_exposures_add(
    apart: float, dark: float, below: float, ratio: float
) -> None:
    """Whole numbers of light, by hand."""
    got = pre_flash_closes_stops(apart, dark, below)
    assert apart - got == pytest.approx(math.log2(ratio), abs=1e-12)


@given(st.floats(0.01, 10), placements, placements, st.floats(0.1, 3))
def test_a_pre_flash_brings_together_and_never_past_each_other(
    apart: float, dark: float, below: float, more: float
) -> None:
    closed = pre_flash_closes_stops(apart, dark, below)
    assert 0 <= closed < apart
    assert pre_flash_closes_stops(apart, dark, below - more) >= closed


# ---- ways to fit --------------------------------------------------------------------------------


def by_kind(ways: tuple[Way, ...], kind: type[Way]) -> Way:
    (found,) = (way for way in ways if type(way) is kind)
    return found


def test_what_fits_needs_no_way() -> None:
    for apart in (0.0, 3.0, 4.0, 4.04):
        assert ways_to_fit(apart, 4.0, light_end_stops=2.5, filters=[SOFT]) == ()


def test_a_card_lifts_what_is_missing_and_costs_nothing() -> None:
    fill = by_kind(ways_to_fit(5.0, 4.0, light_end_stops=2.5), FillWay)
    assert fill == FillWay(Stops(0.0), Stops(0.0), 1.0, lift_stops=1.0, fill_stops=0.0)
    small = by_kind(ways_to_fit(6.0, 4.0, light_end_stops=2.5, most_fill_stops=0.5), FillWay)
    assert isinstance(small, FillWay)
    assert small.lift_stops == 0.5
    assert small.beyond.value == pytest.approx(1.5)


lights = st.floats(-2, 6)


@given(st.floats(0.5, 12), st.floats(0.2, 10), lights, st.floats(0.1, 4))
def test_a_pre_flash_by_adding_up_the_light(
    apart: float, held: float, light_end: float, most: float
) -> None:
    """Exposures in units of the mid-tone's, added one by one."""
    assume(apart - held > 0.1)
    ways = ways_to_fit(
        apart, held, light_end_stops=light_end, most_fill_stops=0, most_pre_flash_stops=most
    )
    assume(ways)
    (way,) = ways
    assert isinstance(way, PreFlashWay)
    flash = 2**-way.below_mid_stops
    light = 2 ** (light_end + way.cost.value)
    dark = light / 2**apart
    assert light + flash == pytest.approx(2**light_end)  # the lighter one stays
    lands = math.log2((light + flash) / (dark + flash))
    assert lands - held == pytest.approx(way.beyond.value, abs=1e-9)
    assert math.log2((dark + flash) / dark) == pytest.approx(way.lift_stops)
    assert way.lift_stops <= most + 1e-12
    if way.beyond.value > 0:
        assert way.lift_stops == pytest.approx(most)


@given(st.floats(4.2, 8), lights)
def test_the_detail_a_pre_flash_leaves_is_the_slope(apart: float, light_end: float) -> None:
    """How the dark region answers to a little more light of its own."""
    ways = ways_to_fit(apart, 4.0, light_end_stops=light_end, most_fill_stops=0)
    way = by_kind(ways, PreFlashWay)
    assert isinstance(way, PreFlashWay)
    dark = light_end + way.cost.value - apart
    more, less = (pre_flashed_stops(dark + by, way.below_mid_stops) for by in (1e-5, -1e-5))
    assert (more - less) / 2e-5 == pytest.approx(way.detail_share, rel=1e-6)


def test_a_pre_flash_in_closed_form() -> None:
    """(X - F) / 32 + F = X / 16, so F = X / 31, and the dark one rises from 30/31/32 to 1/16."""
    (way,) = ways_to_fit(
        5.0, 4.0, light_end_stops=0.0, most_fill_stops=0, most_pre_flash_stops=2.0
    )
    assert isinstance(way, PreFlashWay)
    assert way.below_mid_stops == pytest.approx(math.log2(31))
    assert way.cost.value == pytest.approx(math.log2(30 / 31))
    assert way.lift_stops == pytest.approx(math.log2(62 / 30))
    assert way.beyond == Stops(0.0)


def test_a_softer_filter_holds_more_and_takes_light() -> None:
    held = range_held_stops(CURVE)
    assert range_held_stops(SOFT.on(CURVE)) == pytest.approx(held / 0.6)
    ways = ways_to_fit(8.0, held, light_end_stops=2.5, filters=[SOFT])
    way = by_kind(ways, FilterWay)
    assert isinstance(way, FilterWay)
    assert (way.grade, way.cost, way.detail_share) == (0, SOFT.loss, 0.6)
    assert way.beyond.value == pytest.approx(8.0 - held / 0.6)
    assert way.beyond.u == pytest.approx(0.2 * held / 0.6)


def test_what_does_not_help_is_no_way() -> None:
    neutral = FilterEffect(2, Stops(0.15), 1.0, 0.0)
    none = ways_to_fit(
        5.0,
        4.0,
        light_end_stops=2.5,
        filters=[HARD, neutral],
        most_fill_stops=0,
        most_pre_flash_stops=0,
    )
    assert none == ()


def test_the_best_way_is_first() -> None:
    """All fit: the card, which costs nothing; then the pre-flash; then what costs least light."""
    ways = ways_to_fit(4.6, 4.0, light_end_stops=2.5, filters=[SOFT, HARD, HALF_SOFT])
    assert [type(way) for way in ways] == [FillWay, PreFlashWay, FilterWay, FilterWay]
    assert [way.grade for way in ways if isinstance(way, FilterWay)] == [1, 0]
    # Four stops too far: what leaves least is first, whatever it costs.
    far = ways_to_fit(8.0, 4.0, light_end_stops=2.5, filters=[SOFT, HALF_SOFT])
    assert [way.beyond.value for way in far] == sorted(way.beyond.value for way in far)
    assert isinstance(far[0], FilterWay)
    assert by_kind(far, FillWay).beyond.value == pytest.approx(4.0 - CARD_MOST_STOPS)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: tone_ends(CURVE, 0.0), "density above Dmin is 0"),
    (lambda: tone_ends(CURVE, 0.04, 3.0), "density below Dmax is 3"),
    (lambda: tone_ends(CURVE, 1.7), "nothing is left of a range of 1.8; ask for less"),
    (lambda: pre_flashed_stops(40, 2), "placement is 40"),
    (lambda: pre_flashed_stops(0, math.nan), "pre-flash below the mid-tone is nan"),
    (lambda: pre_flash_closes_stops(-1, 0, 2), "stops apart is -1"),
    (lambda: lift_stops_of_fill(math.inf), "added light is inf"),
    (lambda: fill_stops_for_lift(0), "lift is 0"),
    (lambda: ways_to_fit(5, 0, light_end_stops=0), "stops held is 0"),
    (lambda: ways_to_fit(5, 4, light_end_stops=99), "light end is 99"),
    (lambda: ways_to_fit(5, 4, light_end_stops=0, most_fill_stops=-1), "most fill is -1"),
    (
        lambda: ways_to_fit(5, 4, light_end_stops=0, most_pre_flash_stops=11),
        "most lift of a pre-flash is 11",
    ),
]


@pytest.mark.parametrize(("make", "message"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_cannot_be_is_refused_by_name(make: Callable[[], object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        make()
