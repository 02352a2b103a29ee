"""Finding the settings whose sheet most likely lands.

Dials, pops, f-stop and open time only scale the light of a source, so thousands of settings are
tried on one table of light. Coarse trials use the mean loss of many pops and of long times; the
finalists are computed exactly.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, product

import numpy as np

from stillroom.advice.dials import Dials
from stillroom.advice.odds import Table
from stillroom.advice.policy import (
    NEAREST_BELOW,
    NEAREST_MORE_STOPS,
    NEAREST_TIE_STOPS,
    TIE,
    Policy,
)
from stillroom.belief import aims_of
from stillroom.exposure import BareSettings, Layout
from stillroom.quantity import FloatArray

MOST_POPS = 8
COARSE_STATES = 320
STARTS = 8
FINALISTS = 3
FEW_STARTS = 4
TRIED_PER_EFFORT = 2
LOCAL_ROUNDS = 8
COARSE_SLACK = 0.05
COARSE_SLACK_STOPS = 0.3
"""How much better a coarse trial may turn out when it is looked at closely."""
QUIET_SHARE = 0.05
"""A light that gives the aimed regions no more than this, at full, is set for its own region."""
QUIET_TOLERANCE_STOPS = 0.5
LEAST_MOVE_SHARE = 0.5
"""A dial is not turned by less than this share of the scatter from sheet to sheet."""
EFFORT_LEAN = 0.001
"""A lean towards less effort among coarse trials, far below the tie of the final choice."""
EXCESS_LEAN = 0.01
"""A lean towards what comes nearer among coarse trials, per stop: odds of 0 are no guide."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Settings with their odds and what it takes to get there from where things stand."""

    settings: BareSettings
    p_keeper: float
    excess_stops: float
    """How far the aimed regions are expected beyond their tolerances, summed."""
    changes: int
    effort: float
    p_sharp: float = 1.0
    """Chance that focus and stillness hold, where settings decide on it."""

    @property
    def p_whole(self) -> float:
        """Odds that tones land and the picture is sharp."""
        return self.p_keeper * self.p_sharp


@dataclass(frozen=True, slots=True)
class _Camera:
    f_number: float
    pops: int
    seconds: float


@dataclass(frozen=True, slots=True)
class _Idea:
    """A camera setting and a choice of dials that nearly fit; the odds are coarse."""

    camera: _Camera
    shifts: FloatArray
    turned: tuple[int, ...]
    dials: FloatArray
    p_keeper: float
    excess_stops: float
    changes: int
    effort: float
    p_sharp: float

    @property
    def p_whole(self) -> float:
        return self.p_keeper * self.p_sharp

    @property
    def score(self) -> float:
        return self.p_whole - EXCESS_LEAN * self.excess_stops - EFFORT_LEAN * self.effort


@dataclass(frozen=True, slots=True)
class _Measure:
    """What makes one way better than another: the odds, or where none are good, nearness."""

    value: Callable[[Trial | _Idea], float]
    tie: float
    worth_more: float
    slack: float


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
        dials = dict(stands.dial_stops)
        self._reference = BareSettings(dials, self.layout.f_numbers[0], 1, 1.0)
        self._coarse = table.thinned(COARSE_STATES)
        self._light = self._coarse.light(self._reference)
        self._stood = np.array([stands.dial_stops.get(r, 0.0) for r in self.roles])
        self._centre = np.exp2(np.log2(self._light).mean(axis=0))
        self._losses = self._mean_losses()
        self._quiet = self._quiet_roles()
        self._dials = Dials([self._dial_steps(role) for role in self.roles], self._stood)

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

    @property
    def free_dials(self) -> tuple[int, ...]:
        """Sources whose dials may be turned."""
        return self._dials.free

    # ---- the camera's part ----------------------------------------------------------------

    def _cameras(self, pops: Sequence[int]) -> list[_Camera]:
        locks, stands = self.policy.locks, self.stands
        stops = (stands.f_number,) if "stop" in locks else self.layout.f_numbers
        if "pops" in locks or not self.layout.flash.any():
            pops = (stands.pops,)  # steady light has seconds for that
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

    # ---- the search -----------------------------------------------------------------------

    def best(self) -> Trial:
        """The settings with the best odds; among equals the least effort."""
        return self.choose(self.finalists())

    def quickly(self, *, target_shift: float, pops: Sequence[int]) -> Trial:
        """The best of the coarse trials, climbed from once: for what need not be the very best.

        Parameters
        ----------
        target_shift : float
            Aim this far from the aims [stops]; a stepped sheet starts below them.
        pops : sequence of int
            The pops to consider.
        """
        found: dict[tuple[object, ...], Trial] = {}
        idea = self._ideas(pops, target_shift)[0]
        self._look_closely(idea, found, beside=False, target_shift=target_shift)
        return next(iter(found.values()))

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
        at_full = self._centre * np.exp2(self._shifts(camera))
        aims = aims_of(self.layout, [r for _, r in regions])
        targets = self._coarse.states.curves.placement_of_aims(aims).mean(axis=0)
        quiet = np.array([r in self._quiet and r in self.layout.dials for r in self.roles])
        for (i, _), target in zip(regions, targets, strict=True):
            parts = at_full[i] * np.exp2(dials)
            j = int(np.where(quiet, at_full[i], parts).argmax())
            if not quiet[j] or self.roles[j] in self.policy.locks:
                continue
            steps = self.layout.dials[self.roles[j]].steps()
            would = np.log2(parts.sum() - parts[j] + at_full[i, j] * np.exp2(steps)) - target
            if abs(math.log2(parts.sum()) - target) > QUIET_TOLERANCE_STOPS:
                dials[j] = steps[int(np.abs(would).argmin())]
        found: dict[tuple[object, ...], Trial] = {}
        self._exact(camera, dials[None], found)
        turned = next(iter(found.values()))
        most = self.policy.most_changes
        if most is not None and not self.fresh and turned.changes > max(most, trial.changes):
            return trial
        return turned if turned.p_keeper >= trial.p_keeper - TIE / 2 else trial

    def finalists(self) -> list[Trial]:
        """The best settings of several cameras and their simpler relatives, exactly computed."""
        ideas = self._ideas(range(1, MOST_POPS + 1))
        found: dict[tuple[object, ...], Trial] = {}
        cameras: dict[_Camera, _Idea] = {}
        for idea in ideas:
            cameras.setdefault(idea.camera, idea)
        for rank, idea in enumerate(list(cameras.values())[:STARTS]):
            self._look_closely(idea, found, beside=rank < FINALISTS)
        most = self.policy.most_changes
        if most is not None and not self.fresh:
            few = [idea for idea in ideas if idea.changes <= most]
            for idea in few[:FEW_STARTS]:
                self._look_closely(idea, found, beside=True)
            if self._few_do(list(found.values())):
                ideas = few
        self._look_for_less_effort(ideas, found)
        return list(found.values())

    def _ideas(self, pops: Sequence[int], target_shift: float = 0.0) -> list[_Idea]:
        """Every camera setting with each choice of dials, the likeliest first."""
        cameras = self._cameras(pops)
        shifts = np.array([self._shifts(c) for c in cameras])
        rows, aims = self.table.rows, self._coarse.target.mean(axis=0) + target_shift
        solved = self._dials.solved(self._centre[rows], shifts, aims, self.table.aims.tol)
        if self.fresh:
            solved = {turned: d for turned, d in solved.items() if turned == self._dials.free}
        ideas = []
        for turned, dials in solved.items():
            deviation = self._coarse.deviations(self._light, dials + shifts) - target_shift
            odds, excess = self._coarse.quick_odds(deviation), self._coarse.excess(deviation)
            for k, camera in enumerate(cameras):
                p, e = float(odds[k]), float(excess[k])
                effort = self._effort(camera, dials[k])
                sharp = self._p_sharp(camera)
                ideas.append(_Idea(camera, shifts[k], turned, dials[k], p, e, *effort, sharp))
        return sorted(ideas, key=lambda idea: -idea.score)

    def _look_closely(
        self,
        idea: _Idea,
        found: dict[tuple[object, ...], Trial],
        *,
        beside: bool,
        target_shift: float = 0.0,
    ) -> None:
        """Climb from an idea and compute where it leads exactly, with what lies beside it."""
        dials, turned = idea.dials, idea.turned
        best = -math.inf
        for _ in range(LOCAL_ROUNDS):
            around = self._dials.around(dials, turned)
            deviation = self._coarse.deviations(self._light, around + idea.shifts) - target_shift
            score = self._coarse.quick_odds(deviation)
            score = score - EXCESS_LEAN * self._coarse.excess(deviation)
            k = int(score.argmax())
            if score[k] <= best + 1e-6:
                break
            dials, best = around[k], float(score[k])
        trials = self._dials.beside(dials, turned) if beside else dials[None]
        self._exact(idea.camera, trials, found, target_shift)

    def _look_for_less_effort(
        self,
        ideas: Sequence[_Idea],
        found: dict[tuple[object, ...], Trial],
    ) -> None:
        """Try ideas from the least effort up, until one ties with the best that is known."""
        most = max(idea.changes for idea in ideas)
        by_effort = sorted(ideas, key=lambda idea: (round(idea.effort, 6), -idea.score))
        for effort, group in groupby(by_effort, key=lambda idea: round(idea.effort, 6)):
            trials = [t for t in found.values() if t.changes <= most]
            measure = self._measure(trials)
            good = max(map(measure.value, trials)) - measure.tie
            if any(t.effort < effort - 1e-6 and measure.value(t) >= good for t in trials):
                return
            near = [i for i in group if measure.value(i) >= good - measure.slack]
            for idea in near[:TRIED_PER_EFFORT]:
                self._look_closely(idea, found, beside=True)

    def choose(self, trials: Sequence[Trial]) -> Trial:
        """Best odds; within a tie the least effort; more changes only where they are worth it."""
        measure = self._measure(trials)
        if self._few_do(trials):
            most = self.policy.most_changes or 0
            trials = [t for t in trials if t.changes <= most]
        best = max(map(measure.value, trials))
        good = [t for t in trials if measure.value(t) >= best - measure.tie]
        return min(good, key=lambda t: (round(t.effort, 6), -measure.value(t)))

    def _measure(self, trials: Sequence[Trial]) -> _Measure:
        if max(t.p_whole for t in trials) >= NEAREST_BELOW:
            return _Measure(lambda t: t.p_whole, TIE, self.policy.worth_more, COARSE_SLACK)
        tie, more = NEAREST_TIE_STOPS, NEAREST_MORE_STOPS
        return _Measure(lambda t: -t.excess_stops, tie, more, COARSE_SLACK_STOPS)

    def _few_do(self, trials: Sequence[Trial]) -> bool:
        """Whether few changes come so near to the best that more are not worth their while."""
        most = self.policy.most_changes
        if most is None or self.fresh:
            return False
        measure = self._measure(trials)
        few = [measure.value(t) for t in trials if t.changes <= most]
        return bool(few) and max(few) > max(map(measure.value, trials)) - measure.worth_more

    def _exact(
        self,
        camera: _Camera,
        trials: FloatArray,
        found: dict[tuple[object, ...], Trial],
        target_shift: float = 0.0,
    ) -> None:
        """Compute trials of dials (trials, sources) with one camera setting, into `found`."""
        trials = self._worth_turning(trials)
        light = self.table.light(self._settings(camera, trials[0]))
        deviation = self.table.deviations(light, trials) - target_shift
        odds, excess = self.table.odds_of_landing(deviation), self.table.excess(deviation)
        for dial, p, e in zip(trials, odds, excess, strict=True):
            settings = self._settings(camera, dial)
            key = (camera, tuple(np.round(dial, 6)))
            effort = self._effort(camera, dial)
            found[key] = Trial(settings, float(p), float(e), *effort, self._p_sharp(camera))

    def _worth_turning(self, trials: FloatArray) -> FloatArray:
        """The trials without moves that the scatter from sheet to sheet would swallow."""
        if self.fresh:
            return trials
        small = np.abs(trials - self._stood) < LEAST_MOVE_SHARE * self.table.sheet_sd
        return np.unique(np.where(small, self._stood, trials), axis=0)

    def _p_sharp(self, camera: _Camera) -> float:
        return self.policy.p_sharp(camera.f_number, camera.seconds, camera.pops)

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
