"""The day: how many sheets and sitters it holds, and what to pack for it."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import StillroomError
from stillroom.telling.day_told import bag_told
from stillroom.web.page import desk_of, mode_of, render
from stillroom.web.views.day_view import DayForm, day_form, day_view

router = APIRouter(prefix="/day")


@router.get("")
def the_day(request: Request) -> Response:
    """Draw the day that the address asks for."""
    if mode_of(request) == "safelight":
        return render(request, "needs_light.html")
    form = _form(request)
    if form.asked is None:
        return render(request, "day.html", status=422, f=form, problem=form.problem, v=None)
    try:
        answer = desk_of(request).day(form.asked)
    except StillroomError as error:
        return render(request, "day.html", status=422, f=form, problem=str(error), v=None)
    return render(request, "day.html", f=form, problem="", v=day_view(answer))


@router.get("/bag")
def the_bag(request: Request) -> Response:
    """Draw what to pack for the day that the address asks for."""
    if mode_of(request) == "safelight":
        return render(request, "needs_light.html")
    form = _form(request)
    if form.asked is None:
        return render(request, "day_bag.html", status=422, f=form, problem=form.problem, v=None)
    try:
        answer = desk_of(request).day(form.asked)
    except StillroomError as error:
        return render(request, "day_bag.html", status=422, f=form, problem=str(error), v=None)
    return render(request, "day_bag.html", f=form, problem="", v=bag_told(answer))


def _form(request: Request) -> DayForm:
    desk = desk_of(request)
    return day_form(desk.book(), request.query_params, desk.now(), str(request.url.query))
