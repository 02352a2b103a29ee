"""An opening in a wall, and where somebody sits before it.

Directions are seen from the sitter's face: x to the right as one looks out, y out through the
wall, z up. ``x / y`` and ``z / y`` of a direction are its *slopes*; an upright rectangle in a wall
is an interval of slopes across and one of slopes up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from stillroom.errors import BadValue, in_range
from stillroom.light.limits import DISTANCE_RANGE_M
from stillroom.light.window.glass import Glass

_SIDE_RANGE_M = (0.0005, 50.0)
_HEIGHT_RANGE_M = (0.0, 50.0)
_OFFSET_RANGE_M = (-100.0, 100.0)
_REVEAL_RANGE_M = (0.0, 3.0)


@dataclass(frozen=True, slots=True)
class Bare:
    """The part of an opening that a curtain, blind or shutter leaves bare.

    Parameters
    ----------
    width_m, height_m : float
        Its sides [m], 0.0005 to 50.
    offset_m : float
        Its middle, to the right of the opening's middle as one looks out [m], -100 to 100.
    base_m : float
        Its lower edge above the opening's [m], 0 to 50.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> Bare(0.02, 1.5).width_m
    0.02
    """

    width_m: float
    height_m: float
    offset_m: float = 0.0
    base_m: float = 0.0

    def __post_init__(self) -> None:
        in_range("width of the bare part", self.width_m, *_SIDE_RANGE_M, "m")
        in_range("height of the bare part", self.height_m, *_SIDE_RANGE_M, "m")
        in_range("offset of the bare part", self.offset_m, *_OFFSET_RANGE_M, "m")
        in_range("base of the bare part", self.base_m, *_HEIGHT_RANGE_M, "m")


@dataclass(frozen=True, slots=True)
class Opening:
    """A window, a door, a hatch: an upright rectangle in a wall.

    Parameters
    ----------
    width_m, height_m : float
        Clear sides [m], 0.0005 to 50.
    sill_m : float
        Lower edge above the floor [m], 0 to 50.
    azimuth_deg : float
        Direction it faces, from north clockwise [deg], -360 to 360.
    glass : Glass, optional
        Its panes; None for an opening with nothing in it.
    frame_share : float
        Share of its area that frame and bars take [1], 0 to 0.9; taken off alike everywhere.
    outer_reveal_m, inner_reveal_m : float
        Depth of the wall outside and inside the glass [m], 0 to 3; the reveals count as black.
    obstruction_deg : float
        Elevation up to which the sky is hidden, all along [deg], 0 to 80.
    obstruction_luminance : float
        Luminance of what hides it, over that of the sky it hides [1], 0 to 5; 0.2 is customary
        under an overcast sky, 0.1 under a uniform one.
    ground_reflectance : float
        Of the ground outside, as the paper sees it [1], 0 to 1; grass 0.03 to 0.05, snow 0.8.
    bare : Bare, optional
        What a curtain leaves of it; None for all of it.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the bare part reaches beyond the opening.

    References
    ----------
    Obstruction 0.2 and 0.1: "Daylight Algorithms", 2.21, after BRE Digest 309. Ground 0.1 and the
    figures for grass and snow: from memory.

    Examples
    --------
    >>> window = Opening(1.2, 1.5, 0.9, azimuth_deg=45)
    >>> window.curtained(1 / 3).bare_area_m2
    0.6
    """

    width_m: float
    height_m: float
    sill_m: float
    azimuth_deg: float
    glass: Glass | None = None
    frame_share: float = 0.0
    outer_reveal_m: float = 0.0
    inner_reveal_m: float = 0.0
    obstruction_deg: float = 0.0
    obstruction_luminance: float = 0.2
    ground_reflectance: float = 0.1
    bare: Bare | None = None

    def __post_init__(self) -> None:
        in_range("width of the opening", self.width_m, *_SIDE_RANGE_M, "m")
        in_range("height of the opening", self.height_m, *_SIDE_RANGE_M, "m")
        in_range("sill", self.sill_m, *_HEIGHT_RANGE_M, "m")
        in_range("azimuth of the opening", self.azimuth_deg, -360.0, 360.0, "°")
        in_range("frame share", self.frame_share, 0.0, 0.9)
        in_range("outer reveal", self.outer_reveal_m, *_REVEAL_RANGE_M, "m")
        in_range("inner reveal", self.inner_reveal_m, *_REVEAL_RANGE_M, "m")
        in_range("obstruction", self.obstruction_deg, 0.0, 80.0, "°")
        in_range("obstruction luminance", self.obstruction_luminance, 0.0, 5.0)
        in_range("ground reflectance", self.ground_reflectance, 0.0, 1.0)
        self._check_bare()

    def _check_bare(self) -> None:
        if self.bare is None:
            return
        hair = 1e-9 * max(self.width_m, self.height_m)  # sums of decimals are not exact
        if self.bare.width_m / 2 + abs(self.bare.offset_m) > self.width_m / 2 + hair:
            raise BadValue(
                "width of the bare part",
                self.bare.width_m,
                f"at its offset it leaves an opening {self.width_m:g} m wide; make it narrower",
            )
        if self.bare.base_m + self.bare.height_m > self.height_m + hair:
            raise BadValue(
                "height of the bare part",
                self.bare.height_m,
                f"from its base it leaves an opening {self.height_m:g} m high; make it lower",
            )

    def curtained(
        self, open_share: float, left_bare: Literal["middle", "left", "right"] = "middle"
    ) -> Opening:
        """Return this opening with a curtain drawn over all but a share of its width.

        Parameters
        ----------
        open_share : float
            Share of the width left bare [1], 0.001 to 1.
        left_bare : {"middle", "left", "right"}
            Where the bare part is, as one looks out.

        Returns
        -------
        Opening
            The same opening; the curtain lets no light through.

        Raises
        ------
        OutOfRange
            If the share lies outside its range.

        Examples
        --------
        >>> Opening(1.2, 1.5, 0.9, 45).curtained(0.5, "left").bare
        Bare(width_m=0.6, height_m=1.5, offset_m=-0.3, base_m=0.0)
        """
        width = self.width_m * in_range("open share", open_share, 0.001, 1.0)
        side = {"left": -1, "middle": 0, "right": 1}[left_bare]
        bare = Bare(width, self.height_m, side * (self.width_m - width) / 2)
        return replace(self, bare=bare)

    @property
    def bare_area_m2(self) -> float:
        """Area that light can pass, frame and bars taken off [m2]."""
        part = self.bare or Bare(self.width_m, self.height_m)
        return part.width_m * part.height_m * (1 - self.frame_share)

    @property
    def middle_m(self) -> float:
        """Height of the middle of its bare part above the floor [m]."""
        part = self.bare or Bare(self.width_m, self.height_m)
        return self.sill_m + part.base_m + part.height_m / 2

    @property
    def bands(self) -> tuple[Band, Band, Band]:
        """What shines outside: the clear sky, what hides the rest of it, the ground."""
        return (
            Band(self.obstruction_deg, 90.0),
            Band(0.0, self.obstruction_deg, self.obstruction_luminance),
            Band(-90.0, 0.0, self.ground_reflectance),
        )


@dataclass(frozen=True, slots=True)
class Spot:
    """A point before an opening and the plane there that is lit: a cheek, a lens, a holder.

    Parameters
    ----------
    distance_m : float
        From the plane of the glass [m], 0.02 to 500.
    offset_m : float
        Along the wall, to the right of the opening's middle as one looks out [m], -100 to 100.
    height_m : float
        Above the floor [m], 0 to 50.
    turn_deg : float
        Which way it is turned: 0 straight to the wall of the opening, 90 to the right as one
        looks out [deg], -180 to 180.
    tilt_deg : float
        Raised above the horizontal [deg], -90 to 90; 90 looks straight up.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> Spot(1.5, turn_deg=90).normal
    (1.0, 0.0, 0.0)
    """

    distance_m: float
    offset_m: float = 0.0
    height_m: float = 1.2
    turn_deg: float = 0.0
    tilt_deg: float = 0.0

    def __post_init__(self) -> None:
        in_range("distance from the glass", self.distance_m, *DISTANCE_RANGE_M, "m")
        in_range("offset along the wall", self.offset_m, *_OFFSET_RANGE_M, "m")
        in_range("height of the face", self.height_m, *_HEIGHT_RANGE_M, "m")
        in_range("turn of the face", self.turn_deg, -180.0, 180.0, "°")
        in_range("tilt of the face", self.tilt_deg, -90.0, 90.0, "°")

    @property
    def normal(self) -> tuple[float, float, float]:
        """Unit normal of the lit plane: right, out, up."""
        turn, tilt = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        level = _cosine(tilt)
        return (level * math.sin(turn), level * _cosine(turn), math.sin(tilt))


class Band(NamedTuple):
    """Elevations between which something shines [deg], and its luminance over that of a sky."""

    low_deg: float
    high_deg: float
    share: float = 1.0


class Seen(NamedTuple):
    """Slopes between which a place sees out; `left` below `right`, `bottom` below `top`."""

    left: float
    right: float
    bottom: float
    top: float


def seen(opening: Opening, place: Spot) -> Seen | None:
    """Return what a place sees of the outside through an opening.

    Parameters
    ----------
    opening : Opening
        With its reveals and what its curtain leaves.
    place : Spot
        Where it is looked from.

    Returns
    -------
    Seen or None
        Bounds as slopes ``x / y`` and ``z / y``; None where reveals and curtain hide all of it.

    Raises
    ------
    BadValue
        If the place lies in the wall itself.

    Notes
    -----
    Both edges of the wall and the bare part at the glass are rectangles in parallel planes; seen
    from one point, what is common to them is a rectangle again.

    Examples
    --------
    >>> seen(Opening(2.0, 1.0, 1.0, 0.0), Spot(1.0, height_m=1.0))
    Seen(left=-1.0, right=1.0, bottom=0.0, top=1.0)
    """
    if place.distance_m <= opening.inner_reveal_m:
        raise BadValue(
            "distance from the glass",
            place.distance_m,
            f"that lies in the wall, {opening.inner_reveal_m:g} m deep; give a larger one",
        )
    whole = Bare(opening.width_m, opening.height_m)
    planes = [
        (whole, place.distance_m - opening.inner_reveal_m),
        (opening.bare or whole, place.distance_m),
        (whole, place.distance_m + opening.outer_reveal_m),
    ]
    rectangles = [_slopes(part, away, opening, place) for part, away in planes]
    common = Seen(
        max(r.left for r in rectangles),
        min(r.right for r in rectangles),
        max(r.bottom for r in rectangles),
        min(r.top for r in rectangles),
    )
    return common if common.left < common.right and common.bottom < common.top else None


def _slopes(part: Bare, away_m: float, opening: Opening, place: Spot) -> Seen:
    middle = part.offset_m - place.offset_m
    base = opening.sill_m + part.base_m - place.height_m
    return Seen(
        (middle - part.width_m / 2) / away_m,
        (middle + part.width_m / 2) / away_m,
        base / away_m,
        (base + part.height_m) / away_m,
    )


def _cosine(angle_rad: float) -> float:
    """Cosine that is exactly zero at a right angle, so that edge-on is edge-on."""
    cosine = math.cos(angle_rad)
    return 0.0 if abs(cosine) < 1e-15 else cosine
