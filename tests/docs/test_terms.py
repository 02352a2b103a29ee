"""Every number a public function takes is explained, with its unit, in docs/terms.md."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import re
from pathlib import Path

import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "terms.md").read_text(encoding="utf-8")
ROOMS = (
    *("quantity", "light", "camera", "sitter", "paper"),
    *("wetline", "wetline.chemistry", "wetline.day"),
)
NUMBERS = re.compile(r"\b(?:float|int)\b|FloatArray")
EXPLAINED = set(re.findall(r"`(\w+)`", PAGE))
PLAIN = {"axis", "places", "holder_sides"}  # counts that mean what they say


def numbers_of(room: str) -> set[str]:
    """Names of the numbers that the public functions and classes of a room take."""
    module = importlib.import_module(f"stillroom.{room}")
    public = [getattr(module, name) for name in module.__all__]
    return {
        parameter.name
        for thing in public
        if inspect.isfunction(thing)
        or (inspect.isclass(thing) and dataclasses.is_dataclass(thing))
        for parameter in inspect.signature(thing).parameters.values()
        if NUMBERS.search(str(parameter.annotation))
    }


@pytest.mark.parametrize("room", ROOMS)
def test_every_number_is_explained(room: str) -> None:
    numbers = numbers_of(room)
    assert numbers
    assert numbers <= EXPLAINED | PLAIN, sorted(numbers - EXPLAINED - PLAIN)


def test_nothing_is_explained_that_is_gone() -> None:
    known = set().union(*(numbers_of(room) for room in ROOMS))
    assert known >= EXPLAINED, sorted(EXPLAINED - known)
