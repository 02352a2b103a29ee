"""Hours and dates as people type them."""

from __future__ import annotations

from datetime import date, datetime, time

from stillroom.errors import BadValue
from stillroom.services.day.asked import USUAL_BEGIN


def date_typed(name: str, text: str | None, now: datetime) -> date:
    """A date, or today where none was given.

    Parameters
    ----------
    name : str
        The field, as the user knows it.
    text : str or None
        What was typed.
    now : datetime
        The moment.

    Raises
    ------
    BadValue
        If it is none.

    Examples
    --------
    >>> date_typed("day", "2026-12-05", datetime(2026, 11, 14))
    datetime.date(2026, 12, 5)
    """
    if not text:
        return now.date()
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue(name, text, "give a date such as 2026-12-05") from None


def hour_typed(name: str, text: str | None, on: date, now: datetime) -> datetime | None:
    """A time of that day, or None where none was given.

    Parameters
    ----------
    name : str
        The field, as the user knows it.
    text : str or None
        What was typed.
    on : date
        The day.
    now : datetime
        The moment, for its zone.

    Raises
    ------
    BadValue
        If it is none.

    Examples
    --------
    >>> hour_typed("begin", "9:30", date(2026, 12, 5), datetime(2026, 11, 14)).isoformat()
    '2026-12-05T09:30:00'
    """
    if not text:
        return None
    typed = text.strip().replace(".", ":")
    try:
        at = time.fromisoformat(typed.zfill(5) if ":" in typed else f"{typed.zfill(2)}:00")
    except ValueError:
        raise BadValue(name, text, "give a time such as 10:00") from None
    if at.tzinfo is not None:
        raise BadValue(name, text, "give a time such as 10:00")
    return datetime.combine(on, at, now.tzinfo)


def begins_on(begins: datetime | None, on: date, now: datetime) -> datetime | None:
    """The beginning that was typed; on another day than today the usual hour of it."""
    if begins is None and on != now.date():
        return datetime.combine(on, USUAL_BEGIN, now.tzinfo)
    return begins
