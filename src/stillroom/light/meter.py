"""What a hand meter shows: f-numbers, times and the ISO that keeps them on its scale."""

from __future__ import annotations

import math

from stillroom.errors import OutOfRange, in_range
from stillroom.light.limits import (
    EXPOSURE_RANGE_LXS,
    F_NUMBER_RANGE,
    ILLUMINANCE_RANGE_LX,
    ISO_RANGE,
    METER_C_RANGE_LX_S,
    METER_K_RANGE,
)
from stillroom.quantity import METER_C_LX_S, METER_K, THIRD_STOP_MARKS, f_number_of_av

METER_ISO_SETTINGS = (25, 50, 100, 200, 400, 800, 1600, 3200, 6400)
"""Speeds that hand meters offer (common practice, no source)."""
SCALE_F_NUMBERS = (1.4, 90.0)  # marks at the ends of a hand meter's scale; common practice
_SCALE_AV = (1.0, 13.0)  # what those two marks stand for
_LUMINANCE_RANGE_CD_M2 = (1e-6, 1e8)


def incident_f_number(exposure_lxs: float, iso: float, c: float = METER_C_LX_S) -> float:
    """Return the exact f-number an incident flash meter works out, ``sqrt(H S / C)``.

    Parameters
    ----------
    exposure_lxs : float
        Exposure at the meter [lx s].
    iso : float
        Speed set on the meter [1], 0.01 to 409600.
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    float
        F-number [1], not rounded to a mark.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 incident equation with E t for a flash.

    Examples
    --------
    >>> incident_f_number(160, 100)
    8.0
    """
    exposure = in_range("exposure", exposure_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
    speed = in_range("ISO", iso, *ISO_RANGE)
    return math.sqrt(exposure * speed / in_range("C", c, *METER_C_RANGE_LX_S, "lx·s"))


def incident_exposure_lxs(f_number: float, iso: float, c: float = METER_C_LX_S) -> float:
    """Return the exposure behind the f-number an incident flash meter shows, ``N**2 C / S``.

    Parameters
    ----------
    f_number : float
        F-number, exact [1], 0.5 to 512.
    iso : float
        Speed set on the meter [1], 0.01 to 409600.
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    float
        Exposure at the meter [lx s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 incident equation with E t for a flash.

    Examples
    --------
    >>> round(incident_exposure_lxs(2**2.5, 3), 0)
    2667.0
    """
    n = in_range("f-number", f_number, *F_NUMBER_RANGE)
    constant = in_range("C", c, *METER_C_RANGE_LX_S, "lx·s")
    return n**2 * constant / in_range("ISO", iso, *ISO_RANGE)


def incident_seconds(
    f_number: float, illuminance_lx: float, iso: float, c: float = METER_C_LX_S
) -> float:
    """Return the time an incident meter works out, ``N**2 C / (E S)``.

    Parameters
    ----------
    f_number : float
        F-number, exact [1], 0.5 to 512.
    illuminance_lx : float
        Illuminance at the meter [lx], 0.000001 to 1000000.
    iso : float
        Speed set on the meter [1], 0.01 to 409600.
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 incident equation.

    Examples
    --------
    >>> incident_seconds(8, 2560, 100)
    0.0625
    """
    illuminance = in_range("illuminance", illuminance_lx, *ILLUMINANCE_RANGE_LX, "lx")
    return incident_exposure_lxs(f_number, iso, c) / illuminance


def reflected_seconds(
    f_number: float, luminance_cd_m2: float, iso: float, k: float = METER_K
) -> float:
    """Return the time a reflected meter works out, ``N**2 K / (L S)``.

    Parameters
    ----------
    f_number : float
        F-number, exact [1], 0.5 to 512.
    luminance_cd_m2 : float
        Luminance seen by the meter [cd/m2].
    iso : float
        Speed set on the meter [1], 0.01 to 409600.
    k : float
        Reflected constant K [cd s/m2], 9 to 16.

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 reflected equation.

    Examples
    --------
    >>> reflected_seconds(16, 3200, 125)
    0.008
    """
    n = in_range("f-number", f_number, *F_NUMBER_RANGE)
    luminance = in_range("luminance", luminance_cd_m2, *_LUMINANCE_RANGE_CD_M2, "cd/m²")
    constant = in_range("K", k, *METER_K_RANGE, "cd·s/m²")
    return n**2 * constant / (luminance * in_range("ISO", iso, *ISO_RANGE))


def agreeing_reflectance(c: float = METER_C_LX_S, k: float = METER_K) -> float:
    """Return the reflectance at which incident and reflected meters agree, ``pi K / C``.

    Parameters
    ----------
    c : float
        Incident constant C [lx s], 200 to 600.
    k : float
        Reflected constant K [cd s/m2], 9 to 16.

    Returns
    -------
    float
        Reflectance of a matt card [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Both equations of ISO 2720:1974.

    Examples
    --------
    >>> round(agreeing_reflectance(), 3)
    0.157
    """
    constant = in_range("K", k, *METER_K_RANGE, "cd·s/m²")
    return math.pi * constant / in_range("C", c, *METER_C_RANGE_LX_S, "lx·s")


def nearest_third_f_number(n: float) -> float:
    """Return the third-stop mark nearest to an exact f-number, as a meter displays it.

    Parameters
    ----------
    n : float
        F-number, exact [1], 0.9 to 140.

    Returns
    -------
    float
        The mark: 11 for 11.31.

    Raises
    ------
    OutOfRange
        If no mark lies near it.

    References
    ----------
    ISO 517 series; third-stop marks from memory.

    Examples
    --------
    >>> nearest_third_f_number(12.5), nearest_third_f_number(5.657)
    (13.0, 5.6)
    """
    av = 2 * math.log2(in_range("f-number", n, 0.9, 140.0))
    return min(THIRD_STOP_MARKS, key=lambda mark: abs(THIRD_STOP_MARKS[mark] - av))


def iso_on_scale(exposure_lxs: float, c: float = METER_C_LX_S) -> int:
    """Return the ISO to set so that the f-number shown lies on a hand meter's scale.

    Parameters
    ----------
    exposure_lxs : float
        Exposure at the meter [lx s].
    c : float
        Incident constant C [lx s], 200 to 600.

    Returns
    -------
    int
        A speed hand meters offer: 100 when the f-number lies from f/1.4 to f/90, otherwise the
        one nearest to 100 that brings it there.

    Raises
    ------
    OutOfRange
        If no speed brings it there.

    References
    ----------
    Common practice, no source, for the scale and the speeds.

    Examples
    --------
    >>> iso_on_scale(2667), iso_on_scale(40_000)
    (100, 50)
    """
    exposure = in_range("exposure", exposure_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
    low, high = (f_number_of_av(av) for av in _SCALE_AV)
    for iso in sorted(METER_ISO_SETTINGS, key=lambda iso: abs(math.log2(iso / 100))):
        if low <= incident_f_number(exposure, iso, c) <= high:
            return iso
    dimmest, brightest = METER_ISO_SETTINGS[-1], METER_ISO_SETTINGS[0]
    raise OutOfRange(
        "exposure",
        exposure,
        incident_exposure_lxs(low, dimmest, c),
        incident_exposure_lxs(high, brightest, c),
        "lx·s",
    )
