"""Thousands of ways to set another camera, tried on one table of light.

A rig is what stands there: heads, modifiers, a camera. Distance, pops, f-stop and open time only
scale the light of a source, so all of them are tried at once; heads that hang in one modifier
share a dial and add as light. Coarse trials use the mean loss of many pops and of long times;
what is kept is computed exactly, by the same table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from stillroom.advice.dials import Dials
from stillroom.advice.odds import Table
from stillroom.exposure import BareSettings
from stillroom.quantity import FloatArray

COARSE_STATES = 160
WITHIN_STOPS = 1.0
"""Trials whose middle state lies farther beyond a tolerance than this are given no odds."""
CLIMBS = 6
SHEET_EFFORT = 12.0
"""What a sheet that misses is worth in effort: a round of the trays and the paper (invented)."""
DEPTH_EFFORT = 10.0
"""What a stop of depth of field given away is worth in effort (invented)."""
HIRE_EFFORT = 12.0
"""What it takes to hire a head, besides carrying it (invented)."""
LEAST_ODDS = 0.01
EXCESS_LEAN = 0.01
"""A lean towards what comes nearer among coarse trials, per stop: odds of 0 are no guide."""


@dataclass(frozen=True, slots=True, eq=False)
class Knobs:
    """What is set in each candidate besides dials.

    Attributes
    ----------
    f_number, pops, seconds : FloatArray
        Exact f-number [1], pops [1] and open time of each pop [s], each (candidates,).
    moved_stops : FloatArray
        What other distances do to each source against how it stands in the layout
        (candidates, sources) [stops].
    """

    f_number: FloatArray
    pops: FloatArray
    seconds: FloatArray
    moved_stops: FloatArray

    @property
    def count(self) -> int:
        """How many candidates."""
        return len(self.f_number)


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """What came of the candidates.

    Attributes
    ----------
    dials : FloatArray
        Best dials (candidates, sources) [stops below full].
    p_lands : FloatArray
        Odds that all aimed regions land (candidates,); coarse.
    off_stops : FloatArray
        How far the middle state puts each aimed region from its aim (candidates, aimed) [stops].
    steady_share : FloatArray
        Share of steady light at each aimed region (candidates, aimed) [1].
    """

    dials: FloatArray
    p_lands: FloatArray
    off_stops: FloatArray
    steady_share: FloatArray


@dataclass(frozen=True, slots=True)
class Settled:
    """One candidate, its dials turned to the best by all states."""

    settings: BareSettings
    p_lands: float
    off_stops: tuple[float, ...]
    steady_share: tuple[float, ...]


class _AllDials(Dials):
    """Dials that are all turned, for on another camera none stands where it should."""

    def _choices(self) -> list[tuple[int, ...]]:
        return [self.free]


class Rig:
    """One set of things on the other camera.

    Parameters
    ----------
    table : Table
        What is believed, on the layout of these things.
    stood : mapping
        Role to where its dial stands now [stops below full].
    together : sequence of sequences of str
        Roles whose heads hang in one modifier and share a dial; all others turn alone.
    locks : collection of str
        Roles whose dial stays.
    """

    def __init__(
        self,
        table: Table,
        stood: Mapping[str, float],
        together: Sequence[Sequence[str]] = (),
        locks: frozenset[str] = frozenset(),
    ) -> None:
        self.table = table
        self.layout = table.layout
        self.roles = self.layout.roles
        self._stood = np.array([stood.get(role, 0.0) for role in self.roles])
        self._groups = self._grouped(together)
        self._locks = locks
        self._reference = BareSettings(
            {r: float(s) for r, s in zip(self.roles, self._stood, strict=True)}, 1.0, 1, 1.0
        )
        self._coarse = table.thinned(COARSE_STATES)

    def _grouped(self, together: Sequence[Sequence[str]]) -> list[list[int]]:
        groups: list[list[int]] = []
        done: set[int] = set()
        for j, role in enumerate(self.roles):
            if j in done:
                continue
            mates = next((set(g) for g in together if role in g), {role})
            group = [i for i, r in enumerate(self.roles) if r in mates]
            done |= set(group)
            groups.append(group)
        return groups

    @cached_property
    def _light(self) -> FloatArray:
        return self._coarse.light(self._reference)

    @cached_property
    def _centre(self) -> FloatArray:
        return np.asarray(np.exp2(np.log2(self._light).mean(axis=0)))

    @cached_property
    def _dials(self) -> Dials:
        """One scale for each group: that of its first head."""
        scales = []
        for group in self._groups:
            role = self.roles[group[0]]
            scale = self.layout.dials.get(role)
            if scale is None or role in self._locks:
                scales.append(np.array([self._stood[group[0]] if scale is not None else 0.0]))
            else:
                scales.append(scale.steps())
        stood = np.array([self._stood[group[0]] for group in self._groups])
        return _AllDials(scales, stood)

    def _shifts(self, knobs: Knobs) -> FloatArray:
        """What the knobs do to each source against f/1, one pop and 1 s (candidates, sources)."""
        theta, index = self._coarse.states.theta, self.layout.index
        pop_loss = float(theta[:, index["kit/pop_loss"]].mean())
        lost = float(theta[:, index["kit/reciprocity"]].mean())
        stop = -2 * np.log2(knobs.f_number)
        log_t = np.log2(knobs.seconds * knobs.pops)
        by_kind = {
            "flash": stop + (1 - pop_loss) * np.log2(knobs.pops),
            "continuous": stop + log_t - lost * np.maximum(log_t, 0.0),
            "veil": np.zeros(knobs.count),
        }
        columns = [by_kind[source.kind] for source in self.layout.sitting.sources]
        return np.stack(columns, axis=1) + knobs.moved_stops

    # ---- thousands at once ----------------------------------------------------------------

    def tried(self, knobs: Knobs) -> Tried:
        """Turn the dials of every candidate to the middle state's best, and give its odds.

        Parameters
        ----------
        knobs : Knobs
            The candidates.
        """
        shifts = self._shifts(knobs)
        target = self._coarse.target.mean(axis=0)
        dials = self._solved(shifts, np.broadcast_to(target, (knobs.count, len(target))))
        placed = self._placed(dials + shifts)
        if self.layout.veil is not None:  # what lands everywhere is taken off the aims once
            plain = np.log2(self._parts(dials + shifts).sum(axis=2))[:, self.table.rows]
            dials = self._solved(shifts, target - (placed - plain))
            placed = self._placed(dials + shifts)
        off = placed - target
        p_lands = np.zeros(knobs.count)
        near = (np.abs(off) <= self.table.aims.tol + WITHIN_STOPS).all(axis=1)
        if near.any():
            deviation = self._coarse.deviations(self._light, (dials + shifts)[near])
            p_lands[near] = self._coarse.quick_odds(deviation)
        return Tried(dials, p_lands, off, self._steady(dials + shifts))

    def _solved(self, shifts: FloatArray, target: FloatArray) -> FloatArray:
        firsts = [group[0] for group in self._groups]
        centre = self._centre[self.table.rows]
        merged = np.stack([centre[:, group].sum(axis=1) for group in self._groups], axis=1)
        found = self._dials.solved(merged, shifts[:, firsts], target, self.table.aims.tol)
        by_group = next(iter(found.values()))
        dials = np.zeros(shifts.shape)
        for g, group in enumerate(self._groups):
            for j in group:
                dials[:, j] = self._snapped(j, by_group[:, g])
        return dials

    def _snapped(self, source: int, stops: FloatArray) -> FloatArray:
        """The nearest settings of a head's own dial."""
        scale = self.layout.dials.get(self.roles[source])
        if scale is None or self.roles[source] in self._locks:
            return stops
        steps = scale.steps()
        at = np.clip(np.searchsorted(steps, stops), 1, len(steps) - 1) if len(steps) > 1 else 0
        low, high = steps[np.maximum(at, 1) - 1], steps[at]
        return np.asarray(np.where(stops - low <= high - stops, low, high))

    def _parts(self, gains: FloatArray) -> FloatArray:
        """Light of the middle state (candidates, regions, sources)."""
        return np.asarray(self._centre[None] * np.exp2(gains)[:, None, :])

    def _placed(self, gains: FloatArray) -> FloatArray:
        total = self._parts(gains).sum(axis=2)
        if self.layout.veil is not None:
            share = float(np.exp2(self._coarse.states.theta[:, self.layout.veil]).mean())
            total = total + share * total.mean(axis=1, keepdims=True)
        return np.asarray(np.log2(np.maximum(total[:, self.table.rows], 1e-30)))

    def _steady(self, gains: FloatArray) -> FloatArray:
        parts = self._parts(gains)[:, self.table.rows]
        steady = np.array([s.kind == "continuous" for s in self.layout.sitting.sources])
        whole = np.maximum(parts.sum(axis=2), 1e-30)
        return np.asarray(parts[:, :, steady].sum(axis=2) / whole)

    # ---- one by all states ----------------------------------------------------------------

    def settled(self, settings: BareSettings) -> Settled:
        """Climb from one candidate by the odds, on a layout that stands as it says, and be exact.

        Parameters
        ----------
        settings : BareSettings
            A candidate whose distances are those of the layout.
        """
        coarse = self._coarse
        start = np.array([settings.dial_stops.get(role, 0.0) for role in self.roles])
        light = coarse.light(settings)
        firsts = [group[0] for group in self._groups]
        dials, best = start, -np.inf
        for _ in range(CLIMBS):
            around = self._dials.around(dials[firsts], self._dials.free)
            trials = self._spread(around, dials)
            deviation = coarse.deviations(light, trials)
            score = coarse.quick_odds(deviation) - EXCESS_LEAN * coarse.excess(deviation)
            k = int(score.argmax())
            if score[k] <= best + 1e-6:
                break
            dials, best = trials[k], float(score[k])
        return self.exactly(self._with(settings, dials))

    def exactly(self, settings: BareSettings) -> Settled:
        """The odds of settings as they are, by all states."""
        table = self.table
        light, gains = table.light(settings), table.gains(settings)
        deviation = table.deviations(light, gains)
        lit = (light * np.exp2(gains))[:, table.rows].mean(axis=0)
        steady = np.array([s.kind == "continuous" for s in self.layout.sitting.sources])
        share = lit[:, steady].sum(axis=1) / lit.sum(axis=1)
        return Settled(
            settings,
            float(table.odds_of_landing(deviation)[0]) if table.aimed else 0.0,
            tuple(float(x) for x in np.median(deviation[0], axis=0)),
            tuple(float(x) for x in share),
        )

    def _spread(self, groups: FloatArray, like: FloatArray) -> FloatArray:
        trials = np.repeat(like[None], len(groups), axis=0)
        for g, group in enumerate(self._groups):
            for j in group:
                trials[:, j] = self._snapped(j, groups[:, g])
        return trials

    def _with(self, settings: BareSettings, dials: FloatArray) -> BareSettings:
        turned = {
            role: round(float(d), 10) + 0.0
            for role, d in zip(self.roles, dials, strict=True)
            if role in self.layout.dials
        }
        return BareSettings(turned, settings.f_number, settings.pops, settings.seconds)


def cost_of(
    effort: FloatArray | float, p_all: FloatArray | float, depth_share: FloatArray | float
) -> FloatArray:
    """What ranks ways: effort, sheets that miss until one is right, and depth given away.

    Parameters
    ----------
    effort : float or FloatArray
        Of setting it up, once [effort].
    p_all : float or FloatArray
        Odds that a sheet is right in tones, focus, stillness and edges [1].
    depth_share : float or FloatArray
        Depth about the eye over that of the camera in use [1]; more than 1 earns nothing.

    Returns
    -------
    FloatArray
        In units of effort; less is better.

    Notes
    -----
    A sheet that is right with odds p is the 1/p-th on average, so 1/p - 1 miss before it.

    Examples
    --------
    >>> float(cost_of(8.0, 0.5, 1.0)), float(cost_of(0.0, 1.0, 0.5))
    (20.0, 10.0)
    """
    missed = 1 / np.maximum(p_all, LEAST_ODDS) - 1
    shallower = np.maximum(-np.log2(np.minimum(depth_share, 1.0)), 0.0)
    return np.asarray(effort + SHEET_EFFORT * missed + DEPTH_EFFORT * shallower)
