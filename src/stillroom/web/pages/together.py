"""Several sheets before any is seen: one tap plans them, one gives the plan up."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue
from stillroom.telling.figures import listed
from stillroom.telling.names import unslug
from stillroom.telling.sitting_view import sitting_href, sitting_of
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, to
from stillroom.web.posted import once

router = APIRouter()


@router.post("/sitting/{segment}/together")
def plan_together(request: Request, segment: str, post: FormPost) -> Response:
    """Plan two, three or four sheets; one gives up a plan."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    told = post.one("count")
    if told not in ("1", "2", "3", "4"):
        raise BadValue("sheets together", told, "choose 1 to 4")

    def write() -> Response:
        if told == "1":
            desk.drop_plan(sitting.id)
            return to(sitting_href(sitting.id), said="One sheet at a time.")
        marks = desk.plan_together(sitting.id, int(told)).marks
        return to(sitting_href(sitting.id), said=f"{listed(marks)} are planned.")

    return once(request, post, write)


@router.post("/sitting/{segment}/dear")
def set_dear(request: Request, segment: str, post: FormPost) -> Response:
    """Say whether paper or time is dear."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    told = post.one("dear")

    def write() -> Response:
        desk.set_dear(sitting.id, "time" if told == "time" else "paper")
        return to(sitting_href(sitting.id))

    if told not in ("paper", "time"):
        raise BadValue("what is dear", told, "choose paper or time")
    return once(request, post, write)
