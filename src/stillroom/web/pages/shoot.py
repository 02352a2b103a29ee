"""Shoot: write one sheet down as it was made, in the side of a holder that was loaded."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.piece import Piece
from stillroom.errors import NotPossible
from stillroom.services.desk import expected_of
from stillroom.services.holders import why_none
from stillroom.telling.names import unslug
from stillroom.telling.sheets_view import mark_of
from stillroom.telling.sitting_view import sitting_of
from stillroom.telling.turned import made_of
from stillroom.web.forms import FormPost, Posted
from stillroom.web.page import desk_of, to
from stillroom.web.pages.sitting import plan_called, sitting_page
from stillroom.web.posted import once, planned_in, turned_in
from stillroom.web.views.count_view import count_href

router = APIRouter()

NO_HOLDER = "none"


@router.post("/sitting/{segment}/shoot")
def shoot(request: Request, segment: str, post: FormPost) -> Response:
    """Write the sheet down: the plan of the page, and what was really set; then the count."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = planned_in(post)
    made = made_of(sitting, planned, turned_in(post, sitting, planned))
    side, is_again = _side(post)

    def write() -> Response:
        if side is None and (why := why_none(desk.book(), sitting)):
            raise NotPossible(why)
        forecast = desk.forecast(sitting.id, turned_in(post, sitting, planned))
        number = desk.shoot(
            sitting.id,
            planned,
            post.form_id,
            expected=expected_of(forecast),
            p_tones_land=forecast.p_keeper,
            made=made,
            holder_side=side,
            loaded_again=is_again,
            piece=Piece(region=region) if (region := post.one("piece")) else None,
        )
        now = sitting_of(desk.book(), sitting.id)
        sheet = next(s for s in now.sheets if s.number == number)
        plan = desk.planned_together(sitting.id)
        more = ""
        if plan is not None and desk.plan_holds(sitting.id, plan):
            more = f" Then {plan.marks[number + 1 - plan.first]}, as planned."
        said = f"{mark_of(sheet)} is written down as it was made.{more}"
        starts = "?start=now" if post.one("count") == "now" else ""
        return to(f"{count_href(now, number)}{starts}", said=said)

    try:
        return once(request, post, write)
    except NotPossible as error:
        return sitting_page(
            request,
            desk,
            sitting,
            {name: post.one(name) for name in post.answers},
            plan=plan_called(post.one("plan")),
            problem=str(error),
        )


def _side(post: Posted) -> tuple[str | None, bool]:
    """The side that was named, if one was, and whether it is said that it was loaded again."""
    if again := post.one("loaded"):
        return again, True
    named = post.one("holder")
    if named == NO_HOLDER:
        return "", False
    return named or None, False
