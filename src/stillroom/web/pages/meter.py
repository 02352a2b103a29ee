"""Meter readings: two taps, and the dials are worked out again; the room of each put right."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import MeterReading, Settings, Sitting
from stillroom.documents.read import validated
from stillroom.documents.shows import Shows
from stillroom.errors import BadValue
from stillroom.telling.names import unslug
from stillroom.telling.sitting_view import sitting_href, sitting_of, turned_href
from stillroom.telling.words import figure
from stillroom.web.forms import FormPost, Posted, number
from stillroom.web.page import desk_of, to
from stillroom.web.posted import once, planned_in, turned_in

router = APIRouter()


@router.post("/sitting/{segment}/meter")
def meter(request: Request, segment: str, post: FormPost) -> Response:
    """Write a meter reading down, with the set as it stands on the page."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = planned_in(post)
    actual = turned_in(post, sitting, planned)
    reading = _reading(post, sitting, actual)

    def write() -> Response:
        desk.meter(sitting.id, reading, post.one("meter_id"))
        shows = figure(number("The meter", post.one("shows")))
        where = turned_href(sitting, planned, actual)
        return to(where, said=f"Meter at the {reading.region}: f/{shows}. Worked out again.")

    return once(request, post, write, post.one("meter_id"))


@router.post("/sitting/{segment}/metered")
def room_then(request: Request, segment: str, post: FormPost) -> Response:
    """Put right the state of the room that one meter reading was taken in."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    nth, _, state = post.one("room").partition("=")
    if not nth.isdecimal():
        raise BadValue("The meter reading", nth, "tap one state of the room")

    def write() -> Response:
        desk.correct_meter_room(sitting.id, int(nth), state, post.form_id)
        return to(sitting_href(sitting.id), said=f"The room was {state} then. Worked out again.")

    return once(request, post, write)


def _reading(post: Posted, sitting: Sitting, actual: Settings) -> MeterReading:
    shows = Shows(
        f_number=number("The meter", post.one("shows")), iso=number("ISO", post.one("iso"))
    )
    return validated(
        MeterReading,
        {
            "region": post.one("region"),
            "lights_on": post.many("lights_on"),
            "meter": post.one("meter") or None,
            "shows": shows,
            "settings": actual,
            "before_sheet": max((s.number for s in sitting.sheets), default=0) + 1,
        },
    )
