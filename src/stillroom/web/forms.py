"""Forms: what was typed, read into values; what is wrong, said at its own field.

A page lists its `Field`s once. `Form.read` turns a post into values and keeps what was typed, so
that a form that comes back looks as it was sent, with the fields to put right marked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, Any, Literal, get_args, get_origin

from fastapi import Depends
from pydantic import BaseModel, ValidationError
from starlette.requests import Request

from stillroom.documents.read import sentence_for
from stillroom.errors import BadValue, OutOfRange, StillroomError, in_range
from stillroom.light.daylight import Place
from stillroom.quantity import NINE_IN_TEN, parse_length_m, parse_offset_m
from stillroom.quantity.compass import parse_bearing_deg, parse_latitude_deg, parse_longitude_deg
from stillroom.telling.words import figure

Kind = Literal[
    "text",
    "note",
    "number",
    "whole",
    "range",
    "length",
    "offset",
    "f_number",
    "latitude",
    "longitude",
    "direction",
    "zone",
    "figures",
    "choice",
    "many",
    "tick",
]
FORM_ID = "form_id"
_LENGTHS = ("length", "offset")
_MINUS = str.maketrans({"−": "-", "–": "-", " ": "", "\u202f": "", "\u00a0": ""})
_F_NUMBER = re.compile(r"(?i)^f\s*[/⁄.]?\s*")


@dataclass(frozen=True, slots=True)
class Field:
    """One question of a form.

    Parameters
    ----------
    name : str
        Name in the post and in the values.
    label : str
        What stands above it.
    kind : Kind
        How an answer is read. Lengths are typed in any wording and read in metres, an offset may
        be nothing or go the other way; a range is typed as the half width that holds nine in ten
        and read as a standard uncertainty.
    unit : str
        Unit of a number, shown behind it.
    low, high : float, optional
        Allowed range, shown and enforced [in `unit`; metres for a length].
    choices : tuple of (value, label) or (value, label, explanation)
        For ``choice`` and ``many``.
    required : bool
        Whether it may be left empty; an empty optional field has no value at all.
    hint : str
        One short line under the label, before the range.
    start : str
        What stands in it before anybody typed.
    when : tuple of (name, value), optional
        The answer to another question that it goes with; without that answer it is not asked,
        and what was typed in it is kept and not read.
    unless : str
        The question that answers it too: with that one filled in, it may be left empty.
    together : tuple of str
        Questions that go together: with one of them filled in, none may be left empty.
    suggestions : tuple of str
        What may be picked instead of typed.
    part : str
        The heading it stands under.
    """

    name: str
    label: str
    kind: Kind = "text"
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[tuple[str, ...], ...] = ()
    required: bool = False
    hint: str = ""
    start: str = ""
    when: tuple[str, str] | None = None
    unless: str = ""
    together: tuple[str, ...] = ()
    suggestions: tuple[str, ...] = ()
    part: str = ""

    @property
    def must_be_filled(self) -> bool:
        """Whether no other answer can make it superfluous."""
        return self.required and self.when is None and not self.unless

    @property
    def range_text(self) -> str:
        """Allowed range as a hint."""
        if self.low is None or self.high is None:
            return ""
        unit = "m" if self.kind in _LENGTHS else self.unit
        if self.kind == "range":
            return f"nine in ten within this; {figure(self.low)} to {figure(self.high)} {unit}"
        return f"{figure(self.low)} to {figure(self.high)}{f' {unit}' if unit else ''}"

    def of(self, model: type[BaseModel], name: str | None = None) -> Field:
        """Return the same question with the range the document allows."""
        low, high = limits(model, name or self.name)
        if self.kind == "range" and high is not None:
            high *= NINE_IN_TEN
        return replace(self, low=low, high=high)


@dataclass(frozen=True, slots=True)
class Posted:
    """A form as it came in."""

    form_id: str
    answers: Mapping[str, tuple[str, ...]]

    def one(self, name: str, default: str = "") -> str:
        """First answer to `name`, stripped."""
        return self.answers.get(name, (default,))[0].strip()

    def many(self, name: str) -> tuple[str, ...]:
        """Every answer to `name`."""
        return self.answers.get(name, ())


async def _posted(request: Request) -> Posted:
    form = await request.form(max_files=0, max_fields=400)
    answers: dict[str, tuple[str, ...]] = {
        name: tuple(str(value) for value in form.getlist(name)) for name in form
    }
    return Posted(form_id=answers.get(FORM_ID, ("",))[0], answers=answers)


FormPost = Annotated[Posted, Depends(_posted)]
"""Declare a route's parameter as this to get the posted form."""


@dataclass(slots=True)
class Form:
    """A form on a page: its questions, what stands in them and what is wrong with it."""

    fields: tuple[Field, ...]
    typed: dict[str, tuple[str, ...]] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    general: str = ""

    @classmethod
    def filled(cls, fields: Sequence[Field], values: Mapping[str, Any] | None = None) -> Form:
        """Form before anybody typed: `values` first, else where each field starts."""
        given = values or {}
        return cls(tuple(fields), {f.name: _as_typed(given.get(f.name), f) for f in fields})

    @classmethod
    def read(cls, fields: Sequence[Field], post: Posted) -> tuple[Form, dict[str, Any]]:
        """Return the form as it was typed, faults and all, and the values that could be read."""
        form = cls(tuple(fields), {f.name: post.many(f.name) or ("",) for f in fields})
        values: dict[str, Any] = {}
        for question in fields:
            if question.when is not None and post.one(question.when[0]) != question.when[1]:
                continue
            try:
                value = _read(question, post)
            except StillroomError as error:
                form.faults[question.name] = str(error)
            else:
                if value is not None:
                    values[question.name] = value
        return form, values

    def one(self, name: str) -> str:
        """What stands in a field."""
        return self.typed.get(name, ("",))[0]

    def has(self, name: str, value: str) -> bool:
        """Whether `value` is among what was chosen."""
        return value in self.typed.get(name, ())

    def blame(self, error: StillroomError | ValidationError) -> None:
        """Lay an error of the document or the desk at the field it speaks of, if there is one."""
        if isinstance(error, ValidationError):
            inmost_first = error.errors(include_url=False)[0]["loc"][::-1]
            asked = {question.name for question in self.fields}
            where = next((str(part) for part in inmost_first if part in asked), "")
            self._lay(where, sentence_for(error))
        else:
            self._lay(error.name if isinstance(error, BadValue) else "", str(error))

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong so far."""
        return not self.faults and not self.general

    @property
    def summary(self) -> str:
        """One clear sentence for the top of the page."""
        sentences = [*([self.general] if self.general else []), *self.faults.values()]
        if len(sentences) <= 1:
            return "".join(sentences)
        return f"{len(sentences)} things to put right. The first: {sentences[0]}"

    def _lay(self, name: str, sentence: str) -> None:
        if any(question.name == name for question in self.fields):
            self.faults.setdefault(name, sentence)
        elif not self.general:
            self.general = sentence


def limits(model: type[BaseModel], name: str) -> tuple[float | None, float | None]:
    """Range a document allows for one of its numbers, so that no page states it again."""
    info = model.model_fields[name]
    low: float | None = None
    high: float | None = None
    for bound in [*info.metadata, *_metadata(info.annotation)]:
        for edge in ("ge", "gt"):
            low = _edge(bound, edge, low)
        for edge in ("le", "lt"):
            high = _edge(bound, edge, high)
    return low, high


def number(label: str, text: str) -> float:
    """Read a number as people type it: decimal comma, thin spaces, a true minus, a fraction.

    >>> number("Energy", "1 200"), number("Loss", "−2,05"), number("Open", "1/8")
    (1200.0, -2.05, 0.125)
    """
    cleaned = text.translate(_MINUS).replace(",", ".")
    above, bar, below = cleaned.partition("/")
    try:
        value = float(above) / float(below) if bar else float(cleaned)
    except (ValueError, ZeroDivisionError):
        raise BadValue(label, text, "not a number; write it in figures, such as 5.6") from None
    return value


def f_number(label: str, text: str) -> float:
    """Read an f-number, with or without its f.

    >>> f_number("Widest", "f/5.6"), f_number("Widest", "5,6")
    (5.6, 5.6)
    """
    return number(label, _F_NUMBER.sub("", text.strip()))


def _read(question: Field, post: Posted) -> Any:
    text = post.one(question.name)
    if question.kind == "tick":
        return bool(text)
    if question.kind == "many":
        return tuple(_chosen(question, value) for value in post.many(question.name) if value)
    if not text:
        if any(post.one(name) for name in question.together):
            raise BadValue(question.label, "", "it is needed with the others; fill it in")
        if question.required and not (question.unless and post.one(question.unless)):
            raise BadValue(question.label, "", "it is needed; fill it in")
        return None
    reader = _READERS.get(question.kind)
    return text if reader is None else reader(question, text)


def _number(question: Field, text: str) -> float:
    return _in_range(question, number(question.label, text))


def _whole(question: Field, text: str) -> int:
    value = _number(question, text)
    if not value.is_integer():
        raise BadValue(question.label, text, "give a whole number")
    return int(value)


def _range(question: Field, text: str) -> float:
    return _number(question, text.lstrip("±")) / NINE_IN_TEN


def _parsed(parse: Callable[[str], float]) -> Callable[[Field, str], float]:
    """A reader of one way of writing; what it refuses is said of the question."""

    def read(question: Field, text: str) -> float:
        try:
            value = parse(text)
        except OutOfRange as error:
            raise OutOfRange(question.label, text, error.low, error.high, error.unit) from None
        except BadValue as error:
            raise BadValue(question.label, text, error.reason) from None
        return _in_range(question, value)

    return read


def _zone(question: Field, text: str) -> str:
    try:
        return Place(0.0, 0.0, text).zone
    except BadValue as error:
        raise BadValue(question.label, text, error.reason) from None


def _f_number(question: Field, text: str) -> float:
    return _in_range(question, f_number(question.label, text))


def _figures(question: Field, text: str) -> tuple[float, ...]:
    marks = [part for part in re.split(r"[;\s]+|,\s+", text) if part]
    return tuple(_in_range(question, f_number(question.label, mark)) for mark in marks)


def _chosen(question: Field, text: str) -> str:
    known = [choice[0] for choice in question.choices]
    if text not in known:
        raise BadValue(question.label, text, f"choose one of: {', '.join(known)}")
    return text


_READERS: dict[Kind, Callable[[Field, str], Any]] = {
    "number": _number,
    "whole": _whole,
    "range": _range,
    "length": _parsed(parse_length_m),
    "offset": _parsed(parse_offset_m),
    "latitude": _parsed(parse_latitude_deg),
    "longitude": _parsed(parse_longitude_deg),
    "direction": _parsed(parse_bearing_deg),
    "zone": _zone,
    "f_number": _f_number,
    "figures": _figures,
    "choice": _chosen,
}


def _in_range(question: Field, value: float) -> float:
    if question.low is None or question.high is None:
        return value
    unit = "m" if question.kind in _LENGTHS else question.unit
    return in_range(question.label, value, question.low, question.high, unit)


def _as_typed(value: Any, question: Field) -> tuple[str, ...]:
    if value is None:
        return (question.start,)
    if question.kind == "range":
        return (figure(value * NINE_IN_TEN, 2),)
    if isinstance(value, bool):
        return ("on",) if value else ("",)
    if isinstance(value, str):
        return (value,)
    if isinstance(value, int | float):
        return (f"{value:g}",)
    return tuple(str(part) for part in value)


def _edge(bound: Any, name: str, known: float | None) -> float | None:
    value = getattr(bound, name, None)
    return float(value) if isinstance(value, int | float) else known


def _metadata(annotation: Any) -> list[Any]:
    found: list[Any] = []
    if get_origin(annotation) is Annotated:
        found.extend(part for extra in annotation.__metadata__ for part in _unpacked(extra))
    for part in get_args(annotation):
        if part is not annotation:
            found.extend(_metadata(part))
    return found


def _unpacked(extra: Any) -> list[Any]:
    return list(extra.metadata) if hasattr(extra, "metadata") else [extra]
