"""Forms about one thing: as it stands, what was altered, whether the book takes it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from starlette.requests import Request

from stillroom.documents.thing import Thing
from stillroom.errors import StillroomError
from stillroom.quantity import format_offset
from stillroom.telling.words import tape
from stillroom.web.forms import Form, Posted
from stillroom.web.page import lengths_of
from stillroom.web.views.kit_kind import Data, Kind

Result = TypeVar("Result")


def as_it_stands(request: Request, kind: Kind, thing: Any) -> Form:
    """The form as it is shown before anybody types, lengths in the reader's units."""
    answers = kind.to_answers(thing)
    lengths = lengths_of(request)
    for question in kind.typed:
        value = answers.get(question.name)
        if isinstance(value, int | float) and question.kind == "length":
            answers[question.name] = tape(value, lengths)
        elif isinstance(value, int | float) and question.kind == "offset":
            answers[question.name] = format_offset(value, lengths)
    return Form.filled(kind.questions_later, answers)


def altered(kind: Kind, thing: Thing, shown: Form, answers: dict[str, Any]) -> Data:
    """What differs from the form as it was shown; what was emptied goes back to the usual."""
    _, before = Form.read(kind.questions_later, Posted("", shown.typed))
    for leader, followers in kind.follows.items():
        if answers.get(leader) != before.get(leader):
            for name in followers:
                if answers.get(name) == before.get(name):
                    answers.pop(name, None)
    was, now = kind.to_data(before), kind.to_data(answers)
    data = {
        name: _overlaid(getattr(thing, name), was.get(name), value)
        for name, value in now.items()
        if value != was.get(name)
    }
    for name in was.keys() - now.keys():
        usual = kind.model.model_fields[name]
        data[name] = None if usual.is_required() else usual.get_default()
    return data


def _overlaid(there: Any, was: Any, now: Any) -> Any:
    """A part with what was altered in it; what was left as it was shown keeps all its digits."""
    if not (isinstance(there, BaseModel) and isinstance(was, dict) and isinstance(now, dict)):
        return now
    return {
        name: _overlaid(getattr(there, name), was.get(name), value)
        if isinstance(value, dict) or value != was.get(name)
        else getattr(there, name)
        for name, value in now.items()
    }


def written(form: Form, write: Callable[[], Result]) -> Result | None:
    """What the desk wrote; None when it would not, and then the form says why."""
    try:
        return write()
    except StillroomError as error:
        form.blame(error)
        return None


def accepted(form: Form, kind: Kind, data: Data) -> Thing | None:
    """The thing these data make; None when the document does not take them: the form says why."""
    if form.ok:
        try:
            return kind.model.model_validate(data)
        except ValidationError as error:
            form.blame(error)
    return None
