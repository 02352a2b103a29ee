"""Other camera: what a bigger one asks, and ways to the same aims there."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.holding import Viewing
from stillroom.errors import StillroomError
from stillroom.telling.focus_told import VIEWING_WORDS
from stillroom.telling.sitting_view import sitting_of
from stillroom.web.page import desk_of, lengths_of, mode_of, render
from stillroom.web.views.other_view import (
    asked,
    choices,
    lens_for,
    other_cameras,
    other_view,
)

router = APIRouter(prefix="/other")


@router.get("")
def other(request: Request) -> Response:
    """Draw the price and the ways for the camera that the address asks of."""
    if mode_of(request) == "safelight":
        return render(request, "needs_light.html")
    desk, query = desk_of(request), request.query_params
    book = desk.book()
    current = desk.current_sitting_id()
    if current is None:
        return render(request, "other_none.html", missing="sitting")
    known = [s.id for s in book.sittings]
    sitting = sitting_of(book, asked(query, "sitting", known, current))
    cameras = {c.id: c for c in other_cameras(book, sitting)}
    if not cameras:
        return render(request, "other_none.html", missing="camera")
    largest = max(cameras.values(), key=lambda c: c.format_mm[0] * c.format_mm[1])
    camera = cameras[asked(query, "camera", cameras, largest.id)]
    lenses = {x.id: x for x in book.kit.lenses if not x.retired}
    usual = lens_for(book, camera, sitting)
    if usual is None:
        return render(request, "other_none.html", missing="lens")
    lens = lenses[asked(query, "lens", lenses, usual.id)]
    viewing: Viewing = (
        "on_the_wall"
        if asked(query, "viewing", VIEWING_WORDS, sitting.holding.viewing or "") == "on_the_wall"
        else "in_the_hand"
    )
    shown = choices(book, sitting, camera, lens, viewing)
    try:
        ways = desk.ways(sitting.id, camera.id, lens.id, viewing=viewing)
    except StillroomError as error:
        return render(request, "other.html", status=422, choices=shown, problem=str(error), v=None)
    view = other_view(ways, lengths_of(request))
    return render(request, "other.html", choices=shown, problem="", v=view)
