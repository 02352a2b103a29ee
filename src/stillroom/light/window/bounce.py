"""What the room throws about of the light that comes in: split flux.

Paper sees blue and ultraviolet only, so a room is darker to it than to the eye: brick, wood and
cream paint look light because they send back red and yellow, and send back one to two stops less
of what makes a sheet lighter. White paint, too, swallows the ultraviolet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from stillroom.errors import UnknownName, in_range
from stillroom.light.window.integral import ALL_IN_FRONT, outside_factors
from stillroom.light.window.opening import Opening
from stillroom.light.window.sky import Sky

_OUTWARDS = (0.0, 1.0, 0.0)
_ROOM_RANGE_M = (0.5, 100.0)


class Reflectance(NamedTuple):
    """Reflectance of a surface [1], as the eye and as blue-sensitive paper weighs the light."""

    eye: float
    paper: float


SURFACES: dict[str, Reflectance] = {
    "white paint": Reflectance(0.80, 0.65),
    "white cloth": Reflectance(0.75, 0.70),
    "grey paint": Reflectance(0.30, 0.28),
    "concrete": Reflectance(0.30, 0.24),
    "cream paint": Reflectance(0.70, 0.35),
    "light wood": Reflectance(0.35, 0.14),
    "dark wood": Reflectance(0.15, 0.06),
    "brick": Reflectance(0.25, 0.08),
    "black cloth": Reflectance(0.04, 0.04),
}
"""Invented plausible figures; that warm ones lose one to two stops to paper is from memory."""


@dataclass(frozen=True, slots=True)
class Room:
    """A box with an opening in one wall, and how much its surfaces send back.

    Parameters
    ----------
    width_m : float
        Along the wall with the opening [m], 0.5 to 100.
    depth_m, height_m : float
        Away from that wall, and from floor to ceiling [m], 0.5 to 100.
    ceiling, walls, floor : float
        Reflectances [1], 0 to 0.95, as the paper (or the meter) weighs light.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> Room.of_surfaces(5.1, 4.2, 2.8, walls="brick").walls
    0.08
    """

    width_m: float
    depth_m: float
    height_m: float
    ceiling: float
    walls: float
    floor: float

    def __post_init__(self) -> None:
        in_range("width of the room", self.width_m, *_ROOM_RANGE_M, "m")
        in_range("depth of the room", self.depth_m, *_ROOM_RANGE_M, "m")
        in_range("height of the room", self.height_m, *_ROOM_RANGE_M, "m")
        for name, reflectance in (
            ("ceiling", self.ceiling),
            ("walls", self.walls),
            ("floor", self.floor),
        ):
            in_range(f"reflectance of the {name}", reflectance, 0.0, 0.95)

    @classmethod
    def of_surfaces(
        cls,
        width_m: float,
        depth_m: float,
        height_m: float,
        *,
        ceiling: str = "white paint",
        walls: str = "white paint",
        floor: str = "light wood",
        weighed_by: Literal["paper", "eye"] = "paper",
    ) -> Room:
        """Return a room whose surfaces are named.

        Parameters
        ----------
        width_m, depth_m, height_m : float
            As of the room itself [m].
        ceiling, walls, floor : str
            Names in `SURFACES`.
        weighed_by : {"paper", "eye"}
            Whose light: the paper's, or the eye's and the meter's.

        Returns
        -------
        Room
            With the reflectances of those surfaces.

        Raises
        ------
        UnknownName
            If a surface is not in `SURFACES`.

        Examples
        --------
        >>> Room.of_surfaces(5.1, 4.2, 2.8, walls="brick", weighed_by="eye").walls
        0.25
        """
        reflectances = []
        for surface in (ceiling, walls, floor):
            if surface not in SURFACES:
                raise UnknownName("surface", surface, SURFACES)
            reflectances.append(getattr(SURFACES[surface], weighed_by))
        return cls(width_m, depth_m, height_m, *reflectances)

    def lit_by(self, down: float, up: float, opening: Opening) -> tuple[float, float]:
        """Return what light that has come in gives everywhere, once thrown about.

        Parameters
        ----------
        down, up : float
            Light that comes in on its way down, and up [lm, or any unit of flux].
        opening : Opening
            Where it comes in: what lies below its middle is met by what goes down.

        Returns
        -------
        tuple of float
            Mean illuminance of all surfaces from either part, after one reflection and more
            [that unit per m2].

        Notes
        -----
        The wall with the opening is never met first. Every plane anywhere in the room is taken to
        get the mean; near pale surfaces it gets more.

        Examples
        --------
        >>> room = Room(5.0, 4.0, 2.5, 0.0, 0.0, 0.0)
        >>> room.lit_by(100.0, 0.0, Opening(1.0, 1.0, 1.0, 0.0))
        (0.0, 0.0)
        """
        level = self.width_m * self.depth_m
        three_walls = (self.width_m + 2 * self.depth_m) * self.height_m
        all_walls = three_walls + self.width_m * self.height_m
        pane = opening.glass.diffuse_reflectance if opening.glass else 0.0
        swallowed = (
            level * (1 - self.ceiling)
            + level * (1 - self.floor)
            + (all_walls - opening.bare_area_m2) * (1 - self.walls)
            + opening.bare_area_m2 * (1 - pane)
        )
        below = min(1.0, opening.middle_m / self.height_m) * three_walls
        above = three_walls - below
        lower = (level * self.floor + below * self.walls) / (level + below)
        upper = (level * self.ceiling + above * self.walls) / (level + above)
        return down * lower / swallowed, up * upper / swallowed


def bounced(opening: Opening, room: Room, sky: Sky) -> tuple[float, float]:
    """Return what the room throws about, over the illuminance of level open ground outside.

    Parameters
    ----------
    opening : Opening
        Where the light comes in.
    room : Room
        What it meets.
    sky : Sky
        Where it comes from.

    Returns
    -------
    tuple of float
        Factor of what first came down, from sky and obstruction, and of what first came up, from
        the ground [1].

    Notes
    -----
    Light that comes down through the opening meets floor and lower walls first, light that comes
    up from the ground meets ceiling and upper walls; what they send back spreads evenly. In the
    customary form, in hundredths, ``0.85 W (C Rfw + 5 Rcw) / (A (1 - R))``, 0.85 is clear glass
    for light from everywhere, C what the wall outside gets from the sky (39 where nothing hides
    it; 39.6 is the exact figure), and 5 a ground that reflects a tenth. Here each of them is
    computed for the opening at hand.

    References
    ----------
    Split-flux method, average internally reflected component for side windows: its form as quoted
    by two teaching pages, its constants from memory.

    Examples
    --------
    >>> from stillroom.light.window.sky import OVERCAST
    >>> room = Room.of_surfaces(5.1, 4.2, 2.8, walls="brick")
    >>> down, up = bounced(Opening(1.2, 1.5, 0.9, 45), room, OVERCAST)
    >>> round(down + up, 4)
    0.0016
    """
    from_sky, from_hidden, from_ground = outside_factors(opening, ALL_IN_FRONT, _OUTWARDS, sky)
    through = opening.bare_area_m2 * (opening.glass.diffuse_transmittance if opening.glass else 1)
    return room.lit_by(through * (from_sky + from_hidden), through * from_ground, opening)
