"""Places and seats in a line: where, which way, how far from the glass."""

from __future__ import annotations

from stillroom.documents.kit import Kit
from stillroom.documents.seats import BeforeWindow, OpenAir, Place, Seat
from stillroom.quantity import FOOT_M, format_length
from stillroom.quantity.compass import bearing_text, bearing_words, latitude_text, longitude_text
from stillroom.telling.names import called, thing
from stillroom.telling.set_rows import Lengths
from stillroom.telling.words import figure

_SHARES = {0.75: "three quarters of the sky", 0.5: "half the sky", 0.25: "a quarter of the sky"}
_GLASS = {"none": "no glass", "float": "window glass", "laminated": "laminated glass"}


def facts_of_place(place: Place, lengths: str) -> str:
    """Where a place lies, what its clock is and how its air is.

    Examples
    --------
    >>> moor = Place(id="moor", latitude_deg=54.3, longitude_deg=-1.5, zone="Europe/London")
    >>> facts_of_place(moor, "metric")
    '54° 18′ N, 1° 30′ W, clock of Europe/London, clear air'
    """
    parts = [
        latitude_text(place.latitude_deg),
        longitude_text(place.longitude_deg),
        f"clock of {place.zone}",
    ]
    if place.altitude_m:
        parts.append(f"{_height(place.altitude_m, lengths)} above the sea")
    return ", ".join([*parts, f"{place.haze} air"])


def facts_of_seat(kit: Kit, seat: Seat, lengths: str) -> str:
    """Where a seat is, and what its face gets to see.

    Parameters
    ----------
    kit : Kit
        With its place.
    seat : Seat
        The seat.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    """
    where = called(thing(kit.places, seat.place), seat.place)
    if seat.window is not None:
        told = _before_window(seat.window, _lengths(lengths))
    else:
        assert seat.open_air is not None  # noqa: S101 - the model holds one of the two
        told = _in_the_open(seat.open_air)
    snow = ["snow all around"] if seat.snow else []
    return ", ".join([where, *told, *snow])


def _in_the_open(open_air: OpenAir) -> list[str]:
    parts = [f"in the open, face to {_towards(open_air.faces_deg)}"]
    if not open_air.sun:
        parts.append("no sun on it")
    if not open_air.ground_sunlit:
        parts.append("ground in shade")
    if open_air.sky_share < 1:
        share = open_air.sky_share
        parts.append(_SHARES.get(share, f"{figure(share, 2)} of the sky"))
    return parts


def _before_window(window: BeforeWindow, lengths: Lengths) -> list[str]:
    sides = " × ".join(format_length(side, lengths) for side in (window.width_m, window.height_m))
    return [
        f"before a window to {_towards(window.faces_deg)}",
        sides,
        _GLASS[window.glass],
        f"face {format_length(window.distance_m, lengths)} from it",
    ]


def _towards(deg: float) -> str:
    """The wind where it is one of the eight, else its degrees or its finer point."""
    return f"the {bearing_words(deg)}" if deg % 45 == 0 else bearing_text(deg)


def _height(altitude_m: float, lengths: str) -> str:
    if lengths == "imperial":
        return f"{figure(round(altitude_m / FOOT_M))} ft"
    return f"{figure(round(altitude_m))} m"


def _lengths(text: str) -> Lengths:
    return "imperial" if text == "imperial" else "metric"
