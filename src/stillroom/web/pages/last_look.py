"""Last look: just before the cap, a word for the sky or the meter; only the seconds move."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Settings, Sitting
from stillroom.documents.daylight import DaylightNow
from stillroom.documents.read import read_json, validated
from stillroom.documents.seats import SkySeen
from stillroom.documents.shows import Shows
from stillroom.errors import NotPossible
from stillroom.services.desk import Desk
from stillroom.services.desk_base import find
from stillroom.telling.names import unslug
from stillroom.telling.sitting_view import sitting_of
from stillroom.telling.turned import differences, turned
from stillroom.web.forms import FormPost, Posted, number
from stillroom.web.page import desk_of, render, to
from stillroom.web.pages.sitting import advice_now, plan_called, planned_by
from stillroom.web.posted import once, planned_in, sky_called
from stillroom.web.views.last_look_view import (
    METERED_S,
    is_short,
    last_look_href,
    last_look_view,
    smaller_stops,
    with_seconds,
)

router = APIRouter()


@router.get("/sitting/{segment}/last-look")
def last_look(request: Request, segment: str, then: str = "", piece: str = "") -> Response:
    """The sky as it was last seen, and the seconds that follow."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = _planned(request, desk, sitting)
    now = desk.look(sitting.id, planned)
    view = last_look_view(
        desk.book(),
        sitting,
        planned,
        now,
        then_s=number("What was needed", then) if then else None,
        smaller=_smaller(desk, sitting, planned, now),
        piece=piece,
    )
    return render(request, "sitting/last_look.html", safelight_ok=True, v=view)


@router.post("/sitting/{segment}/last-look")
def look(request: Request, segment: str, post: FormPost) -> Response:
    """Write down what was seen, and tell the new seconds."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = planned_in(post)
    then_s = number("What was needed", post.one("then")) if post.one("then") else None

    def write() -> Response:
        seconds = desk.look(sitting.id, planned).open_s
        stands = with_seconds(planned, seconds)
        desk.last_look(sitting.id, _seen(post), post.form_id, settings=stands)
        return to(last_look_href(sitting, planned, post.one("piece"), then_s))

    return once(request, post, write)


def _planned(request: Request, desk: Desk, sitting: Sitting) -> Settings:
    """What is to be set: as the address says it, or as planned with what was turned by hand."""
    asked = request.query_params
    if "planned" in asked:
        planned = validated(Settings, read_json(asked["planned"], "The plan of this page"))
    else:
        plan = planned_by(advice_now(desk, sitting), plan_called(asked.get("plan", "")))
        actual = turned(sitting, plan, asked)
        planned = actual if differences(sitting, plan, actual) else plan
    if planned.steps_pops is not None:
        raise NotPossible("A stepped sheet tells of many times: shoot it from the sitting.")
    return planned


def _seen(post: Posted) -> SkySeen | Shows:
    if word := post.one("sky"):
        return sky_called(word)
    shows = {
        "f_number": number("The meter", post.one("shows")),
        "iso": number("ISO", post.one("iso")),
        "seconds": METERED_S,
    }
    return validated(Shows, shows)


def _smaller(
    desk: Desk, sitting: Sitting, planned: Settings, now: DaylightNow
) -> tuple[float, DaylightNow] | None:
    lens = find("lens", sitting.lens, desk.book().kit.lenses)
    found = None
    for mark in smaller_stops(lens.f_numbers, now):
        there = desk.look(sitting.id, planned.model_copy(update={"f_number": mark}))
        found = mark, there
        if not is_short(there):
            break
    return found
