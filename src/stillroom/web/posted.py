"""What the forms of a sitting carry: a one-time id, the plan, and what was turned."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.book import Settings, Sitting
from stillroom.documents.read import read_json, validated
from stillroom.documents.seats import SkySeen
from stillroom.errors import BadValue
from stillroom.telling.place_rows import SEAT, SKY, SKY_WORDS
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


@dataclass(frozen=True, slots=True)
class Told:
    """What was tapped or typed on a set list.

    Attributes
    ----------
    room : str or None
        State of the room.
    sky : SkySeen or None
        The sky.
    seats : dict
        Light to its seat, or to what a meter showed of it.
    knobs : dict
        Knob to its value as text.
    """

    room: str | None = None
    sky: SkySeen | None = None
    seats: dict[str, str] = field(default_factory=dict)
    knobs: dict[str, str] = field(default_factory=dict)


def told_by(post: Posted) -> Told:
    """The one thing that was tapped, or everything that was typed.

    Raises
    ------
    BadValue
        If nothing was, or the sky has no such word.
    """
    told = post.one("turn")
    if told == "typed":
        typed = {name: text for name, text in typed_in(post).items() if text}
        seats = {k.removesuffix(SEAT): text for k, text in typed.items() if k.endswith(SEAT)}
        return Told(seats=seats, knobs={k: v for k, v in typed.items() if not k.endswith(SEAT)})
    knob, _, value = told.partition("=")
    if not knob:
        raise BadValue("What to set", told, "tap one value")
    if knob == "room":
        return Told(room=value)
    if knob == SKY:
        return Told(sky=sky_called(value))
    if knob.endswith(SEAT):
        return Told(seats={knob.removesuffix(SEAT): value})
    return Told(knobs={knob: value})


def sky_called(word: str) -> SkySeen:
    """The sky by its word.

    Raises
    ------
    BadValue
        If there is no such word.
    """
    if word not in SKY_WORDS:
        raise BadValue("The sky", word, f"choose {', '.join(SKY_WORDS)}")
    return validated(SkySeen, {"word": word})


def typed_in(post: Posted) -> dict[str, str]:
    """What was typed instead of tapped, by knob."""
    return {
        name.removeprefix(_TYPED): post.one(name)
        for name in post.answers
        if name.startswith(_TYPED)
    }
