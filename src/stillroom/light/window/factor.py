"""Daylight factor: what comes through an opening, over what level open ground outside gets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from stillroom.light.window.bounce import Room, bounced
from stillroom.light.window.integral import outside_factors
from stillroom.light.window.opening import Opening, Spot, seen
from stillroom.light.window.sky import (
    BOUNCE_SD_STOPS,
    GROUND_SD_STOPS,
    OBSTRUCTION_SD_STOPS,
    OVERCAST,
    Sky,
)
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

_UPRIGHT_OF_UNIFORM = 0.5


@dataclass(frozen=True, slots=True)
class DaylightFactor:
    """What reaches a plane through an opening, each part over E_h of the sky outside.

    Parameters
    ----------
    sky, obstruction, ground : float
        Straight from the sky, from what hides part of it, and from the ground [1].
    sky_bounced, ground_bounced : float
        Thrown about by the room, having first come down, or up, through the opening [1].
    sky_sd_stops : float
        Standard uncertainty of what hangs on how the sky is spread [stops].

    Examples
    --------
    >>> DaylightFactor(0.08, 0.0, 0.0, 0.02, 0.0, sky_sd_stops=0.2).total
    0.1
    """

    sky: float
    obstruction: float
    ground: float
    sky_bounced: float
    ground_bounced: float
    sky_sd_stops: float

    @property
    def from_sky(self) -> float:
        """All that follows the brightness of the sky the opening faces [1]."""
        return self.sky + self.obstruction + self.sky_bounced

    @property
    def from_ground(self) -> float:
        """All that follows the light on the ground outside [1]."""
        return self.ground + self.ground_bounced

    @property
    def total(self) -> float:
        """Sum of the parts [1]."""
        return self.from_sky + self.from_ground

    @property
    def sd_stops(self) -> float:
        """Standard uncertainty of the total [stops]: each part's own, weighted by its share."""
        if self.total == 0:
            return 0.0
        parts = (
            self.sky * self.sky_sd_stops,
            self.obstruction * OBSTRUCTION_SD_STOPS,
            self.ground * GROUND_SD_STOPS,
            (self.sky_bounced + self.ground_bounced) * BOUNCE_SD_STOPS,
        )
        return math.hypot(*parts) / self.total


def daylight_factor(
    opening: Opening, place: Spot, sky: Sky = OVERCAST, room: Room | None = None
) -> DaylightFactor:
    """Return the light a plane gets through an opening, over that of level open ground.

    Parameters
    ----------
    opening : Opening
        Window, door or gap.
    place : Spot
        Where the plane is and how it is turned.
    sky : Sky
        How the sky is spread; `UNIFORM` for what `under_clear_sky` starts from.
    room : Room, optional
        What throws light about; None leaves that out.

    Returns
    -------
    DaylightFactor
        Its parts [1]. Times the horizontal illuminance of the sky, without the sun, they are
        illuminance; the sun itself is `sunbeam_factor`.

    Raises
    ------
    BadValue
        If the place lies in the wall itself.

    Notes
    -----
    Frame and bars are taken off alike everywhere, reveals are black, the obstruction reaches the
    same elevation all along, and the sitter's own shadow on the room is left out. The
    integral is good to six digits from 5 cm on.

    References
    ----------
    Definition of the daylight factor and of its components: "Daylight Algorithms", 2.1 to 2.4.

    Examples
    --------
    >>> opening = Opening(1.2, 1.5, 0.9, azimuth_deg=45, ground_reflectance=0)
    >>> round(daylight_factor(opening, Spot(1.5)).total, 5)
    0.09265
    """
    bounds = seen(opening, place)
    parts = (0.0, 0.0, 0.0)
    if bounds is not None:
        through = opening.glass.transmittance if opening.glass else None
        clear = 1 - opening.frame_share
        sky_part, hidden, ground = outside_factors(opening, bounds, place.normal, sky, through)
        parts = (clear * sky_part, clear * hidden, clear * ground)
    thrown = bounced(opening, room, sky) if room else (0.0, 0.0)
    return DaylightFactor(*parts, *thrown, sky_sd_stops=sky.factor_sd_stops)


def under_clear_sky(
    uniform: DaylightFactor,
    upright_ratio: FloatArray | float,
    ground_ratio: FloatArray | float = 1.0,
) -> FloatArray:
    """Return the factor under a clear sky, for one moment or a year of them.

    Parameters
    ----------
    uniform : DaylightFactor
        Of the same opening and place under `UNIFORM`.
    upright_ratio : FloatArray or float
        What an upright plane that faces as the opening does gets from the clear sky, over what
        level ground gets from it, sun left out [1], 0 to 5.
    ground_ratio : FloatArray or float
        What the ground before the opening gets, sun and all, over what the sky alone gives it
        [1], 0 to 100; 1 where it lies in shade.

    Returns
    -------
    FloatArray
        Total factor [1], to be multiplied by the horizontal illuminance of the clear sky
        alone.

    Raises
    ------
    OutOfRange
        If a ratio is not finite or lies outside its range.

    Notes
    -----
    The sky before the opening is taken to be as bright all over as it is on the average of that
    side. Its standard uncertainty is `CLEAR_SKY_SD_STOPS`, or `HAZY_SKY_SD_STOPS`.

    References
    ----------
    Ours. A uniform sky gives an upright plane one half.

    Examples
    --------
    >>> from stillroom.light.window.sky import UNIFORM
    >>> uniform = daylight_factor(Opening(1.2, 1.5, 0.9, 45), Spot(1.5), UNIFORM)
    >>> bool(under_clear_sky(uniform, 0.5) == uniform.total)
    True
    """
    upright = all_in_range("ratio of upright to level", upright_ratio, 0.0, 5.0)
    ground = all_in_range("ratio of the light on the ground", ground_ratio, 0.0, 100.0)
    return np.asarray(
        uniform.from_sky * upright / _UPRIGHT_OF_UNIFORM + uniform.from_ground * ground
    )
