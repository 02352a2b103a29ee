"""Where the figure of each line of a map stands: on the line, clear of all others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from stillroom.quantity import FloatArray

_EVERY_DAYS = 4
_ENOUGH_PX = 36.0
_STEEPEST_PX = 20.0


class _Screen(NamedTuple):
    """A size at which the map is looked at, and what a label takes there [px]."""

    width: float
    height: float
    label_width: float
    label_height: float


# A phone of 390 px and a laptop of 1440 px, less what stands beside the map.
_NARROW = _Screen(300, 330, 40, 17)
_WIDE = _Screen(1240, 560, 46, 18)


@dataclass(frozen=True, slots=True)
class Label:
    """The figure of one line, where it stands in percent of the map."""

    level: float
    x: float
    y: float
    is_wide: bool
    """Whether there is room for it on a wide screen only."""


class _Branch(NamedTuple):
    """One line as the day of the year goes on: its level, and where it crosses each day [1]."""

    level: float
    y: FloatArray


def labels_of(
    values: FloatArray,
    rows_high: float,
    levels: Sequence[float],
    drawn: Sequence[float],
) -> tuple[Label, ...]:
    """Find a place for the figure of each line.

    Parameters
    ----------
    values : FloatArray
        Times by days [any].
    rows_high : float
        Height of the map in rows of `values` [1].
    levels : sequence of float
        Levels to be labelled, the most needed first [unit of `values`].
    drawn : sequence of float
        Levels whose lines are seen; the others are seen one at a time.

    Returns
    -------
    tuple of Label
        One for each level that some day crosses and that has room; the first always has one.
    """
    branches = [b for level in levels for b in _branches(values, level, rows_high)]
    placed: list[Label] = []
    for nth, level in enumerate(levels):
        own = [b for b in branches if b.level == level]
        others = [b.y for b in branches if b.level != level and b.level in drawn]
        found = _place(own, others, placed, _NARROW) or _place(own, others, placed, _WIDE)
        if found is None and (nth == 0 or level not in drawn):
            found = _place(own, others, placed, _WIDE, must=True)
        if found is not None:
            placed.append(found)
    return tuple(placed)


def _branches(values: FloatArray, level: float, rows_high: float) -> list[_Branch]:
    """Where each day first falls to a level, and where it last rises above it."""
    below = values <= level
    any_day = below.any(axis=0)
    days = np.arange(values.shape[1])
    first, last = np.argmax(below, axis=0), len(values) - 1 - np.argmax(below[::-1], axis=0)
    found = []
    for at, to in ((first, first - 1), (last, last + 1)):
        is_inside = any_day & (to >= 0) & (to < len(values))
        over = np.clip(to, 0, len(values) - 1)
        here, there = values[at, days], values[over, days]
        with np.errstate(divide="ignore", invalid="ignore"):
            row = at + (to - at) * (level - here) / (there - here)
        y = np.where(is_inside, row / rows_high, math.nan)
        found.append(_Branch(level, y))
    return found


def _place(
    own: Sequence[_Branch],
    others: Sequence[FloatArray],
    placed: Sequence[Label],
    screen: _Screen,
    *,
    must: bool = False,
) -> Label | None:
    best: tuple[float, Label] | None = None
    for nth, branch in enumerate(own):
        rest = [*others, *(b.y for b in own if b is not branch)]
        days = np.arange(0, len(branch.y), _EVERY_DAYS)
        score = _scores(branch.y, rest, days, placed, screen, must=must)
        at = int(np.argmax(score))
        # At equal room the afternoon, the second of the two, has it.
        worth = float(score[at]) + 0.05 * nth
        if math.isfinite(worth) and (best is None or worth > best[0]):
            day = int(days[at])
            label = Label(
                level=branch.level,
                x=round(100 * (day + 0.5) / len(branch.y), 2),
                y=round(100 * float(branch.y[day]), 2),
                is_wide=screen is _WIDE,
            )
            best = (worth, label)
    return best[1] if best else None


def _scores(
    y: FloatArray,
    rest: Sequence[FloatArray],
    days: np.ndarray[tuple[int], np.dtype[np.intp]],
    placed: Sequence[Label],
    screen: _Screen,
    *,
    must: bool,
) -> FloatArray:
    """How good each day is as a place; minus infinity where there is no room."""
    count = len(y)
    half = max(1, round(screen.label_width / 2 / screen.width * count))
    at = y[days] * screen.height
    sides = [np.clip(days + by, 0, count - 1) for by in (-half, 0, half)]
    room = np.full(len(days), _ENOUGH_PX)
    for other in rest:
        for side in sides:
            room = np.fmin(room, np.abs(other[side] * screen.height - at))
    slope = np.zeros(len(days))
    for side in sides:
        slope = np.fmax(slope, np.abs(y[side] * screen.height - at))
    edge = np.minimum(at, screen.height - at)
    has_room = (room >= screen.label_height * 0.65) & (slope <= _STEEPEST_PX)
    is_free = np.isfinite(at) & (edge >= screen.label_height / 2)
    is_free &= (days >= half) & (days < count - half)
    for label in placed:
        x_px = np.abs((days + 0.5) / count - label.x / 100) * screen.width
        y_px = np.abs(at - label.y / 100 * screen.height)
        has_room &= ~((x_px < screen.label_width) & (y_px < screen.label_height))
    score = room / _ENOUGH_PX - slope / _STEEPEST_PX
    fits = has_room & is_free
    if must:
        fits = is_free if is_free.any() else np.isfinite(at)
    return np.where(fits, score, -math.inf)
