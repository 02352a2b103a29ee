"""From the models of a document to places, seats and skies."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from stillroom.documents import seats
from stillroom.light.daylight import SKY_WORDS, Atmosphere, Place, Plane, Sky
from stillroom.light.seat import Seat, WindowSeat
from stillroom.light.window import Glass, Opening, Room, Spot
from stillroom.quantity.spectra import Spectrum, glass

USUAL_SKY: seats.SkyWord = "middling"
"""What is taken for the sky where nobody has looked up."""


@dataclass(frozen=True, slots=True)
class SeatThere:
    """A seat with its place, its air and the glass before it.

    Parameters
    ----------
    place : Place
        Where on earth.
    seat : Plane or WindowSeat
        What the face gets to see.
    air : Atmosphere
        Above it.
    panes : tuple of str
        Names of the panes of glass before it.
    """

    place: Place
    seat: Seat
    air: Atmosphere
    panes: tuple[str, ...]

    @property
    def behind(self) -> tuple[Spectrum, ...]:
        """What stands before meter and sitter."""
        return tuple(glass(name) for name in self.panes)


def place_of(model: seats.Place) -> Place:
    """A place on earth.

    Raises
    ------
    BadValue
        If there is no such time zone.
    """
    return Place(model.latitude_deg, model.longitude_deg, model.zone)


@lru_cache(maxsize=64)
def seat_there(seat: seats.Seat, place: seats.Place) -> SeatThere:
    """A seat with all that its light hangs on; worked out once.

    Raises
    ------
    BadValue
        If there is no such time zone, or no light of the window reaches the face.
    UnknownName
        If the room has a surface nobody knows.
    """
    air = Atmosphere.called(place.haze, place.altitude_m, snow=seat.snow)
    if seat.window is None:
        return SeatThere(place_of(place), _in_the_open(seat), air, ())
    panes = () if seat.window.glass == "none" else (seat.window.glass,) * seat.window.panes
    return SeatThere(place_of(place), _before_the_window(seat.window), air, panes)


def _in_the_open(seat: seats.Seat) -> Plane:
    open_air = seat.open_air
    assert open_air is not None  # noqa: S101 - the model holds one of the two
    return Plane(
        facing_deg=open_air.faces_deg,
        sun=open_air.sun,
        ground_sunlit=open_air.ground_sunlit,
        ground_reflectance=open_air.ground_reflectance,
        sky_share=open_air.sky_share,
        skyline_deg=open_air.skyline_deg,
    )


def _before_the_window(window: seats.BeforeWindow) -> WindowSeat:
    # What a pane takes of light square to it stands in the spectra; here only its slant counts.
    panes = Glass(panes=window.panes, in_the_light=True) if window.glass != "none" else None
    opening = Opening(
        window.width_m,
        window.height_m,
        window.sill_m,
        window.faces_deg,
        glass=panes,
        frame_share=window.frame_share,
        outer_reveal_m=window.outer_reveal_m,
        inner_reveal_m=window.inner_reveal_m,
        obstruction_deg=window.obstruction_deg,
        ground_reflectance=window.ground_reflectance,
    )
    spot = Spot(window.distance_m, window.offset_m, window.face_height_m, window.turn_deg)
    if window.room is None:
        return WindowSeat(opening, spot)
    room = window.room
    to_paper, to_eye = (
        Room.of_surfaces(
            room.width_m,
            room.depth_m,
            room.height_m,
            ceiling=room.ceiling,
            walls=room.walls,
            floor=room.floor,
            weighed_by=whose,
        )
        for whose in ("paper", "eye")
    )
    return WindowSeat(opening, spot, to_paper, to_eye)


def sky_of(seen: seats.SkySeen | None) -> Sky:
    """A sky as it was seen; the usual one where nobody looked.

    Raises
    ------
    BadValue
        If cover and sun contradict each other.

    Examples
    --------
    >>> sky_of(seats.SkySeen(word="dull"))
    Sky(okta=8, sun='no')
    """
    if seen is None:
        return SKY_WORDS[USUAL_SKY]
    if seen.word is not None:
        return SKY_WORDS[seen.word]
    return Sky(seen.okta or 0, seen.sun or "yes")
