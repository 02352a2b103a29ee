"""Which slip explains a sheet best: explanations compared by how likely each makes its tones.

A sheet is held against what everything else says, that is, against the belief as it was without
it. Under each explanation the chance of its readings is averaged over the states of that
belief, over the sheet's own shift and over the sizes the slip may have; times how often such a
slip happens, it is a share among all of them.

References
----------
Bayes factors (Jeffreys, Theory of Probability, 1961, chapter 5; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stillroom.belief.evidence import LaidSheet, gather
from stillroom.belief.explanations import Case, Explanation, Slip, explanations, nulls
from stillroom.belief.likelihood import STUDENT_NU, Curves, word_chance
from stillroom.belief.named import standard_normal, stream
from stillroom.belief.posterior import Posterior, States, exposures, with_veil
from stillroom.exposure import BareRegionReading, Layout
from stillroom.quantity import FloatArray

STATES_USED = 400
LEAST_NAMED, MOST_NAMED = 2, 4
WORTH_NAMING = 0.04
"""Slips less likely than 1 in 25 are not named, unless fewer than two would be left."""
SHIFT_REACH, SHIFT_STEP = 4.0, 0.5
"""The sheet's own shift is summed over in steps of half its spread; each state's steps start
elsewhere, so that together they leave no gap."""
SPOILED_STEP = 0.1
GOLDEN = (math.sqrt(5) - 1) / 2
TABLE_STEP_STOPS = 1 / 16
TABLE_ENDS_STOPS = (-12.0, 10.0)
ALIKE_STOPS = 0.15
ALIKE_SHIFT_STOPS = 0.4
ALIKE_DENSITY = 0.03
ALIKE_PAPER_DENSITY = 0.12
ALIKE_SIZE_STOPS = 0.75
_OF_ONE_LIGHT = (Slip.DIAL, Slip.NOT_CHARGED, Slip.MODIFIER_OFF, Slip.MODIFIER_ON)
_OF_STEADY_LIGHT = (Slip.TIME, Slip.ROOM)
NOTHING_DENSITY = 0.02


@dataclass(frozen=True, slots=True)
class Spot:
    """One reading of the sheet: what was seen, what was expected.

    Attributes
    ----------
    region : str
    strip : int
    density : float or None
        As read; None where it was said in a word.
    verdict : str or None
    expected_stops, expected_density : float
        Without any slip, on average.
    """

    region: str
    strip: int
    density: float | None
    verdict: str | None
    expected_stops: float
    expected_density: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """One explanation and how it stands among the others.

    Attributes
    ----------
    explanation : Explanation
    share : float
        Its odds [1]; those of a comparison sum to 1.
    log_likelihood : float
        Log of the chance of the readings under it, but for a constant common to all.
    case : Case
        Its likeliest size.
    change_stops : tuple of float
        What it would do to each reading's spot, on average, at that size.
    density : tuple of float
        Tone it would give each spot, on average.
    """

    explanation: Explanation
    share: float
    log_likelihood: float
    case: Case
    change_stops: tuple[float, ...]
    density: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """All explanations of one sheet, the likeliest first."""

    spots: tuple[Spot, ...]
    weighed: tuple[Weighed, ...]

    def share(self, kind: Slip) -> float:
        """Odds of all explanations of a kind together [1]."""
        return sum(w.share for w in self.weighed if w.explanation.kind is kind)

    def slips(self) -> tuple[Weighed, ...]:
        """Those that can be named: neither scatter nor an unknown cause."""
        unnamed = (Slip.SCATTER, Slip.SPOILED)
        return tuple(w for w in self.weighed if w.explanation.kind not in unnamed)

    def likeliest(self) -> tuple[Weighed, ...]:
        """The two to four slips that are worth naming, the likeliest first."""
        slips = self.slips()
        worth = [w for w in slips[:MOST_NAMED] if w.share >= WORTH_NAMING]
        return tuple(worth) if len(worth) >= LEAST_NAMED else slips[:LEAST_NAMED]


def compare(
    without: Posterior,
    laid: LaidSheet,
    more: Sequence[Explanation] = (),
    *,
    held_open: bool = False,
) -> Comparison | None:
    """Hold a sheet against what everything else says.

    Parameters
    ----------
    without : Posterior
        The sitting without this sheet's reading, all others left in.
    laid : LaidSheet
        The sheet.
    more : sequence of Explanation
        Those that only a book knows, beside the ones of the bare ledger.
    held_open : bool
        Whether the lens stayed open through all pops.

    Returns
    -------
    Comparison or None
        None where the sheet says nothing of its tones.
    """
    reading = laid.sheet.reading
    if reading is None or not (reading.regions or reading.strips):
        return None
    sheet = _Sheet(without, laid)
    if not sheet.anything:
        return None
    losses = {m.id: _loss(without, laid.layout, m.id) for m in laid.layout.kit.modifiers}
    settings = laid.sheet.settings
    bare = explanations(laid.layout, settings, sheet.count, losses, held_open=held_open)
    found = [*bare, *more]
    return sheet.compared(found)


def least_chance(posterior: Posterior, laid: LaidSheet, number: int) -> float:
    """How likely the reading is that everything known finds hardest to believe.

    Parameters
    ----------
    posterior : Posterior
        The sitting with this sheet.
    laid : LaidSheet
        The sheet.
    number : int
        Its place among the sitting's sheets, from 0.

    Returns
    -------
    float
        Chance of that reading beside the chance of the likeliest one [1], 0 to 1; 1 where
        nothing was read. It costs little, and tells which sheets are worth comparing.
    """
    sheet = _Sheet(posterior, laid)
    if not sheet.anything:
        return 1.0
    own = _thinned(posterior.own_shift(number))[:, None]
    return sheet.least_chance(own)


def _loss(without: Posterior, layout: Layout, modifier: str) -> FloatArray:
    """The loss of a modifier in each state used, at its prior where nothing is known of it."""
    name = f"modifier/{modifier}/loss"
    if name in layout.index:
        theta = without.states(layout).theta[:, layout.index[name]]
        return np.asarray(_thinned(theta))
    belief, known = without.belief, next(m for m in layout.kit.modifiers if m.id == modifier)
    mean, sd = known.loss_stops, known.sd_stops
    if name in belief.names:
        at = belief.names.index(name)
        mean, sd = float(belief.mean[at]), math.sqrt(float(belief.covariance[at, at]))
    draws = standard_normal(stream(f"{layout.sitting.id}/{name}"), STATES_USED, 1)[:, 0]
    return np.asarray(mean + sd * draws)


def _thinned(values: FloatArray) -> FloatArray:
    """Evenly taken, `STATES_USED` of all states."""
    at = np.linspace(0, len(values), STATES_USED, endpoint=False).astype(np.intp)
    return np.asarray(values[at])


def _some(states: States) -> States:
    c = states.curves
    four = (_thinned(x) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax))
    return States(_thinned(states.theta), Curves(*four), _thinned(states.sheet_sd))


class _Sheet:
    """One sheet, ready to be explained in many ways."""

    def __init__(self, without: Posterior, laid: LaidSheet) -> None:
        self._without = without
        self.layout, self.settings = laid.layout, laid.sheet.settings
        self.states = _some(without.states(self.layout))
        self.count = self.states.count
        self._seen = _Seen(without, laid)
        self.anything = bool(self._seen.places)
        self._light = exposures(self.states, self.layout, self.settings)
        self._offset = ((np.arange(self.count) * GOLDEN) % 1.0 - 0.5)[:, None]

    # ---- light and tones ------------------------------------------------------------------

    def _placed(self, case: Case) -> FloatArray:
        """Where a case puts each reading's spot, without the sheet's own shift (states, spots)."""
        states, layout, light = self.states, self.layout, self._light
        if case.layout is not None:
            states, layout = _some(self._without.states(case.layout)), case.layout
            light = exposures(states, layout, self.settings)
        for role, stops in case.gains.items():
            gain = np.exp2(np.broadcast_to(np.asarray(stops, dtype=float), _two(stops)))
            factor = np.ones((gain.shape[0], 1, gain.shape[1], len(layout.roles)))
            factor[:, 0, :, layout.roles.index(role)] = gain
            light = light * factor
        total = light.sum(axis=3)
        if case.added_stops is not None:
            total = total + 2.0**case.added_stops
        placed = np.log2(np.maximum(with_veil(states, layout, total), 1e-30))
        at = [(strip, layout.regions.index(region)) for strip, region in self._seen.places]
        return np.asarray(placed[:, [k for k, _ in at], [i for _, i in at]])

    def _curves(self, case: Case) -> Curves:
        c = self.states.curves
        if case.layout is not None:
            c = _some(self._without.states(case.layout)).curves
        return replace(c, contrast=c.contrast * case.contrast)

    def _tones(self, case: Case, placed: FloatArray) -> FloatArray:
        """Tones of placements (states, any) under what the case makes of the paper."""
        curves = self._curves(case)
        tones = curves.density(placed)
        if case.thinner:
            dark = (tones - curves.dmin) / (curves.dmax - curves.dmin)
            tones = tones - case.thinner * dark**3
        return tones

    @cached_property
    def _table(self) -> FloatArray:
        """Log chance of each reading wherever its spot may lie (states, spots, places)."""
        low, high = TABLE_ENDS_STOPS
        grid = np.arange(low, high + TABLE_STEP_STOPS / 2, TABLE_STEP_STOPS)
        tones = self.states.curves.density(np.broadcast_to(grid, (self.count, len(grid))))
        return np.stack([self._seen.log_chance(i, tones) for i in self._seen.all], axis=1)

    # ---- how likely -----------------------------------------------------------------------

    def log_likelihood(
        self, case: Case, placed: FloatArray, shift_sd: FloatArray, step: float
    ) -> float:
        """Log chance of the readings, all states and the sheet's own shift summed over."""
        half = math.ceil(SHIFT_REACH / step)
        x = step * (np.arange(-half, half + 1) + self._offset)
        weight = -0.5 * x * x
        weight -= np.log(np.exp(weight).sum(axis=1, keepdims=True))
        shift = x * shift_sd[:, None]
        total = weight
        for i in self._seen.all:
            where = placed[:, i : i + 1] + shift
            if case.is_of_light:
                total = total + self._looked_up(i, where)
            else:
                total = total + self._seen.log_chance(i, self._tones(case, where))
        return _log_sum(total) - math.log(self.count)

    def _looked_up(self, spot: int, where: FloatArray) -> FloatArray:
        low, high = TABLE_ENDS_STOPS
        at = (np.clip(where, low, high - TABLE_STEP_STOPS) - low) / TABLE_STEP_STOPS
        cell = at.astype(np.intp)
        part = at - cell
        row = self._table[:, spot]
        first = np.take_along_axis(row, cell, axis=1)
        second = np.take_along_axis(row, cell + 1, axis=1)
        return np.asarray(first + part * (second - first))

    def least_chance(self, own_shift: FloatArray) -> float:
        """Chance of the least likely reading, on average over the states."""
        tones = self._tones(Case(1.0), self._placed(Case(1.0)) + own_shift)
        chances = [np.exp(self._seen.log_chance(i, tones[:, i])).mean() for i in self._seen.all]
        return float(min(chances))

    # ---- comparison -----------------------------------------------------------------------

    def compared(self, found: Sequence[Explanation]) -> Comparison:
        """All explanations that change anything, weighed."""
        effects = [[self._effect(c) for c in e.cases] for e in found]
        plain = self._effect(Case(1.0))
        telling = [
            (e, made)
            for e, made in zip(found, effects, strict=True)
            if any(np.abs(x.tone - plain.tone).max() > NOTHING_DENSITY for x in made)
        ]
        both = nulls(sum(e.rate for e, _ in telling))
        weighed = [self._weigh(e, made, plain) for e, made in telling]
        weighed += [self._weigh(e, [plain], plain) for e in both]
        logs = np.array([math.log(w.explanation.rate) + w.log_likelihood for w in weighed])
        shares = np.exp(logs - _log_sum(logs))
        order = sorted(range(len(weighed)), key=lambda i: (-shares[i], i))
        ranked = tuple(replace(weighed[i], share=float(shares[i])) for i in order)
        return Comparison(self._spots(plain), ranked)

    def _effect(self, case: Case) -> _Effect:
        placed = self._placed(case)
        return _Effect(placed, placed.mean(axis=0), self._tones(case, placed).mean(axis=0))

    def _weigh(self, explanation: Explanation, made: Sequence[_Effect], plain: _Effect) -> Weighed:
        sd, step = self.states.sheet_sd, SHIFT_STEP
        if explanation.shift_sd_stops is not None:
            sd, step = np.full(self.count, explanation.shift_sd_stops), SPOILED_STEP
        cases = explanation.cases
        logs = np.array(
            [
                math.log(c.weight) + self.log_likelihood(c, x.placed, sd, step)
                for c, x in zip(cases, made, strict=True)
            ]
        )
        at = int(logs.argmax())
        return Weighed(
            explanation,
            share=0.0,
            log_likelihood=_log_sum(logs),
            case=cases[at],
            change_stops=_floats(made[at].place - plain.place),
            density=_floats(made[at].tone),
        )

    def _spots(self, plain: _Effect) -> tuple[Spot, ...]:
        read = zip(self._seen.places, self._seen.values, plain.place, plain.tone, strict=True)
        return tuple(
            Spot(region, strip, value.density, value.verdict, float(u), float(d))
            for (strip, region), value, u, d in read
        )


@dataclass(frozen=True, slots=True)
class _Effect:
    """What one case does: placements (states, spots), and on average place and tone (spots,)."""

    placed: FloatArray
    place: FloatArray
    tone: FloatArray


def _log_sum(logs: FloatArray) -> float:
    top = float(logs.max())
    return top + math.log(float(np.exp(logs - top).sum()))


def alike(one: Weighed, other: Weighed) -> bool:
    """Whether two slips would give the same sheet, but for its own shift.

    A light that stood otherwise is light like any other; what turns one light up or down does the
    same at another size, and how much a curtain lets in is as good as unknown. Another paper is
    alike where it differs from this one by hardly more than its speed.
    """
    tones = float(np.abs(np.subtract(one.density, other.density)).max())
    if tones < ALIKE_DENSITY:
        return True
    if any(w.case.contrast != 1 or w.case.thinner != 0 for w in (one, other)):
        return False
    apart = np.subtract(one.change_stops, other.change_stops)
    middle = float(apart.mean())
    shifted = abs(middle) < ALIKE_SHIFT_STOPS and np.abs(apart - middle).max() < ALIKE_STOPS
    if _turns(one) == _turns(other) is not None:
        of_room = Slip.ROOM in {one.explanation.kind, other.explanation.kind}
        one_way = sum(one.change_stops) * sum(other.change_stops) > 0
        return one_way and (of_room or bool(np.abs(apart).max() < ALIKE_SIZE_STOPS))
    of_paper = Slip.PAPER in {one.explanation.kind, other.explanation.kind}
    return bool(shifted and (tones < ALIKE_PAPER_DENSITY or not of_paper))


def _turns(weighed: Weighed) -> str | None:
    """The light that a slip only turns up or down; None where it does anything else."""
    kind = weighed.explanation.kind
    if kind in _OF_STEADY_LIGHT:
        return "steady light"
    return weighed.explanation.subject if kind in _OF_ONE_LIGHT else None


class _Seen:
    """What was read of one sheet: densities first, then words."""

    def __init__(self, without: Posterior, laid: LaidSheet) -> None:
        alone = replace(laid, sheet=replace(laid.sheet, kept=None))
        e = gather(without.belief, laid.layout, [alone], ())
        bias = np.concatenate([e.density_bias, e.word_bias])
        spread = np.einsum("it,ts,is->i", bias, e.belief.covariance, bias)
        reads = len(e.density_spot)
        self._bias = bias @ e.belief.mean
        # A reader's bias is one for all regions; taken as each region's own it asks for less.
        self._evidence = replace(
            e,
            density_sd=np.sqrt(e.density_sd**2 + spread[:reads]),
            word_low_sd=np.sqrt(e.word_low_sd**2 + spread[reads:]),
            word_high_sd=np.sqrt(e.word_high_sd**2 + spread[reads:]),
        )
        self._reads = reads
        listed = list(_listed(laid))
        found = [x for x in listed if x[2].density is not None]
        found += [x for x in listed if _says(x[2], x[1], laid.layout)]
        self.places = [(strip, region) for strip, region, _ in found]
        self.values = [value for _, _, value in found]
        self.all = range(len(found))

    def log_chance(self, i: int, tones: FloatArray) -> FloatArray:
        """Log chance of one reading at tones of any shape, but for a constant."""
        e, seen = self._evidence, tones + self._bias[i]
        if i < self._reads:
            r = (e.density[i] - seen) / e.density_sd[i]
            return np.asarray(-0.5 * (STUDENT_NU + 1) * np.log1p(r * r / STUDENT_NU))
        k = i - self._reads
        return np.asarray(np.log(word_chance(e, seen, k)))


def _listed(laid: LaidSheet) -> Iterator[tuple[int, str, BareRegionReading]]:
    """Strip, region and what was read of it, in the order the evidence takes them."""
    reading, steps = laid.sheet.reading, laid.sheet.settings.steps_pops or ()
    if reading is None:
        return
    for step, regions in reading.strips:
        yield from ((steps.index(step), region, value) for region, value in regions.items())
    yield from ((0, region, value) for region, value in reading.regions.items())


def _says(value: BareRegionReading, region: str, layout: Layout) -> bool:
    """Whether a word says anything of exposure; without an aim only the ends do."""
    if value.verdict in ("black", "bare_paper"):
        return True
    aim = layout.aims.get(region)
    aimed = aim is not None and aim.tol_stops is not None
    return aimed and value.verdict not in (None, "cant_tell")


def _two(stops: FloatArray | float) -> tuple[int, int]:
    """The shape of a gain as (states, regions)."""
    shape = np.shape(stops)
    return (1, 1) if len(shape) == 0 else (shape[0], shape[1])


def _floats(values: FloatArray) -> tuple[float, ...]:
    return tuple(float(v) for v in values)
