"""The candidates of every set of lights, and the few of them that are worked out exactly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from stillroom.advice import Policy, Table
from stillroom.advice.other_camera import (
    HIRE_EFFORT,
    Knobs,
    Rig,
    Settled,
    cost_of,
)
from stillroom.documents import book as doc
from stillroom.exposure import BareSettings, Layout
from stillroom.quantity import FloatArray
from stillroom.services.daylight_asked import REGION
from stillroom.services.daylight_need import OPEN_TIMES_S
from stillroom.services.ways.ground import Ground, Place, powered_by
from stillroom.services.ways.limits import Limits, Powered
from stillroom.services.ways.price import exact
from stillroom.services.ways.sets import LightSet, OtherTable

MIXED_OPEN_S = (0.125, 0.25, 0.5, 1.0, 2.0, 4.0)
HELD_FROM_SHARE = 0.3
"""From this share of steady light on, the open time is held and not only the pops."""
NO_GHOST_SHARE = 0.005
"""Less steady light than this makes no edge that is spoken of (ours)."""
POP_EFFORT = 0.5
"""What each pop more takes: to wait till all are charged, and to count (invented)."""
SHORT_EFFORT = 2.0
"""A lean towards what falls short by less, where no odds tell, per stop."""
EXACT, EXACT_DEEP = 14, 4
"""So many candidates are worked out exactly, and so many more that keep the depth in use."""
WORTH_TRYING = 0.02
"""Coarse odds below which the depth is no reason to look closer (ours)."""
DEEP_SHARE = 0.9
"""From this share of the depth in use on it counts as kept (ours)."""


@dataclass(frozen=True, slots=True)
class Coarse:
    """One candidate that is worth a closer look."""

    at: int
    """Which set of lights."""
    place: Place
    mark: float
    settings: BareSettings
    p_all: float
    cost: float
    is_deep: bool
    """Whether it keeps the depth of the camera in use."""
    group: tuple[object, ...]
    """Ways of one group differ too little to be told both."""


@dataclass(frozen=True, slots=True, eq=False)
class Exact:
    """One candidate, worked out by the engine on its own layout."""

    at: int
    """Which set of lights."""
    lit: LightSet
    table: OtherTable
    odds: Table
    mark: float
    settled: Settled
    document: doc.Settings
    effort: float
    hold_s: float
    apart_s: float
    """How far apart in time the light of the sheet lies, whatever it is [s]."""
    p_eye: float
    p_held: float
    p_ghost: float | None
    depth_share: float
    cost: float
    group: tuple[object, ...]

    @property
    def p_all(self) -> float:
        """Tones, eye, stillness and edges together; one movement makes smear and second edge."""
        still = min(self.p_held, 1 - (self.p_ghost or 0.0))
        return self.settled.p_lands * self.p_eye * still


class Search:
    """All candidates of all sets.

    Parameters
    ----------
    grounds : sequence of Ground
        The sets of lights, made ready.
    limits : Limits
        What eye, sitter and heads allow.
    policy : Policy
        Her efforts and locks.
    standing : Settings
        How it stands on the camera in use.
    """

    def __init__(
        self,
        grounds: Sequence[Ground],
        limits: Limits,
        policy: Policy,
        standing: doc.Settings,
    ) -> None:
        self.grounds = grounds
        self.limits = limits
        self.policy = policy
        self.standing = standing
        self.tried = 0

    def exact(self) -> tuple[Exact, ...]:
        """The likeliest candidates, worked out exactly, the cheapest first."""
        coarse = [c for i in range(len(self.grounds)) for c in self._of_set(i)]
        best: dict[tuple[object, ...], Coarse] = {}
        for one in sorted(coarse, key=lambda c: c.cost):
            best.setdefault(one.group, one)
        by_cost = sorted(best.values(), key=lambda c: c.cost)
        chosen = by_cost[:EXACT]
        # Those that keep the depth, and the best of each set: what cannot be done is told too.
        deep = [c for c in by_cost[EXACT:] if c.is_deep and c.p_all >= WORTH_TRYING]
        chosen += deep[:EXACT_DEEP]
        seen = {c.at for c in chosen}
        for one in by_cost:
            if one.at not in seen:
                seen.add(one.at)
                chosen.append(one)
        found = [self._exactly(one) for one in chosen]
        return tuple(sorted(found, key=lambda e: e.cost))

    # ---- thousands --------------------------------------------------------------------------

    def _of_set(self, at: int) -> list[Coarse]:
        ground = self.grounds[at]
        table = ground.at(Place(None, 1.0))
        odds = ground.odds_on(table, ground.settings)
        stood = table.bare_settings(ground.settings).dial_stops
        rig = Rig(odds, stood, [ground.lit.together], self.policy.locks)
        marks = self._marks(ground)
        grid = list(product(ground.places, marks, self._pops(ground), self._seconds(ground)))
        self.tried += len(grid)
        moved = {place: ground.moved_stops(place, rig.roles) for place in ground.places}
        lens = ground.other.other.lens
        number = {m: exact(lens, m) for m in marks}
        f = np.array([number[g[1]] for g in grid])
        pops = np.array([float(g[2]) for g in grid])
        seconds = np.array([self._each_s(g[2], g[3]) for g in grid])
        tried = rig.tried(Knobs(f, pops, seconds, np.array([moved[g[0]] for g in grid])))
        row = odds.aimed.index(REGION) if REGION in odds.aimed else 0
        share = tried.steady_share[:, row] if odds.aimed else np.zeros(len(grid))
        powered = powered_by(ground, rig.roles, tried.dials)
        hold, apart = self._times(powered, pops, seconds, share)
        held = self.limits.p_held(hold, pops, share < HELD_FROM_SHARE)
        ghost = self._ghosts(ground, odds.layout, share, pops, apart)
        p_eye = np.array([self.limits.p_eye(g[1]) for g in grid])
        p_all = tried.p_lands * p_eye * np.minimum(held, 1 - ghost)
        short = np.maximum(np.abs(tried.off_stops) - odds.aims.tol, 0.0).sum(axis=1)
        effort = self._efforts(ground, grid)
        depth = self.limits.depth_share(f)
        cost = cost_of(effort, p_all, depth) + SHORT_EFFORT * short
        found = []
        for group, k in self._best_of(ground, grid, cost).items():
            place, mark, n, _ = grid[k]
            dials = {
                role: float(x)
                for role, x in zip(rig.roles, tried.dials[k], strict=True)
                if role in odds.layout.dials
            }
            settings = BareSettings(dials, number[mark], n, float(seconds[k]))
            is_deep, p, spent = bool(depth[k] >= DEEP_SHARE), float(p_all[k]), float(cost[k])
            found.append(Coarse(at, place, mark, settings, p, spent, is_deep, group))
        return found

    def _best_of(
        self,
        ground: Ground,
        grid: Sequence[tuple[Place, float, int, float]],
        cost: FloatArray,
    ) -> dict[tuple[object, ...], int]:
        """The cheapest of each group, by its position."""
        best: dict[tuple[object, ...], int] = {}
        for k, one in enumerate(grid):
            group = self._group(ground, *one)
            if group not in best or cost[k] < cost[best[group]]:
                best[group] = k
        return best

    def _group(
        self, ground: Ground, place: Place, mark: float, pops: int, open_s: float
    ) -> tuple[object, ...]:
        """What makes a way another one: its things, its stop, one pop or more, nearer or not."""
        del open_s
        lit = ground.lit
        heads = tuple(x.kit_id for x in lit.lights if x.role in lit.together)
        things = (lit.kind, heads, lit.cloths_off, lit.grids_off, lit.bare, lit.seat, lit.takes)
        return (things, mark, pops > 1, ground.is_moved(place))

    def _marks(self, ground: Ground) -> tuple[float, ...]:
        asked = ground.other.asked.f_number
        marks = tuple(sorted(ground.other.other.lens.f_numbers))
        if asked is None:
            return marks
        return (min(marks, key=lambda mark: abs(mark - asked)),)

    def _pops(self, ground: Ground) -> Iterable[int]:
        flash = any(light.kind == "head" for light in ground.lit.lights)
        return range(1, ground.other.asked.pops_most + 1) if flash else (1,)

    def _seconds(self, ground: Ground) -> tuple[float, ...]:
        """Open times that are tried: as it stands where flash carries the picture."""
        if ground.lit.kind == "flash":
            return (self.standing.open_s,)
        return MIXED_OPEN_S if ground.lit.kind == "mixed" else OPEN_TIMES_S

    def _each_s(self, pops: int, open_s: float) -> float:
        """The open time of each pop, where one opening takes them all."""
        return open_s / pops if self.standing.opening == "held_open" else open_s

    def _times(
        self, heads: list[Powered], pops: FloatArray, seconds: FloatArray, share: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """How long is to be held, and how far apart the light of a sheet lies [s]."""
        burst = self.limits.burst_s(pops, heads)
        steady = share >= HELD_FROM_SHARE
        hold = np.maximum(np.where(steady, seconds * pops, 0.0), burst)
        return hold, np.maximum(burst, seconds * pops)

    def _heads(self, ground: Ground) -> list[doc.Light]:
        return [light for light in ground.lit.lights if light.kind == "head"]

    def _ghosts(
        self,
        ground: Ground,
        layout: Layout,
        share: FloatArray,
        pops: FloatArray,
        apart: FloatArray,
    ) -> FloatArray:
        if not self._heads(ground):
            return np.zeros(len(pops))
        return self.limits.p_ghost(share, pops, apart, layout, self._region(layout))

    def _region(self, layout: Layout) -> str:
        return REGION if REGION in layout.aims else next(iter(layout.aims))

    def _efforts(
        self, ground: Ground, grid: Sequence[tuple[Place, float, int, float]]
    ) -> FloatArray:
        """Of each candidate: what its place takes, its stop and its pops."""
        here, mark, pops = Place(ground.lit.key_light.distance_m, 1.0), self.standing.f_number, 1
        still = self._effort(ground, here, mark, pops)
        more = {one: self._effort(ground, one, mark, pops) for one in {g[0] for g in grid}}
        more_mark = {m: self._effort(ground, here, m, pops) - still for m in {g[1] for g in grid}}
        more_pops = {n: self._effort(ground, here, mark, n) - still for n in {g[2] for g in grid}}
        return np.array([more[d] + more_mark[m] + more_pops[n] for d, m, n, _ in grid])

    def _effort(self, ground: Ground, place: Place, mark: float, pops: int) -> float:
        policy, lit = self.policy, ground.lit
        kinds = [policy.effort(k) for k in lit.efforts if k != "hire"]
        total = sum(kinds) + HIRE_EFFORT * lit.efforts.count("hire")
        total += policy.effort("stand") * ground.is_moved(place)
        if place.nearer != 1.0:
            total += policy.effort("stand") * len(lit.beside)
        if pops != self.standing.pops:
            total += policy.effort("pops")
        if mark != self.standing.f_number:
            total += policy.effort("stop")
        return total + POP_EFFORT * (pops - 1)

    # ---- a few ------------------------------------------------------------------------------

    def _exactly(self, one: Coarse) -> Exact:
        ground = self.grounds[one.at]
        table = ground.at(one.place)
        odds = ground.odds_on(table, ground.settings)
        stood = table.bare_settings(ground.settings).dial_stops
        rig = Rig(odds, stood, [ground.lit.together], self.policy.locks)
        settled = rig.settled(one.settings)
        like = ground.settings.model_copy(update={"opening": self.standing.opening})
        document = table.document_settings(settled.settings, like)
        document = document.model_copy(update={"f_number": one.mark})
        pops = np.array([float(one.settings.pops)])
        row = odds.aimed.index(REGION) if REGION in odds.aimed else 0
        share = np.array([settled.steady_share[row] if odds.aimed else 0.0])
        dials = np.array([[settled.settings.dial_stops.get(r, 0.0) for r in rig.roles]])
        powered = powered_by(ground, rig.roles, dials)
        hold, apart = self._times(powered, pops, np.array([one.settings.seconds]), share)
        f = np.array([one.settings.f_number])
        p_held = float(self.limits.p_held(hold, pops, share < HELD_FROM_SHARE)[0])
        p_eye = self.limits.p_eye(one.mark)
        ghosts = self._ghosts(ground, odds.layout, share, pops, apart)
        seen = bool(self._heads(ground)) and (pops[0] > 1 or share[0] >= NO_GHOST_SHARE)
        depth = float(self.limits.depth_share(f)[0])
        effort = self._effort(ground, one.place, one.mark, one.settings.pops)
        p_all = settled.p_lands * p_eye * min(p_held, 1 - float(ghosts[0]))
        short = sum(
            max(abs(off) - float(tol), 0.0)
            for off, tol in zip(settled.off_stops, odds.aims.tol, strict=True)
        )
        return Exact(
            at=one.at,
            lit=ground.placed(one.place),
            table=table,
            odds=odds,
            mark=one.mark,
            settled=settled,
            document=document,
            effort=effort,
            hold_s=float(hold[0]),
            apart_s=float(apart[0]),
            p_eye=p_eye,
            p_held=p_held,
            p_ghost=float(ghosts[0]) if seen else None,
            depth_share=depth,
            cost=float(cost_of(effort, p_all, depth)) + SHORT_EFFORT * short,
            group=one.group,
        )
