"""Planes that face the light: level, upright, in open shade, in a courtyard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.errors import in_range
from stillroom.quantity import FloatArray

_NODE_DEG = np.array([0.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 75.0, 90.0])
# What an upright plane gets from a clear sky over what level ground gets from it, sun left out.
# Ours: 32 streams of discrete ordinates, scalar, aerosol 0.1, albedo 0.1, 420 nm.
_AWAY = np.array(
    [0.583, 0.583, 0.582, 0.559, 0.534, 0.512, 0.476, 0.452, 0.438, 0.436, 0.455, 0.506]
)
_SQUARE = np.array(
    [0.541, 0.541, 0.559, 0.589, 0.598, 0.595, 0.578, 0.557, 0.539, 0.525, 0.511, 0.506]
)
_TOWARD = np.array(
    [0.611, 0.611, 0.695, 0.908, 1.010, 1.039, 0.995, 0.902, 0.803, 0.711, 0.593, 0.506]
)
OVERCAST_UPRIGHT_RATIO = (np.pi / 6 + 4 / 9) / (7 * np.pi / 9)
"""The same under a closed cover of cloud: 0.396, CIE traditional overcast sky."""


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane at the sitter, and what it gets to see.

    Parameters
    ----------
    facing_deg : float or None
        Direction an upright plane faces, from north clockwise [deg], -360 to 360; None for a level
        one that faces up.
    sun : bool
        Whether the sun, where it shines, can reach it.
    ground_sunlit : bool
        Whether the sun reaches the ground in front of it; without, that ground counts as dark.
    ground_reflectance : float or None
        Of the ground in front, as the paper sees it [1], 0 to 1; None for what lies all around.
    sky_share : float
        Share of its half of the sky that houses and trees leave free [1], 0.001 to 1.
    skyline_deg : float
        Elevation below which they hide the sun [deg], 0 to 89.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> Plane.upright(180).sun, Plane.open_shade(0).sun
    (True, False)
    """

    facing_deg: float | None = None
    sun: bool = True
    ground_sunlit: bool = True
    ground_reflectance: float | None = None
    sky_share: float = 1.0
    skyline_deg: float = 0.0

    def __post_init__(self) -> None:
        if self.facing_deg is not None:
            in_range("direction of the plane", self.facing_deg, -360.0, 360.0, "°")
        if self.ground_reflectance is not None:
            in_range("reflectance of the ground", self.ground_reflectance, 0.0, 1.0)
        in_range("share of the sky", self.sky_share, 0.001, 1.0)
        in_range("skyline", self.skyline_deg, 0.0, 89.0, "°")

    @staticmethod
    def level() -> Plane:
        """Return a level plane in the open, as a meter laid flat.

        Returns
        -------
        Plane
            Facing up.
        """
        return Plane()

    @staticmethod
    def upright(facing_deg: float) -> Plane:
        """Return an upright plane in the open, as a face.

        Parameters
        ----------
        facing_deg : float
            Direction it faces, from north clockwise [deg], -360 to 360.

        Returns
        -------
        Plane
            With the sun on it when the sun is on its side, and sunlit ground before it.
        """
        return Plane(facing_deg)

    @staticmethod
    def open_shade(facing_deg: float, *, ground_sunlit: bool = False) -> Plane:
        """Return an upright plane in the shade of something behind it, with the sky before it.

        Parameters
        ----------
        facing_deg : float
            Direction it faces, from north clockwise [deg], -360 to 360: north of the equator most
            often 0, south of it 180.
        ground_sunlit : bool
            Whether the ground in front lies in the sun.

        Returns
        -------
        Plane
            That no sun reaches.
        """
        return Plane(facing_deg, sun=False, ground_sunlit=ground_sunlit)


def upright_parts(sun_elevation_deg: FloatArray) -> FloatArray:
    """Return the three numbers from which an upright plane's share of a clear sky follows.

    Parameters
    ----------
    sun_elevation_deg : FloatArray
        Of the sun [deg].

    Returns
    -------
    FloatArray
        Three columns ``a, b, c`` [1]: the share is ``a + b cos d + c cos(d)**2``, d being the
        angle between sun and plane seen from above.

    Notes
    -----
    Straight lines between the nodes of the table; held below 3 deg.

    References
    ----------
    Ours: discrete ordinates, aerosol 0.1, albedo 0.1, 420 nm.

    Examples
    --------
    >>> upright_parts(np.array([20.0])).round(4).tolist()
    [[0.595, 0.2635, 0.1805]]
    """
    away, square, toward = (
        np.interp(sun_elevation_deg, _NODE_DEG, row) for row in (_AWAY, _SQUARE, _TOWARD)
    )
    return np.stack([square, (toward - away) / 2, (toward + away) / 2 - square], axis=-1)


def upright_sky_ratio(
    sun_elevation_deg: FloatArray | float, from_sun_deg: FloatArray | float
) -> FloatArray:
    """Return what a clear sky gives an upright plane over what it gives level ground.

    Parameters
    ----------
    sun_elevation_deg : FloatArray or float
        Of the sun [deg].
    from_sun_deg : FloatArray or float
        Direction the plane faces, less that of the sun [deg].

    Returns
    -------
    FloatArray
        Ratio, the sun itself left out of both [1].

    Notes
    -----
    Standard uncertainty 0.25 stop, 0.4 when it is hazy. A sky alike everywhere would give 0.5.

    References
    ----------
    As `upright_parts`.

    Examples
    --------
    >>> (
    ...     float(upright_sky_ratio(20.0, 180.0).round(3)),
    ...     float(upright_sky_ratio(20.0, 0.0).round(3)),
    ... )
    (0.512, 1.039)
    """
    even, odd, square = np.moveaxis(upright_parts(np.asarray(sun_elevation_deg)), -1, 0)
    turn = np.cos(np.radians(from_sun_deg))
    return np.asarray(even + odd * turn + square * turn**2)
