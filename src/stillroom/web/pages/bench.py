"""The bench: the wet line runs by itself; what happened comes back as events, each taken once."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from fastapi import APIRouter
from fastapi.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from stillroom.documents.read import read_json
from stillroom.errors import BadValue, StillroomError
from stillroom.services.processes import processes
from stillroom.web.forms import FormPost, number
from stillroom.web.page import asset, desk_of, render, to
from stillroom.web.views.bench_view import bench_view

router = APIRouter()

EVENTS_MOST = 2000
SCOPE = "/bench"
KEPT = (
    *("stillroom.css", "parts.css", "marks.css", "bench.css", "safelight.css", "mark.svg"),
    *("stillroom.js", "hold.js", "dimmer.js", "letters.js", "bench.js", "bench_line.js"),
    *("bench_words.js", "bench_calls.js", "bench_clock.js", "bench_queue.js", "bench_show.js"),
    *("bench_sound.js", "bench_awake.js"),
)
"""Files without which the page cannot come up; a test holds them against what it asks for."""


@router.get("/bench")
def bench(request: Request) -> Response:
    """The trays in the order they stand; without script, the timetable of one sheet."""
    desk = desk_of(request)
    named = [(p.id, p.name or p.id) for p in processes(desk.book())]
    current = desk.current_sitting_id()
    strip = desk.bath_says(current) if current else ""
    view = bench_view(desk.bench(), named, control_strip=strip)
    return render(request, "bench.html", safelight_ok=True, v=view, heading="Bench")


@router.get("/bench/plan")
def plan(request: Request) -> Response:
    """The same as the page was given, for a page that is open already."""
    return JSONResponse(desk_of(request).bench().model_dump(mode="json"))


@router.post("/bench/set")
def set_bench(request: Request, post: FormPost) -> Response:
    """Keep which process stands on the bench and how warm its line is."""
    process, warm = post.one("process"), post.one("temperature_c")
    if not process and not warm:
        raise BadValue("The bench", "", "name a process or a temperature")
    desk_of(request).set_bench(
        process=process or None,
        temperature_c=number("The line's temperature", warm) if warm else None,
    )
    return to("/bench")


@router.post("/bench/events")
async def events(request: Request) -> Response:
    """Take what happened at the bench; what cannot be taken is named, the rest is written."""
    body = await request.body()
    try:
        told = await run_in_threadpool(_take, request, body)
    except StillroomError as error:
        return JSONResponse({"sentence": str(error)}, status_code=422)
    return JSONResponse(told)


def _take(request: Request, body: bytes) -> dict[str, Any]:
    said = read_json(body.decode("utf-8", "replace"), "What the bench sent")
    found = said.get("events") if isinstance(said, Mapping) else None
    if not isinstance(found, list) or not all(isinstance(one, Mapping) for one in found):
        raise BadValue("What the bench sent", "no list of events", 'send {"events": [...]}')
    if len(found) > EVENTS_MOST:
        raise BadValue("Events sent at once", str(len(found)), f"at most {EVENTS_MOST}")
    return desk_of(request).bench_events(found).model_dump(mode="json")


@router.get("/bench/worker.js")
def worker() -> Response:
    """The service worker: keeps the page and its files, so that a reload needs no network."""
    body = files("stillroom.web").joinpath("static", "bench_worker.js").read_text("utf-8")
    kept = ", ".join(f"'{asset(name)}'" for name in KEPT)
    return Response(
        body.replace("/* files */", kept),
        media_type="text/javascript",
        headers={"Service-Worker-Allowed": SCOPE},
    )
