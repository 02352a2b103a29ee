"""One sentence for the first thing that is wrong with a document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from stillroom.documents.base import Strict
from stillroom.errors import BadDocument, BadValue, StillroomError, shown

_ONE_OF = {
    "cameras": "camera",
    "lenses": "lens",
    "heads": "head",
    "lamps": "lamp",
    "modifiers": "modifier",
    "meters": "meter",
    "scanners": "scanner",
    "rooms": "room",
    "places": "place",
    "seats": "seat",
    "filters": "filter",
    "processes": "process",
    "steps": "step",
    "papers": "paper",
    "sitters": "sitter",
    "sittings": "sitting",
    "lights": "light",
    "sheets": "sheet",
    "readings": "reading",
    "strips": "strip",
    "meter_readings": "meter reading",
    "control_strips": "control strip",
    "sources": "source",
    "shared": "shared term",
    "aims": "aim",
    "regions": "region",
    "efforts": "effort",
}
_CALLED_BY = ("id", "number", "role", "name")


class _Missing:
    def __str__(self) -> str:
        return "missing"


def sentence_for(error: ValidationError, data: object = None) -> str:
    """One sentence on the first problem: field, value, allowed range and what to do.

    Parameters
    ----------
    error : ValidationError
        What the model said.
    data : object, optional
        What was validated; with it parts are called by their id or number, not their place.

    Returns
    -------
    str
        The sentence.
    """
    return str(error_for(error, data))


def error_for(error: ValidationError, data: object = None) -> StillroomError:
    """The first problem as one of the tool's own errors (see `sentence_for`).

    Parameters
    ----------
    error : ValidationError
        What the model said.
    data : object, optional
        What was validated.

    Returns
    -------
    BadValue or BadDocument
        A value that cannot be used, or parts that do not go together.
    """
    first = error.errors(include_url=False)[0]
    place, kind = list(first["loc"]), first["type"]
    model = _model_called(error.title)
    if place and place[-1] == "[key]":  # a name in a mapping, not what stands under it
        key = place[-2]
        return BadValue(f"a name in {_words(place[:-2], data, model)}", key, _NAME_RULE)
    where = _words(place, data, model)
    if kind == "missing":
        return BadValue(where, _Missing(), "it is needed; write it down")
    if kind == "extra_forbidden":
        known = _fields_of(model, place[:-1])
        choices = f"; known there: {', '.join(known)}" if known else ""
        return BadValue(where, first["input"], f"nothing there has that name{choices}")
    if kind in ("value_error", "assertion_error"):
        why = str(first.get("ctx", {}).get("error", first["msg"]))
        start = f"In {where}, {why}" if place else why[:1].upper() + why[1:]
        return BadDocument(f"{start}.")
    return BadValue(where, first["input"], _rule(first, model))


_NAME_RULE = (
    "a name takes 1 to 64 letters, digits, spaces and . _ / + -, the first a letter or digit"
)
_BOUNDS = ("greater_than", "greater_than_equal", "less_than", "less_than_equal")
_NUMBERS = ("float_type", "float_parsing", "finite_number")
_INTEGERS = ("int_type", "int_parsing", "int_from_float", "int_parsing_size")


_LIST = "give a list"
_OBJECT = "give an object with names and values"
_SENTENCES = {
    "literal_error": "choose {expected}",
    "string_pattern_mismatch": _NAME_RULE,
    "string_too_long": "write at most {max_length} characters",
    "string_too_short": "write at least {min_length} character",
    "string_type": "write a text",
    "too_long": "give at most {max_length} of them, not {actual_length}",
    "too_short": "give at least {min_length} of them",
    "bool_type": "write true or false",
    "bool_parsing": "write true or false",
    "tuple_type": _LIST,
    "list_type": _LIST,
    "dict_type": _OBJECT,
    "model_type": _OBJECT,
    "model_attributes_type": _OBJECT,
    "timezone_aware": "add the offset from universal time, such as +01:00",
}


def _rule(first: ErrorDetails, model: type[BaseModel] | None) -> str:
    kind, ctx = first["type"], first.get("ctx", {})
    if kind in _BOUNDS or kind in _NUMBERS or kind in _INTEGERS:
        schema = _schema_at(model, first["loc"])
        whole = kind in _INTEGERS or schema.get("type") == "integer"
        return f"give {'a whole number' if whole else 'a number'}{_range(schema, ctx)}"
    if kind in _SENTENCES:
        return _SENTENCES[kind].format(**ctx)
    if kind.startswith("datetime"):
        return "write the moment as 2026-11-14T10:30:00+00:00"
    return first["msg"][:1].lower() + first["msg"][1:]


def _range(schema: Mapping[str, Any], ctx: Mapping[str, Any]) -> str:
    low, high = schema.get("minimum", ctx.get("ge")), schema.get("maximum", ctx.get("le"))
    above = schema.get("exclusiveMinimum", ctx.get("gt"))
    below = schema.get("exclusiveMaximum", ctx.get("lt"))
    if low is not None and high is not None:
        return f" from {low:g} to {high:g}"
    limits = (("of at least", low), ("above", above), ("of at most", high), ("below", below))
    return " and".join(f" {word} {limit:g}" for word, limit in limits if limit is not None)


def _words(place: Sequence[str | int], data: object, model: type[BaseModel] | None) -> str:
    """A path from the inside out: ``distance_m of light 'key' of sitting 'om'``."""
    if not place:
        return "the document"
    parts: list[str] = []
    node, i = data, 0
    while i < len(place):
        step, after = str(place[i]), place[i + 1] if i + 1 < len(place) else None
        node = _child(node, place[i])
        if isinstance(after, int):  # a list and a place in it
            node = _child(node, after)
            parts.append(_item(step, after, node))
            i += 2
        elif after is not None and _is_mapping(_schema_at(model, place[: i + 1])):
            node = _child(node, after)
            parts.append(f"{_ONE_OF.get(step, step)} {shown(after)}")
            i += 2
        else:
            parts.append(step)
            i += 1
    return " of ".join(reversed(parts))


def _item(name: str, index: int, item: object) -> str:
    if name not in _ONE_OF:
        return f"number {index + 1} of {name}"
    if isinstance(item, Mapping):
        for key in _CALLED_BY:
            called = item.get(key)
            if isinstance(called, (str, int)) and called != "":
                return f"{_ONE_OF[name]} {shown(called)}"
    return f"{_ONE_OF[name]} no. {index + 1}"


def _is_mapping(schema: Mapping[str, Any]) -> bool:
    """Whether what stands under it are names somebody gave, not fields."""
    return schema.get("type") == "object" and "properties" not in schema


def _child(node: object, step: str | int) -> object:
    if isinstance(node, Mapping):
        return node.get(step)
    if isinstance(node, (list, tuple)) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


@lru_cache(maxsize=1)
def _models() -> dict[str, type[BaseModel]]:
    found: dict[str, type[BaseModel]] = {}
    waiting: list[type[BaseModel]] = [Strict]
    while waiting:
        model = waiting.pop()
        found[model.__name__] = model
        waiting += model.__subclasses__()
    return found


def _model_called(title: str) -> type[BaseModel] | None:
    if title not in _models():
        _models.cache_clear()  # a model defined since
    return _models().get(title)


@lru_cache(maxsize=64)
def _schema_of(model: type[BaseModel]) -> dict[str, Any]:
    return model.model_json_schema()


def _schema_at(model: type[BaseModel] | None, place: Sequence[str | int]) -> dict[str, Any]:
    """The JSON Schema of one field, empty where the path cannot be followed."""
    if model is None:
        return {}
    whole = _schema_of(model)
    node: dict[str, Any] = whole
    for step in place:
        found = _step_into(_resolved(node, whole), step)
        if not isinstance(found, dict):
            return {}
        node = found
    return _resolved(node, whole)


def _step_into(node: dict[str, Any], step: str | int) -> Any:
    if isinstance(step, int):
        items = node.get("prefixItems")
        return items[step] if items and step < len(items) else node.get("items", {})
    fields = node.get("properties", {})
    return fields[step] if step in fields else _under_any_name(node)


def _under_any_name(node: dict[str, Any]) -> Any:
    patterns = node.get("patternProperties", {})
    return next(iter(patterns.values()), node.get("additionalProperties", {}))


def _resolved(node: dict[str, Any], whole: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in node or "anyOf" in node:
        if "$ref" in node:
            node = whole["$defs"][node["$ref"].rsplit("/", 1)[1]]
        else:
            node = next((o for o in node["anyOf"] if o.get("type") != "null"), {})
    return node


def _fields_of(model: type[BaseModel] | None, place: Sequence[str | int]) -> Iterable[str]:
    return tuple(_schema_at(model, place).get("properties", {}))
