"""Where somebody sits in daylight: in the open, or before a window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from stillroom.errors import BadValue
from stillroom.light.daylight import (
    OVERCAST_UPRIGHT_RATIO,
    Lit,
    Outdoors,
    Plane,
    PlaneLight,
    Sky,
    SkyTable,
    SunPosition,
    light_in_views,
    light_on,
    variance_of_shares,
)
from stillroom.light.window import (
    CLEAR_SKY_SD_STOPS,
    HAZY_SKY_SD_STOPS,
    OVERCAST,
    UNIFORM,
    DaylightFactor,
    Opening,
    Room,
    Spot,
    daylight_factor,
    sun_flux_factor_m2,
    sunbeam_factor,
)


@dataclass(frozen=True)
class WindowSeat:
    """A face before a window.

    Parameters
    ----------
    opening : Opening
        The window; its glass `in_the_light`, for a `SkyTable` made behind that glass.
    spot : Spot
        Where the face is, and which way it is turned.
    room_to_paper, room_to_eye : Room, optional
        What throws light about, with the reflectances that paper and eye find; None leaves
        that out.

    Raises
    ------
    BadValue
        If no light of the window reaches the face, or the spot lies in the wall.

    Examples
    --------
    >>> seat = WindowSeat(Opening(1.2, 1.5, 0.9, azimuth_deg=45), Spot(1.2))
    >>> round(seat.overcast[0].total, 3)
    0.135
    """

    opening: Opening
    spot: Spot
    room_to_paper: Room | None = None
    room_to_eye: Room | None = None

    def __post_init__(self) -> None:
        if self.overcast[0].total <= 0 or self.uniform[0].total <= 0:
            raise BadValue(
                "turn of the face",
                self.spot.turn_deg,
                "no light of the window reaches it; turn it to the window, or move the chair",
            )

    @cached_property
    def overcast(self) -> tuple[DaylightFactor, DaylightFactor]:
        """Daylight factors under a closed cover, as paper and eye find them."""
        return self._factors(OVERCAST.name)

    @cached_property
    def uniform(self) -> tuple[DaylightFactor, DaylightFactor]:
        """Daylight factors under an even sky, as paper and eye find them."""
        return self._factors(UNIFORM.name)

    def _factors(self, sky: str) -> tuple[DaylightFactor, DaylightFactor]:
        spread = OVERCAST if sky == OVERCAST.name else UNIFORM
        paper, eye = (
            daylight_factor(self.opening, self.spot, spread, room)
            for room in (self.room_to_paper, self.room_to_eye)
        )
        return paper, eye

    def lit(self, outside: Outdoors) -> Lit:
        """Return what reaches the face.

        Parameters
        ----------
        outside : Outdoors
            What comes from sun and sky, behind the glass.

        Returns
        -------
        Lit
            One of each for every instant. Its variance is that of the weather and of how the sky
            is spread; what is not known of window and room is the seat's own.

        Notes
        -----
        The part of the sky that is open counts as before a wall that faces as the window does, the
        covered part as a grey sky; the sun comes in through the same opening, and what the room
        throws about of it is spread evenly.

        References
        ----------
        `under_clear_sky`, `daylight_factor`, `sunbeam_factor`, split flux.
        """
        cover = outside.cover
        clear = (
            outside.upright_sky_ratio(self.opening.azimuth_deg) - cover * OVERCAST_UPRIGHT_RATIO
        )
        ground_ratio = outside.level_lx / outside.sky_lx
        factors = zip(self.uniform, self.overcast, strict=True)
        from_sky, from_ground = [], []
        for even, grey in factors:
            # An even sky gives an upright plane one half of what it gives the ground.
            from_sky.append(2 * clear * even.from_sky + cover * grey.from_sky)
            from_ground.append((1 - cover) * even.from_ground + cover * grey.from_ground)
        sky = outside.sky_lx * np.stack(from_sky)
        ground = outside.sky_lx * np.array(from_ground)[:, None] * ground_ratio
        sun = outside.sun
        beam = outside.beam_lx * sunbeam_factor(
            self.opening, self.spot, sun.elevation_deg, sun.azimuth_deg
        )
        thrown = outside.beam_lx * self._thrown_about(outside)
        total = beam + thrown + sky + ground
        shares = [part[0] / total[0] for part in (beam + thrown, sky, ground)]
        hazy = outside.upright_sd_stops > CLEAR_SKY_SD_STOPS
        upright = (1 - cover) * (HAZY_SKY_SD_STOPS if hazy else CLEAR_SKY_SD_STOPS)
        upright = float(np.hypot(upright, cover * OVERCAST.factor_sd_stops))
        return Lit(total[0], total[1], variance_of_shares(shares, upright, outside))

    def _thrown_about(
        self, outside: Outdoors
    ) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        """What the room makes of the sun that comes in, over its beam (2, instants)."""
        sun = outside.sun
        flux_m2 = sun_flux_factor_m2(self.opening, sun.elevation_deg, sun.azimuth_deg)
        shares = [
            0.0 if room is None else room.lit_by(1.0, 0.0, self.opening)[0]
            for room in (self.room_to_paper, self.room_to_eye)
        ]
        return np.array(shares)[:, None] * flux_m2


Seat = Plane | WindowSeat
"""Where somebody sits: a plane in the open, or a face before a window."""


def light_at(seat: Seat, sun: SunPosition, table: SkyTable, sky: Sky | None = None) -> PlaneLight:
    """Return the daylight on a face where it sits.

    Parameters
    ----------
    seat : Plane or WindowSeat
        Where.
    sun : SunPosition
        Where the sun stands.
    table : SkyTable
        The cloudless day as paper and meter see it, behind the window's glass if there is one.
    sky : Sky, optional
        Cloud, the same at all instants; none when left out.

    Returns
    -------
    PlaneLight
        One plane by instants.

    References
    ----------
    As `light_on`.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> from stillroom.light.daylight import PLANNED, Place, sky_table, sun_position
    >>> from stillroom.light.window import Glass
    >>> from stillroom.quantity.spectra import GRADED, float_glass, uvcut370
    >>> noon = sun_position(
    ...     datetime(2026, 11, 14, 12, tzinfo=timezone.utc), Place(54.3, -1.5, "UTC")
    ... )
    >>> behind = sky_table(GRADED, [uvcut370()], [float_glass()])
    >>> window = Opening(1.2, 1.5, 0.9, 45, glass=Glass(in_the_light=True))
    >>> lit = light_at(WindowSeat(window, Spot(1.2)), noon, behind, PLANNED["dull"])
    >>> round(float(lit.actinic_lx[0, 0]), -1), round(float(lit.sd_stops[0, 0]), 1)
    (950.0, 0.7)
    """
    if isinstance(seat, Plane):
        return light_on([seat], sun, table, sky)
    view: Callable[[Outdoors], Lit] = seat.lit
    return light_in_views([view], sun, table, sky)
