"""When a seat has most daylight: the hour of a day, and what another month would give."""

from __future__ import annotations

import calendar
import math
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from stillroom.camera import Lens
from stillroom.documents import book as doc
from stillroom.documents.to_daylight import sky_of
from stillroom.light.daylight import local_noon
from stillroom.paper import PaperBatch
from stillroom.quantity import FloatArray, stops_text
from stillroom.services.daylit import light_there, seat_of
from stillroom.services.seats import planned_for

EACH_MINUTES = 30
AS_GOOD_STOPS = 1 / 3
"""Hours within so much of the best are as good (ours)."""
WORTH_STOPS = 1 / 2
"""Another month that brings less is not spoken of (ours)."""
MONTH_HOURS = (-3, 0, 3)


@dataclass(frozen=True, slots=True)
class Hours:
    """The best of a day, and in words."""

    at: datetime
    text: str


def best_hours(
    book: doc.Book, seat_id: str, sitting: doc.Sitting, batch: PaperBatch, lens: Lens
) -> Hours | None:
    """When the seat has most light on the day of a sitting; None where the sun does not rise.

    Parameters
    ----------
    book : Book
        With seats and places.
    seat_id : str
        Which seat.
    sitting : Sitting
        For day and sky.
    batch, lens : PaperBatch, Lens
        What sees it, and through which glass.

    Raises
    ------
    UnknownName
        If there is no such seat.
    """
    there = seat_of(book, seat_id)[2]
    sky = sky_of(sitting.sky)
    zone = there.place.tz
    day = planned_for(sitting).astimezone(zone).date()
    start = datetime(day.year, day.month, day.day, tzinfo=zone)
    steps = range(24 * 60 // EACH_MINUTES)
    moments = [start + timedelta(minutes=EACH_MINUTES * k) for k in steps]

    def stops(times: list[datetime]) -> FloatArray:
        posix = np.array([t.timestamp() for t in times])
        lx = light_there(there, batch, lens, posix, sky).actinic_lx[0]
        return np.asarray(np.log2(np.maximum(lx, 1e-9)))

    lit = stops(moments)
    best = int(lit.argmax())
    if lit[best] < 0:
        return None
    good = [t for t, x in zip(moments, lit, strict=True) if x >= lit[best] - AS_GOOD_STOPS]
    hours = f"{good[0]:%H:%M} to {good[-1]:%H:%M}" if len(good) > 1 else f"{good[0]:%H:%M}"
    text = f"{hours} in {calendar.month_name[day.month]}"
    noons = [local_noon(there.place, day.replace(month=m, day=15)) for m in range(1, 13)]
    by_month = stops([noon + timedelta(hours=h) for noon in noons for h in MONTH_HOURS])
    monthly = by_month.reshape(12, len(MONTH_HOURS)).max(axis=1)
    month = int(monthly.argmax())
    more = float(monthly[month] - lit[best])
    if month + 1 != day.month and more >= WORTH_STOPS and math.isfinite(more):
        text += f" ({calendar.month_name[month + 1]} gives {stops_text(more)[1:]} more)"
    return Hours(moments[best], text)
