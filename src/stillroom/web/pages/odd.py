"""An odd sheet is answered: a slip, and which, or real; or it is asked about again."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue
from stillroom.telling.names import unslug
from stillroom.telling.sheets_view import mark_of, sheet_href
from stillroom.telling.sitting_view import sheet_of, sitting_href
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, to
from stillroom.web.posted import once

router = APIRouter()


@router.post("/sitting/{segment}/{sheet_number:int}/odd")
def answer(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write down what was said of a sheet that contradicts the rest."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)
    said, slip, mark = post.one("answer"), post.one("slip"), mark_of(sheet)
    if said not in ("slip", "real", "again"):
        raise BadValue("Answer", said, "tap one of the buttons")
    if said == "slip" and not slip:
        raise BadValue("What happened", slip, "tap the slip it was, or that it was something else")
    back = sheet_href(sitting, sheet.number)
    if post.one("from") == "sitting":
        back = sitting_href(sitting.id)

    def write() -> Response:
        if said == "slip":
            cause = desk.say_slip(sitting.id, sheet.number, slip, post.form_id)
            return to(back, said=f"Written down of {mark}: {cause}.")
        if said == "real":
            desk.say_real(sitting.id, sheet.number, post.form_id)
            return to(back, said=f"{mark} is real: it counts in full.")
        desk.ask_again(sitting.id, sheet.number, post.form_id)
        return to(back, said=f"The answer about {mark} is taken back.")

    return once(request, post, write)
