"""A library of ways to set one sheet, each with its chance of missing in every state."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.advice.odds import Table
from stillroom.exposure import BareSettings
from stillroom.quantity import FloatArray

MOST_TURNS = 8
LEAST_GAIN = 1e-6
PAIRED = 300
"""Of the ways that land likeliest by themselves so many are tried in pairs."""


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


class Library:
    """Ways to set one sheet, each with its chance of missing state by state.

    Parameters
    ----------
    tables : sequence of Table
        The same states for each place in a set: what the baths have lost by then differs.
    base : BareSettings
        The best single sheet.
    roles : sequence of str
        Dials that may be turned.
    is_exact : bool
        Whether chances are worked out exactly, or quickly.
    """

    def __init__(
        self, tables: Sequence[Table], base: BareSettings, roles: Sequence[str], *, is_exact: bool
    ) -> None:
        self._tables, self._base, self._roles = tables, base, roles
        self._missing = self._exactly if is_exact else self._nearly
        self.ways: list[Way] = []
        self.at: dict[Way, int] = {}
        self.misses = np.empty((len(tables), 0, tables[0].states.count))
        """By place in a set, way and state."""

    def add(self, ways: Iterable[Way]) -> None:
        """Work out those that are not in it yet."""
        new = [way for way in dict.fromkeys(ways) if way not in self.at]
        if not new:
            return
        fresh = np.array([self._missing(table, new) for table in self._tables])
        self.misses = np.concatenate([self.misses, fresh], axis=1)
        for way in new:
            self.at[way] = len(self.ways)
            self.ways.append(way)

    def _exactly(self, table: Table, ways: Sequence[Way]) -> FloatArray:
        made = [self.settings(way) for way in ways]
        deviations = [table.deviations(table.light(s), table.gains(s)) for s in made]
        return 1 - table.landing_by_state(np.concatenate(deviations))

    def _nearly(self, table: Table, ways: Sequence[Way]) -> FloatArray:
        """The same, quick: dials run off by as much as where the best single sheet has them."""
        gains = np.concatenate([table.gains(self.settings(way)) for way in ways])
        missing = np.empty((len(ways), table.states.count))
        cameras: dict[tuple[float, int, float], list[int]] = {}
        for i, way in enumerate(ways):
            cameras.setdefault((way.f_number, way.pops, way.seconds), []).append(i)
        for (f_number, pops, seconds), rows in cameras.items():
            made = replace(self._base, f_number=f_number, pops=pops, seconds=seconds)
            deviation = table.deviations(table.light(made), gains[rows])
            missing[rows] = 1 - table.quick_landing(deviation)
        return missing

    def settings(self, way: Way) -> BareSettings:
        """One way as settings."""
        dials = {**self._base.dial_stops, **dict(zip(self._roles, way.dials, strict=True))}
        return BareSettings(dials, way.f_number, way.pops, way.seconds)

    def p_any(self, picked: Sequence[int]) -> float:
        """Chance that one of the picked ones lands, made in this order."""
        return float(1 - self.missed(picked).prod(axis=0).mean())

    def missed(self, picked: Sequence[int]) -> FloatArray:
        """Chance of each of the picked ones to miss (picked, states), made in this order."""
        return np.asarray(self.misses[np.arange(len(picked)), list(picked)])

    def best_sets(self, most: int, allowed: IntArray) -> dict[int, tuple[int, ...]]:
        """Of two ways, three ... up to `most`, the set of which one lands likeliest.

        Pairs are all tried; larger sets grow from the best pair and by turns, and by turns
        alone from the first way, which is the best single one.
        """
        likely = allowed[np.argsort(self.misses[0, allowed].mean(axis=1))[:PAIRED]]
        both_miss = self.misses[0, likely] @ self.misses[1, likely].T
        i, j = np.unravel_index(int(both_miss.argmin()), both_miss.shape)
        pair = (int(likely[i]), int(likely[j]))
        found = {}
        for count in range(2, most + 1):
            starts = ((0,) * count, (*pair, *(0,) * (count - 2)))
            found[count] = max((self.picked(s, allowed) for s in starts), key=self.p_any)
        return found

    def picked(self, start: Sequence[int], allowed: IntArray) -> tuple[int, ...]:
        """From `start`, each in its place changed for the best allowed one until none helps."""
        chosen, states = list(start), self.misses.shape[2]
        misses = self.misses[: len(chosen), allowed]
        for _ in range(MOST_TURNS):
            before = list(chosen)
            for i in range(len(chosen)):
                others = np.delete(self.missed(chosen), i, axis=0).prod(axis=0)
                all_miss = misses[i] @ others / states
                k = int(all_miss.argmin())
                now = float(self.misses[i, chosen[i]] @ others) / states
                if all_miss[k] < now - LEAST_GAIN:
                    chosen[i] = int(allowed[k])
            if chosen == before:
                break
        return tuple(chosen)
