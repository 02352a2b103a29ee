"""Finding the settings whose sheet most likely lands.

Dials, pops, f-stop and open time only scale the light of a source, so thousands of settings are
tried on one table of light. Coarse trials use the mean loss of many pops and of long times; the
finalists are computed exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

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
            stands = self.stands.dial_stops.get(role, 0.0)
            return steps[[int(np.abs(steps - stands).argmin())]]
        return steps

    def _quiet_roles(self) -> frozenset[str]:
        """Lights that hardly reach the aimed regions: left out of the search for the odds."""
        aimed = self._centre[self.table.rows]
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
        times = self.layout.sitting.seconds_choices or (stands.seconds,)
        if "seconds" in locks:
            times = (stands.seconds,)
        if "pops" in locks:
            pops = (stands.pops,)
        return [_Camera(*c) for c in product(stops, pops, times)]

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
        start = np.array([self.stands.dial_stops.get(r, 0.0) for r in self.roles])
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

    def _neighbours(self, dials: FloatArray) -> FloatArray:
        """The dials around one setting: singles, pairs and all together."""
        free = [j for j, steps in enumerate(self._scales) if len(steps) > 1]
        steps = {j: float(self._scales[j][1] - self._scales[j][0]) for j in free}
        moves: list[dict[int, float]] = [{}]
        for j in free:
            moves += [{j: n * steps[j]} for n in (-4, -2, -1, 1, 2, 4)]
            moves.append({j: self.stands.dial_stops.get(self.roles[j], 0.0) - dials[j]})
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
        return np.unique(self._on_steps(np.clip(trials, low, high)), axis=0)

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
        lean = np.array([self._effort(c, d)[1] for c, d in zip(cameras, dials, strict=True)])
        order = np.argsort(-(odds - EFFORT_LEAN * lean), kind="stable")[:STARTS]
        refined = []
        for k in order:
            dial, value = self._climb(dials[k], shifts[k], target_shift)
            refined.append((value, cameras[k], dial))
        refined.sort(key=lambda item: -item[0])
        found: dict[tuple[object, ...], Trial] = {}
        for value, camera, dial in refined:
            if value < refined[0][0] - 3 * TIE and len(found) >= FINALISTS:
                continue
            trials = np.concatenate([self._simpler(dial), self._nearest(dial)])
            self._exact(camera, trials, target_shift, found)
        return list(found.values())

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
        self, dials: FloatArray, shifts: FloatArray, target_shift: float
    ) -> tuple[FloatArray, float]:
        value = -1.0
        for _ in range(LOCAL_ROUNDS):
            around = self._neighbours(dials)
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
        base = BareSettings({}, camera.f_number, camera.pops, camera.seconds)
        light = self.table.light(base)
        deviation = self.table.deviations(light, trials) - target_shift
        odds = self.table.odds_of_landing(deviation)
        for dial, p in zip(trials, odds, strict=True):
            changes, effort = self._effort(camera, dial)
            settings = self._settings(camera, dial)
            key = (camera, tuple(np.round(dial, 6)))
            found[key] = Trial(settings, float(p), changes, effort)

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

    def _simpler(self, dials: FloatArray) -> FloatArray:
        """The same dials with every choice of them put back to where they stand."""
        if self.fresh:
            return dials[None]
        stand = np.array([self.stands.dial_stops.get(r, 0.0) for r in self.roles])
        moved = [j for j in range(len(dials)) if abs(dials[j] - stand[j]) > 1e-6]
        rows = []
        for keep in product((True, False), repeat=min(len(moved), 6)):
            row = dials.copy()
            for j, kept in zip(moved, keep, strict=False):
                if not kept:
                    row[j] = stand[j]
            rows.append(row)
        return np.array(rows)

    def _effort(self, camera: _Camera, dials: FloatArray) -> tuple[int, float]:
        """How many knobs change, and what that costs."""
        stands, policy = self.stands, self.policy
        kinds = []
        if abs(camera.f_number - stands.f_number) > 1e-9:
            kinds.append("stop")
        if camera.pops != stands.pops:
            kinds.append("pops")
        if abs(camera.seconds - stands.seconds) > 1e-12:
            kinds.append("seconds")
        if not self.fresh:
            kinds += [
                "dial"
                for role, dial in zip(self.roles, dials, strict=True)
                if role in self.layout.dials
                and abs(dial - stands.dial_stops.get(role, 0.0)) > 1e-6
            ]
        return len(kinds), sum(policy.effort(k) for k in kinds)

    def _settings(self, camera: _Camera, dials: FloatArray) -> BareSettings:
        values = {
            role: round(float(d), 10) + 0.0
            for role, d in zip(self.roles, dials, strict=True)
            if role in self.layout.dials
        }
        return BareSettings(values, camera.f_number, camera.pops, camera.seconds)
