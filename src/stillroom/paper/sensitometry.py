"""Reflectance, density, step tablets and grades."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.paper.printed_range import HIGHLIGHT_ABOVE_DMIN, SHADOW_SHARE_OF_NET_DMAX
from stillroom.quantity import DENSITY_PER_STOP

GRADE_LOG_RANGES: dict[int, tuple[float, float]] = {
    0: (1.40, 1.70),
    1: (1.15, 1.40),
    2: (0.95, 1.15),
    3: (0.80, 0.95),
    4: (0.65, 0.80),
    5: (0.50, 0.65),
}
"""Grade to its band of log10 exposure range: superseded ANSI PH2.2-1966 (inner from memory)."""
TABLET_21_STEP = 0.15  # maker's specification, as described in a forum thread
TABLET_31_STEP = 0.10  # common product form (from memory)


def density_from_reflectance(reflectance: float) -> float:
    """Return the reflection density of a reflectance, ``-log10(R)``.

    Parameters
    ----------
    reflectance : float
        Reflectance factor against a perfect white [1], 0.00001 to 1.25.

    Returns
    -------
    float
        Reflection density [density].

    Raises
    ------
    OutOfRange
        If the reflectance is not a finite number in that range.

    References
    ----------
    ISO 5-4 (45:0 geometry) and ISO 5-3 (visual weighting), from memory.

    Examples
    --------
    >>> round(density_from_reflectance(0.18), 3)
    0.745
    """
    return -math.log10(in_range("reflectance", reflectance, 1e-5, 1.25))


def reflectance_from_density(density: float) -> float:
    """Return the reflectance of a reflection density, ``10**-D``.

    Parameters
    ----------
    density : float
        Reflection density [density], -0.1 to 5.

    Returns
    -------
    float
        Reflectance factor [1].

    Raises
    ------
    OutOfRange
        If the density is not a finite number in that range.

    References
    ----------
    ISO 5-4 and ISO 5-3 (from memory).

    Examples
    --------
    >>> round(reflectance_from_density(0.05), 3)
    0.891
    """
    return float(10.0 ** -in_range("density", density, -0.1, 5.0))


def stops_of_density(density_difference: float) -> float:
    """Return the stops of light that a difference of filter or tablet density holds back.

    Parameters
    ----------
    density_difference : float
        Difference of density [density], -6 to 6.

    Returns
    -------
    float
        Difference [stops]; 0.30103 is one stop.

    Raises
    ------
    OutOfRange
        If the difference is not a finite number in that range.

    Examples
    --------
    >>> round(stops_of_density(0.15), 3)
    0.498
    """
    return in_range("density difference", density_difference, -6.0, 6.0) / DENSITY_PER_STOP


def tablet_density(step: int, step_density: float = TABLET_21_STEP, first: float = 0.05) -> float:
    """Return the nominal density of a step of a tablet, counted from 1.

    Parameters
    ----------
    step : int
        Step of the tablet [1], 1 to 60.
    step_density : float
        Density per step [density], 0.01 to 1: 0.15 for 21 steps, 0.10 for 31.
    first : float
        Density of the first step [density], 0 to 1.

    Returns
    -------
    float
        Density [density]; real tablets stray 0.05 to 0.10 at the dense end.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Makers' specifications, as described in a forum thread and test-chart documentation.

    Examples
    --------
    >>> round(tablet_density(21) - tablet_density(1), 2)
    3.0
    """
    number = in_range("step", step, 1, 60)
    increment = in_range("density per step", step_density, 0.01, 1.0)
    return in_range("first density", first, 0.0, 1.0) + increment * (number - 1)


def exposure_through_density_lxs(unattenuated_lxs: float, density: float) -> float:
    """Return the exposure behind a step of a tablet.

    Parameters
    ----------
    unattenuated_lxs : float
        Exposure without the tablet [lx s], 0.000001 to 1000000.
    density : float
        Transmission density of the step [density], 0 to 6.

    Returns
    -------
    float
        Exposure [lx s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> round(exposure_through_density_lxs(22.4, 1.05), 2)
    2.0
    """
    full = in_range("exposure", unattenuated_lxs, 1e-6, 1e6, "lx·s")
    return float(full * 10.0 ** -in_range("density", density, 0.0, 6.0))


def iso_range_of_log_range(log_range: float) -> float:
    """Return the ISO range R of a log10 exposure range, unrounded.

    Parameters
    ----------
    log_range : float
        Log10 of the exposure range between the end points [1], 0.2 to 4.

    Returns
    -------
    float
        ISO range [1].

    Raises
    ------
    OutOfRange
        If the range is not a finite number from 0.2 to 4.

    References
    ----------
    ISO 6846:1992, as quoted.

    Examples
    --------
    >>> iso_range_of_log_range(1.07)
    107.0
    """
    return 100 * in_range("log exposure range", log_range, 0.2, 4.0)


def range_stops(iso_range: float) -> float:
    """Return the stops between the end points of a paper, from its ISO range.

    Parameters
    ----------
    iso_range : float
        ISO range R [1], 20 to 400.

    Returns
    -------
    float
        Span [stops].

    Raises
    ------
    OutOfRange
        If the range is not a finite number from 20 to 400.

    References
    ----------
    ISO 6846:1992, as quoted; one stop is 0.30103.

    Examples
    --------
    >>> round(range_stops(100), 2)
    3.32
    """
    return in_range("ISO range", iso_range, 20, 400) / 100 / DENSITY_PER_STOP


def average_gradient(iso_range: float, net_dmax: float) -> float:
    """Return the mean gradient between the end points of the ISO range.

    Parameters
    ----------
    iso_range : float
        ISO range R [1], 20 to 400.
    net_dmax : float
        Dmax less Dmin [density], 0.1 to 4.

    Returns
    -------
    float
        Density per log10 exposure [1], unsigned.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 6846:1992 end points, as quoted; Dmax taken net.

    Examples
    --------
    >>> round(average_gradient(100, 2.05), 3)
    1.805
    """
    log_range = in_range("ISO range", iso_range, 20, 400) / 100
    net = in_range("net Dmax", net_dmax, 0.1, 4.0)
    return (SHADOW_SHARE_OF_NET_DMAX * net - HIGHLIGHT_ABOVE_DMIN) / log_range


def density_per_stop(gradient: float) -> float:
    """Return the change of density per stop on the straight part of a curve.

    Parameters
    ----------
    gradient : float
        Density per log10 exposure [1], 0.1 to 10.

    Returns
    -------
    float
        Change [density/stop], unsigned.

    Raises
    ------
    OutOfRange
        If the gradient is not a finite number in that range.

    Examples
    --------
    >>> round(density_per_stop(1.8), 3)
    0.542
    """
    return in_range("gradient", gradient, 0.1, 10.0) * DENSITY_PER_STOP


def grade_of_log_range(log_range: float) -> int:
    """Return the grade whose band holds a log10 exposure range; 5 is the hardest.

    Parameters
    ----------
    log_range : float
        Log10 exposure range [1], 0.50 to 1.70.

    Returns
    -------
    int
        Grade, 0 to 5; a range on a border belongs to the harder grade.

    Raises
    ------
    OutOfRange
        If no grade's band holds the range.

    References
    ----------
    Superseded ANSI PH2.2-1966, encyclopedia chapter for the span, inner limits from memory.

    Examples
    --------
    >>> grade_of_log_range(1.05)
    2
    """
    value = in_range("log exposure range", log_range, 0.50, 1.70)
    return max(grade for grade, (low, high) in GRADE_LOG_RANGES.items() if low <= value <= high)
