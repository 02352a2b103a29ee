"""Light of a flash: from stored energy to exposure at a metre, guide numbers, pops."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.light.limits import (
    DISTANCE_RANGE_M,
    EFFICACY_RANGE_LM_S_PER_WS,
    ENERGY_RANGE_WS,
    F_NUMBER_RANGE,
    INTENSITY_RANGE_CDS,
    ISO_RANGE,
    METER_C_RANGE_LX_S,
    REFLECTOR_FACTOR_RANGE,
)
from stillroom.quantity import FLASH_EFFICACY_LM_S_PER_WS as EFFICACY
from stillroom.quantity import FOOT_M, GUIDE_NUMBER_FT_CONSTANT, METER_C_LX_S

_GUIDE_NUMBER_RANGE = (0.001, 100_000.0)


def luminous_energy_lms(energy_ws: float, efficacy_lm_s_per_ws: float = EFFICACY) -> float:
    """Return the luminous energy of one pop.

    Parameters
    ----------
    energy_ws : float
        Stored electrical energy [W s], 0.1 to 50000.
    efficacy_lm_s_per_ws : float
        Luminous energy per stored energy [lm s/(W s)], 1 to 120; studio packs 15 to 45.

    Returns
    -------
    float
        Luminous energy Q [lm s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Efficiency, Wattseconds, and Units of Measure" and "Studio Flash Explained", makers' pages.

    Examples
    --------
    >>> luminous_energy_lms(150, 40)
    6000.0
    """
    energy = in_range("energy", energy_ws, *ENERGY_RANGE_WS, "W·s")
    return energy * in_range(
        "efficacy", efficacy_lm_s_per_ws, *EFFICACY_RANGE_LM_S_PER_WS, "lm·s/(W·s)"
    )


def flash_intensity_cds(
    energy_ws: float, efficacy_lm_s_per_ws: float = EFFICACY, reflector_factor: float = 1.0
) -> float:
    """Return the time-integrated intensity of a head on its axis, ``Q factor / (4 pi)``.

    Parameters
    ----------
    energy_ws : float
        Stored electrical energy [W s], 0.1 to 50000.
    efficacy_lm_s_per_ws : float
        Luminous energy per stored energy [lm s/(W s)], 1 to 120.
    reflector_factor : float
        On-axis gain over the bare tube [1], 0.01 to 100; 1 is the bare tube, matt reflectors
        about 2, polished ones up to about 6.

    Returns
    -------
    float
        Intensity times time I_t [cd s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Definition of the candela; reflector factors: glossary of a trade page.

    Examples
    --------
    >>> round(flash_intensity_cds(1000, 40), 0)
    3183.0
    """
    factor = in_range("reflector factor", reflector_factor, *REFLECTOR_FACTOR_RANGE)
    return luminous_energy_lms(energy_ws, efficacy_lm_s_per_ws) * factor / (4 * math.pi)


def lambertian_intensity_cds(luminous_energy_lms: float) -> float:
    """Return the on-axis intensity of an even, matt face, ``Q / pi``, far away from it.

    Parameters
    ----------
    luminous_energy_lms : float
        Luminous energy that leaves the face [lm s], 0.1 to 6000000.

    Returns
    -------
    float
        Intensity times time I_t [cd s].

    Raises
    ------
    OutOfRange
        If the energy is not a finite number in that range.

    References
    ----------
    Lambertian emitter, any text on radiometry.

    Examples
    --------
    >>> round(lambertian_intensity_cds(20_000), 0)
    6366.0
    """
    return in_range("luminous energy", luminous_energy_lms, 0.1, 6e6, "lm·s") / math.pi


def full_log2_lxs_1m(
    energy_ws: float, efficacy_lm_s_per_ws: float = EFFICACY, reflector_factor: float = 1.0
) -> float:
    """Return log2 of what one full pop gives at one metre on the axis.

    Parameters
    ----------
    energy_ws : float
        Stored electrical energy [W s], 0.1 to 50000.
    efficacy_lm_s_per_ws : float
        Luminous energy per stored energy [lm s/(W s)], 1 to 120.
    reflector_factor : float
        On-axis gain over the bare tube [1], 0.01 to 100.

    Returns
    -------
    float
        Log2 of the exposure in lux-seconds at 1 m [stops].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> round(full_log2_lxs_1m(1000, 40, 4), 3)
    13.636
    """
    return math.log2(flash_intensity_cds(energy_ws, efficacy_lm_s_per_ws, reflector_factor))


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


def pops_stops(pops: int, loss_per_doubling_stops: float = 0.0) -> float:
    """Return what several pops on one sheet add to one, ``(1 - loss) log2 n``.

    Parameters
    ----------
    pops : int
        Number of pops [1], 1 to 4096.
    loss_per_doubling_stops : float
        What each doubling of the pops falls short of a stop [stops], -0.5 to 1.

    Returns
    -------
    float
        Gain over one pop [stops].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    A loss of zero means that exposures add; nothing published for paper was found.

    References
    ----------
    Photographic dictionary, "intermittency effect" (statement); the prior of the loss is ours.

    Examples
    --------
    >>> pops_stops(8), round(pops_stops(8, 0.05), 6)
    (3.0, 2.85)
    """
    loss = in_range("loss per doubling", loss_per_doubling_stops, -0.5, 1.0, "stops")
    return (1 - loss) * math.log2(in_range("pops", pops, 1, 4096))


def energy_stops(energy_ws: float, full_energy_ws: float) -> float:
    """Return the stops that an energy lies below (or above) full.

    Parameters
    ----------
    energy_ws : float
        Energy in use [W s], 0.1 to 50000.
    full_energy_ws : float
        Energy at full [W s], 0.1 to 50000.

    Returns
    -------
    float
        Log2 of the ratio [stops], negative below full.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> round(energy_stops(350, 1200), 3)
    -1.778
    """
    part = in_range("energy", energy_ws, *ENERGY_RANGE_WS, "W·s")
    return math.log2(part / in_range("full energy", full_energy_ws, *ENERGY_RANGE_WS, "W·s"))


def flash_duration_ratio(share_left: float, share_left_from: float = 0.5) -> float:
    """Return how much longer a flash lasts to a lower level, when it decays exponentially.

    Parameters
    ----------
    share_left : float
        Level of the light, as a share of its peak, that ends the longer time [1], 0.0001 to 0.99.
    share_left_from : float
        Level that ends the shorter time [1], 0.0001 to 0.99.

    Returns
    -------
    float
        Ratio of the two times [1]; t0.1 over t0.5 is 3.32.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2827:1988 defines the 50 % and 10 % levels.

    Examples
    --------
    >>> round(flash_duration_ratio(0.1), 3)
    3.322
    """
    longer = math.log(in_range("share left", share_left, 0.0001, 0.99))
    return longer / math.log(in_range("share left from", share_left_from, 0.0001, 0.99))
