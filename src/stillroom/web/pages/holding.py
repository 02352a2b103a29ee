"""How the sitter is held and focused on, how it fires: one folded form of the Sitting page."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Book, Sitting
from stillroom.errors import BadValue, StillroomError
from stillroom.quantity import parse_length_m
from stillroom.telling.names import unslug
from stillroom.telling.sitting_view import sitting_href, sitting_of
from stillroom.web.forms import FormPost, Posted
from stillroom.web.page import desk_of, to
from stillroom.web.pages.sitting import sitting_page
from stillroom.web.posted import once
from stillroom.web.views.holding_view import LENGTHS, choices_in

router = APIRouter()


@router.post("/sitting/{segment}/holding")
def hold(request: Request, segment: str, post: FormPost) -> Response:
    """Keep what was said; an answer left empty goes back to the usual."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))

    def write() -> Response:
        desk.set_holding(sitting.id, **_said(post, desk.book(), sitting))
        return to(f"{sitting_href(sitting.id)}#h-sharp", said="Kept.")

    try:
        return once(request, post, write)
    except StillroomError as error:
        return sitting_page(request, desk, sitting, {}, problem=str(error))


def _length_mm(name: str, told: str) -> float:
    try:
        return parse_length_m(told, "cm") * 1000
    except StillroomError as error:
        raise BadValue(name, told, "give a length, such as 18.5 cm or 7 1/4 in") from error


def _said(post: Posted, book: Book, sitting: Sitting) -> dict[str, object]:
    said: dict[str, object] = {"is_self_portrait": post.one("is_self_portrait") == "yes" or None}
    for field, (asked, answers) in choices_in(book, sitting).items():
        told = post.one(field)
        known = [value for value, _ in answers]
        if told and told not in known:
            raise BadValue(asked, told, f"choose one of: {', '.join(known)}")
        said[field] = told or None
    for field, name in LENGTHS.items():
        told = post.one(field)
        said[field] = _length_mm(name, told) if told else None
    return said
