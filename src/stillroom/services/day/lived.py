"""A day lived many times over: when it is through, who comes when, how long they stay."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.quantity import FloatArray
from stillroom.services.day.asked import Ground
from stillroom.services.day.line import FIGURES, DayLine, Times, day_line
from stillroom.services.day.sheets import (
    Whose,
    came_s,
    comings,
    done_s,
    exposed_before,
    stayed_s,
)
from stillroom.wetline.day import Between, Coming, Line, quick

SEED = 20
"""The same question has the same answer."""
BOOKED_DAYS, LIVED_DAYS, OTHER_DAYS = 24, 60, 24
FIVE_MIN_S = 300
MOST_DRAWN = 400
EYE_TIMES = Between(0.75, 1.6)
"""Baths that end by eye against their planned time, nine days in ten: invented, within the
customary ranges of bleach and clear."""


@dataclass(frozen=True, slots=True)
class Sitters:
    """Who comes, and how they are worked with.

    Parameters
    ----------
    count : int
        Sitters.
    each : int
        Sheets carried for each.
    p_lands : float
        Chance that one sheet lands.
    together, by_turns : int
        As asked.
    """

    count: int
    each: int
    p_lands: float
    together: int
    by_turns: int

    def used(self, rng: np.random.Generator) -> list[int]:
        """How many sheets each sitter takes until one lands, or there are no more."""
        # As many are always drawn, so that the same sitter has the same luck in a longer day.
        lands = rng.random((MOST_DRAWN, self.each))[: self.count] < self.p_lands
        first = np.where(lands.any(axis=1), lands.argmax(axis=1) + 1, self.each)
        whole = np.ceil(first / self.together) * self.together
        return [int(min(self.each, n)) for n in whole]


@dataclass(frozen=True, slots=True)
class Lived:
    """What came of the days: a row a day, a column a sitter."""

    done_s: FloatArray
    came_s: FloatArray
    stayed_s: FloatArray
    sheets: float
    """Used on average by all."""

    def finish_s(self, sitters: int) -> FloatArray:
        """When so many sitters' sheets are through, day by day [s]."""
        return np.asarray(self.done_s[:, :sitters].max(axis=1))


def drawn_times(rng: np.random.Generator) -> Times:
    """What people and baths take on a day drawn by chance."""
    drawn = {name: figure.between.drawn(rng) for name, figure in FIGURES.items()}
    return Times(
        greet_min=drawn["greet"],
        pose_min=drawn["pose"],
        unload_min=drawn["unload"],
        read_min=drawn["read"],
        touch_s=drawn["touch"],
        fill_min=drawn["fill"],
        eye_times=EYE_TIMES.drawn(rng),
    )


def lived(
    ground: Ground, sitters: Sitters, days: int, asked_for_s: Sequence[int] | None = None
) -> Lived:
    """So many days with sitters.

    Parameters
    ----------
    ground : Ground
        What the day is planned on.
    sitters : Sitters
        Who comes.
    days : int
        How many days.
    asked_for_s : sequence of int, optional
        When each sitter is asked for [s]; left out: they come when the one before has gone.
    """
    rng = np.random.default_rng(SEED)
    done: list[list[int]] = []
    came: list[list[int]] = []
    stayed: list[list[int]] = []
    sheets = 0
    for _ in range(days):
        times = drawn_times(rng)
        day = day_line(ground, times, with_chair=True)
        coming, whose = _of(day, times, sitters, sitters.used(rng), asked_for_s)
        found = quick(day.line, coming)
        sheets += len(coming)
        done.append(done_s(found, whose, sitters.count))
        came.append(came_s(found, whose, sitters.count, times))
        stayed.append(stayed_s(found, whose, sitters.count, times, day.readable))
    done_at, came_at, stayed_for = (np.array(rows, dtype=float) for rows in (done, came, stayed))
    return Lived(done_at, came_at, stayed_for, sheets / days)


def _of(
    day: DayLine,
    times: Times,
    sitters: Sitters,
    used: Sequence[int],
    asked_for_s: Sequence[int] | None,
) -> tuple[list[Coming], list[Whose]]:
    return comings(
        day,
        times,
        used,
        together=sitters.together,
        by_turns=sitters.by_turns,
        asked_for_s=asked_for_s,
    )


def asked_for(ground: Ground, sitters: Sitters) -> list[int]:
    """When each sitter is asked for: the middle of days on which nobody waits [s].

    To five minutes, the first at the beginning; so far apart as was asked, where it was.
    """
    apart_min = ground.asked.every_min
    if apart_min is not None:
        return [round(60 * apart_min * n) for n in range(sitters.count)]
    middle = np.median(lived(ground, sitters, BOOKED_DAYS).came_s, axis=0)
    return [FIVE_MIN_S * round(float(m) / FIVE_MIN_S) for m in middle - middle[0]]


def lived_exposed(ground: Ground, count: int, days: int) -> FloatArray:
    """When sheets that were exposed before are through: a row a day, a column a sheet [s]."""
    rng = np.random.default_rng(SEED)

    def line() -> Line:
        return day_line(ground, drawn_times(rng), with_chair=False).line

    rows = [quick(line(), exposed_before(count)).starts_s for _ in range(days)]
    return np.array([[row[-1] for row in day] for day in rows], dtype=float)


def most_sitters(ground: Ground, sitters: Sitters, most: int) -> int:
    """How many sitters are worth trying: a little more than the hours could hold."""
    alone = lived(ground, Sitters(2, sitters.each, sitters.p_lands, sitters.together, 1), 8)
    apart_s = max(60.0, float(np.median(alone.came_s[:, 1] - alone.came_s[:, 0])))
    hours_s = (ground.ends - ground.begins).total_seconds()
    return max(1, min(most, 2 + math.ceil(1.2 * sitters.by_turns * hours_s / apart_s)))
