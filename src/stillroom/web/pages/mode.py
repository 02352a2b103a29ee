"""The light in the room: going dark is one tap, going bright takes two steps or a held press."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue
from stillroom.web.addresses import local_path
from stillroom.web.forms import FormPost
from stillroom.web.page import (
    DIM_COOKIE,
    DIMS,
    LENGTHS,
    LETTERS,
    MODE_COOKIE,
    YEAR_S,
    desk_of,
    mode_of,
    render,
    to,
)

router = APIRouter()


@router.post("/mode")
def set_mode(request: Request, post: FormPost) -> Response:
    """Go dark at once; go bright when it was confirmed, else ask."""
    wanted = post.one("mode")
    back = local_path(post.one("back", "/"))
    if wanted not in ("studio", "safelight"):
        raise BadValue("Light in the room", wanted, "choose studio or safelight")
    if wanted == "studio" and mode_of(request) == "safelight" and not post.one("confirmed"):
        return render(request, "go_bright.html", safelight_ok=True, back=back)
    return _remember(to(back), MODE_COOKIE, wanted)


@router.post("/dim")
def set_dim(post: FormPost) -> Response:
    """One step darker or brighter in the safelight."""
    wanted = post.one("dim")
    if wanted not in DIMS:
        raise BadValue("Dimmer", wanted, f"choose one of: {', '.join(DIMS)}")
    return _remember(to(local_path(post.one("back", "/"))), DIM_COOKIE, wanted)


@router.post("/lengths")
def set_lengths(request: Request, post: FormPost) -> Response:
    """Print lengths in metres or in feet; any wording is read either way."""
    wanted = post.one("lengths")
    if wanted not in ("metric", "imperial"):
        raise BadValue("Lengths", wanted, "choose metric or imperial")
    desk_of(request).set_preference(LENGTHS, wanted)
    return to(local_path(post.one("back", "/")))


@router.post("/letters")
def set_letters(request: Request, post: FormPost) -> Response:
    """Let letters lead to the pages of the running head, or not."""
    wanted = post.one("letters")
    if wanted not in ("on", "off"):
        raise BadValue("Letter keys", wanted, "choose on or off")
    desk_of(request).set_preference(LETTERS, wanted)
    return to(local_path(post.one("back", "/")))


def _remember(answer: Response, cookie: str, value: str) -> Response:
    # Lax, not strict: a page opened from a link elsewhere must still come up dark.
    answer.set_cookie(cookie, value, max_age=YEAR_S, httponly=True, samesite="lax")
    return answer
