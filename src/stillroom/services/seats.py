"""Light of seats in a sitting: whether there is any, and for which moment a sheet is planned."""

from __future__ import annotations

from datetime import datetime, timedelta

from stillroom.documents import book as doc
from stillroom.documents.seats import SkySeen
from stillroom.documents.to_daylight import USUAL_SKY

PLANNED_EVERY = timedelta(minutes=5)
"""A plan by daylight is worked out again so often."""


def is_seat(light: doc.Light) -> bool:
    """Whether a light is that of a seat, reckoned from sun and sky."""
    return light.kind in ("daylight", "window") and light.kit_id is not None


def has_seat(sitting: doc.Sitting) -> bool:
    """Whether a sitting has light that is reckoned from sun and sky."""
    return any(is_seat(light) for light in sitting.lights)


def planned_for(sitting: doc.Sitting) -> datetime:
    """The moment the next sheet is planned for: as said, else the latest that is written down."""
    if sitting.planned_for is not None:
        return sitting.planned_for
    moments = [sheet.when for sheet in sitting.sheets]
    moments += [taken.when for taken in sitting.meter_readings]
    return max([sitting.when, *(m for m in moments if m is not None)])


def as_of(book: doc.Book, sitting_id: str, now: datetime) -> doc.Book:
    """The book with the next sheet of a sitting planned for now.

    Parameters
    ----------
    book : Book
        The book.
    sitting_id : str
        Which sitting; one that is over, or was begun on another day, stays as it is, and so does
        one without the light of a seat.
    now : datetime
        The moment, with its zone; taken back to the last five minutes.
    """
    sitting = next((s for s in book.sittings if s.id == sitting_id), None)
    if sitting is None or not goes_on(sitting, now):
        return book
    moment = last_step(now)
    if moment <= planned_for(sitting):
        return book
    planned = sitting.model_copy(update={"planned_for": moment})
    sittings = tuple(planned if s.id == sitting_id else s for s in book.sittings)
    return book.model_copy(update={"sittings": sittings})


def last_step(now: datetime) -> datetime:
    """The last five minutes on the clock.

    Examples
    --------
    >>> from datetime import UTC
    >>> last_step(datetime(2026, 11, 14, 10, 33, 20, tzinfo=UTC)).isoformat()
    '2026-11-14T10:30:00+00:00'
    """
    step = int(PLANNED_EVERY.total_seconds()) // 60
    return now.replace(minute=now.minute // step * step, second=0, microsecond=0)


def goes_on(sitting: doc.Sitting, now: datetime) -> bool:
    """Whether a sitting by daylight is going on: not finished, and of today."""
    today = sitting.when.astimezone(now.tzinfo).date() == now.date()
    return has_seat(sitting) and today and not sitting.finished


def sky_now(sitting: doc.Sitting) -> SkySeen | None:
    """The sky to write down with what is made now; None where no light comes from it.

    Where nobody looked, the usual one is written, which it was reckoned with: what is said of the
    sky later does not change what was made before.
    """
    if not has_seat(sitting):
        return None
    return sitting.sky or SkySeen(word=USUAL_SKY)


def under_sky(sitting: doc.Sitting, seen: SkySeen | None) -> doc.Sitting:
    """A sitting with another sky from now on; what was made and metered before keeps its own."""
    before = sky_now(sitting)
    sheets = tuple(
        s if s.sky is not None else s.model_copy(update={"sky": before}) for s in sitting.sheets
    )
    metered = tuple(
        m if m.sky is not None else m.model_copy(update={"sky": before})
        for m in sitting.meter_readings
    )
    changes = {"sky": seen, "sheets": sheets, "meter_readings": metered}
    return sitting.model_copy(update=changes)
