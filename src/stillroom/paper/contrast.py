"""Contrast as a knob: the stops a paper holds, and what brings two regions within them.

Placements are stops above the mid-tone (+, lighter) or below it. Light is added as light; so what
is said here of a pre-flash and of a card is exact, as far as the veil is even and the card lights
the dark region alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.paper.contrast_filter import FilterEffect
from stillroom.paper.curve import ToneCurve
from stillroom.paper.printed_range import HIGHLIGHT_ABOVE_DMIN, SHADOW_SHARE_OF_NET_DMAX
from stillroom.quantity import Stops, light_sum_stops

CARD_MOST_STOPS = 1.5
"""What a white card close by can lift a shadow by [stops] (invented)."""
PRE_FLASH_MOST_STOPS = 1.0
"""What a pre-flash may lift a shadow by [stops]: beyond, veil is most of its light (ours)."""
WORTH_STOPS = 0.05
"""What brings two regions no nearer than this is no way [stops] (ours)."""
_APART_RANGE_STOPS = (0.0, 30.0)
_HELD_RANGE_STOPS = (0.01, 30.0)
_PLACEMENT_RANGE_STOPS = (-30.0, 30.0)
_LIFT_RANGE_STOPS = (0.001, 10.0)
_TONE_RANGE = (0.001, 2.0)
_LN2 = math.log(2.0)


@dataclass(frozen=True, slots=True)
class ToneEnds:
    """Where the lightest and the darkest tone lie that still differ from bare paper and black.

    Parameters
    ----------
    light_end_stops, dark_end_stops : float
        Placement of either [stops].
    """

    light_end_stops: float
    dark_end_stops: float

    @property
    def held_stops(self) -> float:
        """How many stops the paper holds between the two [stops]."""
        return self.light_end_stops - self.dark_end_stops


def tone_ends(
    curve: ToneCurve,
    above_dmin: float = HIGHLIGHT_ABOVE_DMIN,
    below_dmax: float | None = None,
) -> ToneEnds:
    """Return between which placements a paper keeps tones apart from its white and its black.

    Parameters
    ----------
    curve : ToneCurve
        Curve of the batch.
    above_dmin : float
        How much darker than bare paper the lightest tone has to be [density], 0.001 to 2.
    below_dmax : float, optional
        How much lighter than black the darkest tone has to be [density], 0.001 to 2; a tenth of
        the net Dmax when left out.

    Returns
    -------
    ToneEnds
        Both placements.

    Raises
    ------
    OutOfRange
        If a density lies outside its range.
    BadValue
        If the two leave nothing of the curve.

    Notes
    -----
    With nothing but the curve given these are the end points of the ISO range, as in `iso_range`.

    References
    ----------
    ISO 6846:1992, as quoted: 0.04 above base and fog, 0.90 of Dmax (taken net).

    Examples
    --------
    >>> ends = tone_ends(ToneCurve(1.5, 1.0, 0.05, 1.85))
    >>> round(ends.light_end_stops, 2), round(ends.dark_end_stops, 2)
    (2.52, -1.46)
    """
    span = curve.dmax - curve.dmin
    low = in_range("density above Dmin", above_dmin, *_TONE_RANGE, "density")
    high = (1 - SHADOW_SHARE_OF_NET_DMAX) * span
    if below_dmax is not None:
        high = in_range("density below Dmax", below_dmax, *_TONE_RANGE, "density")
    if low + high >= span:
        raise BadValue(
            "density above Dmin",
            low,
            f"with {high:g} below Dmax nothing is left of a range of {span:g}; ask for less",
        )
    return ToneEnds(curve.placement(curve.dmin + low), curve.placement(curve.dmax - high))


def range_held_stops(
    curve: ToneCurve,
    above_dmin: float = HIGHLIGHT_ABOVE_DMIN,
    below_dmax: float | None = None,
) -> float:
    """Return how many stops a paper holds between two tones.

    Parameters
    ----------
    curve : ToneCurve
        Curve of the batch.
    above_dmin : float
        How much darker than bare paper the lightest tone has to be [density], 0.001 to 2.
    below_dmax : float, optional
        How much lighter than black the darkest tone has to be [density], 0.001 to 2; a tenth of
        the net Dmax when left out.

    Returns
    -------
    float
        Range [stops]; twice the contrast holds half of it.

    Raises
    ------
    OutOfRange, BadValue
        As `tone_ends`.

    References
    ----------
    As `tone_ends`.

    Examples
    --------
    >>> round(range_held_stops(ToneCurve(1.5, 1.0, 0.05, 1.85)), 2)
    3.99
    """
    return tone_ends(curve, above_dmin, below_dmax).held_stops


# ---- light added to both regions, or to one -----------------------------------------------------


def pre_flashed_stops(placement_stops: float, below_mid_stops: float) -> float:
    """Return where a region lands that had an even pre-flash as well.

    Parameters
    ----------
    placement_stops : float
        Placement by its own light [stops], -30 to 30.
    below_mid_stops : float
        How far below the mid-tone the pre-flash alone would land [stops], -30 to 30.

    Returns
    -------
    float
        Placement by both [stops].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Notes
    -----
    Exposures add. That two exposures apart in time count like one is assumed.

    References
    ----------
    ``log2(2**u + 2**-b)``, definition of the stop.

    Examples
    --------
    >>> pre_flashed_stops(-2.0, 2.0)  # as much again: one stop
    -1.0
    """
    own = in_range("placement", placement_stops, *_PLACEMENT_RANGE_STOPS, "stops")
    below = in_range(
        "pre-flash below the mid-tone", below_mid_stops, *_PLACEMENT_RANGE_STOPS, "stops"
    )
    return float(light_sum_stops(np.array([own, -below])))


def pre_flash_closes_stops(apart_stops: float, dark_stops: float, below_mid_stops: float) -> float:
    """Return by how much a pre-flash brings two regions together.

    Parameters
    ----------
    apart_stops : float
        How far apart they lie by their own light [stops], 0 to 30.
    dark_stops : float
        Placement of the darker one by its own light [stops], -30 to 30.
    below_mid_stops : float
        How far below the mid-tone the pre-flash alone would land [stops], -30 to 30.

    Returns
    -------
    float
        What the darker one rises more than the lighter one [stops].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    As `pre_flashed_stops`, for both.

    Examples
    --------
    >>> round(pre_flash_closes_stops(4.0, -2.0, 2.0), 3)
    0.913
    """
    apart = in_range("stops apart", apart_stops, *_APART_RANGE_STOPS, "stops")
    dark = pre_flashed_stops(dark_stops, below_mid_stops)
    return apart - (pre_flashed_stops(dark_stops + apart, below_mid_stops) - dark)


def lift_stops_of_fill(fill_stops: float) -> float:
    """Return by how much added light lifts a region.

    Parameters
    ----------
    fill_stops : float
        The added light over what the region already has [stops], -30 to 30.

    Returns
    -------
    float
        Lift [stops].

    Raises
    ------
    OutOfRange
        If the light lies outside its range.

    References
    ----------
    ``log2(1 + 2**f)``, definition of the stop.

    Examples
    --------
    >>> lift_stops_of_fill(0.0)  # as much again
    1.0
    """
    fill = in_range("added light", fill_stops, *_PLACEMENT_RANGE_STOPS, "stops")
    return float(light_sum_stops(np.array([0.0, fill])))


def fill_stops_for_lift(lift_stops: float) -> float:
    """Return how much light a card or lamp has to add to lift a region.

    Parameters
    ----------
    lift_stops : float
        Wanted lift [stops], 0.001 to 10.

    Returns
    -------
    float
        Light to be added over what the region already has [stops]; a meter shows either alone.

    Raises
    ------
    OutOfRange
        If the lift lies outside its range.

    References
    ----------
    ``log2(2**s - 1)``, inverse of `lift_stops_of_fill`.

    Examples
    --------
    >>> round(fill_stops_for_lift(0.5), 2), round(fill_stops_for_lift(2.0), 2)
    (-1.27, 1.58)
    """
    lift = in_range("lift", lift_stops, *_LIFT_RANGE_STOPS, "stops")
    return math.log2(math.expm1(lift * math.log(2)))


# ---- ways to fit --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Way:
    """One way to bring two regions within what a paper holds.

    Parameters
    ----------
    cost : Stops
        Light to be given more, so that the lighter region lands where it did [stops]; below 0 it
        saves light.
    beyond : Stops
        How far the regions still lie apart beyond what the paper then holds [stops], 0 or more.
    detail_share : float
        What is left of differences within the dark region, as the paper shows them, over those
        without the way [1].
    """

    cost: Stops
    beyond: Stops
    detail_share: float


@dataclass(frozen=True, slots=True)
class FillWay(Way):
    """A card or lamp that lights the dark region alone.

    Parameters
    ----------
    lift_stops : float
        By how much it lifts the region [stops].
    fill_stops : float
        The light it adds over what the region has [stops].
    """

    lift_stops: float
    fill_stops: float


@dataclass(frozen=True, slots=True)
class PreFlashWay(Way):
    """An even pre-flash, the exposure taken back so that the lighter region lands where it did.

    Parameters
    ----------
    below_mid_stops : float
        How far below the mid-tone the pre-flash alone lands [stops].
    lift_stops : float
        By how much it lifts the dark region beyond its own light [stops].
    """

    below_mid_stops: float
    lift_stops: float


@dataclass(frozen=True, slots=True)
class FilterWay(Way):
    """A softer contrast filter on the lens.

    Parameters
    ----------
    grade : int or None
        Grade on the filter [1]; None for one without.
    name : str
        Which filter it is, where there are several.
    """

    grade: int | None
    name: str = ""


def ways_to_fit(
    apart_stops: float,
    held_stops: float,
    *,
    light_end_stops: float,
    filters: Sequence[FilterEffect] = (),
    most_fill_stops: float = CARD_MOST_STOPS,
    most_pre_flash_stops: float = PRE_FLASH_MOST_STOPS,
) -> tuple[Way, ...]:
    """Return the ways that bring two regions nearer to what a paper holds, best first.

    Parameters
    ----------
    apart_stops : float
        How far the two lie apart by their light [stops], 0 to 30.
    held_stops : float
        What the paper holds without a filter [stops], 0.01 to 30: `range_held_stops`.
    light_end_stops : float
        Placement of the lighter region, which stays: `tone_ends` [stops], -30 to 30.
    filters : sequence of FilterEffect
        Those at hand, for this paper in this light; none for graded paper.
    most_fill_stops : float
        By how much card or lamp can lift the dark region [stops], 0 to 10; 0 for none at hand.
    most_pre_flash_stops : float
        By how much a pre-flash may lift it [stops], 0 to 10; 0 for no pre-flash.

    Returns
    -------
    tuple of Way
        Each way by itself, by what stays beyond the paper, then by the light it costs (a saving
        counts as none), then by the detail it leaves in the dark. Empty where the two fit already,
        or miss it by less than `WORTH_STOPS`.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Notes
    -----
    A filter also moves where the paper's ends lie; the ways are compared by their range alone.

    References
    ----------
    Addition of exposures, as `pre_flashed_stops` and `lift_stops_of_fill`. What card and pre-flash
    can do at most is invented.

    Examples
    --------
    >>> for way in ways_to_fit(4.6, 4.0, light_end_stops=2.5):
    ...     print(type(way).__name__, way.cost.text(), way.beyond.value, f"{way.detail_share:.2f}")
    FillWay 0.00 0.0 1.00
    PreFlashWay −0.03 0.0 0.65
    """
    apart = in_range("stops apart", apart_stops, *_APART_RANGE_STOPS, "stops")
    held = in_range("stops held", held_stops, *_HELD_RANGE_STOPS, "stops")
    light_end = in_range("light end", light_end_stops, *_PLACEMENT_RANGE_STOPS, "stops")
    most_fill = in_range("most fill", most_fill_stops, 0.0, _LIFT_RANGE_STOPS[1], "stops")
    most_flash = in_range(
        "most lift of a pre-flash", most_pre_flash_stops, 0.0, _LIFT_RANGE_STOPS[1], "stops"
    )
    if apart - held < WORTH_STOPS:
        return ()
    ways: list[Way] = [_by_filter(apart, held, effect) for effect in filters]
    if most_fill >= WORTH_STOPS:
        ways.append(_by_fill(apart, held, most_fill))
    if most_flash >= WORTH_STOPS:
        ways.append(_by_pre_flash(apart, held, light_end, most_flash))
    helping = [way for way in ways if way.beyond.value <= apart - held - WORTH_STOPS]
    return tuple(sorted(helping, key=best_first))


def best_first(way: Way) -> tuple[float, float, float]:
    """How ways are ordered: what stays beyond, light it costs, detail it leaves."""
    return way.beyond.value, max(way.cost.value, 0.0), -way.detail_share


def _by_fill(apart: float, held: float, most: float) -> FillWay:
    lift = min(apart - held, most)
    return FillWay(Stops(0.0), Stops(apart - held - lift), 1.0, lift, fill_stops_for_lift(lift))


def _by_pre_flash(apart: float, held: float, light_end: float, most: float) -> PreFlashWay:
    # The dark region, d stops down, is to end h stops down, and the light one where it was:
    # (X - F) 2^-d + F = X 2^-h. Solved for the lift 2^L of the dark region beyond its own light.
    needed = apart - held + math.log2(math.expm1(-apart * _LN2) / math.expm1(-held * _LN2))
    lift = min(needed, most)
    veil = math.exp2(-apart) * math.expm1(lift * _LN2)  # over what the light region still gets
    saved = math.log1p(veil) / _LN2
    return PreFlashWay(
        cost=Stops(-saved),
        beyond=Stops(max(0.0, apart + saved - lift - held) if lift < needed else 0.0),
        detail_share=math.exp2(-lift),
        below_mid_stops=saved - math.log2(veil) - light_end,
        lift_stops=lift,
    )


def _by_filter(apart: float, held: float, effect: FilterEffect) -> FilterWay:
    softened = held / effect.contrast_factor
    return FilterWay(
        cost=effect.loss,
        beyond=Stops(max(0.0, apart - softened), softened * effect.contrast_log_sd),
        detail_share=effect.contrast_factor,
        grade=effect.grade,
        name=effect.name,
    )
