"""A sheet leaves the house: what was seen to, and where it is."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.hand_over import SEEN_TO, WHEREABOUTS, SeenTo, Whereabouts
from stillroom.errors import UnknownName
from stillroom.telling.hand_over_told import STATES
from stillroom.telling.names import unslug
from stillroom.telling.sheets_view import mark_of, sheet_href
from stillroom.telling.sitting_view import sheet_of
from stillroom.web.forms import FormPost, Posted
from stillroom.web.page import desk_of, to
from stillroom.web.posted import once

router = APIRouter()


@router.post("/sitting/{segment}/{sheet_number:int}/handed")
def handed(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write down where the sheet is and what was seen to."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)
    state, seen_to = _state(post), _seen_to(post)

    def write() -> Response:
        desk.hand_over(sitting.id, sheet.number, state, seen_to, post.form_id)
        said = f"{mark_of(sheet)}: {STATES[state].lower()}."
        return to(f"{sheet_href(sitting, sheet.number)}#hand-over", said=said)

    return once(request, post, write)


def _state(post: Posted) -> Whereabouts:
    text = post.one("state")
    for state in WHEREABOUTS:
        if state == text:
            return state
    raise UnknownName("state of a sheet", text, WHEREABOUTS)


def _seen_to(post: Posted) -> tuple[SeenTo, ...]:
    found = dict.fromkeys(post.many("seen_to"))
    for text in found:
        if text not in SEEN_TO:
            raise UnknownName("thing to see to", text, SEEN_TO)
    return tuple(one for one in SEEN_TO if one in found)
