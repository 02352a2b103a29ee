"""Finding the settings whose sheet most likely lands.

Dials, pops, f-stop and open time only scale the light of a source, so thousands of settings are
tried on one table of light. Coarse trials use the mean loss of many pops and of long times; the
finalists are computed exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from stillroom.advice.odds import Table
from stillroom.advice.policy import TIE, Policy
from stillroom.belief import aims_of
from stillroom.exposure import BareSettings, Layout
from stillroom.quantity import FloatArray

MOST_POPS = 8
COARSE_STATES = 160
STARTS = 8
FINALISTS = 3
LOCAL_ROUNDS = 8
SOLVE_ROUNDS = 12
RIDGE = 0.02
QUIET_SHARE = 0.05
"""A light that gives the aimed regions no more than this, at full, is set for its own region."""
QUIET_TOLERANCE_STOPS = 0.5
LEAST_MOVE_SHARE = 0.5
"""A dial is not turned by less than this share of the scatter from sheet to sheet."""
EFFORT_LEAN = 0.001
"""A lean towards less effort among coarse trials, far below the tie of the final choice."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Settings with their odds and what it takes to get there from where things stand."""

    settings: BareSettings
    p_keeper: float
    changes: int
    effort: float


@dataclass(frozen=True, slots=True)
class _Camera:
    f_number: float
    pops: int
    seconds: float


class Search:
    """All the settings of a sitting, searched.

    Parameters
    ----------
    table : Table
        What is believed, ready for trials.
    stands : BareSettings
        How things stand now; changes count from here.
    policy : Policy
        How changes are weighed.
    fresh : bool
        Nothing has been set yet: changes cost nothing.
    """

    def __init__(
        self, table: Table, stands: BareSettings, policy: Policy, *, fresh: bool = False
    ) -> None:
        self.table = table
        self.layout: Layout = table.layout
        self.stands = stands
        self.policy = policy
        self.fresh = fresh
        self.roles = self.layout.roles
        self._flash = self.layout.flash
        self._reference = BareSettings({}, self.layout.f_numbers[0], 1, 1.0)
        self._coarse = table.thinned(COARSE_STATES)
        self._light = self._coarse.light(self._reference)
        self._stood = np.array([stands.dial_stops.get(r, 0.0) for r in self.roles])
        self._centre = np.exp2(np.log2(self._light).mean(axis=0))
        self._losses = self._mean_losses()
        self._quiet = self._quiet_roles()
        self._scales = [self._dial_steps(role) for role in self.roles]

    def _dial_steps(self, role: str) -> FloatArray:
        """Every setting a role's dial may take; one where it is locked or has none."""
        dial = self.layout.dials.get(role)
        if dial is None:
            return np.zeros(1)
        steps = dial.steps()
        if role in self.policy.locks or role in self._quiet:
            return np.array([self.stands.dial_stops.get(role, 0.0)])
        return steps

    def _quiet_roles(self) -> frozenset[str]:
        """Lights that hardly reach the aimed regions: left out of the search for the odds.

        Judged at the shortest time that may be planned, where steady light hides flash least.
        """
        shortest = min(self._times())
        shifts = self._shifts(_Camera(self._reference.f_number, 1, shortest))
        aimed = self._centre[self.table.rows] * np.exp2(shifts)
        share = (aimed / aimed.sum(axis=1, keepdims=True)).max(axis=0, initial=0.0)
        return frozenset(
            role for role, s in zip(self.roles, share, strict=True) if s < QUIET_SHARE
        )

    def _mean_losses(self) -> tuple[float, float]:
        theta = self._coarse.states.theta.mean(axis=0)
        index = self.layout.index
        return float(theta[index["kit/pop_loss"]]), float(theta[index["kit/reciprocity"]])

    # ---- the camera's part ----------------------------------------------------------------

    def _cameras(self, pops: Sequence[int]) -> list[_Camera]:
        locks, stands = self.policy.locks, self.stands
        stops = (stands.f_number,) if "stop" in locks else self.layout.f_numbers
        if "pops" in locks:
            pops = (stands.pops,)
        return [_Camera(*c) for c in product(stops, pops, self._times())]

    def _times(self) -> tuple[float, ...]:
        if "seconds" in self.policy.locks:
            return (self.stands.seconds,)
        return self.layout.sitting.seconds_choices or (self.stands.seconds,)

    def _shifts(self, camera: _Camera) -> FloatArray:
        """What a camera setting does to each source against the reference (sources,)."""
        pop_loss, reciprocity = self._losses
        stop = -2 * math.log2(camera.f_number / self._reference.f_number)
        log_t = math.log2(camera.seconds * camera.pops)
        flash = stop + (1 - pop_loss) * math.log2(camera.pops)
        steady = stop + log_t - reciprocity * max(0.0, log_t)
        kinds = [s.kind for s in self.layout.sitting.sources]
        by_kind = {"flash": flash, "continuous": steady, "veil": 0.0}
        return np.array([by_kind[k] for k in kinds])

    # ---- dials ----------------------------------------------------------------------------

    def _solved_dials(self, shifts: FloatArray, target_shift: float) -> FloatArray:
        """Dials that put the middle state on its aims: (cameras, sources), on their steps."""
        table = self._coarse
        centre = self._centre[table.rows]
        target = table.target.mean(axis=0) + target_shift
        weight = 1 / table.aims.tol
        start = self._stood
        low = np.array([s.min() for s in self._scales])
        high = np.array([s.max() for s in self._scales])
        dials = np.repeat(np.clip(start, low, high)[None], len(shifts), axis=0)
        home = dials.copy()
        for _ in range(SOLVE_ROUNDS):
            parts = centre[None] * np.exp2(dials + shifts)[:, None, :]
            total = parts.sum(axis=2)
            miss = (target - np.log2(total)) * weight
            share = parts / total[:, :, None] * weight[:, None]
            free = (dials > low + 1e-9) | (dials < high - 1e-9)
            share = share * (free & self._flash)[:, None, :]
            normal = share.transpose(0, 2, 1) @ share + RIDGE * np.eye(len(self.roles))
            pull = np.einsum("krs,kr->ks", share, miss) + RIDGE * (home - dials)
            step = np.linalg.solve(normal, pull[..., None])[..., 0]
            dials = np.clip(dials + np.clip(step, -3, 3), low, high)
        return self._on_steps(dials)

    def _on_steps(self, dials: FloatArray) -> FloatArray:
        snapped = np.empty_like(dials)
        for j, steps in enumerate(self._scales):
            near = np.abs(dials[:, j, None] - steps).argmin(axis=1)
            snapped[:, j] = steps[near]
        return snapped

    def _neighbours(self, dials: FloatArray, free: Sequence[int]) -> FloatArray:
        """The dials around one setting: singles, pairs and all together; the rest stays."""
        steps = {j: float(self._scales[j][1] - self._scales[j][0]) for j in free}
        moves: list[dict[int, float]] = [{}]
        for j in free:
            moves += [{j: n * steps[j]} for n in (-4, -2, -1, 1, 2, 4)]
            moves.append({j: self._stood[j] - dials[j]})
        for i, j in ((i, j) for i in free for j in free if i < j):
            moves += [
                {i: m * steps[i], j: n * steps[j]} for m in (-2, -1, 1, 2) for n in (-2, -1, 1, 2)
            ]
        moves += [{j: n * max(steps.values()) for j in free} for n in (-2, -1, 1, 2) if free]
        trials = np.repeat(dials[None], len(moves), axis=0)
        for row, move in zip(trials, moves, strict=True):
            for j, change in move.items():
                row[j] += change
        low = np.array([s.min() for s in self._scales])
        high = np.array([s.max() for s in self._scales])
        moved = self._on_steps(np.clip(trials, low, high))
        fixed = [j for j in range(len(dials)) if j not in free]
        moved[:, fixed] = dials[fixed]
        return np.unique(moved, axis=0)

    # ---- the search -----------------------------------------------------------------------

    def best(self, *, target_shift: float = 0.0, pops: Sequence[int] | None = None) -> Trial:
        """The settings with the best odds; among equals the least effort.

        Parameters
        ----------
        target_shift : float
            Aim this far from the aims [stops]; a stepped sheet starts below them.
        pops : sequence of int, optional
            The pops to consider; 1 to 8 unless given.

        Returns
        -------
        Trial
        """
        trials = self.finalists(target_shift=target_shift, pops=pops)
        return self.choose(trials)

    def with_quiet_lights(self, trial: Trial) -> Trial:
        """The trial with its quiet lights set for the regions nobody aimed but someone named.

        Only where the region would otherwise miss its tone by more than half a stop, and only
        where the odds of the aimed regions do not suffer.
        """
        regions = [
            (i, r)
            for i, r in enumerate(self.layout.regions)
            if (aim := self.layout.aims.get(r)) is not None and aim.tol_stops is None
        ]
        dials = np.array([trial.settings.dial_stops.get(r, 0.0) for r in self.roles])
        settings = trial.settings
        camera = _Camera(settings.f_number, settings.pops, settings.seconds)
        parts = self._centre * np.exp2(dials + self._shifts(camera))
        aims = aims_of(self.layout, [r for _, r in regions])
        targets = self._coarse.states.curves.placement_of_aims(aims).mean(axis=0)
        for (i, _), target in zip(regions, targets, strict=True):
            j = int(parts[i].argmax())
            role = self.roles[j]
            if role not in self._quiet or role in self.policy.locks or not self._flash[j]:
                continue
            miss = float(target - math.log2(parts[i].sum()))
            if abs(miss) > QUIET_TOLERANCE_STOPS:
                steps = self.layout.dials[role].steps()
                dials[j] = steps[int(np.abs(steps - (dials[j] + miss)).argmin())]
        found: dict[tuple[object, ...], Trial] = {}
        self._exact(camera, dials[None], 0.0, found)
        turned = next(iter(found.values()))
        return turned if turned.p_keeper >= trial.p_keeper - TIE / 2 else trial

    def finalists(
        self, *, target_shift: float = 0.0, pops: Sequence[int] | None = None
    ) -> list[Trial]:
        """The best settings of several cameras and their simpler relatives, exactly computed."""
        cameras = self._cameras(pops or range(1, MOST_POPS + 1))
        shifts = np.array([self._shifts(c) for c in cameras])
        dials = self._solved_dials(shifts, target_shift)
        odds = self._coarse_odds(dials + shifts, target_shift)
        free = [j for j, steps in enumerate(self._scales) if len(steps) > 1]
        refined = []
        for k in self._starts(cameras, dials, odds):
            dial, value = self._climb(dials[k], shifts[k], target_shift, free)
            refined.append((value, cameras[k], dial, shifts[k]))
        refined.sort(key=lambda item: -item[0])
        found: dict[tuple[object, ...], Trial] = {}
        for rank, (value, camera, dial, shift) in enumerate(refined):
            trials = [dial]
            if rank < FINALISTS or value >= refined[0][0] - TIE:
                trials += list(self._nearest(dial))
            trials += self._simpler(camera, dial, shift, target_shift, refined[0][0])
            if value >= refined[0][0] - 3 * TIE or rank < FINALISTS or len(trials) > 1:
                self._exact(camera, np.array(trials), target_shift, found)
        return list(found.values())

    def _starts(
        self, cameras: Sequence[_Camera], dials: FloatArray, odds: FloatArray
    ) -> list[int]:
        """Where to look closer: the best cameras, and the best of each way to change it."""
        lean = np.array([self._effort(c, d)[1] for c, d in zip(cameras, dials, strict=True)])
        order = np.argsort(-(odds - EFFORT_LEAN * lean), kind="stable")
        starts = dict.fromkeys(int(k) for k in order[:STARTS])
        ways: set[tuple[str, ...]] = set()
        for k in order:
            way = tuple(self._camera_changes(cameras[k]))
            if way not in ways and len(way) <= 1:
                ways.add(way)
                starts.setdefault(int(k))
        return list(starts)

    def choose(self, trials: Sequence[Trial]) -> Trial:
        """Best odds; within a tie the least effort; more changes only where they are worth it."""
        best = max(t.p_keeper for t in trials)
        most = self.policy.most_changes
        if most is not None and not self.fresh:
            few = [t for t in trials if t.changes <= most]
            if few and max(t.p_keeper for t in few) > best - self.policy.worth_more:
                trials = few
                best = max(t.p_keeper for t in trials)
        good = [t for t in trials if t.p_keeper >= best - TIE]
        return min(good, key=lambda t: (t.effort, -t.p_keeper))

    def _coarse_odds(self, gains: FloatArray, target_shift: float) -> FloatArray:
        deviation = self._coarse.deviations(self._light, gains) - target_shift
        return self._coarse.quick_odds(deviation)

    def _climb(
        self, dials: FloatArray, shifts: FloatArray, target_shift: float, free: Sequence[int]
    ) -> tuple[FloatArray, float]:
        """The best dials to be reached in small moves of the free ones, and their odds."""
        value = -1.0
        for _ in range(LOCAL_ROUNDS):
            around = self._neighbours(dials, free)
            odds = self._coarse_odds(around + shifts, target_shift)
            k = int(odds.argmax())
            if odds[k] <= value + 1e-6:
                break
            dials, value = around[k], float(odds[k])
        return dials, value

    def _exact(
        self,
        camera: _Camera,
        trials: FloatArray,
        target_shift: float,
        found: dict[tuple[object, ...], Trial],
    ) -> None:
        """Compute trials of dials (trials, sources) with one camera setting, into `found`."""
        trials = self._worth_turning(trials)
        base = BareSettings({}, camera.f_number, camera.pops, camera.seconds)
        light = self.table.light(base)
        deviation = self.table.deviations(light, trials) - target_shift
        odds = self.table.odds_of_landing(deviation)
        for dial, p in zip(trials, odds, strict=True):
            changes, effort = self._effort(camera, dial)
            settings = self._settings(camera, dial)
            key = (camera, tuple(np.round(dial, 6)))
            found[key] = Trial(settings, float(p), changes, effort)

    def _worth_turning(self, trials: FloatArray) -> FloatArray:
        """The trials without moves that the scatter from sheet to sheet would swallow."""
        if self.fresh:
            return trials
        small = np.abs(trials - self._stood) < LEAST_MOVE_SHARE * self.table.sheet_sd
        return np.unique(np.where(small, self._stood, trials), axis=0)

    def _nearest(self, dials: FloatArray) -> FloatArray:
        rows = [dials]
        for j, steps in enumerate(self._scales):
            at = int(np.abs(steps - dials[j]).argmin())
            for k in (at - 1, at + 1):
                if 0 <= k < len(steps):
                    row = dials.copy()
                    row[j] = steps[k]
                    rows.append(row)
        return np.array(rows)

    def _simpler(
        self,
        camera: _Camera,
        dials: FloatArray,
        shifts: FloatArray,
        target_shift: float,
        best: float,
    ) -> list[FloatArray]:
        """Fewer dials turned, the others where they stand: the best of each such choice.

        Only those whose odds come near enough to the best ones to be chosen for their effort.
        """
        if self.fresh:
            return []
        moved = [j for j in range(len(dials)) if abs(dials[j] - self._stood[j]) > 1e-6]
        rows = []
        for turned in (c for n in range(len(moved)) for c in combinations(moved[:6], n)):
            row = self._stood.copy()
            row[list(turned)] = dials[list(turned)]
            row, value = self._climb(row, shifts, target_shift, turned)
            changes, _ = self._effort(camera, row)
            most = self.policy.most_changes
            few = most is not None and changes <= most
            if value >= best - (self.policy.worth_more + TIE if few else 3 * TIE):
                rows.append(row)
        return rows

    def _camera_changes(self, camera: _Camera) -> list[str]:
        stands = self.stands
        kinds = []
        if abs(camera.f_number - stands.f_number) > 1e-9:
            kinds.append("stop")
        if camera.pops != stands.pops:
            kinds.append("pops")
        if abs(camera.seconds - stands.seconds) > 1e-12:
            kinds.append("seconds")
        return kinds

    def _effort(self, camera: _Camera, dials: FloatArray) -> tuple[int, float]:
        """How many knobs change, and what that costs."""
        kinds = self._camera_changes(camera)
        if not self.fresh:
            kinds += [
                "dial"
                for role, dial, stood in zip(self.roles, dials, self._stood, strict=True)
                if role in self.layout.dials and abs(dial - stood) > 1e-6
            ]
        return len(kinds), sum(self.policy.effort(k) for k in kinds)

    def _settings(self, camera: _Camera, dials: FloatArray) -> BareSettings:
        values = {
            role: round(float(d), 10) + 0.0
            for role, d in zip(self.roles, dials, strict=True)
            if role in self.layout.dials
        }
        return BareSettings(values, camera.f_number, camera.pops, camera.seconds)
