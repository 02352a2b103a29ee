"""The dark test: how it is made, that it was made, what it showed and what it says now."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Sitting, State
from stillroom.documents.ghost import DarkTest
from stillroom.errors import NotPossible, StillroomError
from stillroom.services.desk import Desk
from stillroom.telling.names import paper_of, unslug
from stillroom.telling.sheets_view import dark_test_href, mark_of
from stillroom.telling.sitting_view import sheet_of, sitting_of
from stillroom.web.beliefs import paper_known
from stillroom.web.forms import Form, FormPost, Posted, number
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.dark_test_view import (
    DENSITY,
    PLANNED,
    STATE,
    STEPS,
    dark_test_view,
    has_dark_test,
)

router = APIRouter(prefix="/sitting/{segment}/dark-test")


@router.get("")
def show(request: Request, segment: str) -> Response:
    """How the next test is made, as the address asks, and those that were made."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    asked = {name: (value,) for name, value in request.query_params.items()}
    return _page(request, desk, sitting, Posted("", asked))


@router.post("/made")
def make(request: Request, segment: str, post: FormPost) -> Response:
    """Write a test down as a sheet: it was made as planned."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    form, planned = Form.read(PLANNED, post)
    if not form.ok:
        return _page(request, desk, sitting, post)

    def write() -> Response:
        made = desk.make_dark_test(sitting.id, post.form_id, **planned)
        _, sheet = sheet_of(desk.book(), sitting.id, made)
        said = f"{mark_of(sheet)} is written down as a dark test, not read yet."
        return to(dark_test_href(sitting), said=said)

    try:
        return once(request, post, write)
    except NotPossible:
        raise
    except StillroomError as error:
        return _page(request, desk, sitting, post, problem=str(error))


@router.post("/{sheet_number:int}")
def read(request: Request, segment: str, sheet_number: int, post: FormPost) -> Response:
    """Write down what the card looks like."""
    desk = desk_of(request)
    sitting, sheet = sheet_of(desk.book(), unslug(segment), sheet_number)

    def write() -> Response:
        steps = tuple(step for step in post.many(STEPS) if step)
        typed = post.one(DENSITY)
        state: State = "dry" if post.one(STATE) == "dry" else "wet"
        desk.read_dark_test(
            sitting.id,
            sheet.number,
            density=number("density of the card", typed) if typed else None,
            steps=steps,
            state=state,
            form_id=post.form_id,
        )
        return to(
            f"{dark_test_href(sitting)}#t-{sheet.number}",
            said=f"{mark_of(sheet)} is written down.",
        )

    try:
        return once(request, post, write)
    except NotPossible:
        raise
    except StillroomError as error:
        return _page(
            request, desk, sitting, Posted("", {}), problem=str(error), of=sheet.number, typed=post
        )


def _page(
    request: Request,
    desk: Desk,
    sitting: Sitting,
    asked: Posted,
    *,
    problem: str = "",
    of: int | None = None,
    typed: Posted | None = None,
) -> Response:
    """Draw the page; `problem` is of the test `of`, else of the plan."""
    form, planned = Form.read(PLANNED, asked)
    plan: DarkTest | None = None
    is_next_asked = bool(asked.answers) or not has_dark_test(sitting)
    if form.ok and is_next_asked:
        try:
            plan = desk.dark_test(sitting.id, **planned)
        except StillroomError as error:
            form.blame(error)
    if problem and of is None and form.ok:
        form.general = problem
    view = dark_test_view(
        sitting,
        paper_of(desk.book(), sitting),
        paper_known(request, sitting.paper).points,
        plan,
        lambda sheet: desk.dark_test_says(sitting.id, sheet),
    )
    return render(
        request,
        "sitting/dark_test.html",
        status=422 if problem or not form.ok else 200,
        safelight_ok=True,
        heading="Dark test",
        v=view,
        is_next_asked=is_next_asked,
        form=form,
        problem=problem if of is not None else "",
        of=of,
        tapped=() if typed is None else typed.many(STEPS),
        density="" if typed is None else typed.one(DENSITY),
    )
