"""Papers: what each batch makes of light, and how sure that is."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Paper
from stillroom.errors import BadValue, UnknownName
from stillroom.telling.names import paper_title, slug, unslug
from stillroom.web.beliefs import known_of, paper_known
from stillroom.web.forms import Form, FormPost
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.thing_forms import accepted, altered, as_it_stands, written
from stillroom.web.views.control_strips import StripTyped, strips_view
from stillroom.web.views.kit_kind import Kind
from stillroom.web.views.paper_forms import PAPER, next_batches
from stillroom.web.views.papers_view import Batches, batches, paper_view

router = APIRouter(prefix="/papers")


@router.get("")
def papers(request: Request) -> Response:
    """Draw the list of batches."""
    return render(request, "papers.html", batches=_batches(request))


@router.get("/add")
def add_page(request: Request) -> Response:
    """Draw the form for a new paper."""
    return _form_page(request, Form.filled(_kind(request).questions))


@router.post("/add")
def add(request: Request, post: FormPost) -> Response:
    """Write a new paper down."""

    def write() -> Response:
        form, answers = Form.read(_kind(request).questions, post)
        data = PAPER.to_data(answers) if form.ok else {}
        made = None
        if accepted(form, PAPER, {"id": "new", **data}) is not None:
            made = written(form, lambda: desk_of(request).add_paper(data))
        if made is None:
            return _form_page(request, form, status=422)
        return to(f"/papers/{slug(made.id)}", said="Written down.")

    return once(request, post, write)


@router.get("/{segment}")
def paper_page(request: Request, segment: str) -> Response:
    """Draw one batch: its curve, its figures, its control strips, its other boxes."""
    return draw_paper(request, paper_at(request, segment))


def draw_paper(request: Request, paper: Paper, typed: StripTyped | None = None) -> Response:
    """Draw the page of a batch; `typed` is a control strip that came back to be put right."""
    known = paper_known(request, paper.id)
    address = f"/papers/{slug(paper.id)}"
    return render(
        request,
        "paper.html",
        status=422 if typed else 200,
        view=paper_view(paper, known),
        batches=_batches(request, paper.id),
        next_batches=next_batches(paper.batch),
        strips=strips_view(paper, desk_of(request).control_strips(paper.id), known.points),
        strip_typed=typed,
        known=known_of(request, f"paper/{paper.id}/", address),
    )


@router.get("/{segment}/edit")
def edit_page(request: Request, segment: str) -> Response:
    """Draw the form of one batch."""
    paper = paper_at(request, segment)
    return _form_page(request, as_it_stands(request, _kind(request), paper), paper)


@router.post("/{segment}/edit")
def edit(request: Request, segment: str, post: FormPost) -> Response:
    """Write a change down: only what was altered."""
    paper = paper_at(request, segment)

    def write() -> Response:
        kind = _kind(request)
        form, answers = Form.read(kind.questions_later, post)
        shown = as_it_stands(request, kind, paper)
        data = altered(kind, paper, shown, answers) if form.ok else {}
        made = None
        if accepted(form, PAPER, paper.model_dump() | data) is not None:
            made = written(form, lambda: desk_of(request).edit_paper(paper.id, data))
        if made is None:
            return _form_page(request, form, paper, status=422)
        return to(f"/papers/{slug(paper.id)}", said="Written down.")

    return once(request, post, write)


@router.post("/{segment}/batch")
def new_batch(request: Request, segment: str, post: FormPost) -> Response:
    """Open a new box of the same paper."""
    paper = paper_at(request, segment)
    name = post.one("typed") or post.one("batch")
    if not name:
        raise BadValue("Batch", name, "tap a number or type one")

    def write() -> Response:
        made = desk_of(request).new_batch(paper.id, name)
        said = f"Batch {name} starts from batch {paper.batch or 'before'}, a little wider."
        return to(f"/papers/{slug(made)}", said=said)

    return once(request, post, write)


@router.post("/{segment}/put")
def put(request: Request, segment: str, post: FormPost) -> Response:
    """Put a batch away, or bring it back."""
    paper = paper_at(request, segment)
    away = post.one("put") == "away"

    def write() -> Response:
        desk_of(request).retire_paper(paper.id, retired=away)
        done = "is put away; its sheets are kept" if away else "is back"
        return to("/papers", said=f"{paper_title(paper)} {done}.")

    return once(request, post, write)


def _form_page(
    request: Request, form: Form, paper: Paper | None = None, *, status: int = 200
) -> Response:
    address = f"/papers/{slug(paper.id)}" if paper else "/papers"
    title = paper_title(paper) if paper else ""
    return render(
        request,
        "paper_form.html",
        status=status,
        kind=_kind(request),
        form=form,
        address=address,
        of=title,
    )


def _kind(request: Request) -> Kind:
    """What is asked of a paper, with the processes of this book."""
    return PAPER.for_book(desk_of(request).book())


def _batches(request: Request, this: str = "") -> Batches:
    book = desk_of(request).book()
    return batches(book, {p.id: paper_known(request, p.id) for p in book.papers}, this)


def paper_at(request: Request, segment: str) -> Paper:
    """The batch an address stands for, or an error that says which there are."""
    found = {paper.id: paper for paper in desk_of(request).book().papers}
    name = unslug(segment)
    if name not in found:
        raise UnknownName("paper", name, found)
    return found[name]
