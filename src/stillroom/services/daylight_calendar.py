"""Usable hours of daylight as a calendar (iCalendar, RFC 5545)."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

from stillroom.documents.daylight import DaylightWhen, Stretch
from stillroom.errors import UnknownName

USUAL_SKY = "middling"


def calendar_of(when: DaylightWhen, sky: str = USUAL_SKY, *, written: datetime) -> bytes:
    """The usable hours of the next days under one sky, as a calendar.

    Parameters
    ----------
    when : DaylightWhen
        The hours.
    sky : str
        Which of its skies.
    written : datetime
        The moment of writing, with its zone.

    Returns
    -------
    bytes
        An event for each stretch, in the zone of the place; the same hours asked for again replace
        those that were taken over before.

    Raises
    ------
    UnknownName
        If there is no such sky in it.

    References
    ----------
    RFC 5545, iCalendar.
    """
    from icalendar import Calendar, Event  # noqa: PLC0415 - only who exports pays for it

    skies = when.days[0].by_sky
    if sky not in skies:
        raise UnknownName("planned sky", sky, skies)
    calendar = Calendar()
    calendar.add("prodid", "-//Stillroom//usable daylight//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    about, limit = when.about, f"{when.within_s:g} s"
    for day in when.days:
        for nth, stretch in enumerate(day.by_sky[sky]):
            event = Event()
            event.add("uid", _uid(when, sky, day.date.isoformat(), nth))
            event.add("dtstamp", written.astimezone(UTC))
            event.add("dtstart", stretch.begins)
            event.add("dtend", stretch.ends)
            event.add("summary", f"{about.seat_name}: {limit} by daylight")
            event.add("location", about.place_name)
            event.add("description", _described(when, sky, stretch))
            event.add("transp", "TRANSPARENT")
            calendar.add_component(event)
    calendar.add_missing_timezones()
    return bytes(calendar.to_ical())


def _uid(when: DaylightWhen, sky: str, date: str, nth: int) -> str:
    about = when.about
    named = f"{about.place}|{about.seat}|{about.paper}|{about.lens}|{about.f_number:g}"
    print_ = hashlib.sha256(f"{named}|{when.within_s:g}|{sky}|{date}|{nth}".encode()).hexdigest()
    return f"{print_[:20]}@stillroom"


def _described(when: DaylightWhen, sky: str, stretch: Stretch) -> str:
    about = when.about
    hours = f"{stretch.begins:%H:%M} to {stretch.ends:%H:%M}"
    return (
        f"{hours}: {when.within_s:g} s or less at f/{about.f_number:g} on {about.paper_name}, "
        f"under a {sky} sky, by the middle estimate. Look at the sky, and meter, before the cap."
    )
