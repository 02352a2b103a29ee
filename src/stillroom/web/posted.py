"""What the forms of a sitting carry: a one-time id, the plan, and what was turned."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Settings, Sitting
from stillroom.documents.read import read_json, validated
from stillroom.errors import BadValue
from stillroom.telling.turned import turned
from stillroom.web.forms import Posted
from stillroom.web.once import Once

_TYPED = "typed:"


def once(
    request: Request, post: Posted, write: Callable[[], Response], form_id: str | None = None
) -> Response:
    """Write what a form says, once: a second post gets the first one's answer."""
    guard: Once = request.app.state.once
    return guard.answer(post.form_id if form_id is None else form_id, write)


def planned_in(post: Posted) -> Settings:
    """The settings that were proposed on the page the form came from."""
    return validated(Settings, read_json(post.one("planned"), "The plan of this page"))


def turned_in(
    post: Posted, sitting: Sitting, planned: Settings, knobs: Mapping[str, str] | None = None
) -> Settings:
    """The settings as they stand on the page, with `knobs` turned last."""
    standing = {name: post.one(name) for name in post.answers}
    return turned(sitting, planned, standing | dict(knobs or {}))


def told_by(post: Posted) -> tuple[str | None, dict[str, str]]:
    """The one thing that was tapped or typed: a room state, or a knob and its value.

    Raises
    ------
    BadValue
        If nothing was.
    """
    told = post.one("turn")
    if told == "typed":
        return None, {name: text for name, text in typed_in(post).items() if text}
    knob, _, value = told.partition("=")
    if not knob:
        raise BadValue("What to set", told, "tap one value")
    return (value, {}) if knob == "room" else (None, {knob: value})


def typed_in(post: Posted) -> dict[str, str]:
    """What was typed instead of tapped, by knob."""
    return {
        name.removeprefix(_TYPED): post.one(name)
        for name in post.answers
        if name.startswith(_TYPED)
    }
