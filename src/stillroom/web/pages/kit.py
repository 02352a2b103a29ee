"""Kit: what is owned, one line each, with what it is, how we know and how well."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.kit import Lamp
from stillroom.errors import UnknownName
from stillroom.services.desk_base import free_name
from stillroom.telling.names import unslug
from stillroom.telling.ultraviolet_told import lamp_told
from stillroom.web.beliefs import kit_beliefs, known_of
from stillroom.web.forms import Form, FormPost
from stillroom.web.page import desk_of, lengths_of, render, to
from stillroom.web.posted import once
from stillroom.web.thing_forms import accepted, altered, as_it_stands, written
from stillroom.web.views.kit_forms import kind_called
from stillroom.web.views.kit_kind import Data, Kind
from stillroom.web.views.kit_list import Reader, line_of, prefix_of, sections
from stillroom.web.views.kit_place import doubts

router = APIRouter(prefix="/kit")


@router.get("")
def kit(request: Request) -> Response:
    """Draw the list."""
    book = desk_of(request).book()
    found = sections(Reader(book.kit, kit_beliefs(request), lengths_of(request)))
    return render(request, "kit.html", sections=found)


@router.get("/{key}/add")
def add_page(request: Request, key: str) -> Response:
    """Draw the form for a new thing."""
    kind = _kind(request, key)
    if key == "seats" and not desk_of(request).book().kit.places:
        return to("/kit/places/add", said="A seat lies at a place: write the place down first.")
    return _form_page(request, kind, Form.filled(kind.questions))


@router.post("/{key}/add")
def add(request: Request, key: str, post: FormPost) -> Response:
    """Write a new thing down."""
    kind = _kind(request, key)

    def write() -> Response:
        form, answers = Form.read(kind.questions, post)
        data = kind.to_data(answers) if form.ok else {}
        things = getattr(desk_of(request).book().kit, key)
        made = None
        if (thing := accepted(form, kind, {"id": "new", **data})) is not None:
            data.setdefault("name", kind.usual_name(thing))
            data["id"] = free_name(data["name"], [other.id for other in things], kind.one)
            made = written(form, lambda: desk_of(request).add_thing(key, data))
        if made is None:
            return _form_page(request, kind, form, status=422)
        return to("/kit", said=" ".join((f"{made.name or made.id} is in the kit.", *doubts(made))))

    return once(request, post, write)


@router.get("/{key}/{segment}")
def thing_page(request: Request, key: str, segment: str) -> Response:
    """Draw one thing and its form."""
    kind = _kind(request, key)
    thing = _thing(request, kind, segment)
    return _form_page(request, kind, as_it_stands(request, kind, thing), thing)


@router.post("/{key}/{segment}")
def change(request: Request, key: str, segment: str, post: FormPost) -> Response:
    """Write a change down: only what was altered."""
    kind = _kind(request, key)
    thing = _thing(request, kind, segment)

    def write() -> Response:
        form, answers = Form.read(kind.questions_later, post)
        data = _altered(request, kind, thing, answers) if form.ok else {}
        made = None
        if accepted(form, kind, thing.model_dump() | data) is not None:
            made = written(form, lambda: desk_of(request).edit_thing(key, thing.id, data))
        if made is None:
            return _form_page(request, kind, form, thing, status=422)
        done = f"{made.name or made.id} is written down."
        return to("/kit", said=" ".join((done, *doubts(made))))

    return once(request, post, write)


@router.post("/{key}/{segment}/put")
def put(request: Request, key: str, segment: str, post: FormPost) -> Response:
    """Put a thing away, or bring it back."""
    kind = _kind(request, key)
    thing = _thing(request, kind, segment)
    away = post.one("put") == "away"

    def write() -> Response:
        desk_of(request).retire_thing(key, thing.id, retired=away)
        done = "is put away; what sheets taught about it is kept" if away else "is back"
        return to("/kit", said=f"{thing.name or thing.id} {done}.")

    return once(request, post, write)


def _form_page(
    request: Request, kind: Kind, form: Form, thing: Any = None, *, status: int = 200
) -> Response:
    line = known = None
    if thing is not None:
        reader = Reader(desk_of(request).book().kit, kit_beliefs(request), lengths_of(request))
        line = line_of(kind.key, thing, reader)
        known = known_of(request, prefix_of(kind.key, thing.id), line.address)
    uv = lamp_told(thing, lengths_of(request)) if isinstance(thing, Lamp) else None
    return render(
        request,
        "kit_form.html",
        status=status,
        kind=kind,
        form=form,
        line=line,
        known=known,
        uv=uv,
    )


def _kind(request: Request, key: str) -> Kind:
    return kind_called(key).for_book(desk_of(request).book())


def _altered(request: Request, kind: Kind, thing: Any, answers: dict[str, Any]) -> Data:
    return altered(kind, thing, as_it_stands(request, kind, thing), answers)


def _thing(request: Request, kind: Kind, segment: str) -> Any:
    things = {thing.id: thing for thing in getattr(desk_of(request).book().kit, kind.key)}
    name = unslug(segment)
    if name not in things:
        raise UnknownName(kind.one, name, things)
    return things[name]
