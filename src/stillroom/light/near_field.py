"""Faces that are not small: what they give near to, beside and turned away from them.

All faces are flat, even and matt (Lambertian); nothing stands between face and receiver.
"""

from __future__ import annotations

import math

import numpy as np

from stillroom.errors import in_range
from stillroom.light.limits import DISTANCE_RANGE_M, FACE_RANGE_M

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def distance_stops(distance_m: float) -> float:
    """Return the inverse-square law in stops, counted from one metre.

    Parameters
    ----------
    distance_m : float
        From source to receiver [m], 0.02 to 500.

    Returns
    -------
    float
        ``-2 log2(d / 1 m)`` [stops].

    Raises
    ------
    OutOfRange
        If the distance is not a finite number in that range.

    Notes
    -----
    Within 1 % from five times the largest dimension of the face; nearer, add `near_field_stops`.

    References
    ----------
    Lighting-society definition of the inverse-square law, with its five-times rule.

    Examples
    --------
    >>> distance_stops(2.0)
    -2.0
    """
    return -2 * math.log2(in_range("distance", distance_m, *DISTANCE_RANGE_M, "m"))


def facing_stops(angle_deg: float) -> float:
    """Return the cosine law in stops, for a small source.

    Parameters
    ----------
    angle_deg : float
        Between the receiver's normal and the direction of the light [deg], 0 to 89.9.

    Returns
    -------
    float
        ``log2(cos angle)`` [stops], zero or negative.

    Raises
    ------
    OutOfRange
        If the angle is not a finite number in that range.

    References
    ----------
    Cosine law, any text on photometry.

    Examples
    --------
    >>> round(facing_stops(60), 3)
    -1.0
    """
    return math.log2(math.cos(math.radians(in_range("angle", angle_deg, 0.0, 89.9, "°"))))


def disk_near_field_stops(diameter_m: float, distance_m: float) -> float:
    """Return how far a round face falls short of the inverse-square law, on its axis.

    Parameters
    ----------
    diameter_m : float
        Diameter of the face [m], 0.005 to 20.
    distance_m : float
        From the face [m], 0.02 to 500.

    Returns
    -------
    float
        ``-log2(1 + D**2 / (4 d**2))`` [stops], negative.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Uniform Lambertian disk, any text on radiometry.

    Examples
    --------
    >>> round(disk_near_field_stops(0.9, 0.9), 3)
    -0.322
    """
    return math.log2(disk_illuminance_ratio(diameter_m, distance_m))


def disk_illuminance_ratio(diameter_m: float, distance_m: float) -> float:
    """Return the illuminance of a round face over that of the point rule, on its axis.

    Parameters
    ----------
    diameter_m : float
        Diameter of the face [m], 0.005 to 20.
    distance_m : float
        From the face [m], 0.02 to 500.

    Returns
    -------
    float
        Ratio [1], below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Uniform Lambertian disk, any text on radiometry.

    Examples
    --------
    >>> disk_illuminance_ratio(1.0, 0.5)
    0.5
    """
    radius = in_range("diameter", diameter_m, *FACE_RANGE_M, "m") / 2
    d = in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
    return d**2 / (d**2 + radius**2)


def disk_off_axis_illuminance_per_luminance(
    radius_m: float, distance_m: float, offset_m: float
) -> float:
    """Return the illuminance per luminance of a round face, beside its axis.

    Parameters
    ----------
    radius_m : float
        Radius of the face [m], 0.005 to 20.
    distance_m : float
        From the plane of the face to the receiver's plane, parallel to it [m], 0.02 to 500.
    offset_m : float
        Sideways from the axis [m], 0 to 500.

    Returns
    -------
    float
        E/L [sr].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    The textbook form ``(pi/2)(1 - A/B)`` with ``B**2 = A**2 + 4 R**2 d**2``, rearranged where the
    difference would lose digits.

    References
    ----------
    Configuration factor of a disk to a parallel element, any text on radiative transfer.

    Examples
    --------
    >>> round(disk_off_axis_illuminance_per_luminance(0.3, 1.0, 0.6), 4)
    0.1505
    """
    radius = in_range("radius", radius_m, *FACE_RANGE_M, "m")
    d = in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
    a = in_range("offset", offset_m, 0.0, DISTANCE_RANGE_M[1], "m") ** 2 + d**2 - radius**2
    b = math.hypot(a, 2 * radius * d)
    if a > 0:
        return 2 * math.pi * radius**2 * d**2 / (b * (b + a))
    return math.pi / 2 * (1 - a / b)


def rectangle_illuminance_per_luminance(
    width_m: float, height_m: float, distance_m: float
) -> float:
    """Return the illuminance per luminance of a rectangular face, on its axis.

    Parameters
    ----------
    width_m, height_m : float
        Sides of the face [m], 0.005 to 20.
    distance_m : float
        From the face [m], 0.02 to 500.

    Returns
    -------
    float
        E/L [sr].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Configuration factor of a parallel element opposite a rectangle's corner, four corners
    (referenced in "Daylight Algorithms", 3.14).

    Examples
    --------
    >>> round(rectangle_illuminance_per_luminance(0.6, 0.9, 1.0), 5)
    0.45305
    """
    d = in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
    x = in_range("width", width_m, *FACE_RANGE_M, "m") / (2 * d)
    y = in_range("height", height_m, *FACE_RANGE_M, "m") / (2 * d)
    across, along = math.sqrt(1 + x * x), math.sqrt(1 + y * y)
    return 2 * (x / across * math.atan(y / across) + y / along * math.atan(x / along))


def rectangle_near_field_stops(width_m: float, height_m: float, distance_m: float) -> float:
    """Return how far a rectangular face falls short of the inverse-square law, on its axis.

    Parameters
    ----------
    width_m, height_m : float
        Sides of the face [m], 0.005 to 20.
    distance_m : float
        From the face [m], 0.02 to 500.

    Returns
    -------
    float
        Log2 of its illuminance over that of the point rule [stops], negative.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    As `rectangle_illuminance_per_luminance`.

    Examples
    --------
    >>> round(rectangle_near_field_stops(0.9, 0.9, 0.9), 2)
    -0.41
    """
    exact = rectangle_illuminance_per_luminance(width_m, height_m, distance_m)
    # Far away the two agree to rounding, and the exact one is never the larger.
    return min(0.0, math.log2(exact * distance_m**2 / (width_m * height_m)))


def turned_rectangle_illuminance_per_luminance(
    width_m: float, height_m: float, distance_m: float, turn_deg: float
) -> float:
    """Return the illuminance per luminance when the receiver is turned away from the face.

    Parameters
    ----------
    width_m, height_m : float
        Sides of the face [m], 0.005 to 20; the face is centred in front of the receiver.
    distance_m : float
        From the face [m], 0.02 to 500.
    turn_deg : float
        Turn of the receiver's normal about the upright axis [deg], -180 to 180.

    Returns
    -------
    float
        E/L [sr]; the part of the face below the receiver's horizon gives nothing.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    The height is integrated in closed form, the width by 64 Gauss-Legendre nodes in the angle it
    is seen under, cut at the horizon.

    References
    ----------
    Definition of illuminance over a Lambertian face.

    Examples
    --------
    >>> round(turned_rectangle_illuminance_per_luminance(1, 1, 0.7, 60), 4)
    0.6166
    """
    d = in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
    half_angle = math.atan(in_range("width", width_m, *FACE_RANGE_M, "m") / (2 * d))
    half_height = in_range("height", height_m, *FACE_RANGE_M, "m") / 2
    turn = math.radians(abs(in_range("turn", turn_deg, -180.0, 180.0, "°")))
    # Seen under phi, the receiver's normal meets the light at phi - turn: above the horizon
    # while that stays within a right angle.
    start = max(-half_angle, turn - math.pi / 2)
    if start >= half_angle:
        return 0.0
    phi = start + (half_angle - start) * (_NODES + 1) / 2
    reach = half_height * np.cos(phi) / d
    # d²/cos³ of the upright strip, times what the substitution x = d tan(phi) leaves.
    strip = reach / (1 + reach**2) + np.arctan(reach)
    total = np.sum(_WEIGHTS * np.cos(phi - turn) * strip) * (half_angle - start) / 2
    return float(total)


def near_field_stops(width_m: float | None, height_m: float | None, distance_m: float) -> float:
    """Return how far a face of any shape falls short of the inverse-square law, on its axis.

    Parameters
    ----------
    width_m : float or None
        Width, or diameter of a round face [m]; None for a head that counts as small.
    height_m : float or None
        Height [m]; None for a round face.
    distance_m : float
        From the face [m], 0.02 to 500.

    Returns
    -------
    float
        Stops [stops], zero or negative.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    As `disk_near_field_stops` and `rectangle_near_field_stops`.

    Examples
    --------
    >>> near_field_stops(None, None, 0.9), round(near_field_stops(0.9, None, 0.9), 3)
    (0.0, -0.322)
    """
    if width_m is None:
        in_range("distance", distance_m, *DISTANCE_RANGE_M, "m")
        return 0.0
    if height_m is None:
        return disk_near_field_stops(width_m, distance_m)
    return rectangle_near_field_stops(width_m, height_m, distance_m)
