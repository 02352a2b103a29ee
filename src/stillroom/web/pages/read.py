"""Read: does it go in the box, and what does it show."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Paper, Reading, Sheet, Sitting
from stillroom.errors import NotPossible, StillroomError
from stillroom.services.desk import Desk
from stillroom.telling.names import paper_of, unslug
from stillroom.telling.sheets_view import mark_of
from stillroom.telling.sitting_view import sheet_of, sitting_href, wanted_of
from stillroom.web.beliefs import paper_known
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.read_form import Read, read_form
from stillroom.web.views.read_view import EARLY_STATES, EARLY_WORDS, WORDS, read_view

router = APIRouter()


@router.get("/read/{segment}/{sheet_number:int}")
def show(request: Request, segment: str, sheet_number: int) -> Response:
    """The form, empty but for what was said of the sheet before."""
    desk = desk_of(request)
    return _page(request, desk, _found(desk, segment, sheet_number))


@router.post("/read/{segment}/{sheet_number:int}")
def write_down(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write one reading down; what cannot be read comes back as it was typed."""
    desk = desk_of(request)
    found = _found(desk, segment, sheet_number)
    sitting, sheet, paper = found
    read = read_form(post, sitting, sheet, paper)
    if read.faults:
        return _page(request, desk, found, typed=post.answers, faults=read.faults)
    if _says_nothing(read):
        nothing = "Nothing was read: say whether it goes in the box, or tap one region."
        return _page(request, desk, found, typed=post.answers, problem=nothing)

    def write() -> Response:
        desk.read_sheet(
            sitting.id,
            sheet.number,
            read.reading,
            kept=read.kept,
            because=read.because,
            what_else_moved=read.moved,
            form_id=post.form_id,
        )
        return to(sitting_href(sitting.id), said=_said(mark_of(sheet), read.reading))

    try:
        return once(request, post, write)
    except NotPossible:
        raise
    except StillroomError as error:
        return _page(request, desk, found, typed=post.answers, problem=str(error))


@router.post("/read/{segment}/{sheet_number:int}/undo")
def undo(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Withdraw the last reading of the sitting."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)

    def write() -> Response:
        desk.undo_last(sitting.id, post.form_id)
        said = f"The last reading of {mark_of(sheet)} is withdrawn."
        return to(request.url.path.removesuffix("/undo"), said=said)

    return once(request, post, write)


def _said(mark: str, reading: Reading) -> str:
    if reading.by == "early_look":
        return f"The early look at {mark} is written down. It counts until {mark} is read."
    return f"{mark} is written down, {reading.state}."


def _says_nothing(read: Read) -> bool:
    return read.kept is None and not read.reading.regions and not read.reading.strips


def _page(
    request: Request,
    desk: Desk,
    found: tuple[Sitting, Sheet, Paper],
    *,
    typed: Mapping[str, tuple[str, ...]] | None = None,
    faults: Mapping[str, str] | None = None,
    problem: str = "",
) -> Response:
    sitting, sheet, paper = found
    curve = paper_known(request, paper.id).points
    view = read_view(sitting, sheet, paper, curve, _wanted(desk, sitting, sheet))
    return render(
        request,
        "sitting/read.html",
        status=422 if faults or problem else 200,
        heading=f"Read {view.mark}",
        v=view,
        typed=view.start if typed is None else typed,
        faults=faults or {},
        problem=problem or next(iter((faults or {}).values()), ""),
        words=WORDS,
        early_words=EARLY_WORDS,
        early_states=EARLY_STATES,
    )


def _found(desk: Desk, segment: str, sheet_number: int) -> tuple[Sitting, Sheet, Paper]:
    book = desk.book()
    sitting, sheet = sheet_of(book, unslug(segment), sheet_number)
    return sitting, sheet, paper_of(book, sitting)


def _wanted(desk: Desk, sitting: Sitting, sheet: Sheet) -> dict[str, tuple[float, float]]:
    if sheet.settings.steps_pops is not None:
        return {}
    return wanted_of(desk.forecast(sitting.id, sheet.settings))
