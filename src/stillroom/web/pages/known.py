"""What may be said of one term: hold it, forget what sheets taught, let it learn again."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue
from stillroom.telling.names import unslug
from stillroom.web.addresses import local_path
from stillroom.web.beliefs import shared_of
from stillroom.web.forms import FormPost
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once

router = APIRouter(prefix="/known")

_DONE = {
    "hold": "is held: sheets no longer move it.",
    "forget": "is forgotten: it is as it was entered. What was written down is kept.",
    "learn": "learns from sheets again.",
}


@router.get("")
def known(request: Request) -> Response:
    """Draw what no page of a thing shows: the eye, the colours of light, what all sheets share."""
    return render(request, "known.html", known=shared_of(request))


@router.post("/{segment}")
def say(request: Request, segment: str, post: FormPost) -> Response:
    """Write down what is said of a term."""
    term, said = unslug(segment), post.one("say")
    desk = desk_of(request)
    verbs = {"hold": desk.hold, "forget": desk.forget, "learn": desk.learn}
    if said not in verbs:
        raise BadValue("What to do with it", said, "tap Hold, Forget or Learn again")

    def write() -> Response:
        found = verbs[said](term, post.form_id)
        label = f"{found.label[:1].upper()}{found.label[1:]}"
        return to(local_path(post.one("back", "/kit")), said=f"{label} {_DONE[said]}")

    return once(request, post, write)
