"""Angles: what the sheet sees, and how the light falls off towards its corners."""

from __future__ import annotations

import math

from stillroom.camera.limits import ANGLE_RANGE_DEG, LENGTH_RANGE_MM
from stillroom.errors import in_range


def angle_of_view_deg(side_mm: float, image_distance_mm: float) -> float:
    """Return the angle a side of the sheet is seen under, ``2 atan(side / 2v)``.

    Parameters
    ----------
    side_mm : float
        Side or diagonal of the image area [mm], 0.1 to 5000.
    image_distance_mm : float
        From the rear principal point to the sheet [mm], 0.1 to 5000.

    Returns
    -------
    float
        Angle [deg].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> round(angle_of_view_deg(120, 300), 1)
    22.6
    """
    return 2 * off_axis_angle_deg(side_mm / 2, image_distance_mm)


def off_axis_angle_deg(offset_mm: float, image_distance_mm: float) -> float:
    """Return the angle at which light reaches a point of the sheet, ``atan(offset / v)``.

    Parameters
    ----------
    offset_mm : float
        From the middle of the sheet [mm], 0 to 5000.
    image_distance_mm : float
        From the exit pupil to the sheet [mm], 0.1 to 5000.

    Returns
    -------
    float
        Angle [deg].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Geometry; the angle is taken at the exit pupil.

    Examples
    --------
    >>> round(off_axis_angle_deg(76.8, 300), 1)
    14.4
    """
    offset = in_range("offset", offset_mm, 0.0, LENGTH_RANGE_MM[1], "mm")
    v = in_range("image distance", image_distance_mm, *LENGTH_RANGE_MM, "mm")
    return math.degrees(math.atan2(offset, v))


def cos4_stops(angle_deg: float) -> float:
    """Return the fall of light away from the middle of the sheet, ``4 log2(cos angle)``.

    Parameters
    ----------
    angle_deg : float
        Angle off the axis [deg], 0 to 89.

    Returns
    -------
    float
        Stops [stops], zero or negative.

    Raises
    ------
    OutOfRange
        If the angle lies outside that range.

    Notes
    -----
    Without vignetting, and for lenses whose pupils do not swell off axis.

    References
    ----------
    "Derivation of the Cosine Fourth Law for Falloff" (2007).

    Examples
    --------
    >>> round(cos4_stops(45), 3)
    -2.0
    """
    return 4 * math.log2(math.cos(math.radians(in_range("angle", angle_deg, *ANGLE_RANGE_DEG))))
