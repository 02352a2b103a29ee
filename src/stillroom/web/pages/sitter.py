"""Next sitter: the set and the lights stay, the aims follow one answer."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Skin
from stillroom.documents.read import validated
from stillroom.documents.sitter_card import SitterCard
from stillroom.errors import BadValue, StillroomError, UnknownName
from stillroom.services.cautions import SENSITIVE_TO_FLASHES
from stillroom.services.next_sitter import TONES, Tone
from stillroom.telling.names import unslug
from stillroom.telling.sitting_view import sitting_href, sitting_of
from stillroom.web.forms import FormPost, Posted, number
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.next_view import STILL_S, known_sitters, next_view

router = APIRouter()

LONGEST_INITIALS = 12
STILLS = tuple((f"{s:g}", label) for s, label in STILL_S)
"""How long somebody can sit still, as the card offers it."""


@router.get("/sitting/{segment}/next")
def show(request: Request, segment: str) -> Response:
    """The card at the door."""
    return _page(request, segment)


@router.post("/sitting/{segment}/next")
def sit_down(request: Request, segment: str, post: FormPost) -> Response:
    """Start the next sitting: somebody known in one tap, or the card."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    who = post.one("who")
    try:
        tone = _tone(post.one("tone", "keep"))
        known = next((s for s in known_sitters(desk.book(), sitting) if s.initials == who), None)
        if known is not None:
            told = known.initials, known.skin, known.holds_still_s
        else:
            told = _initials(post), _skin(post), still_s(post)
        is_child = known is None and post.one("child") == "yes"
        card = None if known is not None else card_of(post)
    except StillroomError as error:
        return _page(request, segment, post, str(error))

    def write() -> Response:
        initials, skin, holds_still_s = told
        made = desk.next_sitter(
            sitting.id,
            initials,
            skin,
            holds_still_s,
            tone,
            post.form_id,
            is_child=is_child,
            card=card,
        )
        return to(sitting_href(made), said=f"{initials}. The set and the lights stay as they are.")

    try:
        return once(request, post, write)
    except BadValue as error:
        return _page(request, segment, post, str(error))


def _page(
    request: Request, segment: str, post: Posted | None = None, problem: str = ""
) -> Response:
    desk = desk_of(request)
    book = desk.book()
    sitting = sitting_of(book, unslug(segment))
    view = next_view(
        book,
        sitting,
        lambda skin: desk.skin_question(sitting.id, skin),
        desk.forecast(sitting.id).settings,
    )

    def stood(name: str, start: str) -> str:
        return start if post is None else post.one(name, start)

    return render(
        request,
        "sitting/next.html",
        status=422 if problem else 200,
        heading="Next sitter",
        v=view,
        problem=problem,
        initials=stood("initials", ""),
        skin=stood("skin", "unknown"),
        still=stood("still", ""),
        child=stood("child", ""),
        said_yes=() if post is None else post.many("said"),
        flash=stood("flash", ""),
        tone=stood("tone", "keep"),
        stills=STILLS,
        sensitive=SENSITIVE_TO_FLASHES,
    )


def _tone(text: str) -> Tone:
    for tone in TONES:
        if tone == text:
            return tone
    raise UnknownName("answer", text, TONES)


def _initials(post: Posted) -> str:
    text = post.one("initials")
    if not text:
        raise BadValue("Initials", text, "give one letter or more, such as T. R.")
    if len(text) > LONGEST_INITIALS:
        raise BadValue("Initials", text, f"at most {LONGEST_INITIALS} letters")
    return text


def _skin(post: Posted) -> Skin:
    return validated(Skin, {"guess": post.one("skin", "unknown")})


def still_s(post: Posted) -> float | None:
    """How long they can sit still, as the card was tapped; None: not known [s]."""
    text = post.one("still")
    return number("Can sit still for", text) if text else None


def card_of(post: Posted) -> SitterCard:
    """What was said at the door, as the card was tapped."""
    return validated(
        SitterCard,
        {"said_yes_to": tuple(post.many("said")), "flash_all_right": post.one("flash") or None},
    )
