"""A library of ways to set one sheet, each with its chance of missing in every state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.advice.odds import Table
from stillroom.belief import window
from stillroom.exposure import BareSettings
from stillroom.quantity import FloatArray

MOST_TURNS = 8
LEAST_GAIN = 1e-6


@dataclass(frozen=True, slots=True, order=True)
class Way:
    """What the search turns; the other dials stay as in the best single sheet."""

    f_number: float
    pops: int
    seconds: float
    dials: tuple[float, ...]

    def turned(self, other: Way, roles: Sequence[str]) -> frozenset[str]:
        """The knobs that stand otherwise."""
        knobs = {role for role, a, b in zip(roles, self.dials, other.dials, strict=True) if a != b}
        for knob, a, b in (
            ("stop", self.f_number, other.f_number),
            ("pops", self.pops, other.pops),
            ("seconds", self.seconds, other.seconds),
        ):
            if a != b:
                knobs.add(knob)
        return frozenset(knobs)


IntArray = NDArray[np.int64]
Judge = Callable[[Table, FloatArray], FloatArray]


def nearly(table: Table, deviation: FloatArray) -> FloatArray:
    """Odds state by state as of the region that misses likeliest: quick, a little too good."""
    scatter = np.hypot(table.states.sheet_sd, table.region_sd)[:, None]
    return np.asarray(window(deviation, table.aims.tol, scatter).min(axis=2))


class Library:
    """Ways to set one sheet, each with its chance of missing state by state."""

    def __init__(
        self, table: Table, base: BareSettings, roles: Sequence[str], judge: Judge
    ) -> None:
        self._table, self._base, self._roles, self._judge = table, base, roles, judge
        self.ways: list[Way] = []
        self.at: dict[Way, int] = {}
        self.misses = np.empty((0, table.states.count))

    def add(self, ways: Iterable[Way]) -> None:
        """Work out those that are not in it yet."""
        new = [way for way in dict.fromkeys(ways) if way not in self.at]
        if not new:
            return
        gains = np.concatenate([self._table.gains(self.settings(way)) for way in new])
        missing = np.empty((len(new), self._table.states.count))
        cameras: dict[tuple[float, int, float], list[int]] = {}
        for i, way in enumerate(new):
            cameras.setdefault((way.f_number, way.pops, way.seconds), []).append(i)
        for rows in cameras.values():
            light = self._table.light(self.settings(new[rows[0]]))
            deviation = self._table.deviations(light, gains[rows])
            missing[rows] = 1 - self._judge(self._table, deviation)
        for way in new:
            self.at[way] = len(self.ways)
            self.ways.append(way)
        self.misses = np.concatenate([self.misses, missing])

    def settings(self, way: Way) -> BareSettings:
        """One way as settings."""
        dials = {**self._base.dial_stops, **dict(zip(self._roles, way.dials, strict=True))}
        return BareSettings(dials, way.f_number, way.pops, way.seconds)

    def p_any(self, picked: Sequence[int]) -> float:
        """Chance that one of the picked ones lands."""
        return float(1 - self.misses[list(picked)].prod(axis=0).mean())

    def picked(self, start: Sequence[int], allowed: IntArray) -> tuple[int, ...]:
        """From `start`, each in its place changed for the best allowed one until none helps."""
        chosen, states = list(start), self.misses.shape[1]
        misses = self.misses[allowed]
        for _ in range(MOST_TURNS):
            before = list(chosen)
            for i in range(len(chosen)):
                others = self.misses[chosen[:i] + chosen[i + 1 :]].prod(axis=0)
                all_miss = misses @ others / states
                k = int(all_miss.argmin())
                if all_miss[k] < float(self.misses[chosen[i]] @ others) / states - LEAST_GAIN:
                    chosen[i] = int(allowed[k])
            if chosen == before:
                break
        return tuple(chosen)
