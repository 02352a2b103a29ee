"""Control strips: one run of a batch is written down, made the reference, or taken back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue, NotPossible, StillroomError
from stillroom.services.bath_words import run_sentence
from stillroom.telling.names import slug
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, to
from stillroom.web.pages.papers import draw_paper, paper_at
from stillroom.web.posted import once
from stillroom.web.views.control_strips import StripTyped, read_strip_form

router = APIRouter(prefix="/papers")
_PLACE = "#control"


@router.post("/{segment}/strip")
def run_one(request: Request, segment: str, post: FormPost) -> Response:
    """Write one control strip down; what cannot be read comes back as it was put in."""
    desk = desk_of(request)
    paper = paper_at(request, segment)
    runs = desk.control_strips(paper.id).runs
    form = read_strip_form(post, paper, runs[-1].reference if runs else None)
    problem = next(iter(form.faults.values()), "")
    if not form.steps and not problem:
        problem = "Nothing was read: tap the step that vanishes, or write a density."
    if problem:
        return draw_paper(request, paper, StripTyped(post.answers, form.faults, problem))

    def write() -> Response:
        desk.run_control_strip(paper.id, form.steps, post.form_id, density_sd=form.density_sd)
        said = run_sentence(desk.control_strips(paper.id).today)
        return to(f"/papers/{slug(paper.id)}{_PLACE}", said=f"Written down. {said}")

    try:
        return once(request, post, write)
    except NotPossible:
        raise
    except StillroomError as error:
        return draw_paper(request, paper, StripTyped(post.answers, {}, str(error)))


@router.post("/{segment}/strip/change")
def change(request: Request, segment: str, post: FormPost) -> Response:
    """Hold later runs against a strip, or take it back."""
    desk = desk_of(request)
    paper = paper_at(request, segment)
    number, _, sitting_id = post.one("run").partition("|")
    if not number.isdecimal() or not sitting_id:
        raise BadValue("Run", post.one("run"), "tap one of the runs")

    def write() -> Response:
        if post.one("do") == "undo":
            desk.undo_control_strip(sitting_id, int(number), post.form_id)
            said = "That run is taken back."
        else:
            desk.mark_reference(sitting_id, int(number), post.form_id)
            said = "Later runs are held against it."
        return to(f"/papers/{slug(paper.id)}{_PLACE}", said=said)

    return once(request, post, write)
