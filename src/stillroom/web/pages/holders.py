"""Holders: what is in each side; loaded and unloaded by one tap, also in the dark."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Sitting
from stillroom.errors import BadValue
from stillroom.services.desk import Desk
from stillroom.services.holders import side_called
from stillroom.telling.sitting_view import sitting_of
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.holders_view import holders_view

router = APIRouter()

LOAD_ALL, UNLOAD_ALL = "load all", "unload all"


@router.get("/holders")
def show(request: Request) -> Response:
    """Every side with its mark and clip."""
    desk = desk_of(request)
    view = holders_view(desk.book(), _sitting(desk))
    return render(request, "holders.html", safelight_ok=True, v=view, heading="Holders")


@router.post("/holders")
def change(request: Request, post: FormPost) -> Response:
    """Load or unload one side, or all."""
    desk = desk_of(request)
    what, _, key = post.one("do").partition(":")

    def write() -> Response:
        return to("/holders", said=_done(desk, what, key, post.one("paper"), post.form_id))

    return once(request, post, write)


def _done(desk: Desk, what: str, key: str, paper: str, form_id: str) -> str:
    """Do it, and say so."""
    sitting = _sitting(desk)
    if what == UNLOAD_ALL:
        n = desk.unload_exposed(form_id)
        return f"{n} exposed {'sheet is' if n == 1 else 'sheets are'} out of the holders."
    if what == LOAD_ALL and sitting is not None:
        n = desk.load_empty(sitting.id, form_id)
        return f"{n} {'side is' if n == 1 else 'sides are'} loaded."
    title = side_called(desk.holder_sides(), key).title
    title = title[:1].upper() + title[1:]
    if what == "load":
        desk.load_side(key, paper or (sitting.paper if sitting else None), form_id)
        return f"{title} is loaded."
    if what == "unload":
        desk.unload_side(key, form_id)
        return f"{title} is empty."
    raise BadValue("What to do", what, "tap one of the buttons")


def _sitting(desk: Desk) -> Sitting | None:
    current = desk.current_sitting_id()
    return None if current is None else sitting_of(desk.book(), current)
