"""Sittings in time: their order, the days they belong to, and whether they tell anything."""

from __future__ import annotations

from datetime import datetime

from stillroom.documents import book as doc


def in_order_of_time(book: doc.Book) -> list[doc.Sitting]:
    """Every sitting, earliest first."""
    return sorted(book.sittings, key=lambda s: (s.when, s.id))


def going_on(book: doc.Book) -> doc.Sitting | None:
    """The latest sitting that is not finished, else the latest; None in a book without any.

    Examples
    --------
    >>> going_on(doc.Book()) is None
    True
    """
    in_order = in_order_of_time(book)
    unfinished = [sitting for sitting in in_order if not sitting.finished]
    return next(reversed(unfinished or in_order), None)


def tells(sitting: doc.Sitting) -> bool:
    """Whether anything was read, metered or run through the baths in a sitting."""
    sheets = any(s.readings or s.kept is not None for s in sitting.sheets)
    return sheets or bool(sitting.meter_readings or sitting.control_strips)


def bath_of_day(sitting: doc.Sitting) -> str:
    """Whose baths a sitting's sheets go through: those of its own calendar day."""
    return sitting.when.date().isoformat()


def day_of(when: datetime) -> float:
    """A moment as days, for drift."""
    return when.timestamp() / 86_400
