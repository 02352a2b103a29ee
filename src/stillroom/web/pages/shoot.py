"""Shoot: write one sheet down as it was made."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.piece import Piece
from stillroom.services.desk import expected_of
from stillroom.telling.names import unslug
from stillroom.telling.sheets_view import mark_of
from stillroom.telling.sitting_view import sitting_href, sitting_of
from stillroom.telling.turned import made_of
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, to
from stillroom.web.posted import once, planned_in, turned_in

router = APIRouter()


@router.post("/sitting/{segment}/shoot")
def shoot(request: Request, segment: str, post: FormPost) -> Response:
    """Write the sheet down: the plan of the page, and what was really set."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = planned_in(post)
    made = made_of(sitting, planned, turned_in(post, sitting, planned))

    def write() -> Response:
        forecast = desk.forecast(sitting.id, turned_in(post, sitting, planned))
        number = desk.shoot(
            sitting.id,
            planned,
            post.form_id,
            expected=expected_of(forecast),
            p_tones_land=forecast.p_keeper,
            made=made,
            piece=Piece(region=region) if (region := post.one("piece")) else None,
        )
        now = sitting_of(desk.book(), sitting.id)
        mark = next((mark_of(s) for s in now.sheets if s.number == number), str(number))
        plan = desk.planned_together(sitting.id)
        more = "Read it when you can see it."
        if plan is not None and desk.plan_holds(sitting.id, plan):
            more = f"Now {plan.marks[number + 1 - plan.first]}, as planned."
        said = f"{mark} is written down as it was made. {more}"
        return to(sitting_href(sitting.id), said=said)

    return once(request, post, write)
