"""The one tone curve of a direct positive: more exposure, lighter tone.

``D(u) = Dmin + (Dmax - Dmin) F(u)`` with ``F(u) = (1 + (2**nu - 1) exp(kappa u))**(-1/nu)``:
`u` is the placement in stops above the mid-tone, `kappa` the contrast, `nu` the asymmetry.
``F(0) = 1/2`` for every shape, so that speed never trades against shape.

The functions take numbers or arrays, broadcast, and do not check what they are given: they run
inside loops. `ToneCurve` is the checked door for single numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import entr

from stillroom.errors import BadValue, OutOfRange, in_range
from stillroom.quantity import FloatArray

CONTRAST_RANGE_PER_STOP = (0.05, 20.0)
ASYMMETRY_RANGE = (0.01, 20.0)
DMIN_RANGE = (-0.05, 1.5)
DMAX_RANGE = (0.2, 4.0)
SMALLEST_SPAN = 0.1
LARGEST_PLACEMENT_STOPS = 60.0

_LN2 = math.log(2.0)


def curve_fraction(
    placement_stops: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
) -> FloatArray:
    """Return the share of the density range that remains, from 1 (black) to 0 (bare paper).

    Parameters
    ----------
    placement_stops : float or FloatArray
        Exposure above the mid-tone [stops].
    contrast_per_stop : float or FloatArray
        Contrast kappa [1/stop], above zero.
    asymmetry : float or FloatArray
        Asymmetry nu [1], above zero; 1 is the symmetric curve.

    Returns
    -------
    FloatArray
        Fraction F [1]; one half at placement 0.

    Notes
    -----
    Computed in logarithms, so that it neither overflows nor loses the tails; written out, for
    numpy's own ``logaddexp`` takes ten times as long. Not checked.

    References
    ----------
    A logistic curve with one more shape (a generalised logistic), scaled to pass one half at
    zero; the choice of curve is ours.

    Examples
    --------
    >>> round(float(curve_fraction(0.0, 1.1, 0.3)), 12)
    0.5
    """
    z, tail = _exponent(placement_stops, contrast_per_stop, asymmetry)
    return np.asarray(np.exp(-(np.maximum(z, 0.0) + tail) / asymmetry))


@dataclass(frozen=True, slots=True)
class CurveSlopes:
    """The curve fraction and how it changes, each of the shape the arguments broadcast to."""

    fraction: FloatArray
    by_placement: FloatArray
    """Per stop of placement; times placement it is the change per unit of log contrast."""
    by_log_asymmetry: FloatArray


def curve_slopes(
    placement_stops: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
) -> CurveSlopes:
    """Return the curve fraction with its derivatives.

    Parameters
    ----------
    placement_stops, contrast_per_stop, asymmetry : float or FloatArray
        As in `curve_fraction`.

    Returns
    -------
    CurveSlopes

    Notes
    -----
    With ``z = ln(2**nu - 1) + kappa u``: ``d ln F / dz = -1 / (nu (1 + e**-z))``. Not checked.

    Examples
    --------
    >>> round(float(curve_slopes(0.0, 1.6, 1.0).by_placement), 6)
    -0.4
    """
    z, tail = _exponent(placement_stops, contrast_per_stop, asymmetry)
    share = (np.maximum(z, 0.0) + tail) / asymmetry
    fraction = np.exp(-share)
    by_z = -np.exp(np.minimum(z, 0.0) - tail - share) / asymmetry
    moved = asymmetry * _LN2 / -np.expm1(-np.multiply(asymmetry, _LN2))
    return CurveSlopes(
        np.asarray(fraction),
        np.asarray(by_z * contrast_per_stop),
        np.asarray(by_z * moved + entr(fraction)),
    )


def _exponent(
    placement_stops: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """``z`` of the curve's exponential, and ``ln(1 + e**-|z|)``: with it nothing overflows."""
    z = _log_expm1(asymmetry * _LN2) + np.multiply(contrast_per_stop, placement_stops)
    return z, np.log1p(np.exp(-np.abs(z)))


def density(
    placement_stops: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
    dmin: float | FloatArray,
    dmax: float | FloatArray,
) -> FloatArray:
    """Return the reflection density that a placement gives.

    Parameters
    ----------
    placement_stops : float or FloatArray
        Exposure above the mid-tone [stops].
    contrast_per_stop : float or FloatArray
        Contrast kappa [1/stop], above zero.
    asymmetry : float or FloatArray
        Asymmetry nu [1], above zero.
    dmin, dmax : float or FloatArray
        Least and greatest density of the batch [density].

    Returns
    -------
    FloatArray
        Reflection density [density].

    Notes
    -----
    Not checked; see `ToneCurve.density` for single numbers.

    Examples
    --------
    >>> round(float(density(0.0, 1.6, 1.0, 0.08, 1.70)), 6)
    0.89
    """
    fraction = curve_fraction(placement_stops, contrast_per_stop, asymmetry)
    return np.asarray(dmin + np.subtract(dmax, dmin) * fraction)


def density_slope(
    placement_stops: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
    dmin: float | FloatArray,
    dmax: float | FloatArray,
) -> FloatArray:
    """Return the change of density per stop at a placement; negative, for more light is lighter.

    Parameters
    ----------
    placement_stops : float or FloatArray
        Exposure above the mid-tone [stops].
    contrast_per_stop : float or FloatArray
        Contrast kappa [1/stop], above zero.
    asymmetry : float or FloatArray
        Asymmetry nu [1], above zero.
    dmin, dmax : float or FloatArray
        Least and greatest density of the batch [density].

    Returns
    -------
    FloatArray
        Slope [density/stop].

    Notes
    -----
    At the mid-tone it is ``-(Dmax - Dmin) kappa (1 - 2**-nu) / (2 nu)``. Not checked.

    Examples
    --------
    >>> round(float(density_slope(0.0, 1.6, 1.0, 0.08, 1.70)), 6)
    -0.648
    """
    slopes = curve_slopes(placement_stops, contrast_per_stop, asymmetry)
    return np.asarray(np.subtract(dmax, dmin) * slopes.by_placement)


def placement(
    density: float | FloatArray,
    contrast_per_stop: float | FloatArray,
    asymmetry: float | FloatArray,
    dmin: float | FloatArray,
    dmax: float | FloatArray,
) -> FloatArray:
    """Return the placement that gives a density: the exact inverse of `density`.

    Parameters
    ----------
    density : float or FloatArray
        Reflection density [density], between `dmin` and `dmax`, neither included.
    contrast_per_stop : float or FloatArray
        Contrast kappa [1/stop], above zero.
    asymmetry : float or FloatArray
        Asymmetry nu [1], above zero.
    dmin, dmax : float or FloatArray
        Least and greatest density of the batch [density].

    Returns
    -------
    FloatArray
        Exposure above the mid-tone [stops].

    Raises
    ------
    OutOfRange
        If any density is not between Dmin and Dmax: such a tone tells no exposure.

    Examples
    --------
    >>> float(placement(0.89, 1.6, 1.0, 0.08, 1.70)) + 0.0
    0.0
    """
    net = np.subtract(density, dmin)
    short = np.subtract(dmax, density)
    _refuse_outside(density, net, short, dmin, dmax)
    # ln F, from the nearer end of the range so that neither tail loses digits.
    with np.errstate(divide="ignore"):
        span = np.subtract(dmax, dmin)
        log_fraction = np.where(net < short, np.log(net / span), np.log1p(-short / span))
    z = _log_expm1(-asymmetry * log_fraction)
    return np.asarray((z - _log_expm1(asymmetry * _LN2)) / contrast_per_stop)


@dataclass(frozen=True, slots=True)
class ToneCurve:
    """The tone curve of one batch, checked: numbers in, numbers out.

    Parameters
    ----------
    contrast_per_stop : float
        Contrast kappa [1/stop], 0.05 to 20.
    asymmetry : float
        Asymmetry nu [1], 0.01 to 20.
    dmin, dmax : float
        Least and greatest density of the batch [density]; at least 0.1 apart.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> curve = ToneCurve(1.6, 1.0, 0.08, 1.70)
    >>> round(curve.density(1.0), 4), round(curve.placement(0.3521), 3)
    (0.3521, 1.0)
    """

    contrast_per_stop: float
    asymmetry: float
    dmin: float
    dmax: float

    def __post_init__(self) -> None:
        in_range("contrast", self.contrast_per_stop, *CONTRAST_RANGE_PER_STOP, "per stop")
        in_range("asymmetry", self.asymmetry, *ASYMMETRY_RANGE)
        low = in_range("Dmin", self.dmin, *DMIN_RANGE, "density")
        in_range("Dmax", self.dmax, max(DMAX_RANGE[0], low + SMALLEST_SPAN), DMAX_RANGE[1])

    @property
    def mid_density(self) -> float:
        """The mid-tone: half way between Dmin and Dmax [density]."""
        return (self.dmin + self.dmax) / 2

    def density(self, placement_stops: float) -> float:
        """Return the density of a placement.

        Parameters
        ----------
        placement_stops : float
            Exposure above the mid-tone [stops], from -60 to 60.

        Returns
        -------
        float
            Reflection density [density].

        Raises
        ------
        OutOfRange
            If the placement is not a finite number in that range.

        Examples
        --------
        >>> round(ToneCurve(1.5, 1.0, 0.1, 1.9).density(0.0), 6)
        1.0
        """
        return float(density(_checked_placement(placement_stops), *self._shape()))

    def slope(self, placement_stops: float) -> float:
        """Return the change of density per stop at a placement.

        Parameters
        ----------
        placement_stops : float
            Exposure above the mid-tone [stops], from -60 to 60.

        Returns
        -------
        float
            Slope, negative [density/stop].

        Raises
        ------
        OutOfRange
            If the placement is not a finite number in that range.

        Examples
        --------
        >>> ToneCurve(1.0, 1.0, 0.0, 2.0).slope(0.0)
        -0.5
        """
        return float(density_slope(_checked_placement(placement_stops), *self._shape()))

    def placement(self, density: float) -> float:
        """Return the placement that gives a density.

        Parameters
        ----------
        density : float
            Reflection density [density], between Dmin and Dmax, neither included.

        Returns
        -------
        float
            Exposure above the mid-tone [stops].

        Raises
        ------
        OutOfRange
            If the density is not between Dmin and Dmax.

        Examples
        --------
        >>> ToneCurve(1.5, 0.7, 0.1, 1.9).placement(1.0) + 0.0
        0.0
        """
        return float(placement(density, *self._shape()))

    def _shape(self) -> tuple[float, float, float, float]:
        return self.contrast_per_stop, self.asymmetry, self.dmin, self.dmax


def _log_expm1(x: float | FloatArray) -> FloatArray:
    """``ln(e**x - 1)`` for x > 0 without overflow."""
    return np.asarray(x + np.log(-np.expm1(-np.asarray(x, dtype=np.float64))))


def _checked_placement(placement_stops: float) -> float:
    return in_range(
        "placement", placement_stops, -LARGEST_PLACEMENT_STOPS, LARGEST_PLACEMENT_STOPS, "stops"
    )


def _refuse_outside(
    value: float | FloatArray,
    net: FloatArray,
    short: FloatArray,
    dmin: float | FloatArray,
    dmax: float | FloatArray,
) -> None:
    inside = (net > 0) & (short > 0)
    if np.all(inside):
        return
    first = int(np.argmin(inside))
    values, lows, highs = (
        float(np.broadcast_to(np.asarray(a), np.shape(inside)).flat[first])
        for a in (value, dmin, dmax)
    )
    if highs <= lows:
        raise BadValue("Dmax", highs, f"it must lie above Dmin, {lows:g}")
    raise OutOfRange("density", values, lows, highs, "(neither end included)")
