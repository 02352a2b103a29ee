"""Coin test: whether this screen is dark enough for a paper."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BadValue
from stillroom.telling.names import paper_title
from stillroom.web.coin import (
    MINUTES,
    NO_COIN,
    SCREEN_COOKIE,
    coin_tests,
    keep_coin_test,
    screen_of,
)
from stillroom.web.forms import FormPost
from stillroom.web.page import YEAR_S, desk_of, dim_of, render, to
from stillroom.web.posted import once

router = APIRouter()


@router.get("/bench/coin")
def coin(request: Request) -> Response:
    """Five steps, a clock for the coins, and what was seen."""
    book = desk_of(request).book()
    now = desk_of(request).current_sitting_id()
    used = next((s.paper for s in book.sittings if s.id == now), None)
    papers = [(p.id, paper_title(p), p.id == used) for p in book.papers if not p.retired]
    titles = {id_: title for id_, title, _ in papers}
    here = screen_of(request.cookies)
    told = [
        (titles.get(test.paper, test.paper), test)
        for test in coin_tests(desk_of(request))
        if test.screen == here
    ]
    return render(
        request,
        "coin.html",
        safelight_ok=True,
        papers=papers,
        told=told,
        minutes=MINUTES,
        none=NO_COIN,
    )


@router.post("/bench/coin")
def answer(request: Request, post: FormPost) -> Response:
    """Keep the first coin that showed, for this screen as bright as it is."""
    first = post.one("first")
    if not first.isdecimal():
        raise BadValue("The first coin", first, "tap one, or No coin shows")

    def write() -> Response:
        made = keep_coin_test(
            desk_of(request),
            screen_of(request.cookies),
            dim_of(request),
            post.one("paper"),
            int(first),
        )
        said = to("/bench/coin", said="Written down for this screen, this brightness, this paper.")
        said.set_cookie(SCREEN_COOKIE, made.screen, max_age=YEAR_S, httponly=True, samesite="lax")
        return said

    return once(request, post, write)
