"""One sheet that was made: expected against seen, and what was really set."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import NotPossible, StillroomError
from stillroom.telling.hand_over_told import handing_over
from stillroom.telling.names import unslug
from stillroom.telling.odd_view import odd_shown
from stillroom.telling.sheets_view import mark_of, sheet_href
from stillroom.telling.sitting_view import sheet_of, wanted_of
from stillroom.telling.stillness_told import smear_text
from stillroom.telling.turned import made_of
from stillroom.telling.wet_told import wet_told
from stillroom.web.beliefs import paper_known
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, lengths_of, render, to
from stillroom.web.posted import once, told_by, turned_in
from stillroom.web.views.sheet_view import sheet_view
from stillroom.web.views.smear_view import TYPED_MM, smear_mm_in, smear_view

router = APIRouter()


@router.get("/sitting/{segment}/{sheet_number:int}")
def show(request: Request, segment: str, sheet_number: int) -> Response:
    """The sheet as it was made, expected and read."""
    return _page(request, segment, sheet_number)


def _page(
    request: Request,
    segment: str,
    sheet_number: int,
    *,
    smear_problem: str = "",
    smear_typed: str = "",
) -> Response:
    desk = desk_of(request)
    book = desk.book()
    sitting, sheet = sheet_of(book, unslug(segment), sheet_number)
    stepped = sheet.settings.steps_pops is not None
    view = sheet_view(
        book,
        sitting,
        sheet,
        desk.taught(sitting.id),
        paper_known(request, sitting.paper).points,
        wanted={} if stepped else wanted_of(desk.forecast(sitting.id, sheet.settings)),
        lengths=lengths_of(request),
    )
    odd = odd_shown(sitting, desk.odd_sheets(sitting.id), number=sheet.number)
    return render(
        request,
        "sitting/sheet.html",
        status=422 if smear_problem else 200,
        heading=mark_of(sheet),
        v=view,
        odd=odd,
        odd_from="sheet",
        smear=smear_view(sitting, sheet),
        wet=wet_told(book, sitting, sheet),
        hand=handing_over(book, sitting, sheet),
        smear_problem=smear_problem,
        smear_typed=smear_typed,
    )


@router.post("/sitting/{segment}/{sheet_number:int}/smear")
def smear(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write down how far an edge is drawn long on the sheet, or take it back."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)

    def write() -> Response:
        width_mm = smear_mm_in(post)
        desk.measure_smear(sitting.id, sheet.number, width_mm, post.form_id)
        text = "the smear is taken back" if width_mm is None else smear_text(width_mm)
        return to(f"{sheet_href(sitting, sheet.number)}#smear", said=f"{mark_of(sheet)}: {text}.")

    try:
        return once(request, post, write)
    except NotPossible:
        raise
    except StillroomError as error:
        typed = post.one(TYPED_MM)
        return _page(request, segment, sheet_number, smear_problem=str(error), smear_typed=typed)


@router.post("/sitting/{segment}/{sheet_number:int}/made")
def made(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Put right what was really set, or how room and sky were; the plan stays beside it."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)
    told = told_by(post)
    actual = turned_in(post, sitting, sheet.settings, told.knobs)

    def write() -> Response:
        if told.sky is not None:
            desk.correct_sky(sitting.id, sheet.number, told.sky, post.form_id)
            return to(sheet_href(sitting, sheet.number), said="The sky is put right.")
        if told.room is not None:
            desk.correct_room_state(sitting.id, sheet.number, told.room, post.form_id)
            return to(sheet_href(sitting, sheet.number), said="The room is put right.")
        really = made_of(sitting, sheet.settings, actual)
        desk.correct_made(sitting.id, sheet.number, really, post.form_id)
        return to(sheet_href(sitting, sheet.number), said="What was really set is put right.")

    return once(request, post, write)
