"""The way in: the current sitting, or four questions to a first sheet."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import StillroomError
from stillroom.telling.names import slug
from stillroom.web.forms import Form, FormPost, Posted
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.start_view import FirstLook, answers_of, first_look, questions

router = APIRouter()


@router.get("/")
def home(request: Request) -> Response:
    """Go to the sitting that is going on; in an empty book to the start."""
    sitting_id = desk_of(request).current_sitting_id()
    return to(f"/sitting/{slug(sitting_id)}" if sitting_id else "/start")


@router.get("/start")
def start_page(request: Request) -> Response:
    """Draw the questions; answers in the address show what they lead to."""
    asked_here = questions(desk_of(request).book())
    asked = {name: tuple(request.query_params.getlist(name)) for name in request.query_params}
    if not asked:
        return _page(request, Form.filled(asked_here), _first_look(request, {}))
    form, values = Form.read(asked_here, Posted("", asked))
    look = _look(request, form, values)
    return _page(request, form, look, status=200 if form.ok else 422)


@router.post("/start")
def plan_it(request: Request, post: FormPost) -> Response:
    """Make what the first sheet needs and go to its sitting."""

    def write() -> Response:
        form, values = Form.read(questions(desk_of(request).book()), post)
        if post.one("skip"):
            values = {}
        elif not form.ok or _look(request, form, values) is None:
            return _page(request, form, None, status=422)
        sitting_id = desk_of(request).first_sheet(answers_of(values))
        return to(f"/sitting/{slug(sitting_id)}", said="Planned. Everything can be put right.")

    return once(request, post, write)


def _first_look(request: Request, values: dict[str, object]) -> FirstLook:
    desk = desk_of(request)
    return first_look(answers_of(values), desk.book().kit, desk.now())


def _look(request: Request, form: Form, values: dict[str, object]) -> FirstLook | None:
    """What the answers lead to; nothing when one of them has to be put right first."""
    if form.ok:
        try:
            return _first_look(request, values)
        except StillroomError as error:
            form.blame(error)
    return None


def _page(request: Request, form: Form, look: FirstLook | None, *, status: int = 200) -> Response:
    is_part = request.headers.get("x-part") == "first-look"
    return render(
        request,
        "parts/first_look.html" if is_part else "start.html",
        status=status,
        form=form,
        look=look,
        is_demo=bool(request.app.state.is_demo),
    )
