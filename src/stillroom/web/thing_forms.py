"""Forms about one thing: as it stands, what was altered, whether the book takes it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pydantic import ValidationError
from starlette.requests import Request

from stillroom.documents.thing import Thing
from stillroom.errors import StillroomError
from stillroom.telling.words import tape
from stillroom.web.forms import Form, Posted
from stillroom.web.page import lengths_of
from stillroom.web.views.kit_kind import Data, Kind

Result = TypeVar("Result")


def as_it_stands(request: Request, kind: Kind, thing: Any) -> Form:
    """The form as it is shown before anybody types, lengths in the reader's units."""
    answers = kind.to_answers(thing)
    for question in kind.typed:
        if question.kind == "length" and question.name in answers:
            answers[question.name] = tape(answers[question.name], lengths_of(request))
    return Form.filled(kind.questions_later, answers)


def altered(kind: Kind, shown: Form, answers: dict[str, Any]) -> Data:
    """What differs from the form as it was shown; what was emptied goes back to the usual."""
    _, before = Form.read(kind.questions_later, Posted("", shown.typed))
    for leader, followers in kind.follows.items():
        if answers.get(leader) != before.get(leader):
            for name in followers:
                if answers.get(name) == before.get(name):
                    answers.pop(name, None)
    was, now = kind.to_data(before), kind.to_data(answers)
    data = {name: value for name, value in now.items() if value != was.get(name)}
    for name in was.keys() - now.keys():
        usual = kind.model.model_fields[name]
        data[name] = None if usual.is_required() else usual.get_default()
    return data


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
