"""Reading documents: a strict JSON parse, then one sentence about the first thing wrong."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from typing import Any, NoReturn, TypeVar

from pydantic import BaseModel, ValidationError

from stillroom.documents.book import Book
from stillroom.documents.sentences import error_for, sentence_for
from stillroom.errors import BadDocument, shown

LARGEST_BYTES = 8_000_000
DEEPEST = 40
_EXACT_INTEGERS = 2.0**53  # every whole float below it is one whole number and no other
# Strings are passed over whole, also one that never ends: a pattern that tried again inside it
# would take the square of the length.
_BRACKETS = re.compile(r'"(?:[^"\\]|\\.)*+"?|[\[\]{}]', re.DOTALL)

__all__ = [
    "DEEPEST",
    "LARGEST_BYTES",
    "check_size",
    "error_for",
    "read_as",
    "read_book",
    "read_json",
    "sentence_for",
    "validated",
]

Model = TypeVar("Model", bound=BaseModel)


def check_size(size_bytes: int, name: str = "The document") -> None:
    """Refuse what is too large to be read, before it is read.

    Parameters
    ----------
    size_bytes : int
        Size of the file or text [byte].
    name : str
        What it is called in the message.

    Raises
    ------
    BadDocument
        If it is larger than 8 MB.

    Examples
    --------
    >>> check_size(120_000)
    """
    if size_bytes > LARGEST_BYTES:
        raise BadDocument(
            f"{name} is {size_bytes / 1e6:.1f} MB and at most {LARGEST_BYTES / 1e6:g} MB can be "
            "read: split it into several books."
        )


def read_json(text: str | bytes, name: str = "The document") -> Any:
    """Parse JSON as it is exchanged: nothing doubtful passes.

    Parameters
    ----------
    text : str or bytes
        The JSON text, UTF-8 where it is bytes, at most 8 MB.
    name : str
        What it is called in a message.

    Returns
    -------
    object
        What `json.loads` gives; whole numbers are integers however they were written.

    Raises
    ------
    BadDocument
        If the text is not JSON, repeats a name within one object, holds NaN, Infinity or a number
        too large for either, is nested deeper than 40, is larger than 8 MB or is not UTF-8.

    Examples
    --------
    >>> read_json('{"pops": 2.0}')
    {'pops': 2}
    """
    check_size(len(text), name)
    plain = _decoded(text, name)
    if not isinstance(text, bytes):
        check_size(len(plain.encode()), name)
    _check_depth(plain, name)

    def constant(word: str) -> NoReturn:
        raise BadDocument(f"{name} holds {word}: every number must be finite.")

    def number(digits: str) -> int | float:
        value = float(digits)
        if not math.isfinite(value):
            raise BadDocument(f"{name} holds {shown_number(digits)}: too large to be a number.")
        return int(value) if value.is_integer() and abs(value) < _EXACT_INTEGERS else value

    def whole(digits: str) -> int:
        if len(digits) > 300:
            raise BadDocument(f"{name} holds {shown_number(digits)}: too large to be a number.")
        return int(digits)

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(items)
        if len(found) != len(items):
            twice = Counter(key for key, _ in items).most_common(1)[0][0]
            raise BadDocument(f"{name} names {shown(twice)} twice in one place: keep one of them.")
        return found

    try:
        return json.loads(
            plain,
            parse_constant=constant,
            parse_float=number,
            parse_int=whole,
            object_pairs_hook=pairs,
        )
    except json.JSONDecodeError as error:
        raise BadDocument(
            f"{name} is not JSON: {error.msg.lower()} in line {error.lineno}, "
            f"column {error.colno}; put that place right."
        ) from None


def read_as(model: type[Model], text: str | bytes, name: str = "The document") -> Model:
    """Read one versioned document strictly: text is text and a number a number.

    Parameters
    ----------
    model : type
        The document's model; where it has a ``stillroom`` field, the version must be its default.
    text : str or bytes
        The JSON text.
    name : str
        What it is called in a message.

    Returns
    -------
    BaseModel
        The document.

    Raises
    ------
    BadDocument
        If the text cannot be read as a whole (see `read_json`) or has another version.
    BadValue
        If one named value cannot be used.

    Examples
    --------
    >>> read_as(Book, '{"stillroom": "book/1"}').papers
    ()
    """
    data = read_json(text, name)
    if not isinstance(data, dict):
        raise BadDocument(f"{name} is {_kind(data)}: it must be one JSON object.")
    if (field := model.model_fields.get("stillroom")) is not None:
        _check_version(data, field.default, name)
    try:
        return model.model_validate_json(json.dumps(data), strict=True)
    except ValidationError as error:
        raise error_for(error, data) from None


def read_book(text: str | bytes, name: str = "The document") -> Book:
    """Read the document of a whole book; names in it are checked by `check_references`.

    Parameters
    ----------
    text : str or bytes
        The JSON text, at most 8 MB.
    name : str
        What it is called in a message.

    Returns
    -------
    Book
        The book.

    Raises
    ------
    BadDocument
        If the text cannot be read as a whole or has another version.
    BadValue
        If one named value cannot be used.

    Examples
    --------
    >>> read_book('{"stillroom": "book/1", "kit": {}}').kit.lenses
    ()
    """
    return read_as(Book, text, name)


def validated(model: type[Model], data: object) -> Model:
    """Make a model of data that came from outside (a form), or say in one sentence why not.

    Parameters
    ----------
    model : type
        What to make.
    data : object
        A mapping of its fields; a number may come as text.

    Returns
    -------
    BaseModel
        The validated model.

    Raises
    ------
    BadValue
        If one named value cannot be used.
    BadDocument
        If the values do not go together.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise error_for(error, data) from None


def shown_number(digits: str) -> str:
    """A number as it was written, shortened."""
    return digits if len(digits) <= 30 else digits[:27] + "..."


def _decoded(text: str | bytes, name: str) -> str:
    if isinstance(text, bytes):
        try:
            plain = text.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise BadDocument(
                f"{name} is not UTF-8 text (byte {error.start + 1}): save it as UTF-8."
            ) from None
    else:
        plain = text.removeprefix("\ufeff")
    # A surrogate alone is no character: it can be parsed but neither stored nor printed.
    if re.search("[\ud800-\udfff]", plain) or (
        "\\u" in plain and re.search("[\ud800-\udfff]", _unescaped(plain))
    ):
        raise BadDocument(f"{name} holds half a character (a lone surrogate): take it out.")
    return plain


def _unescaped(plain: str) -> str:
    """Text with its JSON escapes of surrogates resolved; pairs become characters."""
    pairs = re.sub(
        r"\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}",
        "",
        plain.replace("\\\\", ""),
    )
    return re.sub(r"\\u[dD][89a-fA-F][0-9a-fA-F]{2}", "\ud800", pairs)


def _check_depth(plain: str, name: str) -> None:
    if plain.count("[") + plain.count("{") <= DEEPEST:
        return
    depth = 0
    for match in _BRACKETS.finditer(plain):
        mark = match[0]
        if mark in "[{":
            depth += 1
            if depth > DEEPEST:
                raise BadDocument(f"{name} is nested deeper than {DEEPEST}: make it flatter.")
        elif mark in "]}":
            depth -= 1


def _check_version(data: dict[str, Any], understood: str, name: str) -> None:
    if "stillroom" not in data:
        raise BadDocument(
            f"{name} does not say what it is: its field stillroom must be {understood!r}."
        )
    found = data["stillroom"]
    if found != understood:
        raise BadDocument(
            f"{name} says stillroom {shown(found)} and {understood!r} is understood here: "
            "write it again in that version, or use the Stillroom it was written for."
        )


def _kind(data: object) -> str:
    if data is None:
        return "empty (null)"
    for types, word in (((list,), "a list"), ((str,), "a text"), ((bool,), "true or false")):
        if isinstance(data, types):
            return word
    return "a number"
