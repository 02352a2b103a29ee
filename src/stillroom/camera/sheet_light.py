"""From the subject to the sheet: the camera equation."""

from __future__ import annotations

import math

from stillroom.camera.angles import cos4_stops
from stillroom.camera.f_number import f_number_stops
from stillroom.camera.limits import TRANSMISSION_RANGE_STOPS
from stillroom.camera.magnification import bellows_stops
from stillroom.errors import in_range


def lens_stops(
    n: float,
    magnification: float,
    transmission_stops: float = 0.0,
    pupil_ratio: float = 1.0,
    angle_deg: float = 0.0,
) -> float:
    """Return what lies between a matt white subject and the sheet: the camera equation.

    Parameters
    ----------
    n : float
        Exact f-number [1], 0.5 to 512.
    magnification : float
        Magnification [1], 0 to 20.
    transmission_stops : float
        Visible, neutral transmission [stops], -6 to 0.3.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.
    angle_deg : float
        Off the axis at the exit pupil [deg], 0 to 89.

    Returns
    -------
    float
        ``log2(tau cos**4 / (4 N**2 (1 + m/P)**2))`` [stops]; add log2 of the subject's exposure
        and of its reflectance.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Camera equation, ISO 2720 and ISO 12232 annexes (from memory).

    Examples
    --------
    >>> lens_stops(8, 1.0)
    -10.0
    """
    tau = in_range("transmission", transmission_stops, *TRANSMISSION_RANGE_STOPS, "stops")
    bellows = bellows_stops(magnification, pupil_ratio)
    return -2.0 + tau + f_number_stops(n) + bellows + cos4_stops(angle_deg)


def lens_factor_q(transmission: float, vignetting: float, angle_deg: float) -> float:
    """Return the lens factor of the meter standards, ``(pi/4) tau v cos**4``.

    Parameters
    ----------
    transmission : float
        Transmission of the glass [1], 0.01 to 1.
    vignetting : float
        Share that vignetting leaves [1], 0.01 to 1.
    angle_deg : float
        Off the axis [deg], 0 to 89.

    Returns
    -------
    float
        Factor q of ``H = q L t / N**2`` [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 2720 and ISO 12232 annexes (from memory).

    Examples
    --------
    >>> round(lens_factor_q(0.9, 0.98, 10), 3)
    0.652
    """
    tau = in_range("transmission", transmission, 0.01, 1.0)
    v = in_range("vignetting", vignetting, 0.01, 1.0)
    return float(math.pi / 4 * tau * v * 2.0 ** cos4_stops(angle_deg))
