"""Guide numbers in metres and feet, and the intensity they claim."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.light.limits import (
    DISTANCE_RANGE_M,
    F_NUMBER_RANGE,
    INTENSITY_RANGE_CDS,
    ISO_RANGE,
    METER_C_RANGE_LX_S,
)
from stillroom.quantity import FOOT_M, GUIDE_NUMBER_FT_CONSTANT, METER_C_LX_S

_GUIDE_NUMBER_RANGE = (0.001, 100_000.0)


def guide_number_m(intensity_cds: float, iso: float, c: float = METER_C_LX_S) -> float:
    """Return the guide number in metres, f-number times distance, ``sqrt(I_t S / C)``.

    Parameters
    ----------
    intensity_cds : float
        Time-integrated intensity [cd s], 0.000001 to 100000000.
    iso : float
        Speed S it is stated for [1], 0.01 to 409600.
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    float
        Guide number [m].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 incident equation; ISO 1230:1992 for the guide number itself.

    Examples
    --------
    >>> round(guide_number_m(2000, 100), 2)
    28.28
    """
    intensity = in_range("intensity", intensity_cds, *INTENSITY_RANGE_CDS, "cd·s")
    speed = in_range("ISO", iso, *ISO_RANGE)
    return math.sqrt(intensity * speed / in_range("C", c, *METER_C_RANGE_LX_S, "lx·s"))


def intensity_from_guide_number_cds(gn_m: float, iso: float, c: float = METER_C_LX_S) -> float:
    """Return the intensity that a guide number in metres claims.

    Parameters
    ----------
    gn_m : float
        Guide number [m].
    iso : float
        Speed S it is stated for [1], 0.01 to 409600.
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    float
        Time-integrated intensity [cd s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    A zoom head's guide number says nothing about a bare or boxed head.

    References
    ----------
    ISO 2720:1974 incident equation.

    Examples
    --------
    >>> intensity_from_guide_number_cds(20, 100)
    1000.0
    """
    number = in_range("guide number", gn_m, *_GUIDE_NUMBER_RANGE, "m")
    constant = in_range("C", c, *METER_C_RANGE_LX_S, "lx·s")
    return number**2 * constant / in_range("ISO", iso, *ISO_RANGE)


def guide_number_ft(
    intensity_cds: float, iso: float, constant: float = GUIDE_NUMBER_FT_CONSTANT
) -> float:
    """Return the guide number in feet by the older American form, ``sqrt(0.05 BCPS S)``.

    Parameters
    ----------
    intensity_cds : float
        Time-integrated intensity, the beam candle-power seconds [cd s].
    iso : float
        Speed S it is stated for [1], 0.01 to 409600.
    constant : float
        Constant of the form [1], 0.03 to 0.08.

    Returns
    -------
    float
        Guide number [ft]; it claims 0.22 stop more light than C = 250 in metres.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Electronic Flash, Strobe" (textbook): c = 15 to 25, 20 usual (from memory).

    Examples
    --------
    >>> guide_number_ft(2000, 100)
    100.0
    """
    intensity = in_range("intensity", intensity_cds, *INTENSITY_RANGE_CDS, "cd·s")
    speed = in_range("ISO", iso, *ISO_RANGE)
    return math.sqrt(in_range("constant", constant, 0.03, 0.08) * intensity * speed)


def guide_number_m_from_ft(gn_ft: float) -> float:
    """Return a guide number in feet as one in metres.

    Parameters
    ----------
    gn_ft : float
        Guide number [ft].

    Returns
    -------
    float
        Guide number [m].

    Raises
    ------
    OutOfRange
        If it is not a finite number from 0.001 to 100000.

    Examples
    --------
    >>> round(guide_number_m_from_ft(100), 2)
    30.48
    """
    return in_range("guide number", gn_ft, *_GUIDE_NUMBER_RANGE, "ft") * FOOT_M


def guide_number_ft_from_m(gn_m: float) -> float:
    """Return a guide number in metres as one in feet.

    Parameters
    ----------
    gn_m : float
        Guide number [m].

    Returns
    -------
    float
        Guide number [ft].

    Raises
    ------
    OutOfRange
        If it is not a finite number from 0.001 to 100000.

    Examples
    --------
    >>> round(guide_number_ft_from_m(37), 1)
    121.4
    """
    return in_range("guide number", gn_m, *_GUIDE_NUMBER_RANGE, "m") / FOOT_M


def guide_number_at(gn_m: float, iso_from: float, iso_to: float, power: float = 1.0) -> float:
    """Return a guide number at another speed and another share of the power.

    Parameters
    ----------
    gn_m : float
        Guide number at `iso_from` and full power [m, or any unit of length].
    iso_from, iso_to : float
        Speeds [1], 0.01 to 409600.
    power : float
        Share of the power [1], 0.0001 to 1.

    Returns
    -------
    float
        Guide number in the unit given.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Quantitative relation between flash guide number and ISO" (Q&A page): root of the ratio.

    Examples
    --------
    >>> round(guide_number_at(32, 100, 100, power=0.5), 2)
    22.63
    """
    number = in_range("guide number", gn_m, *_GUIDE_NUMBER_RANGE)
    ratio = in_range("ISO", iso_to, *ISO_RANGE) / in_range("ISO", iso_from, *ISO_RANGE)
    return number * math.sqrt(ratio * in_range("share of the power", power, 0.0001, 1.0))


def guide_number_f_number(gn_m: float, distance_m: float) -> float:
    """Return the f-number a guide number asks for at a distance, ``GN / d``.

    Parameters
    ----------
    gn_m : float
        Guide number [m].
    distance_m : float
        From flash to subject [m], 0.02 to 500.

    Returns
    -------
    float
        F-number [1].

    Raises
    ------
    OutOfRange
        If an argument or the f-number lies outside its range.

    References
    ----------
    ISO 1230:1992; worked example in "Flash guide numbers" (society web page).

    Examples
    --------
    >>> guide_number_f_number(32, 4)
    8.0
    """
    number = in_range("guide number", gn_m, *_GUIDE_NUMBER_RANGE, "m")
    n = number / in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
    return in_range("f-number", n, *F_NUMBER_RANGE)
