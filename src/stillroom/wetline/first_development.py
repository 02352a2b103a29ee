"""What the first development as it was does to the sheet, in stops, as an estimate.

The first development runs well into the plateau, where more of it makes hardly more silver. More
silver in the negative makes the finished sheet lighter, so longer and warmer is lighter, shorter
and colder is darker. No measurement on a reversed paper was found: the figures are habit of the
trade (common practice, no source) and stand as a prior, which measured sheets overrule.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import BadValue, UnknownName, in_range
from stillroom.wetline.temperature import TEN_DEGREES, Z90

STOPS_PER_DEGREE = (0.02, 0.05)
"""What a degree does at the standard time, nine in ten (common practice) [stops]."""
STOPS_PER_DEGREE_AT_LEAST = (0.10, 0.20)
"""What a degree does at the least time, nine in ten (common practice) [stops]."""
STANDARD_OVER_LEAST = 120.0 / 90.0
"""The standard time over the least: two minutes over a minute and a half (common practice)."""
PLATEAU = (1.5, 2.5)
"""How many times its least time a good paper bears without veil; 2.0 is published (seen)."""
FURTHEST = 0.6
"""Below so much of the standard work no estimate holds; what is left is *darker by so much or
more* (invented)."""
BEYOND_SD_STOPS = 1.0
"""How far it may be off where no estimate holds; invented."""
CLOCK_SD_S = 3.0
"""How far the time in the tray may be off against the clock of the bench, invented [s]."""
THERMOMETER_SD_C = 0.5
"""How far the temperature may be off: the thermometer, the corner of the tray; invented."""
NOT_NOTED_STOPS = 0.01
"""Less than this is no difference [stops]."""

_PER_DEGREE = math.log(2.0) / 10  # what a degree does to the rate: 7 in 100, for a factor of two
_SLOPE = math.sqrt(STOPS_PER_DEGREE[0] * STOPS_PER_DEGREE[1]) / _PER_DEGREE
_SLOPE_AT_LEAST = (
    math.sqrt(STOPS_PER_DEGREE_AT_LEAST[0] * STOPS_PER_DEGREE_AT_LEAST[1]) / _PER_DEGREE
)
_POWER = math.log(_SLOPE_AT_LEAST / _SLOPE) / math.log(STANDARD_OVER_LEAST)
_SLOPE_LOG_SD = math.log(STOPS_PER_DEGREE[1] / STOPS_PER_DEGREE[0]) / (2 * Z90)


@dataclass(frozen=True, slots=True)
class Shift:
    """How far a sheet moves against its process.

    Attributes
    ----------
    stops : float
        Positive is lighter [stops].
    sd_stops : float
        One standard deviation [stops].
    work : float
        Its development over that of the process, as a ratio of effective times [1].
    is_beyond : bool
        Whether it lies where no estimate holds: too short to say more than darker, or so long
        that the paper may veil.
    """

    stops: float
    sd_stops: float
    work: float
    is_beyond: bool


def plateau_stops(work: float) -> float:
    """How far a sheet moves where its first development was so many times that of the process.

    Parameters
    ----------
    work : float
        Effective time over the standard time [1].

    Returns
    -------
    float
        Positive is lighter; 0 at 1, ever less slope beyond it [stops].

    Notes
    -----
    ``(s / p) * (1 - work ** -p)``: the slope against the logarithm of the time falls as a power
    of the time. `s` and `p` are those that give the trade's estimates of what a degree does at
    the standard time and at the least time. From six tenths of the standard time on.

    Examples
    --------
    >>> round(plateau_stops(2**0.1), 2), round(plateau_stops(2**-0.1), 2)
    (0.03, -0.04)
    """
    work = in_range("work", work, 0.01, 100)
    return _SLOPE / _POWER * (1 - float(max(work, FURTHEST) ** -_POWER))


def slope_stops(work: float) -> float:
    """What a small change of the logarithm of the time does there [stops per unit of ln]."""
    return _SLOPE * float(max(in_range("work", work, 0.01, 100), FURTHEST) ** -_POWER)


def first_development_shift(
    seconds: float,
    temperature_c: float,
    *,
    process_s: float,
    process_c: float = 20.0,
    longest_s: float | None = None,
) -> Shift:
    """What the first development as it was does to the sheet.

    Parameters
    ----------
    seconds : float
        In the first developer, lifting included [s].
    temperature_c : float
        Of the developer [degrees C].
    process_s, process_c : float
        What the process asks, and the temperature that is for [s, degrees C].
    longest_s : float, optional
        The longest the process bears; left out: twice its least [s].

    Returns
    -------
    Shift
        An estimate; its spread holds what is not known of the slope, of the law of temperature,
        of clock and thermometer.

    Raises
    ------
    OutOfRange
        If a number is none that can be meant.

    Examples
    --------
    >>> round(first_development_shift(138, 18, process_s=120).stops, 2) + 0.0
    0.0
    >>> colder = first_development_shift(120, 18, process_s=120)
    >>> round(colder.stops, 2), round(colder.sd_stops, 2)
    (-0.09, 0.06)
    """
    seconds = in_range("seconds", seconds, 1, 86_400, "s")
    temperature_c = in_range("temperature_c", temperature_c, 0, 60, "degrees C")
    process_s = in_range("process_s", process_s, 1, 86_400, "s")
    process_c = in_range("process_c", process_c, 0, 60, "degrees C")
    pace = TEN_DEGREES["developer"]
    tens = (temperature_c - process_c) / 10
    log_work = math.log(seconds / process_s) + tens * math.log(pace.factor)
    work = math.exp(min(max(log_work, -4.6), 4.6))
    stops = plateau_stops(work)
    slope = slope_stops(work)
    log_work_sd = math.hypot(
        tens * pace.log_sd, CLOCK_SD_S / seconds, THERMOMETER_SD_C * _PER_DEGREE
    )
    if work < FURTHEST:
        log_work_sd = 0.0  # the estimate stands still there, and BEYOND_SD_STOPS holds the rest
    sd = math.hypot(stops * _SLOPE_LOG_SD, slope * log_work_sd)
    bears = longest_s if longest_s is not None else process_s / STANDARD_OVER_LEAST * 2.0
    beyond = work < FURTHEST or work * process_s > bears
    if beyond:
        sd = math.hypot(sd, BEYOND_SD_STOPS)
    return Shift(stops, sd, work, beyond)


def is_noted(shift: Shift) -> bool:
    """Whether it differs from the process at all."""
    return shift.is_beyond or abs(shift.stops) >= NOT_NOTED_STOPS


# ── Without a thermometer ───────────────────────────────────────────────────────────────────

Developer = Literal["mq", "metol", "hydroquinone", "amidol"]
FACTORS: dict[Developer, tuple[float, float]] = {
    "mq": (13.0, 15.0),
    "metol": (28.0, 30.0),
    "hydroquinone": (5.0, 5.5),
    "amidol": (10.0, 18.0),
}
"""Whole time over the time to the first sign of the image, for prints (published, seen)."""
REVERSAL_TIMES = 1.5
"""How much longer a sheet that is to be reversed is developed than a print (common practice)."""


def factorial_s(
    first_sign_s: float, developer: Developer = "mq", *, is_reversed: bool = True
) -> tuple[float, float]:
    """The time of the first development, from the first sign of black, without a thermometer.

    Parameters
    ----------
    first_sign_s : float
        From the developer to the first sign of the brightest part [s].
    developer : str
        ``mq``, ``metol``, ``hydroquinone`` or ``amidol``.
    is_reversed : bool
        Whether the sheet is to be reversed; then half as long again.

    Returns
    -------
    tuple of float
        Shortest and longest by the published factors [s].

    Raises
    ------
    UnknownName
        If there is no such developer.

    Examples
    --------
    >>> factorial_s(10, "mq", is_reversed=False)
    (130.0, 150.0)
    """
    first_sign_s = in_range("first_sign_s", first_sign_s, 0.5, 3600, "s")
    if developer not in FACTORS:
        raise UnknownName("developer", developer, FACTORS)
    low, high = FACTORS[developer]
    times = REVERSAL_TIMES if is_reversed else 1.0
    return low * first_sign_s * times, high * first_sign_s * times


LONGER_FROM = 1.25
"""A first sign so many times later: develop longer by as much, or replenish (common practice)."""
DISCARD_FROM = 1.5
"""So many times later: the developer is spent (common practice)."""


@dataclass(frozen=True, slots=True)
class Slower:
    """What a later first sign of black says of the first developer.

    Attributes
    ----------
    times : float
        The first sign now over the first sign when it was fresh [1].
    says : str
        ``good``, ``longer`` or ``spent``.
    longer_times : float
        How many times as long to develop [1].
    """

    times: float
    says: Literal["good", "longer", "spent"]
    longer_times: float


def slower(fresh_s: float, now_s: float) -> Slower:
    """Whether a developer has tired or cooled, by the first sign of black.

    Parameters
    ----------
    fresh_s, now_s : float
        The first sign in the fresh bath, and now, of sheets alike [s].

    Returns
    -------
    Slower

    Raises
    ------
    BadValue
        If a time is not above 0.

    Examples
    --------
    >>> slower(12, 16).says, slower(12, 18).says, slower(12, 13).says
    ('longer', 'spent', 'good')
    """
    for name, value in (("first sign when fresh", fresh_s), ("first sign now", now_s)):
        if not value > 0 or not math.isfinite(value):
            raise BadValue(name, f"{value:g} s", "give seconds above 0")
    times = now_s / fresh_s
    if times >= DISCARD_FROM:
        return Slower(times, "spent", 1.0)
    return Slower(times, "longer", times) if times >= LONGER_FROM else Slower(times, "good", 1.0)
