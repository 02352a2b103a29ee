"""Steady light: lamps, meters in lux and EV, and what an open time makes of them."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.light.limits import (
    DISTANCE_RANGE_M,
    F_NUMBER_RANGE,
    ILLUMINANCE_RANGE_LX,
    ISO_RANGE,
    METER_C_RANGE_LX_S,
    METER_K_RANGE,
    OPEN_RANGE_S,
)
from stillroom.quantity import METER_C_LX_S, METER_K

_INTENSITY_RANGE_CD = (0.001, 1e7)
_EV_RANGE = (-10.0, 24.0)


def lamp_illuminance_lx(luminous_intensity_cd: float, distance_m: float) -> float:
    """Return the illuminance of a small lamp, facing it, ``I / d**2``.

    Parameters
    ----------
    luminous_intensity_cd : float
        Luminous intensity towards the receiver [cd], 0.001 to 10000000.
    distance_m : float
        From the lamp [m], 0.02 to 500.

    Returns
    -------
    float
        Illuminance [lx].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Definition of the lux.

    Examples
    --------
    >>> lamp_illuminance_lx(2000, 2)
    500.0
    """
    intensity = in_range("intensity", luminous_intensity_cd, *_INTENSITY_RANGE_CD, "cd")
    return intensity / in_range("distance", distance_m, *DISTANCE_RANGE_M, "m") ** 2


def exposure_lxs(illuminance_lx: float, open_s: float) -> float:
    """Return the exposure of a steady light, ``E t``.

    Parameters
    ----------
    illuminance_lx : float
        Illuminance [lx], 0.000001 to 1000000.
    open_s : float
        Time it shines [s], 0.000001 to 36000.

    Returns
    -------
    float
        Exposure H [lx s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Definition of exposure.

    Examples
    --------
    >>> exposure_lxs(500, 4)
    2000.0
    """
    illuminance = in_range("illuminance", illuminance_lx, *ILLUMINANCE_RANGE_LX, "lx")
    return illuminance * in_range("open time", open_s, *OPEN_RANGE_S, "s")


def lux_from_ev100(ev100: float, c: float = METER_C_LX_S) -> float:
    """Return the illuminance of an incident reading in EV at ISO 100.

    Parameters
    ----------
    ev100 : float
        EV at ISO 100 [stops], -10 to 24.
    c : float
        Incident constant C of the meter [lx s], 200 to 600.

    Returns
    -------
    float
        Illuminance ``(C / 100) 2**EV`` [lx].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "EV as a measure of luminance and illuminance" (encyclopedia): E = 2.5 * 2**EV.

    Examples
    --------
    >>> lux_from_ev100(5)
    80.0
    """
    stops = in_range("EV", ev100, *_EV_RANGE)
    return float(in_range("C", c, *METER_C_RANGE_LX_S, "lx·s") / 100 * 2.0**stops)


def ev100_from_lux(illuminance_lx: float, c: float = METER_C_LX_S) -> float:
    """Return the EV at ISO 100 that an incident meter shows.

    Parameters
    ----------
    illuminance_lx : float
        Illuminance [lx], 0.000001 to 1000000.
    c : float
        Incident constant C of the meter [lx s], 200 to 600.

    Returns
    -------
    float
        EV [stops].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "EV as a measure of luminance and illuminance" (encyclopedia).

    Examples
    --------
    >>> ev100_from_lux(80)
    5.0
    """
    illuminance = in_range("illuminance", illuminance_lx, *ILLUMINANCE_RANGE_LX, "lx")
    return math.log2(illuminance * 100 / in_range("C", c, *METER_C_RANGE_LX_S, "lx·s"))


def luminance_from_ev100_cd_m2(ev100: float, k: float = METER_K) -> float:
    """Return the luminance of a reflected reading in EV at ISO 100.

    Parameters
    ----------
    ev100 : float
        EV at ISO 100 [stops], -10 to 24.
    k : float
        Reflected constant K of the meter [cd s/m2], 9 to 16.

    Returns
    -------
    float
        Luminance ``(K / 100) 2**EV`` [cd/m2].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "EV as a measure of luminance and illuminance" (encyclopedia): L = 0.125 * 2**EV.

    Examples
    --------
    >>> luminance_from_ev100_cd_m2(3)
    1.0
    """
    stops = in_range("EV", ev100, *_EV_RANGE)
    return float(in_range("K", k, *METER_K_RANGE, "cd·s/m²") / 100 * 2.0**stops)


def illuminance_from_meter_lx(
    f_number: float, iso: float, seconds: float, c: float = METER_C_LX_S
) -> float:
    """Return the illuminance behind what an incident meter shows, ``N**2 C / (S t)``.

    Parameters
    ----------
    f_number : float
        F-number shown, exact [1], 0.5 to 512.
    iso : float
        Speed set on the meter [1], 0.01 to 409600.
    seconds : float
        Time shown [s], 0.000001 to 36000.
    c : float
        Incident constant C of the meter [lx s], 200 to 600.

    Returns
    -------
    float
        Illuminance [lx].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 incident equation.

    Examples
    --------
    >>> illuminance_from_meter_lx(8, 100, 1 / 16)
    2560.0
    """
    n = in_range("f-number", f_number, *F_NUMBER_RANGE)
    constant = in_range("C", c, *METER_C_RANGE_LX_S, "lx·s")
    speed = in_range("ISO", iso, *ISO_RANGE)
    return n**2 * constant / (speed * in_range("time", seconds, *OPEN_RANGE_S, "s"))
