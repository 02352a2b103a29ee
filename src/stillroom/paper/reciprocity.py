"""Long exposures: what a sheet loses when its light comes slowly.

One law for paper: the effective time of one opening is ``t**(1 - q)`` beyond 1 s. The film laws
and the film table below check such functions against print; they are no priors for paper.
"""

from __future__ import annotations

import math

from stillroom.errors import OutOfRange, in_range

LOSS_PER_DOUBLING_STOPS = 0.10  # q until learned, ± 0.07; common practice, no source for paper
LOSS_PER_DOUBLING_SD_STOPS = 0.07
CONVENTIONAL_FILM_S = ((1.0, 2.0), (10.0, 50.0), (100.0, 1200.0))
"""Indicated and corrected time [s]: film data sheets, as quoted on several pages."""
ADDITIVE_EXPONENT = 1.62  # forum summary of careful tests of five films
_TIME_RANGE_S = (1e-6, 36_000.0)


def reciprocity_stops(
    open_s: float, loss_per_doubling_stops: float = LOSS_PER_DOUBLING_STOPS
) -> float:
    """Return what one opening loses by its length, zero up to 1 s.

    Parameters
    ----------
    open_s : float
        Length of one opening [s], 1 microsecond to 10 hours.
    loss_per_doubling_stops : float
        Loss q for each doubling of the time beyond 1 s [stops], -0.5 to 1.

    Returns
    -------
    float
        ``-q max(0, log2 t)`` [stops], zero or negative for a positive `q`.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    Nothing published for paper was found; q = 0.10 ± 0.07 stands until sheets teach better.

    References
    ----------
    Schwarzschild form (effective time t**p beyond 1 s, p = 1 - q); values are our prior.

    Examples
    --------
    >>> round(reciprocity_stops(8.0), 6), abs(reciprocity_stops(0.5))
    (-0.3, 0.0)
    """
    seconds = in_range("open time", open_s, *_TIME_RANGE_S, "s")
    loss = in_range("loss per doubling", loss_per_doubling_stops, -0.5, 1.0, "stops")
    return -loss * max(0.0, math.log2(seconds))


def schwarzschild_time_s(metered_s: float, p: float) -> float:
    """Return the time that gives the metered effect when it goes as ``t**p`` beyond 1 s.

    Parameters
    ----------
    metered_s : float
        Time without loss [s], 1 microsecond to 10 hours.
    p : float
        Schwarzschild exponent [1], 0.3 to 1.

    Returns
    -------
    float
        Corrected time [s]; unchanged up to 1 s.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Schwarzschild's law, p = 0.86 for plates of about 1900 ("Reciprocity (photography)").

    Examples
    --------
    >>> round(schwarzschild_time_s(10, 0.725), 1)
    24.0
    """
    seconds = in_range("metered time", metered_s, *_TIME_RANGE_S, "s")
    exponent = in_range("Schwarzschild exponent", p, 0.3, 1.0)
    return seconds if seconds <= 1 else float(seconds ** (1 / exponent))


def schwarzschild_time_factor(light_stops: float, p: float) -> float:
    """Return how much longer to expose when the light changes and the effect goes as ``I t**p``.

    Parameters
    ----------
    light_stops : float
        Change of the light [stops], -20 to 20; negative = less light.
    p : float
        Schwarzschild exponent [1], 0.3 to 1.

    Returns
    -------
    float
        Factor on the time [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Schwarzschild's law ("Reciprocity (photography)", encyclopedia).

    Examples
    --------
    >>> round(schwarzschild_time_factor(-3, 0.86), 2)
    11.22
    """
    stops = in_range("change of light", light_stops, -20, 20, "stops")
    return float(2.0 ** (-stops / in_range("Schwarzschild exponent", p, 0.3, 1.0)))


def schwarzschild_exponent(
    metered_1_s: float, corrected_1_s: float, metered_2_s: float, corrected_2_s: float
) -> float:
    """Return the Schwarzschild exponent between two lines of a correction table.

    Parameters
    ----------
    metered_1_s, metered_2_s : float
        Times without loss, the second longer [s].
    corrected_1_s, corrected_2_s : float
        Their corrected times [s].

    Returns
    -------
    float
        Exponent p, the slope of log metered over log corrected time [1].

    Raises
    ------
    OutOfRange
        If a time lies outside its range or the second line is not the longer one.

    References
    ----------
    ``t_c`` proportional to ``t_m**(1/p)``, Schwarzschild's law.

    Examples
    --------
    >>> round(schwarzschild_exponent(10, 50, 100, 1200), 3)
    0.725
    """
    first = in_range("first metered time", metered_1_s, *_TIME_RANGE_S, "s")
    second = in_range("second metered time", metered_2_s, *_TIME_RANGE_S, "s")
    first_corrected = in_range("first corrected time", corrected_1_s, *_TIME_RANGE_S, "s")
    second_corrected = in_range("second corrected time", corrected_2_s, *_TIME_RANGE_S, "s")
    if second <= first:
        raise OutOfRange("second metered time", second, first, _TIME_RANGE_S[1], "s")
    if second_corrected <= first_corrected:
        raise OutOfRange(
            "second corrected time", second_corrected, first_corrected, _TIME_RANGE_S[1], "s"
        )
    return math.log(second / first) / math.log(second_corrected / first_corrected)


def additive_corrected_time_s(
    metered_s: float, coefficient: float, exponent: float = ADDITIVE_EXPONENT
) -> float:
    """Return the time corrected by an added term, ``t + a t**1.62``.

    Parameters
    ----------
    metered_s : float
        Time without loss [s], 1 microsecond to 10 hours.
    coefficient : float
        Coefficient a of the film, for times in seconds [1], 0 to 5.
    exponent : float
        Exponent [1], 1 to 2.5.

    Returns
    -------
    float
        Corrected time [s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Forum summary of careful film tests, a = 0.046 to 0.169 for five films.

    Examples
    --------
    >>> round(additive_corrected_time_s(10, 0.169), 2)
    17.05
    """
    seconds = in_range("metered time", metered_s, *_TIME_RANGE_S, "s")
    a = in_range("coefficient", coefficient, 0.0, 5.0)
    return float(seconds + a * seconds ** in_range("exponent", exponent, 1.0, 2.5))


def conventional_film_time_s(indicated_s: float) -> float:
    """Return the corrected time of the conventional film table, interpolated in logarithms.

    Parameters
    ----------
    indicated_s : float
        Indicated time [s], 1 to 200 (beyond 100 s the last slope goes on).

    Returns
    -------
    float
        Corrected time [s].

    Raises
    ------
    OutOfRange
        If the time is not a finite number in that range.

    Notes
    -----
    Between the three printed lines such interpolation runs up to half a stop long: a check on
    the functions above, not a prior for paper.

    References
    ----------
    Film data sheets: 1, 10, 100 s become 2, 50, 1200 s, as quoted on several pages.

    Examples
    --------
    >>> round(conventional_film_time_s(30), 1)
    227.8
    """
    seconds = in_range("indicated time", indicated_s, 1.0, 200.0, "s")
    lines = CONVENTIONAL_FILM_S
    (t0, c0), (t1, c1) = lines[:2] if seconds <= lines[1][0] else lines[1:]
    share = math.log(seconds / t0) / math.log(t1 / t0)
    return float(c0 * (c1 / c0) ** share)
