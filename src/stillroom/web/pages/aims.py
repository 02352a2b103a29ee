"""Aims: like this sheet, three looks, or brackets a third of a stop at a time."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Aim, Sitting
from stillroom.documents.read import validated
from stillroom.errors import BadValue
from stillroom.quantity import range_text, stops_text
from stillroom.services.desk import LOOKS
from stillroom.sitter import REGIONS
from stillroom.telling.names import paper_of, unslug
from stillroom.telling.sitting_view import sitting_href, sitting_of
from stillroom.web.beliefs import paper_known
from stillroom.web.forms import FormPost, Posted, number
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.aims_view import (
    HIGHEST_THIRDS,
    LOWEST_THIRDS,
    TOLERANCES,
    aims_view,
    tol_text,
)

router = APIRouter()

_NEW_TOL_STOPS = 2 / 3
_STEPS = {"narrower": -1, "wider": 1}


@router.get("/sitting/{segment}/aims")
def show(request: Request, segment: str) -> Response:
    """The aims as they stand."""
    desk = desk_of(request)
    book = desk.book()
    sitting = sitting_of(book, unslug(segment))
    paper = paper_of(book, sitting)
    curve = paper_known(request, paper.id).points
    aimed = [aim for aim in sitting.aims.values() if aim.tol_stops is not None]
    contrast = desk.contrast(sitting.id) if len(aimed) > 1 else None
    advice = desk.advice(sitting.id)
    view = aims_view(book, sitting, paper, curve, advice=advice, contrast=contrast)
    thirds = [(n, stops_text(n / 3)) for n in range(LOWEST_THIRDS, HIGHEST_THIRDS + 1)]
    return render(
        request,
        "sitting/aims.html",
        heading="Aims",
        v=view,
        thirds=[(n, "middle" if text == "0" else text) for n, text in thirds],
        tolerances=[(tol_text(t), range_text(t)) for t in TOLERANCES],
    )


@router.post("/sitting/{segment}/aims")
def use(request: Request, segment: str, post: FormPost) -> Response:
    """Keep the brackets as they stand; narrower, wider and a new part come back here."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    do = post.one("do", "use")
    aims = _aims(post, sitting)
    if do in _STEPS:
        aims = {region: _widened(aim, _STEPS[do]) for region, aim in aims.items()}
    added = post.one("add") or (post.one("own") if do == "add" else "")
    if added and added not in aims:
        # Region ids become keys of the document: an own name is kept as it was written.
        aims[added] = validated(Aim, {"placement_stops": 0, "tol_stops": _NEW_TOL_STOPS})
    elif do == "add":
        raise BadValue("A part of the picture", added, "give it a name that is not there yet")
    href = sitting_href(sitting.id)

    def write() -> Response:
        unchanged = aims == sitting.aims
        desk.set_aims(sitting.id, aims, sitting.look if unchanged else "")
        return to(f"{href}/aims") if added or do in _STEPS else to(href, said="Aims kept.")

    return once(request, post, write)


@router.post("/sitting/{segment}/aims/like")
def like(request: Request, segment: str, post: FormPost) -> Response:
    """What a sheet read becomes the aim."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    mark = post.one("mark")

    def write() -> Response:
        desk.aims_like(sitting.id, mark)
        return to(sitting_href(sitting.id), said=f"Aims: like {mark}.")

    return once(request, post, write)


@router.post("/sitting/{segment}/aims/look")
def look(request: Request, segment: str, post: FormPost) -> Response:
    """One of the three looks to start from."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    chosen = post.one("look")

    def write() -> Response:
        desk.set_look(sitting.id, chosen)
        name = LOOKS[chosen].name
        return to(f"{sitting_href(sitting.id)}/aims", said=f"Aims: {name.lower()}.")

    return once(request, post, write)


def _aims(post: Posted, sitting: Sitting) -> dict[str, Aim]:
    """The aims on the form; one that was not touched stays exactly what it was."""
    relative = post.one("relative_to", "skin")
    aims: dict[str, Aim] = {}
    for region, aim in sitting.aims.items():
        at = post.one(f"at:{region}")
        if not at:
            aims[region] = aim
            continue
        told = aim.model_dump()
        tol = (
            None if post.one(f"skip:{region}") else number("Tolerance", post.one(f"tol:{region}"))
        )
        was_tol = post.one(f"was-tol:{region}")
        if tol is None or tol_text(tol) != was_tol or aim.tol_stops is None:
            told["tol_stops"] = tol
        is_face = region in REGIONS and REGIONS[region].is_skin
        wants = relative if is_face else aim.relative_to
        if at != post.one(f"was-at:{region}") or wants != aim.relative_to:
            told |= {
                "placement_stops": number("Aim", at) / 3,
                "density": None,
                "from_sheet": None,
                "for_reflectance": None,
                "relative_to": wants,
            }
        aims[region] = validated(Aim, told)
    return aims


def _widened(aim: Aim, by: int) -> Aim:
    if aim.tol_stops is None:
        return aim
    now = aim.tol_stops
    at = min(range(len(TOLERANCES)), key=lambda n: abs(TOLERANCES[n] - now))
    tol = TOLERANCES[min(len(TOLERANCES) - 1, max(0, at + by))]
    return validated(Aim, aim.model_dump() | {"tol_stops": tol})
