"""Meter readings of a sitting: what was shown, and the room each was taken in."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Book, MeterReading, Sitting
from stillroom.documents.to_daylight import sky_of
from stillroom.services.daylit import sky_name
from stillroom.services.marks import sheet_mark
from stillroom.services.seats import is_seat
from stillroom.sitter import region_name
from stillroom.telling.figures import listed
from stillroom.telling.names import initials
from stillroom.telling.place_rows import room_states
from stillroom.telling.words import figure


@dataclass(frozen=True, slots=True)
class Metered:
    """One meter reading."""

    nth: int
    """The first of the sitting being no. 1."""
    said: str
    room: str
    others: tuple[str, ...]
    """The states the room may have been in instead."""


def metered_view(book: Book, sitting: Sitting) -> tuple[Metered, ...]:
    """Every meter reading of a sitting, the latest first.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose readings and room they are.
    """
    states = room_states(book, sitting)
    who = initials(book, sitting)
    found = []
    for nth, taken in enumerate(sitting.meter_readings, 1):
        room = taken.room_state or sitting.room_state
        before = f", before {sheet_mark(who, taken.before_sheet)}" if taken.before_sheet else ""
        iso = f" at ISO {figure(taken.shows.iso)}" if taken.shows.iso else ""
        place = f"{region_name(taken.region)}, {listed(taken.lights_on)} on{before}"
        said = f"{place}: {showed(taken)}{iso}{_sky(sitting, taken)}"
        others = tuple(state for state in states if state != room)
        found.append(Metered(nth, said, room or "not said", others))
    return tuple(reversed(found))


def _sky(sitting: Sitting, taken: MeterReading) -> str:
    by_sky = {light.role for light in sitting.lights if is_seat(light)}
    return f", sky {sky_name(sky_of(taken.sky))}" if by_sky.intersection(taken.lights_on) else ""


def showed(taken: MeterReading) -> str:
    """What a meter showed, without the ISO it was set to.

    Examples
    --------
    >>> seen = {"region": "key", "lights_on": ["key"], "shows": {"f_number": 11, "iso": 100}}
    >>> showed(MeterReading.model_validate(seen))
    'f/11'
    """
    shows = taken.shows
    if shows.f_number is not None:
        return f"f/{figure(shows.f_number)}"
    return f"{figure(shows.lx)} lx" if shows.lx is not None else f"EV {figure(shows.ev100 or 0)}"
