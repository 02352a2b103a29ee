"""Exposure index and mid-tone exposure, and how the standards' conventions differ from them."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.quantity import METER_C_LX_S, METER_K, METER_Q, MID_TONE_LXS_EI

EI_RANGE = (0.01, 3200.0)
_H_RANGE_LXS = (MID_TONE_LXS_EI / EI_RANGE[1], MID_TONE_LXS_EI / EI_RANGE[0])


def mid_tone_exposure_lxs(ei: float) -> float:
    """Return the actinic exposure at the sheet that gives the mid-tone.

    Parameters
    ----------
    ei : float
        Exposure index [1], 0.01 to 3200.

    Returns
    -------
    float
        Exposure H_mid [lx s].

    Raises
    ------
    OutOfRange
        If `ei` is not a finite number in that range.

    Notes
    -----
    By definition: the mid-tone is the density half way between Dmin and Dmax of the batch.

    References
    ----------
    Form H = 10/S of ISO 12232, output-based ratings (from memory).

    Examples
    --------
    >>> round(mid_tone_exposure_lxs(6), 3)
    1.667
    """
    return MID_TONE_LXS_EI / in_range("EI", ei, *EI_RANGE)


def exposure_index(h_mid_lxs: float) -> float:
    """Return the exposure index of a paper from its mid-tone exposure.

    Parameters
    ----------
    h_mid_lxs : float
        Actinic exposure that gives the mid-tone [lx s].

    Returns
    -------
    float
        EI [1].

    Raises
    ------
    OutOfRange
        If the EI would lie outside 0.01 to 3200.

    References
    ----------
    Form H = 10/S of ISO 12232, output-based ratings (from memory).

    Examples
    --------
    >>> exposure_index(2.0)
    5.0
    """
    return MID_TONE_LXS_EI / _checked_h(h_mid_lxs)


def speed_log2(ei: float) -> float:
    """Return the paper's speed in stops, ``log2(EI / 10)``, the negative log2 of H_mid.

    Parameters
    ----------
    ei : float
        Exposure index [1], 0.01 to 3200.

    Returns
    -------
    float
        Speed [stops].

    Raises
    ------
    OutOfRange
        If `ei` is not a finite number in that range.

    Examples
    --------
    >>> round(speed_log2(6), 2)
    -0.74
    """
    return math.log2(in_range("EI", ei, *EI_RANGE) / MID_TONE_LXS_EI)


def ei_of_speed_log2(speed_log2: float) -> float:
    """Return the exposure index of a speed in stops.

    Parameters
    ----------
    speed_log2 : float
        Speed, negative log2 of H_mid [stops].

    Returns
    -------
    float
        EI [1].

    Raises
    ------
    OutOfRange
        If the EI would lie outside 0.01 to 3200.

    Examples
    --------
    >>> ei_of_speed_log2(-1.0)
    5.0
    """
    low, high = (math.log2(ei / MID_TONE_LXS_EI) for ei in EI_RANGE)
    return float(MID_TONE_LXS_EI * 2.0 ** in_range("paper speed", speed_log2, low, high, "stops"))


def meter_placed_exposure_lxs(ei: float, q: float = METER_Q, k: float = METER_K) -> float:
    """Return the exposure at the sheet that a reflected meter aims for, ``q K / S``.

    Parameters
    ----------
    ei : float
        Number set on the meter [1], 0.01 to 3200.
    q : float
        Lens factor [1], 0.3 to 1.
    k : float
        Reflected constant K [cd s/m2], 9 to 16.

    Returns
    -------
    float
        Exposure [lx s]; about 0.3 stop less than H_mid = 10/EI.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974 and the ANSI meter standard (H = 8/S), as quoted in tutorials.

    Examples
    --------
    >>> round(meter_placed_exposure_lxs(125), 4)
    0.065
    """
    speed = in_range("EI", ei, *EI_RANGE)
    return in_range("q", q, 0.3, 1.0) * in_range("K", k, 9.0, 16.0, "cd·s/m²") / speed


def exposure_index_by_meter(h_mid_lxs: float, q: float = METER_Q, k: float = METER_K) -> float:
    """Return the number to set on a reflected meter so that it aims for a given exposure.

    Parameters
    ----------
    h_mid_lxs : float
        Exposure that gives the wanted tone [lx s].
    q : float
        Lens factor [1], 0.3 to 1.
    k : float
        Reflected constant K [cd s/m2], 9 to 16.

    Returns
    -------
    float
        Meter setting ``q K / H`` [1], 0.3 stop below `exposure_index` with the defaults.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720:1974, as quoted in tutorials.

    Examples
    --------
    >>> round(exposure_index_by_meter(2.0), 2)
    4.06
    """
    h = _checked_h(h_mid_lxs)
    return in_range("q", q, 0.3, 1.0) * in_range("K", k, 9.0, 16.0, "cd·s/m²") / h


def incident_meter_sheet_exposure_lxs(
    ei: float, transmission: float = 1.0, c: float = METER_C_LX_S, reflectance: float = 0.18
) -> float:
    """Return what lands on the sheet from a grey card exposed as an incident meter says.

    Parameters
    ----------
    ei : float
        Number set on the meter [1], 0.01 to 3200.
    transmission : float
        Lens transmission [1], 0.05 to 1.
    c : float
        Incident constant C [lx s], 200 to 600.
    reflectance : float
        Reflectance of the card [1], 0.001 to 1.

    Returns
    -------
    float
        Exposure at the sheet, subject far away, on axis [lx s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    ``reflectance C transmission / (4 EI)``: with C = 250 and 18 % grey 11.25/EI, 0.17 stop
    more than H_mid. A conversion only; it never defines the paper.

    References
    ----------
    ISO 2720:1974 incident equation with the camera equation.

    Examples
    --------
    >>> incident_meter_sheet_exposure_lxs(1.0)
    11.25
    """
    speed = in_range("EI", ei, *EI_RANGE)
    tau = in_range("transmission", transmission, 0.05, 1.0)
    constant = in_range("C", c, 200.0, 600.0, "lx·s")
    return in_range("reflectance", reflectance, 0.001, 1.0) * constant * tau / (4 * speed)


def iso_paper_speed(h_m_lxs: float) -> float:
    """Return the ISO speed P of a paper, ``1000 / H_m``, unrounded.

    Parameters
    ----------
    h_m_lxs : float
        Exposure under the enlarger lamp that gives 0.60 above base and fog in the
        negative-working process [lx s], 0.001 to 10000.

    Returns
    -------
    float
        ISO P [1]. It is not an EI: other density, other process, tungsten light.

    Raises
    ------
    OutOfRange
        If the exposure is not a finite number in that range.

    References
    ----------
    ISO 6846:1992 (from memory).

    Examples
    --------
    >>> iso_paper_speed(2.0)
    500.0
    """
    return 1000 / in_range("mid-tone exposure", h_m_lxs, 0.001, 10_000, "lx·s")


def logarithmic_speed(speed: float) -> float:
    """Return the logarithmic speed in degrees, ``10 log10(S) + 1``, unrounded.

    Parameters
    ----------
    speed : float
        Arithmetic speed S [1], 0.01 to 409600.

    Returns
    -------
    float
        Speed [degrees]; a third of a stop each.

    Raises
    ------
    OutOfRange
        If `speed` is not a finite number in that range.

    References
    ----------
    ISO 5800 and ISO 6 speed tables (from memory).

    Examples
    --------
    >>> logarithmic_speed(100)
    21.0
    """
    return 10 * math.log10(in_range("speed", speed, 0.01, 409_600)) + 1


def _checked_h(h_mid_lxs: float) -> float:
    return in_range("mid-tone exposure", h_mid_lxs, *_H_RANGE_LXS, "lx·s")
