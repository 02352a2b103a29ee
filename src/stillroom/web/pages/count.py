"""The count: a checklist, the calls of one exposure, and whether all fired."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.making import as_made
from stillroom.services.desk_shooting import UNKNOWN_HEAD
from stillroom.telling.names import unslug
from stillroom.telling.sheets_view import mark_of
from stillroom.telling.sitting_view import sheet_of, sitting_href
from stillroom.web.forms import FormPost, number
from stillroom.web.page import desk_of, lengths_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.count_view import count_view, delay_called, fires_called
from stillroom.web.views.sharp_view import chair_of

router = APIRouter()

ALL = "all"


@router.get("/sitting/{segment}/{sheet_number:int}/count")
def show(
    request: Request, segment: str, sheet_number: int, fires: str = "", delay: str = ""
) -> Response:
    """The checklist, and the count when it is started."""
    desk = desk_of(request)
    book = desk.book()
    sitting, sheet = sheet_of(book, unslug(segment), sheet_number)
    made = desk.count(
        sitting.id, sheet.number, fires=fires_called(fires), delay_s=delay_called(delay)
    )
    lengths = lengths_of(request)
    f_number = as_made(sheet.settings, sheet.made).f_number
    chair = chair_of(desk, sitting, f_number, lengths)
    view = count_view(book, sitting, sheet, made, lengths=lengths, chair=chair)
    return render(
        request,
        "sitting/count.html",
        safelight_ok=True,
        v=view,
        starts_now=request.query_params.get("start") == "now",
    )


@router.post("/sitting/{segment}/{sheet_number:int}/count")
def counted(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write down how long it was open, and which head did not fire."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)
    fired = post.one("fired") or ALL
    open_s = number("Open time", post.one("open_s")) if post.one("open_s") else None

    def write() -> Response:
        desk.counted(
            sitting.id,
            sheet.number,
            fires=fires_called(post.one("fires")),
            open_s=open_s,
            openings=round(number("Openings", post.one("openings") or "1")),
            is_pressed=post.one("pressed") == "yes",
            not_fired=None if fired == ALL else fired,
            form_id=post.form_id,
        )
        return to(sitting_href(sitting.id), said=_said(mark_of(sheet), fired))

    return once(request, post, write)


def _said(mark: str, fired: str) -> str:
    if fired == ALL:
        return f"{mark} is exposed. Read it when you can see it."
    if fired == UNKNOWN_HEAD:
        return (
            f"{mark} is exposed; a head did not fire, nobody knows which, so its tones teach "
            "nothing until that is said."
        )
    return f"{mark} is exposed; {fired} did not fire, and it is written down so."
