"""The Sitting page: what to set for the next sheet, and the sheets so far."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.advice import EFFORTS
from stillroom.documents.answers import Advice
from stillroom.documents.book import Settings, Sitting
from stillroom.errors import NotPossible, StillroomError
from stillroom.services.desk import Desk
from stillroom.services.worktable import worktable
from stillroom.telling.metered_view import metered_view
from stillroom.telling.names import light_title, unslug
from stillroom.telling.odd_view import odd_shown
from stillroom.telling.piece_view import Plan
from stillroom.telling.sitter_told import door_lines
from stillroom.telling.sitting_view import (
    SittingView,
    sitting_href,
    sitting_of,
    sitting_view,
    turned_href,
)
from stillroom.telling.turned import turned
from stillroom.web.beliefs import paper_known
from stillroom.web.forms import FormPost, number
from stillroom.web.page import desk_of, lengths_of, mode_of, render, to
from stillroom.web.posted import Told, once, planned_in, told_by, turned_in, typed_in
from stillroom.web.views import pair_view
from stillroom.web.views.count_view import last_count
from stillroom.web.views.curtain_view import curtain_view
from stillroom.web.views.holders_view import at_shoot
from stillroom.web.views.holding_view import holding_view
from stillroom.web.views.pair_view import PairView
from stillroom.web.views.sharp_view import chair_of, sharp_view
from stillroom.web.views.sittings_view import days

router = APIRouter()

_EFFORT_NAMES = {
    "dial": "dial",
    "pops": "pops",
    "stop": "lens stop",
    "seconds": "seconds",
    "filter": "filter",
    "card": "card",
    "stand": "stand",
    "cloth": "cloth or grid",
    "preflash": "pre-flash",
    "head": "second head",
}
_CAMERA_LOCKS = {"stop": "lens stop", "pops": "pops", "seconds": "seconds"}


@router.get("/sitting")
def current(request: Request) -> Response:
    """Go to the sitting that is going on; without any, to the start."""
    sitting_id = desk_of(request).current_sitting_id()
    return to(sitting_href(sitting_id) if sitting_id else "/start")


@router.get("/sittings")
def every(request: Request) -> Response:
    """All sittings, by day."""
    desk = desk_of(request)
    return render(request, "sitting/sittings.html", days=days(desk.book()))


@router.get("/sitting/{segment}")
def next_sheet(request: Request, segment: str, plan: str = "") -> Response:
    """The next sheet: the set list, the odds, what changed, the sheets so far."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    return sitting_page(request, desk, sitting, request.query_params, plan=plan_called(plan))


def sitting_page(
    request: Request,
    desk: Desk,
    sitting: Sitting,
    knobs: Mapping[str, str],
    *,
    plan: Plan = "",
    problem: str = "",
    typed: Mapping[str, str] | None = None,
) -> Response:
    """Draw the page with `knobs` turned; `problem` and `typed` come back from a form."""
    view = view_of(request, desk, sitting, knobs, plan=plan)
    return render(
        request,
        "sitting/sitting.html",
        status=422 if problem else 200,
        safelight_ok=True,
        v=view,
        curtain=curtain_view(desk.book(), sitting, desk.room_carried(sitting.id)),
        metered=metered_view(desk.book(), sitting),
        door=door_lines(desk.book(), sitting),
        locks=_locks(desk, sitting),
        holding=holding_view(desk.book(), sitting, lengths_of(request)),
        sharp=sharp_view(desk, sitting, turned(sitting, view.planned, knobs), lengths_of(request)),
        odd=odd_shown(sitting, desk.odd_sheets(sitting.id)),
        odd_from="sitting",
        bath=desk.bath_says(sitting.id),
        pair=_pair(desk, sitting),
        holders=at_shoot(desk.book(), sitting),
        last_count=last_count(sitting),
        problem=problem,
        typed=dict(typed or {}),
    )


def view_of(
    request: Request,
    desk: Desk,
    sitting: Sitting,
    knobs: Mapping[str, str],
    *,
    plan: Plan,
) -> SittingView:
    """Ask the desk what the page needs and put it together."""
    book = desk.book()
    advice = advice_now(desk, sitting)
    planned = planned_by(advice, plan)
    actual = turned(sitting, planned, knobs)
    forecast = advice.forecast if actual == advice.settings else desk.forecast(sitting.id, actual)
    has_stood = bool(sitting.sheets) or any(
        one.sheets and one.set == sitting.set is not None for one in book.sittings
    )
    return sitting_view(
        book,
        sitting,
        advice,
        desk.taught(sitting.id) if mode_of(request) == "studio" else (),
        paper_known(request, sitting.paper).points,
        planned=planned,
        actual=actual,
        before=worktable(book, sitting.id).standing() if has_stood else None,
        forecast=forecast,
        lengths=lengths_of(request),
        plan=plan,
        chair=chair_of(desk, sitting, actual.f_number, lengths_of(request)),
    )


def advice_now(desk: Desk, sitting: Sitting) -> Advice:
    """What is advised for the next sheet: what was planned for it, while that plan holds."""
    plan = desk.planned_together(sitting.id)
    if plan is None or not desk.plan_holds(sitting.id, plan):
        return desk.advice(sitting.id)
    return desk.advice_as_planned(sitting.id, plan)


def _pair(desk: Desk, sitting: Sitting) -> PairView:
    """Several sheets in hand: the plan that is being made, else what is offered."""
    book, plan = desk.book(), desk.planned_together(sitting.id)
    if plan is not None and desk.plan_holds(sitting.id, plan):
        return pair_view.planned(book, sitting, plan)
    several = desk.several(sitting.id)
    return pair_view.offered(book, sitting, several, is_stale=plan is not None)


def plan_called(text: str) -> Plan:
    """What is planned instead of what is advised; anything else is as advised."""
    chosen: Plan
    for chosen in ("stepped", "piece", "sheet"):
        if text == chosen:
            return chosen
    return ""


def planned_by(advice: Advice, plan: Plan) -> Settings:
    """The settings of what is planned.

    Raises
    ------
    NotPossible
        If that is not offered now.
    """
    if plan == "piece":
        if advice.piece is None:
            raise NotPossible("No test piece is offered now: go back to the sitting.")
        return advice.piece.settings
    if plan != "stepped":
        return advice.settings
    if advice.stepped_sheet is None:
        raise NotPossible("No stepped sheet is offered now: go back to the sitting.")
    return advice.stepped_sheet


@router.post("/sitting/{segment}/turn")
def turn(request: Request, segment: str, post: FormPost) -> Response:
    """Set one value otherwise than planned; it is recorded when the sheet is shot."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    planned = planned_in(post)
    stepped = planned.steps_pops is not None
    plan: Plan = "stepped" if stepped else plan_called(post.one("plan"))
    try:
        told = told_by(post)
        _say_what_is_there(desk, sitting, told)
        actual = turned_in(post, sitting, planned, told.knobs)
    except StillroomError as error:
        return sitting_page(
            request,
            desk,
            sitting,
            {name: post.one(name) for name in post.answers},
            plan=plan,
            problem=str(error),
            typed=typed_in(post),
        )
    if stepped and desk.advice(sitting.id).settings.steps_pops is not None:
        plan = ""  # it is what is advised
    return to(turned_href(sitting, planned, actual, plan))


def _say_what_is_there(desk: Desk, sitting: Sitting, told: Told) -> None:
    """Write down what was said of the room, the sky and the seats."""
    if told.room is not None:
        desk.set_room_state(sitting.id, told.room)
    if told.sky is not None:
        desk.set_sky(sitting.id, told.sky)
    seats = {seat.id for seat in desk.book().kit.seats}
    for role, what in told.seats.items():
        if what in seats:
            desk.take_seat(sitting.id, role, what)
        else:
            lx = number(f"What a meter showed of {role}", what.removesuffix("lx"))
            desk.take_level(sitting.id, role, lx)


@router.post("/sitting/{segment}/locks")
def set_locks(request: Request, segment: str, post: FormPost) -> Response:
    """Keep what must stay, and what changes cost."""
    desk = desk_of(request)
    sitting = sitting_of(desk.book(), unslug(segment))
    efforts = {
        kind: number(name, post.one(f"effort:{kind}"))
        for kind, name in _EFFORT_NAMES.items()
        if post.one(f"effort:{kind}")
    }

    def write() -> Response:
        desk.set_locks_efforts(sitting.id, list(post.many("locked")), efforts)
        return to(sitting_href(sitting.id), said="Kept.")

    return once(request, post, write)


def _locks(desk: Desk, sitting: Sitting) -> dict[str, object]:
    kit = desk.book().kit
    lights = [
        (light.role, light_title(light, kit), light.role in sitting.locks)
        for light in sitting.lights
        if light.kind == "head"
    ]
    camera = [(knob, name, knob in sitting.locks) for knob, name in _CAMERA_LOCKS.items()]
    efforts = dict(EFFORTS) | sitting.efforts
    return {
        "knobs": [*lights, *camera],
        "efforts": [(kind, name, f"{efforts[kind]:g}") for kind, name in _EFFORT_NAMES.items()],
    }
