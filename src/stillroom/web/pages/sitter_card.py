"""A sitter's card: what they agreed to, flash, how long they sit still; put right at any time."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Book, Sitter
from stillroom.documents.to_domain import named
from stillroom.errors import StillroomError
from stillroom.telling.names import slug, unslug
from stillroom.telling.sitter_told import SAID_YES_TO, card_line
from stillroom.telling.sitting_view import sitting_href
from stillroom.web.forms import FormPost, Posted
from stillroom.web.page import desk_of, render, to
from stillroom.web.pages.sitter import STILLS, card_of, still_s
from stillroom.web.posted import once

router = APIRouter(prefix="/sitter")


@router.get("/{segment}")
def show(request: Request, segment: str) -> Response:
    """The card as it stands."""
    return _page(request, _sitter(request, segment))


@router.post("/{segment}")
def change(request: Request, segment: str, post: FormPost) -> Response:
    """Write the card as it is tapped now."""
    sitter = _sitter(request, segment)
    try:
        card, holds_still_s = card_of(post), still_s(post)
    except StillroomError as error:
        return _page(request, sitter, post, str(error))

    def write() -> Response:
        desk_of(request).write_sitter_card(
            sitter.id, card, holds_still_s=holds_still_s, form_id=post.form_id
        )
        return to(f"/sitter/{slug(sitter.id)}", said=f"{sitter.initials}’s card is written down.")

    return once(request, post, write)


def _page(
    request: Request, sitter: Sitter, post: Posted | None = None, problem: str = ""
) -> Response:
    card, still = sitter.at_the_door, sitter.holds_still_s
    return render(
        request,
        "sitting/sitter_card.html",
        status=422 if problem else 200,
        heading=f"{sitter.initials}’s card",
        sitter=sitter,
        line=card_line(sitter),
        problem=problem,
        href=f"/sitter/{slug(sitter.id)}",
        back=_latest(desk_of(request).book(), sitter),
        choices=tuple(SAID_YES_TO.items()),
        said_yes=card.said_yes_to if post is None else post.many("said"),
        flash=(card.flash_all_right or "") if post is None else post.one("flash"),
        stills=_stills(still),
        still=("" if still is None else f"{still:g}") if post is None else post.one("still"),
    )


def _stills(still: float | None) -> tuple[tuple[str, str], ...]:
    """The times to choose from, their own among them."""
    if still is None or f"{still:g}" in dict(STILLS):
        return STILLS
    own = (f"{still:g}", f"{still:g} s")
    return tuple(sorted((*STILLS, own), key=lambda one: float(one[0])))


def _sitter(request: Request, segment: str) -> Sitter:
    return named("sitter", unslug(segment), desk_of(request).book().sitters)


def _latest(book: Book, sitter: Sitter) -> str:
    sat = [sitting for sitting in book.sittings if sitter.id in sitting.sitters]
    return sitting_href(max(sat, key=lambda one: one.when).id) if sat else ""
