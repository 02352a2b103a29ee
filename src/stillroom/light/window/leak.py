"""A gap in a curtain: what it gives during an open time, and how that compares with a flash."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.errors import in_range
from stillroom.light.limits import EXPOSURE_RANGE_LXS, OPEN_RANGE_S
from stillroom.light.window.bounce import Room
from stillroom.light.window.factor import daylight_factor
from stillroom.light.window.opening import Opening, Spot
from stillroom.light.window.sky import UNIFORM, Sky
from stillroom.light.window.sunbeam import sun_flux_factor_m2, sunbeam_factor

_OUTDOORS_RANGE_LX = (0.0, 300_000.0)


@dataclass(frozen=True, slots=True)
class Outside:
    """What shines on the outside of a curtain at one moment.

    Parameters
    ----------
    sky_lx : float
        On level open ground, from the sky alone [lx], 0 to 300000, as paper or eye weighs it.
    sun_lx : float
        On a plane square to the sun's beam, the same weighing [lx], 0 to 300000; 0 for no sun.
    sun_elevation_deg, sun_azimuth_deg : float
        Where the sun stands [deg], azimuth from north clockwise.
    sky : Sky
        How the light of the sky is spread.

    Raises
    ------
    OutOfRange
        If an illuminance lies outside its range.

    Examples
    --------
    >>> Outside(15_000.0).sun_lx
    0.0
    """

    sky_lx: float
    sun_lx: float = 0.0
    sun_elevation_deg: float = 0.0
    sun_azimuth_deg: float = 0.0
    sky: Sky = UNIFORM

    def __post_init__(self) -> None:
        in_range("light of the sky", self.sky_lx, *_OUTDOORS_RANGE_LX, "lx")
        in_range("light of the sun", self.sun_lx, *_OUTDOORS_RANGE_LX, "lx")


@dataclass(frozen=True, slots=True)
class Leak:
    """Illuminance at a place through a gap, by the way it came.

    Parameters
    ----------
    sky_lx, beam_lx, bounced_lx : float
        Straight from the sky and all else outside, from the sun's beam, and from the room lit by
        either [lx].

    Examples
    --------
    >>> Leak(10.0, 0.0, 5.0).total_lx
    15.0
    """

    sky_lx: float
    beam_lx: float
    bounced_lx: float

    @property
    def total_lx(self) -> float:
        """Sum of the three [lx]."""
        return self.sky_lx + self.beam_lx + self.bounced_lx

    def stops_over(self, exposure_lxs: float, open_s: float) -> float:
        """Return how far the leak stands above an exposure it adds itself to.

        Parameters
        ----------
        exposure_lxs : float
            What is wanted, of a flash or of any light [lx s], at the same place and weighed alike.
        open_s : float
            How long lens or holder stands open [s], 0.000001 to 36000.

        Returns
        -------
        float
            Log2 of leak over exposure [stops]; above zero the leak outweighs it, ``-inf`` where
            nothing leaks.

        Raises
        ------
        OutOfRange
            If an argument lies outside its range.

        Examples
        --------
        >>> Leak(50.0, 0.0, 0.0).stops_over(1000, open_s=5)
        -2.0
        """
        wanted = in_range("exposure", exposure_lxs, *EXPOSURE_RANGE_LXS, "lx·s")
        open_time = in_range("open time", open_s, *OPEN_RANGE_S, "s")
        leaked = self.total_lx * open_time
        return math.log2(leaked / wanted) if leaked > 0 else -math.inf


def leak(gap: Opening, place: Spot, outside: Outside, room: Room | None = None) -> Leak:
    """Return what a gap gives a place: a cheek, a lens, a holder.

    Parameters
    ----------
    gap : Opening
        A window with what its curtain leaves bare, or the gap alone.
    place : Spot
        Where it counts, and how it is turned.
    outside : Outside
        The light outside at that moment.
    room : Room, optional
        What throws light about; None leaves that out.

    Returns
    -------
    Leak
        Illuminance by the way it came [lx].

    Raises
    ------
    OutOfRange
        If an angle lies outside its range.
    BadValue
        If the place lies in the wall itself.

    Notes
    -----
    The sun comes down, so it meets floor and lower walls first; its patch there counts as spread
    over the whole room, and near the patch there is more. Cloth is taken to let nothing through.

    References
    ----------
    Daylight factor and split flux, as `daylight_factor` and `bounced`.

    Examples
    --------
    >>> gap = Opening(0.02, 1.5, 0.9, azimuth_deg=180)
    >>> into_the_room = Spot(1.5, offset_m=1.0)
    >>> noon = Outside(15_000.0, 90_000.0, 55.0, 180.0)
    >>> leak(gap, into_the_room, noon).beam_lx
    0.0
    """
    sun = (outside.sun_elevation_deg, outside.sun_azimuth_deg)
    factor = daylight_factor(gap, place, outside.sky, room)
    straight = factor.sky + factor.obstruction + factor.ground
    thrown = (factor.sky_bounced + factor.ground_bounced) * outside.sky_lx
    if room is not None:
        flux_lm = outside.sun_lx * float(sun_flux_factor_m2(gap, *sun))
        thrown += room.lit_by(flux_lm, 0.0, gap)[0]
    return Leak(
        sky_lx=straight * outside.sky_lx,
        beam_lx=outside.sun_lx * float(sunbeam_factor(gap, place, *sun)),
        bounced_lx=thrown,
    )
