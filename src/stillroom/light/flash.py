"""Light of a flash: from stored energy to exposure at a metre, and pops."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.light.limits import (
    EFFICACY_RANGE_LM_S_PER_WS,
    ENERGY_RANGE_WS,
    REFLECTOR_FACTOR_RANGE,
)
from stillroom.quantity import FLASH_EFFICACY_LM_S_PER_WS as EFFICACY


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
