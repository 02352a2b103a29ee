"""Time and temperature: how much longer a cold bath takes, and where no time makes up for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist
from typing import Literal

from stillroom.errors import BadValue, in_range

Pace = Literal["developer", "bleach", "wash", "none"]

REFERENCE_C = 20.0
COLDEST_C = 14.0
"""Below it hydroquinone gives out and no time makes up for it (common practice)."""
WARMEST_C = 27.0
"""Above it gelatin softens and the whites fog (common practice; gelatin: published)."""
DEVELOPER_C = (COLDEST_C, WARMEST_C)
Z90 = NormalDist().inv_cdf(0.95)


@dataclass(frozen=True, slots=True)
class TenDegrees:
    """How many times quicker a bath works ten degrees warmer, and how sure that is.

    Attributes
    ----------
    factor : float
        Rate at T + 10 over rate at T [1].
    log_sd : float
        Standard deviation of its natural logarithm [1].
    """

    factor: float
    log_sd: float


def _between(factor: float, low: float, high: float) -> TenDegrees:
    """From a best value and a range that holds nine in ten."""
    return TenDegrees(factor, math.log(high / low) / (2 * Z90))


TEN_DEGREES: dict[Pace, TenDegrees] = {
    "developer": _between(2.0, 1.6, 2.6),
    "bleach": _between(2.0, 1.5, 3.0),
    "wash": _between(1.3, 1.1, 1.6),
    "none": TenDegrees(1.0, 0.0),
}
"""Priors by kind of bath (common practice; the published coefficients lie within them)."""


def time_factor(
    temperature_c: float, q10: float = 2.0, *, reference_c: float = REFERENCE_C
) -> float:
    """How many times as long a bath takes as at its reference temperature.

    Parameters
    ----------
    temperature_c : float
        Of the bath [degrees C].
    q10 : float
        How many times quicker it works ten degrees warmer [1].
    reference_c : float
        The temperature its time is for [degrees C].

    Returns
    -------
    float
        ``q10 ** ((reference_c - temperature_c) / 10)`` [1].

    Raises
    ------
    OutOfRange
        If a number is outside what can be meant.

    Notes
    -----
    An empirical law of reaction rates, good over some ten degrees where the bath works at all;
    `check_line` tells where it does not.

    Examples
    --------
    >>> round(time_factor(18), 2), round(time_factor(24), 2)
    (1.15, 0.76)
    """
    temperature_c = in_range("temperature_c", temperature_c, 0, 60, "degrees C")
    reference_c = in_range("reference_c", reference_c, 0, 60, "degrees C")
    q10 = in_range("q10", q10, 1, 10)
    return float(q10 ** ((reference_c - temperature_c) / 10))


def check_line(temperature_c: float) -> float:
    """The temperature of a line, where times can be made to fit it.

    Raises
    ------
    BadValue
        Below 14 or above 27 degrees C, with what to do.

    Examples
    --------
    >>> check_line(18)
    18.0
    """
    temperature_c = in_range("temperature_c", temperature_c, -20, 100, "degrees C")
    said = int(temperature_c) if temperature_c.is_integer() else temperature_c
    if temperature_c < COLDEST_C:
        raise BadValue(
            "temperature of the line in degrees C",
            said,
            f"below {COLDEST_C:g} hydroquinone gives out and no longer time makes up for it; "
            "warm the baths",
        )
    if temperature_c > WARMEST_C:
        raise BadValue(
            "temperature of the line in degrees C",
            said,
            f"above {WARMEST_C:g} gelatin softens and the whites fog, and no shorter time makes "
            "up for it; cool the baths",
        )
    return temperature_c


def seconds_at(
    seconds: float,
    temperature_c: float,
    pace: Pace = "developer",
    *,
    reference_c: float = REFERENCE_C,
) -> float:
    """The time of a step at another temperature.

    Parameters
    ----------
    seconds : float
        At the reference [s].
    temperature_c : float
        Of the bath [degrees C].
    pace : str
        ``developer``, ``bleach``, ``wash``, or ``none``: its time stays.
    reference_c : float
        The temperature `seconds` is for [degrees C].

    Returns
    -------
    float
        [s]

    Raises
    ------
    OutOfRange
        If `seconds` is not above 0, or a temperature is none a bath can have.

    Examples
    --------
    >>> round(seconds_at(120, 18)), round(seconds_at(120, 24))
    (138, 91)
    """
    seconds = in_range("seconds", seconds, 0.1, 86_400, "s")
    return seconds * time_factor(temperature_c, TEN_DEGREES[pace].factor, reference_c=reference_c)


def seconds_sd_log(
    temperature_c: float, pace: Pace = "developer", *, reference_c: float = REFERENCE_C
) -> float:
    """How unsure the logarithm of such a time is, for the coefficient is a prior.

    Returns
    -------
    float
        Standard deviation of the natural logarithm of the time [1].
    """
    return abs(temperature_c - reference_c) / 10 * TEN_DEGREES[pace].log_sd


def work_seconds(
    readings: Sequence[tuple[float, float]],
    q10: float = 2.0,
    *,
    reference_c: float = REFERENCE_C,
) -> float:
    """What a step in a drifting tray was worth, as seconds at the reference temperature.

    Parameters
    ----------
    readings : sequence of (float, float)
        Seconds since the beginning, ascending from the first, and temperature [degrees C] then;
        in between it is taken to run straight.
    q10 : float
        How many times quicker it works ten degrees warmer [1].
    reference_c : float
        [degrees C]

    Returns
    -------
    float
        The integral of ``q10 ** ((T - reference_c) / 10)`` over the readings [s], exactly.

    Raises
    ------
    BadValue
        If there are fewer than two readings or a time runs backwards.

    Examples
    --------
    >>> round(work_seconds([(0, 20), (120, 20)]), 6)
    120.0
    >>> round(work_seconds([(0, 20), (120, 18.8)]), 1)
    115.1
    """
    if len(readings) < 2:
        raise BadValue("readings", len(readings), "give two or more, at the beginning and the end")
    q10 = in_range("q10", q10, 1, 10)
    rate = math.log(q10) / 10
    total = 0.0
    for (start_s, start_c), (end_s, end_c) in pairwise(readings):
        if not end_s > start_s:
            raise BadValue("time of a reading", f"{end_s:g} s", f"it must follow {start_s:g} s")
        begin = math.exp(rate * (in_range("temperature", start_c, 0, 60) - reference_c))
        slope = rate * (in_range("temperature", end_c, 0, 60) - start_c)
        # The mean of an exponential along a straight line; expm1 keeps it whole near slope 0.
        mean = math.expm1(slope) / slope if slope else 1.0
        total += (end_s - start_s) * begin * mean
    return total
