"""A quantity in stops with its standard uncertainty, and sums of light."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stillroom.errors import in_range
from stillroom.quantity.stop_text import LARGEST_STOPS, stops_decimal_text

if TYPE_CHECKING:
    from stillroom.quantity.arrays import FloatArray

LARGEST_RATIO = 2.0**LARGEST_STOPS


@dataclass(frozen=True, slots=True)
class Stops:
    """A number of stops and its standard uncertainty (one sigma).

    ``+`` and ``-`` treat the two as independent: values add, uncertainties add in quadrature.
    Terms that share a cause belong in a joint belief, not here.

    Parameters
    ----------
    value : float
        Best value [stops], from -100 to 100.
    u : float
        Standard uncertainty [stops], from 0 to 100; 0 means taken as exact.

    Raises
    ------
    OutOfRange
        If either number is not finite or lies outside its range.

    References
    ----------
    JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 (from memory).

    Examples
    --------
    >>> total = Stops(-0.74, 0.30) + Stops(0.50, 0.40)
    >>> total.text()
    '−0.2 ± 0.5'
    """

    value: float
    u: float = 0.0

    def __post_init__(self) -> None:
        in_range("stops", self.value, -LARGEST_STOPS, LARGEST_STOPS, "stops")
        in_range("uncertainty", self.u, 0.0, LARGEST_STOPS, "stops")

    def __add__(self, other: Stops) -> Stops:
        return Stops(self.value + other.value, math.hypot(self.u, other.u))

    def __sub__(self, other: Stops) -> Stops:
        return Stops(self.value - other.value, math.hypot(self.u, other.u))

    def __neg__(self) -> Stops:
        return Stops(-self.value, self.u)

    def text(self) -> str:
        """Return value and uncertainty, rounded by the uncertainty.

        The uncertainty keeps two digits when they are 10 to 35, otherwise one (the rule of the
        Review of Particle Physics, from memory); the value is rounded to the same place. An
        exact value shows two decimals.

        Returns
        -------
        str
            Such as ``+1.33 ± 0.15``.

        Examples
        --------
        >>> Stops(-1.2345, 0.15).text(), Stops(0.4321, 0.7).text(), Stops(1.0).text()
        ('−1.23 ± 0.15', '+0.4 ± 0.7', '+1.00')
        """
        if self.u == 0:
            return stops_decimal_text(self.value)
        places = _places_of_uncertainty(self.u)
        return f"{stops_decimal_text(self.value, places)} ± {self.u:.{places}f}"


def stops_of_ratio(ratio: float) -> float:
    """Return the stops that a ratio of exposures amounts to, log2 of it.

    Parameters
    ----------
    ratio : float
        Ratio of two exposures [1], above zero.

    Returns
    -------
    float
        Stops [stops]; positive where the ratio is above 1.

    Raises
    ------
    OutOfRange
        If `ratio` is not a finite number from 2**-100 to 2**100.

    Examples
    --------
    >>> stops_of_ratio(8)
    3.0
    """
    return math.log2(in_range("ratio", ratio, 1 / LARGEST_RATIO, LARGEST_RATIO))


def ratio_of_stops(stops: float) -> float:
    """Return the ratio of exposures that a number of stops amounts to, 2 to that power.

    Parameters
    ----------
    stops : float
        Stops [stops], from -100 to 100.

    Returns
    -------
    float
        Ratio [1].

    Raises
    ------
    OutOfRange
        If `stops` is not a finite number in that range.

    Examples
    --------
    >>> ratio_of_stops(-2)
    0.25
    """
    return float(2.0 ** in_range("stops", stops, -LARGEST_STOPS, LARGEST_STOPS, "stops"))


def light_sum_stops(stops: FloatArray, axis: int = -1) -> FloatArray:
    """Return log2 of the sum of ``2**stops`` along an axis: lights add as light, not as stops.

    Parameters
    ----------
    stops : FloatArray
        Log2 of each exposure, all in one unit [stops]; ``-inf`` stands for no light.
    axis : int
        Axis that is summed away.

    Returns
    -------
    FloatArray
        Log2 of the sum [stops]; ``-inf`` where every light is absent.

    Notes
    -----
    The largest term is taken out first, so neither large nor very negative numbers overflow.
    No check of the values: this runs inside loops.

    Examples
    --------
    >>> float(light_sum_stops(np.array([3.0, 3.0])))
    4.0
    """
    largest = np.max(stops, axis=axis, keepdims=True)
    reference = np.where(np.isneginf(largest), 0.0, largest)
    total = np.sum(np.exp2(stops - reference), axis=axis)
    with np.errstate(divide="ignore"):
        return np.asarray(np.log2(total) + np.squeeze(reference, axis=axis))


def _places_of_uncertainty(u: float) -> int:
    exponent = math.floor(math.log10(u))
    leading = u / 10.0**exponent
    digits = 2 if leading < 3.55 or leading >= 9.5 else 1
    if leading >= 9.5:  # rounds up to the next decade
        exponent += 1
    return max(0, min(6, digits - 1 - exponent))
