"""The sun itself through an opening: whether it reaches a place, and how much of it."""

from __future__ import annotations

import math

import numpy as np

from stillroom.light.window.opening import Bare, Opening, Spot, seen
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

SUN_RADIUS_DEG = 0.2666
"""Mean apparent radius of the sun (from memory: 959.6 seconds of arc at mean distance)."""


def sun_seen(
    opening: Opening,
    place: Spot,
    sun_elevation_deg: FloatArray | float,
    sun_azimuth_deg: FloatArray | float,
) -> FloatArray:
    """Return how much of the sun's disc a place sees through an opening.

    Parameters
    ----------
    opening : Opening
        With its reveals, its curtain and what stands before it.
    place : Spot
        Where the sun may fall; how it is turned plays no part.
    sun_elevation_deg, sun_azimuth_deg : FloatArray or float
        Where the sun stands [deg], elevation -90 to 90 with refraction, azimuth from north
        clockwise -360 to 720; one moment or a year of them.

    Returns
    -------
    FloatArray
        Share of the disc [1]: 0 in shade, 1 in the full beam, between them in the half-shadow
        of an edge or behind a gap narrower than the sun.

    Raises
    ------
    OutOfRange
        If an angle is not finite or lies outside its range.
    BadValue
        If the place lies in the wall itself.

    Notes
    -----
    The disc is taken as even, and each edge cuts it along a straight line; what is left across and
    upright is multiplied. That is exact but for corners (0.04 of the disc) and for a hole smaller
    than the disc both ways, which comes out up to a quarter too bright. Frame and bars play no
    part here.

    References
    ----------
    Area of a circle's segment. The edges are great circles through the place.

    Examples
    --------
    >>> window = Opening(1.2, 1.5, 0.9, azimuth_deg=180)
    >>> sun_seen(window, Spot(1.5), np.array([20.0, 60.0]), 180.0).tolist()
    [1.0, 0.0]
    """
    right, out, up = _directions(opening, sun_elevation_deg, sun_azimuth_deg)
    bounds = seen(opening, place)
    if bounds is None:
        return np.zeros(np.shape(up))
    left_edge = _disc_beyond(right - bounds.left * out, bounds.left)
    right_edge = _disc_beyond(bounds.right * out - right, bounds.right)
    above_sill = _disc_beyond(up - bounds.bottom * out, bounds.bottom)
    below_top = _disc_beyond(bounds.top * out - up, bounds.top)
    clear = _above_obstruction(opening, up)
    across = np.maximum(left_edge + right_edge - 1, 0.0)
    upright = np.maximum(np.minimum(above_sill, clear) + below_top - 1, 0.0)
    return np.asarray(across * upright)


def sunbeam_factor(
    opening: Opening,
    place: Spot,
    sun_elevation_deg: FloatArray | float,
    sun_azimuth_deg: FloatArray | float,
) -> FloatArray:
    """Return the light the sun itself gives a plane, over that of a plane square to its beam.

    Parameters
    ----------
    opening : Opening
        With its glass.
    place : Spot
        Where the plane is and how it is turned.
    sun_elevation_deg, sun_azimuth_deg : FloatArray or float
        As `sun_seen` [deg].

    Returns
    -------
    FloatArray
        Factor [1], to be multiplied by the normal illuminance of the beam outside.

    Raises
    ------
    OutOfRange
        If an angle is not finite or lies outside its range.
    BadValue
        If the place lies in the wall itself.

    Notes
    -----
    Frame and bars are taken off alike everywhere: on the average of a face, not of a point that
    may lie in the shadow of one bar. Standard uncertainty `SUNBEAM_SD_STOPS`.

    References
    ----------
    Cosine law.

    Examples
    --------
    >>> window = Opening(1.2, 1.5, 0.9, azimuth_deg=180)
    >>> float(sunbeam_factor(window, Spot(1.5), 30.0, 180.0).round(3))
    0.866
    """
    right, out, up = _directions(opening, sun_elevation_deg, sun_azimuth_deg)
    normal = place.normal
    on_plane = np.maximum(normal[0] * right + normal[1] * out + normal[2] * up, 0.0)
    disc = sun_seen(opening, place, sun_elevation_deg, sun_azimuth_deg)
    return np.asarray(disc * on_plane * _let_through(opening, out))


def sun_flux_factor_m2(
    opening: Opening, sun_elevation_deg: FloatArray | float, sun_azimuth_deg: FloatArray | float
) -> FloatArray:
    """Return the light the sun sends in, over the illuminance of a plane square to its beam.

    Parameters
    ----------
    opening : Opening
        With its glass and its curtain.
    sun_elevation_deg, sun_azimuth_deg : FloatArray or float
        As `sun_seen` [deg].

    Returns
    -------
    FloatArray
        Luminous flux over normal illuminance [m2].

    Raises
    ------
    OutOfRange
        If an angle is not finite or lies outside its range.

    Notes
    -----
    What the reveals shade of a slanting beam is taken off; frame and bars alike everywhere.

    Examples
    --------
    >>> float(sun_flux_factor_m2(Opening(1.2, 1.5, 0.9, 180), 0.0, 180.0).round(3))
    0.9
    """
    right, out, up = _directions(opening, sun_elevation_deg, sun_azimuth_deg)
    ahead = np.maximum(out, 1e-9)
    part = opening.bare or Bare(opening.width_m, opening.height_m)
    lit_width = _lit_m(opening, part.width_m, part.offset_m, opening.width_m, right / ahead)
    middle_m = part.base_m + (part.height_m - opening.height_m) / 2
    lit_height = _lit_m(opening, part.height_m, middle_m, opening.height_m, up / ahead)
    clear = _above_obstruction(opening, up)
    through = _let_through(opening, out)
    return np.asarray(lit_width * lit_height * clear * np.maximum(out, 0.0) * through)


def _lit_m(
    opening: Opening, part_m: float, middle_m: float, whole_m: float, slope: FloatArray
) -> FloatArray:
    """Length of the bare part that a parallel beam passes, past both edges of the wall."""
    low = np.full_like(slope, middle_m - part_m / 2)
    high = np.full_like(slope, middle_m + part_m / 2)
    for depth_m in (opening.outer_reveal_m, -opening.inner_reveal_m):
        shift = depth_m * slope
        low = np.maximum(low, -whole_m / 2 - shift)
        high = np.minimum(high, whole_m / 2 - shift)
    return np.asarray(np.maximum(high - low, 0.0))


def _let_through(opening: Opening, cos_incidence: FloatArray) -> FloatArray:
    glass = opening.glass.transmittance(cos_incidence) if opening.glass else np.float64(1.0)
    return np.asarray(glass * (1 - opening.frame_share))


def _directions(
    opening: Opening, elevation_deg: FloatArray | float, azimuth_deg: FloatArray | float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Unit vector towards the sun: right, out, up as one looks out of the opening."""
    elevation = np.radians(all_in_range("sun's elevation", elevation_deg, -90.0, 90.0, "°"))
    azimuth = np.radians(all_in_range("sun's azimuth", azimuth_deg, -360.0, 720.0, "°"))
    turn = azimuth - math.radians(opening.azimuth_deg)
    level = np.cos(elevation)
    right, out, up = np.broadcast_arrays(
        level * np.sin(turn), level * np.cos(turn), np.sin(elevation)
    )
    return right, out, up


def _above_obstruction(opening: Opening, up: FloatArray) -> FloatArray:
    over = np.arcsin(up) - math.radians(opening.obstruction_deg)
    return _segment(over / math.radians(SUN_RADIUS_DEG))


def _disc_beyond(across: FloatArray, slope: float) -> FloatArray:
    """Share of the sun's disc on the inner side of an edge, from the offset over that edge."""
    distance = np.arcsin(np.clip(across / math.hypot(1.0, slope), -1.0, 1.0))
    return _segment(distance / math.radians(SUN_RADIUS_DEG))


def _segment(distance: FloatArray) -> FloatArray:
    """Share of a disc's area beyond a chord, the distance of the chord counted in radii."""
    d = np.clip(distance, -1.0, 1.0)
    return np.asarray(0.5 + (d * np.sqrt(1 - d**2) + np.arcsin(d)) / math.pi)
