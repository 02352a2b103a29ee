"""The candidates of every set of lights, and the few of them that are worked out exactly."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
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
from stillroom.belief import Posterior
from stillroom.documents import book as doc
from stillroom.documents.to_domain import modifier_of, named
from stillroom.exposure import BareSettings, Layout
from stillroom.light import distance_stops, face_size_m, outermost_face
from stillroom.quantity import FloatArray
from stillroom.scene import clear_of_frame_mm, nearest_out_of_frame_m
from stillroom.services.daylight_asked import REGION
from stillroom.services.daylight_need import OPEN_TIMES_S
from stillroom.services.ways.asked import Other
from stillroom.services.ways.limits import Limits, Powered
from stillroom.services.ways.price import exact
from stillroom.services.ways.sets import LightSet, OtherTable, Stood, on_other

STEPS_OF_DISTANCE = (1.0, 0.94, 0.89, 0.84, 0.79, 0.75, 0.71, 0.63, 0.56, 0.5, 1.12, 1.26)
"""Distances of the key light against now."""
NEAREST_M = 0.25
BARE_FACE_M = 0.2
"""Width of a head in its plain reflector (common practice, no source)."""
MIXED_OPEN_S = (0.125, 0.25, 0.5, 1.0, 2.0, 4.0)
HELD_FROM_SHARE = 0.3
"""From this share of steady light on, the open time is held and not only the pops."""
NO_GHOST_SHARE = 0.005
"""Less steady light than this makes no edge that is spoken of (ours)."""
POP_EFFORT = 0.5
"""What each pop more takes: to wait till all are charged, and to count (invented)."""
SHORT_EFFORT = 2.0
"""A lean towards what falls short by less, where no odds tell, per stop."""
EXACT = 18
"""So many candidates are worked out exactly."""


@dataclass(frozen=True, slots=True)
class Coarse:
    """One candidate that is worth a closer look."""

    at: int
    """Which set of lights."""
    distance_m: float | None
    mark: float
    settings: BareSettings
    p_all: float
    cost: float
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


class Ground:
    """One set of lights made ready: its layout, and what each knob does there.

    Parameters
    ----------
    other, stood : Other, Stood
        Both cameras, and how it stands.
    lit : LightSet
        The lights.
    posterior : Posterior
        What was learned on the camera in use.
    """

    def __init__(self, other: Other, stood: Stood, lit: LightSet, posterior: Posterior) -> None:
        self.other = other
        self.stood = stood
        self.lit = lit
        self.posterior = posterior
        self.settings = self._settings()

    def _settings(self) -> doc.Settings:
        """How it would be set before anything is turned: a new head as the key's own."""
        as_now = self.stood.settings.lights
        lights = {}
        for light in self.lit.lights:
            like = as_now.get(light.role) or doc.LightSetting()
            lights[light.role] = like if light.kind == "head" else doc.LightSetting()
        for role in self.lit.together[1:]:
            lights[role] = doc.LightSetting()
        own = self.lit.key_light.kit_id
        before = next((x for x in self.stood.lights if x.role == self.lit.key), None)
        if before is None or before.kit_id != own:
            lights[self.lit.key] = doc.LightSetting()
        return self.stood.settings.model_copy(update={"lights": lights})

    def at(self, distance_m: float | None) -> OtherTable:
        """The sitting so lit, the key light at a distance."""
        lit = self.lit
        moved: tuple[str, ...] = ()
        if distance_m is not None and distance_m != lit.key_light.distance_m:
            lit, moved = lit.at_distance(distance_m), lit.together
        book = on_other(self.other, lit, self.settings)
        return OtherTable(
            book, self.other.other.sitting.id, self.posterior, at=lit.at, moved=moved
        )

    def odds_on(self, table: OtherTable, settings: doc.Settings) -> Table:
        """What is believed on a table's layout, for the aims that this set can serve."""
        layout = self._aimed(table.layout(settings))
        return Table(self.posterior.states(layout), layout)

    def _aimed(self, layout: Layout) -> Layout:
        if self.lit.kind != "daylight":
            return layout
        return with_aims(layout, self.aims)

    @cached_property
    def aims(self) -> tuple[str, ...]:
        """The aimed regions that count: of one light by itself only the tone it is set for."""
        aims = self.other.other.sitting.aims
        aimed = tuple(r for r, aim in aims.items() if aim.tol_stops is not None)
        if self.lit.kind != "daylight" or len(self.lit.lights) > 1:
            return aimed
        return (REGION,) if REGION in aimed else aimed[:1]

    @cached_property
    def distances(self) -> tuple[float, ...]:
        """Distances of the key light that stay out of the picture; empty where it has none."""
        stands = self.lit.key_light.distance_m
        if stands is None or not self.lit.together:
            return ()
        least = max(NEAREST_M, self.nearest_m)
        tried = {round(stands * step, 2) for step in STEPS_OF_DISTANCE}
        found = sorted(
            {d for d in tried if d >= least} | {stands} | {math.ceil(least * 100) / 100}
        )
        return tuple(d for d in found if d >= least) or (stands,)

    @cached_property
    def face_m(self) -> float:
        """Width of what the sitter sees of the key light [m]."""
        known = self.other.book.kit.modifiers + self.lit.modifiers
        hung = [modifier_of(named("modifier", i, known)) for i in self.lit.key_light.modifiers]
        size = face_size_m(hung)
        return BARE_FACE_M if size is None else size[0]

    @cached_property
    def nearest_m(self) -> float:
        """As near as the key light may come and stay out of the picture [m]."""
        there = self.other.other
        return nearest_out_of_frame_m(self.face_m, there.frame_mm[0], there.subject_distance_m)

    def clear_mm(self, distance_m: float) -> float:
        """How far the key light stays out of the picture [mm]."""
        there = self.other.other
        return clear_of_frame_mm(
            self.face_m, distance_m, there.frame_mm[0], there.subject_distance_m
        )

    def moved_stops(self, distance_m: float) -> float:
        """What another distance does to the key light, near a large face too [stops]."""
        stands = self.lit.key_light.distance_m or distance_m
        known = self.other.book.kit.modifiers + self.lit.modifiers
        hung = [modifier_of(named("modifier", i, known)) for i in self.lit.key_light.modifiers]
        face = outermost_face(hung)

        def light(d: float) -> float:
            near = 0.0 if face is None else face.near_field_stops(d)
            return distance_stops(d) + near

        return light(distance_m) - light(stands)


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
        chosen = sorted(best.values(), key=lambda c: c.cost)[:EXACT]
        seen = {c.at for c in chosen}
        # Of a set that does badly the best is told too: as what cannot be done.
        for one in sorted(best.values(), key=lambda c: c.cost):
            if one.at not in seen:
                seen.add(one.at)
                chosen.append(one)
        found = [self._exactly(one) for one in chosen]
        return tuple(sorted(found, key=lambda e: e.cost))

    # ---- thousands --------------------------------------------------------------------------

    def _of_set(self, at: int) -> list[Coarse]:
        ground = self.grounds[at]
        table = ground.at(None)
        odds = ground.odds_on(table, ground.settings)
        stood = table.bare_settings(ground.settings).dial_stops
        rig = Rig(odds, stood, [ground.lit.together], self.policy.locks)
        marks = self._marks(ground)
        grid = list(
            product(ground.distances or (None,), marks, self._pops(ground), self._seconds(ground))
        )
        self.tried += len(grid)
        moved = {d: 0.0 if d is None else ground.moved_stops(d) for d in {g[0] for g in grid}}
        lens = ground.other.other.lens
        number = {m: exact(lens, m) for m in marks}
        f = np.array([number[g[1]] for g in grid])
        pops = np.array([float(g[2]) for g in grid])
        seconds = np.array([self._each_s(g[2], g[3]) for g in grid])
        of_key = np.array([role in ground.lit.together for role in rig.roles], dtype=float)
        shift = np.array([moved[g[0]] for g in grid])[:, None] * of_key
        tried = rig.tried(Knobs(f, pops, seconds, shift))
        row = odds.aimed.index(REGION) if REGION in odds.aimed else 0
        share = tried.steady_share[:, row] if odds.aimed else np.zeros(len(grid))
        powered = powered_by(ground, rig.roles, tried.dials)
        hold, apart = self._times(powered, pops, seconds, share)
        held = np.where(hold > 0, self.limits.p_held(hold), 1.0)
        ghost = self._ghosts(ground, odds.layout, share, pops, apart)
        p_all = tried.p_lands * self.limits.p_eye(f) * np.minimum(held, 1 - ghost)
        short = np.maximum(np.abs(tried.off_stops) - odds.aims.tol, 0.0).sum(axis=1)
        effort = np.array([self._effort(ground, d, m, n) for d, m, n, _ in grid])
        cost = cost_of(effort, p_all, self.limits.depth_share(f)) + SHORT_EFFORT * short
        found = []
        for group, k in self._best_of(ground, grid, cost).items():
            d, mark, n, _ = grid[k]
            dials = {
                role: float(x)
                for role, x in zip(rig.roles, tried.dials[k], strict=True)
                if role in odds.layout.dials
            }
            settings = BareSettings(dials, number[mark], n, float(seconds[k]))
            found.append(Coarse(at, d, mark, settings, float(p_all[k]), float(cost[k]), group))
        return found

    def _best_of(
        self,
        ground: Ground,
        grid: Sequence[tuple[float | None, float, int, float]],
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
        self, ground: Ground, distance_m: float | None, mark: float, pops: int, open_s: float
    ) -> tuple[object, ...]:
        """What makes a way another one: its things, its stop, one pop or more, nearer or not."""
        del open_s
        lit = ground.lit
        heads = tuple(x.kit_id for x in lit.lights if x.role in lit.together)
        things = (lit.kind, heads, lit.cloths_off, lit.grids_off, lit.seat)
        nearer = distance_m is not None and distance_m != lit.key_light.distance_m
        return (*things, mark, pops > 1, nearer)

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

    def _effort(self, ground: Ground, distance_m: float | None, mark: float, pops: int) -> float:
        policy, lit = self.policy, ground.lit
        kinds = [policy.effort(k) for k in lit.efforts if k != "hire"]
        total = sum(kinds) + HIRE_EFFORT * lit.efforts.count("hire")
        if distance_m is not None and distance_m != lit.key_light.distance_m:
            total += policy.effort("stand")
        if pops != self.standing.pops:
            total += policy.effort("pops")
        if mark != self.standing.f_number:
            total += policy.effort("stop")
        return total + POP_EFFORT * (pops - 1)

    # ---- a few ------------------------------------------------------------------------------

    def _exactly(self, one: Coarse) -> Exact:
        ground = self.grounds[one.at]
        table = ground.at(one.distance_m)
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
        p_held = float(self.limits.p_held(hold)[0]) if hold[0] > 0 else 1.0
        p_eye = float(self.limits.p_eye(f)[0])
        ghosts = self._ghosts(ground, odds.layout, share, pops, apart)
        seen = bool(self._heads(ground)) and (pops[0] > 1 or share[0] >= NO_GHOST_SHARE)
        depth = float(self.limits.depth_share(f)[0])
        effort = self._effort(ground, one.distance_m, one.mark, one.settings.pops)
        p_all = settled.p_lands * p_eye * min(p_held, 1 - float(ghosts[0]))
        lit = ground.lit
        if one.distance_m is not None:
            lit = lit.at_distance(one.distance_m)
        short = sum(
            max(abs(off) - float(tol), 0.0)
            for off, tol in zip(settled.off_stops, odds.aims.tol, strict=True)
        )
        return Exact(
            at=one.at,
            lit=lit,
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


def powered_by(ground: Ground, roles: Sequence[str], dials: FloatArray) -> list[Powered]:
    """The heads that fire, with their dials in each candidate.

    Parameters
    ----------
    ground : Ground
        The set of lights.
    roles : sequence of str
        Of the sources.
    dials : FloatArray
        Below full (candidates, sources) [stops].
    """
    known = (*ground.other.book.kit.heads, *ground.lit.hired)
    return [
        (named("head", light.kit_id or "", known), dials[:, roles.index(light.role)])
        for light in ground.lit.lights
        if light.kind == "head"
    ]


def with_aims(layout: Layout, regions: Sequence[str]) -> Layout:
    """The same layout, only these regions with a tolerance."""
    other = copy.copy(layout)
    other.aims = {
        region: aim if region in regions else replace(aim, tol_stops=None)
        for region, aim in layout.aims.items()
    }
    return other
