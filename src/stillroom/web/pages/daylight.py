"""Daylight: when it can be done in so many seconds, and how long today's plan stays good."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import NotPossible
from stillroom.telling.daylight_today import day_at_limit
from stillroom.telling.daylight_words import at_limit
from stillroom.web.page import desk_of, lengths_of, mode_of, render, render_in_parts
from stillroom.web.views.daylight_form import Question, choices, missing, question
from stillroom.web.views.daylight_view import LaterView, daylight_view, later_view

router = APIRouter(prefix="/daylight")

DAYS_AHEAD = 14
_CALENDAR = "text/calendar; charset=utf-8"


@router.get("")
def daylight(request: Request) -> Response:
    """Draw the year, today and the next days for what the address asks."""
    if mode_of(request) == "safelight":
        return render(request, "needs_light.html")
    desk, book = desk_of(request), desk_of(request).book()
    usual = desk.daylight_default()
    if usual is None:
        return render(request, "daylight_none.html", missing=missing(book))
    from stillroom.services.daylight_answers import LIMITS_S  # noqa: PLC0415

    asked = question(book, usual, request.query_params)
    # The year and the day are the same for every limit, and asked for once.
    day = desk.daylight_day(asked.asked)
    year = desk.daylight_year(asked.asked, day.date.year)
    limit = year.within_s if asked.within_s is None else asked.within_s
    day, year = day_at_limit(day, limit), at_limit(year, limit)

    def later() -> LaterView:
        now = desk.daylight_now(asked.asked)
        when = desk.daylight_when(asked.asked, DAYS_AHEAD, limit)
        return later_view(now, when, year, day)

    return render_in_parts(
        request,
        "daylight.html",
        v=daylight_view(year, day, desk.now(), LIMITS_S, lengths_of(request)),
        later=later,
        choices=choices(book, usual, asked.asked, request.query_params),
        note=asked.note,
        hours_of=lambda sky: _hours_href(asked, limit, sky),
    )


@router.get("/hours.ics")
def hours(request: Request, under: str = "middling") -> Response:
    """The usable hours of the next days as a calendar."""
    from stillroom.services.daylight_calendar import calendar_of  # noqa: PLC0415

    desk = desk_of(request)
    usual = desk.daylight_default()
    if usual is None:
        raise NotPossible("There is no seat yet: write one down in the kit first.")
    asked = question(desk.book(), usual, request.query_params)
    when = desk.daylight_when(asked.asked, DAYS_AHEAD, asked.within_s)
    content = calendar_of(when, under, written=desk.now())
    name = f"daylight-{when.within_s:g}s-{under}.ics".replace(" ", "-")
    return Response(
        content,
        media_type=_CALENDAR,
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _hours_href(asked: Question, within_s: float, sky: str) -> str:
    tail = urlencode({"within": f"{within_s:g}", "under": sky})
    return f"/daylight/hours.ics?{f'{asked.query}&' if asked.query else ''}{tail}"
