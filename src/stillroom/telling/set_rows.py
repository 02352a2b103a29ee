"""Rows of the set list: places to stop at, values a hand adjusts, the wheel of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Lengths = Literal["metric", "imperial"]
State = Literal["same", "changed", "yours"]


@dataclass(frozen=True, slots=True)
class Choice:
    """One value on a wheel."""

    value: str
    figure: str
    is_now: bool
    is_planned: bool
    is_f: bool = False
    knob: str = ""
    """The knob it turns, where a wheel holds several."""


@dataclass(frozen=True, slots=True)
class Value:
    """One value a hand adjusts."""

    knob: str
    title: str
    figure: str
    caption: str
    state: State
    choices: tuple[Choice, ...]
    is_f: bool = False
    is_pairs: bool = False
    """Whether the wheel holds pairs of on and off."""
    is_wide: bool = False
    """Whether its values are words, not figures."""
    typed_hint: str = ""
    """What may be typed instead, in studio light; empty where the wheel has everything."""


@dataclass(frozen=True, slots=True)
class Row:
    """One place to stop at."""

    title: str
    values: tuple[Value, ...]
    why: str
    state: State
