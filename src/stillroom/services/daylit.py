"""Daylight on the seats of a book, as paper and meter see it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

from stillroom.camera import Lens
from stillroom.documents import book as doc
from stillroom.documents.seats import Place, Seat, SkySeen
from stillroom.documents.to_daylight import SeatThere, seat_there, sky_of
from stillroom.documents.to_domain import named
from stillroom.exposure import BareMove, Daylit
from stillroom.light import reference_shift_stops
from stillroom.light.daylight import (
    SKY_WORDS,
    Atmosphere,
    PlaneLight,
    Sky,
    SkyTable,
    sky_table,
    sun_position,
)
from stillroom.light.seat import light_at
from stillroom.paper import PaperBatch
from stillroom.quantity import FloatArray, Stops
from stillroom.quantity.spectra import PaperResponse, Spectrum, glass
from stillroom.services.seats import is_seat

COLOUR_SD_STOPS = 0.2
"""How far off the colour of sun and sky may be that the model has (invented)."""
NO_DAYLIGHT_LOG2_LX = -30.0
"""What the sun gives once it is down, to a paper: nothing."""
# How far the light of a sky wanders from one sheet to the next, half an hour apart (invented).
_STEADY_SD_STOPS = 0.05
_COVERED_SD_STOPS = 0.2
_VEILED_SD_STOPS = 0.3
_BROKEN_SD_STOPS = 0.4


class Weather(NamedTuple):
    """The moment, and the sky as it was seen then; a middling one where nobody looked."""

    when: datetime
    seen: SkySeen | None


@lru_cache(maxsize=32)
def _table(
    response: PaperResponse, lens: Spectrum, panes: tuple[str, ...], air: Atmosphere
) -> SkyTable:
    return sky_table(response, [lens], [glass(name) for name in panes], air)


def table_for(there: SeatThere, batch: PaperBatch, lens: Lens) -> SkyTable:
    """The cloudless day at a seat as a paper sees it through a lens; worked out once."""
    return _table(batch.sees, lens.passes, there.panes, there.air)


def light_there(
    there: SeatThere,
    batch: PaperBatch,
    lens: Lens,
    times: datetime | Sequence[datetime] | FloatArray,
    sky: Sky,
) -> PlaneLight:
    """The daylight on a seat at some moments."""
    sun = sun_position(times, there.place)
    return light_at(there.seat, sun, table_for(there, batch, lens), sky)


def seat_of(book: doc.Book, seat_id: str) -> tuple[Seat, Place, SeatThere]:
    """A seat of a book with its place.

    Raises
    ------
    UnknownName
        If the book has no such seat, or the seat no place.
    """
    seat = named("seat", seat_id, book.kit.seats)
    place = named("place", seat.place, book.kit.places)
    return seat, place, seat_there(seat, place)


def daylit(
    book: doc.Book,
    seat_id: str,
    batch: PaperBatch,
    lens: Lens,
    weather: Weather,
) -> Daylit:
    """Daylight on a seat at one moment, as a ledger takes it.

    Parameters
    ----------
    book : Book
        With seats and places.
    seat_id : str
        Which seat.
    batch, lens : PaperBatch, Lens
        What sees it, and through which glass.
    weather : Weather
        The moment and its sky.

    Raises
    ------
    UnknownName
        If there is no such seat.
    """
    seat, _, there = seat_of(book, seat_id)
    sky = sky_of(weather.seen)
    light = light_there(there, batch, lens, weather.when, sky)
    photopic, actinic = float(light.photopic_lx[0, 0]), float(light.actinic_lx[0, 0])
    reference = reference_shift_stops(batch.sees)
    down = actinic <= 0
    return Daylit(
        log2_lx=NO_DAYLIGHT_LOG2_LX if down else math.log2(photopic),
        colour=Stops(0.0 if down else math.log2(actinic / photopic) - reference, COLOUR_SD_STOPS),
        sd_stops=0.0 if down else float(light.sd_stops[0, 0]),
        seat=seat.id,
        sky=sky_name(sky),
        seat_sd_stops=seat.off_sd_stops,
    )


def sky_name(sky: Sky) -> str:
    """What a kind of sky is called: its word, or cover and sun.

    Examples
    --------
    >>> sky_name(Sky(8, "no")), sky_name(Sky(5, "no"))
    ('dull', '5 eighths, sun hidden')
    """
    for word, known in SKY_WORDS.items():
        if known == sky:
            return word
    sun = {"yes": "sun out", "no": "sun hidden"}.get(sky.sun, f"sun {sky.sun}")
    return f"{sky.okta} eighths, {sun}"


def wander_sd_stops(sky: Sky) -> float:
    """How far the light of a sky wanders from one sheet to the next [stops]; invented."""
    if sky.sun == "veiled":
        return _VEILED_SD_STOPS
    if sky.okta <= 2:
        return _STEADY_SD_STOPS
    return _COVERED_SD_STOPS if sky.okta == 8 else _BROKEN_SD_STOPS


def sky_moves(
    sitting: doc.Sitting, number: int, seen: SkySeen | None, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """That the sky is not quite the same at every sheet: one unknown for each.

    Parameters
    ----------
    sitting : Sitting
        The sitting.
    number : int
        The sheet, or the one a meter reading was taken for.
    seen : SkySeen, optional
        The sky at that sheet.
    roles : sequence of str
        The lights that are lit.
    """
    by_sky = {light.role for light in sitting.lights if is_seat(light)}
    lit = tuple(role for role in roles if role in by_sky)
    if not lit:
        return ()
    sky = sky_of(seen)
    name = f"{sitting.id}/{number}/{sky_name(sky)}"
    label = f"the sky at sheet {number}"
    return (BareMove(name=name, label=label, sd_stops=wander_sd_stops(sky), roles=lit),)
