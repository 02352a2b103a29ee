"""What a look is worth before the next choice: one observation ahead.

An observation is imagined as made in a few of the states that are believed. Each outcome weighs
all states anew, and the best odds among many settings after it tell how well one would then
choose. What that saves is counted in sheets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import ndtr

from stillroom.advice.odds import Table, scatter_scores
from stillroom.belief import SLIP_RATE, WORDS, exposures, with_veil, word_interval
from stillroom.exposure import BareSettings, ReadBy
from stillroom.paper import density_slope
from stillroom.quantity import FloatArray
from stillroom.reading import SD_DENSITY

OUTCOMES = 32
SHIFT_NODES = 5
STATES_SEEN = 400
LEVELS_STOPS = np.arange(-3.0, 3.01, 0.2)
"""Moves of all light together that are open after a look [stops]."""
BALANCES_STOPS = (-1.6, -1.2, -0.8, -0.4, 0.4, 0.8, 1.2, 1.6)
"""Moves of one dial against the others [stops]."""
LEARNS = 0.6
"""Share of what is still to be learned that the next plain sheet teaches when it misses."""
LEAST_ODDS = 0.02
"""Odds worse than this are not waited for: sheets and rounds stay finite."""
TIE_SHEETS = 0.1
"""Looks ahead are known no better."""


@dataclass(frozen=True, slots=True)
class Look:
    """What is expected of an observation.

    Attributes
    ----------
    odds : float
        The best odds after it, on the average over what it may show.
    sheets : float
        Sheets expected from now on to the first that lands, its own one counted in.
    """

    odds: float
    sheets: float


@dataclass(frozen=True, slots=True)
class PieceLook:
    """What is expected of a test piece: one aimed region of the best plain sheet, read.

    Attributes
    ----------
    region : str
        Where it is taped.
    look : Look
        Its own cost counted in, in sheets made one at a time.
    whole_sheets : float
        Whole sheets expected after it to the first that lands.
    sd_now_stops, sd_after_stops : float
        How far it is open where the region falls, before and after it is read, the scatter of a
        sheet left out [stops].
    """

    region: str
    look: Look
    whole_sheets: float
    sd_now_stops: float
    sd_after_stops: float


@dataclass(frozen=True, slots=True)
class _Imagined:
    """One sheet as imagined in every outcome."""

    placed: FloatArray
    """Where its tones are placed in every state (states, strips, aimed) [stops]."""
    tone: FloatArray
    """Tones (outcomes, strips, aimed), as density."""
    noise: FloatArray
    """Scores of the reading's own scatter, in the shape of the tones."""
    lands: np.ndarray
    """Whether it lands (outcomes,)."""
    region_sd: float


class Ahead:
    """Looks ahead from what is believed of a sitting.

    Parameters
    ----------
    table : Table
        What is believed.
    best : BareSettings
        The best plain sheet as things are.
    p_keeper : float
        Its odds.
    steps : BareSettings
        The stepped sheet that could be made instead.
    free : sequence of int
        Sources whose dials may be turned.
    by : str
        How sheets are read.

    Notes
    -----
    After a look every level of light within three stops is taken to be in reach, and one dial
    may move against the others. The sheet's own shift is integrated by quadrature, spoiled
    sheets are left out. With so few outcomes a look is known to about a tenth of a sheet; but
    all looks are compared on the same outcomes.
    """

    def __init__(
        self,
        table: Table,
        best: BareSettings,
        p_keeper: float,
        steps: BareSettings,
        *,
        free: Sequence[int],
        by: ReadBy,
    ) -> None:
        self.table = table = table.thinned(STATES_SEEN)
        self.best = best
        self.p_keeper = p_keeper
        self.steps = steps
        self.by = by or "scan"
        self._free = free
        count = table.states.count
        self._shown = (np.arange(OUTCOMES) * count) // OUTCOMES

    # ---- what could be chosen after -------------------------------------------------------

    @cached_property
    def _landing(self) -> FloatArray:
        """Odds of each choice in each state (choices, states), spoiled sheets left out."""
        table = self.table
        light, gains = table.light(self.best), table.gains(self.best)
        rows = [gains[0]]
        for j in self._free if len(self._free) > 1 else ():
            for move in BALANCES_STOPS:
                row = gains[0].copy()
                row[j] += move
                rows.append(row)
        deviations = table.deviations(light, np.array(rows))
        found = [table.quick_landing(deviations + level) for level in LEVELS_STOPS]
        return np.concatenate(found)

    @cached_property
    def known(self) -> float:
        """Odds of the best sheet for somebody who knows everything but the scatter."""
        return float(self._landing.max(axis=0).mean())

    def to_go(self, odds: FloatArray | float) -> FloatArray:
        """Sheets expected to the first that lands when the next lands with these odds.

        When it misses, the one after is better by a share of what is left to learn; from then
        on everything is taken as known.
        """
        known = max(self.known, LEAST_ODDS)
        p = np.clip(odds, LEAST_ODDS, known)
        after = p + LEARNS * (known - p)
        return np.asarray(1 + (1 - p) * (1 + (1 - after) / known))

    # ---- looks ----------------------------------------------------------------------------

    @cached_property
    def plain(self) -> Look:
        """The best plain sheet, read."""
        lands = self._plain_sheet.lands
        after = self._best_after(self._weights(self._plain_sheet))
        missed = ~lands if not lands.all() else lands
        rest = float(self.to_go(after[missed]).mean())
        return Look(float(after.mean()), 1 + (1 - self.p_keeper) * rest)

    @cached_property
    def stepped(self) -> Look:
        """A stepped sheet, read strip by strip; it never lands itself."""
        after = self._best_after(self._weights(self._imagined(self.steps)))
        return Look(float(after.mean()), 1 + float(self.to_go(after).mean()))

    def pieces(self, cost_sheets: float) -> tuple[PieceLook, ...]:
        """A test piece at each aimed region, made like the best plain sheet; it never lands.

        All are judged by what the plain sheet shows in the same outcomes, one region of it seen.

        Parameters
        ----------
        cost_sheets : float
            What it costs, in sheets made one at a time.
        """
        return tuple(self._piece(at, cost_sheets) for at in range(len(self.table.aimed)))

    def piece(self, cost_sheets: float) -> PieceLook:
        """The test piece that saves most; of those within a tie, the one with the least tolerance.

        Parameters
        ----------
        cost_sheets : float
            What it costs, in sheets made one at a time.
        """
        pieces = self.pieces(cost_sheets)
        least = min(one.look.sheets for one in pieces)
        close = [
            (float(tol), at)
            for at, (one, tol) in enumerate(zip(pieces, self.table.aims.tol, strict=True))
            if one.look.sheets <= least + TIE_SHEETS
        ]
        return pieces[min(close)[1]]

    def _piece(self, at: int, cost_sheets: float) -> PieceLook:
        seen = self._plain_sheet
        weights = self._weights(seen, at)
        after = self._best_after(weights)
        whole = float(self.to_go(after).mean())
        off = seen.placed[:, 0, at] - self.table.target[:, at]
        left = weights @ off**2 - (weights @ off) ** 2
        return PieceLook(
            self.table.aimed[at],
            Look(float(after.mean()), cost_sheets + whole),
            whole,
            float(off.std()),
            math.sqrt(max(float(left.mean()), 0.0)),
        )

    def metered(self, c: FloatArray, a: FloatArray, sd_stops: float) -> Look:
        """A meter reading, which takes no sheet.

        Parameters
        ----------
        c, a : FloatArray
            What the meter sees: (sources,) and (sources, terms of the layout).
        sd_stops : float
            Its own spread with its bias.
        """
        e = c + np.einsum("st,mt->ms", a, self.table.states.theta)
        level = np.log2(np.maximum(np.exp2(e).sum(axis=1), 1e-30))
        noise = sd_stops * scatter_scores(OUTCOMES, 1)[:, 0]
        seen = level[self._shown] + noise
        log_weight = -0.5 * ((seen[:, None] - level) / sd_stops) ** 2
        after = self._best_after(_normed(log_weight))
        return Look(float(after.mean()), float(self.to_go(after).mean()))

    def now(self) -> float:
        """Sheets expected when the best plain sheet is made and nothing is looked at before."""
        return float(self.to_go(self.p_keeper))

    # ---- imagined sheets ------------------------------------------------------------------

    def _best_after(self, weights: FloatArray) -> FloatArray:
        return np.asarray((weights @ self._landing.T).max(axis=1))

    @cached_property
    def _plain_sheet(self) -> _Imagined:
        return self._imagined(replace(self.best, steps_pops=None))

    def _imagined(self, settings: BareSettings) -> _Imagined:
        table = self.table
        states, layout = table.states, table.layout
        light = exposures(states, layout, settings).sum(axis=3)
        placed = np.log2(np.maximum(with_veil(states, layout, light), 1e-30))
        placed = placed[:, :, table.rows]
        stepped = settings.steps_pops is not None
        region_sd = table.region_sd
        if stepped:
            region_sd = math.hypot(region_sd, layout.scatter.stepped_region_sd_stops)
        shape = (OUTCOMES, *placed.shape[1:])
        scores = scatter_scores(OUTCOMES, 1 + 2 * int(np.prod(shape[1:])))
        shift = states.sheet_sd[self._shown] * scores[:, 0]
        half = (scores.shape[1] - 1) // 2
        own = region_sd * scores[:, 1 : 1 + half].reshape(shape)
        where = placed[self._shown] + shift[:, None, None] + own
        off = where[:, 0] - table.target[self._shown]
        lands = np.asarray((np.abs(off) <= table.aims.tol).all(axis=1) & (not stepped))
        tone, noise = self._tones(self._shown, where), scores[:, 1 + half :].reshape(shape)
        return _Imagined(placed, tone, noise, lands, region_sd)

    def _weights(self, seen: _Imagined, only: int | None = None) -> FloatArray:
        """Weights of all states after each outcome (outcomes, states).

        With `only`, all that is seen of the sheet is one of the aimed regions.
        """
        regions = range(len(self.table.aimed)) if only is None else (only,)
        return _normed(self._log_likelihood(seen, list(regions)))

    def _tones(self, which: np.ndarray, placed: FloatArray) -> FloatArray:
        c = self.table.states.curves
        take = replace(
            c,
            contrast=c.contrast[which],
            asymmetry=c.asymmetry[which],
            dmin=c.dmin[which],
            dmax=c.dmax[which],
        )
        return take.density(placed.reshape(len(placed), -1)).reshape(placed.shape)

    def _log_likelihood(self, seen_of: _Imagined, regions: list[int]) -> FloatArray:
        """Of each outcome under each state (outcomes, states), the sheet's shift integrated."""
        states = self.table.states
        nodes, node_weights = np.polynomial.hermite_e.hermegauss(SHIFT_NODES)
        log_node = np.log(node_weights / node_weights.sum())
        c = states.curves
        region_sd = seen_of.region_sd
        flat = seen_of.placed[:, :, regions].reshape(states.count, -1)
        middle = [float(x.mean()) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax)]
        seen = seen_of.tone[:, :, regions].reshape(OUTCOMES, -1)
        noise = seen_of.noise[:, :, regions].reshape(OUTCOMES, -1)
        sd = SD_DENSITY.get(self.by, self.table.layout.kit.eye_sd_density)
        slope = np.abs(np.asarray(density_slope(flat.mean(axis=0), *middle)))
        sd_read = np.hypot(sd, region_sd * slope)
        seen = seen + sd * noise
        ends = self._word_intervals(seen, regions) if self.by == "words" else (seen, seen)
        parts = []
        for node, log_w in zip(nodes, log_node, strict=True):
            tones = c.density(flat + (states.sheet_sd * node)[:, None])
            total = np.full((OUTCOMES, states.count), log_w)
            for i in range(tones.shape[1]):
                low, high = ((end[:, i, None] - tones[:, i]) / sd_read[i] for end in ends)
                if self.by == "words":
                    inside = np.clip(ndtr(high) - ndtr(low), 0, 1)
                    total += np.log((1 - SLIP_RATE) * inside + SLIP_RATE / len(WORDS))
                else:
                    total -= 0.5 * low * low
            parts.append(total)
        return np.asarray(np.logaddexp.reduce(parts, axis=0))

    def _word_intervals(
        self, seen: FloatArray, regions: list[int]
    ) -> tuple[FloatArray, FloatArray]:
        """Ends of the word each tone is called by: seen (outcomes, strips x regions)."""
        table, layout = self.table, self.table.layout
        c = table.states.curves
        curve = [float(x.mean()) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax)]
        low, high = np.full(seen.shape, -np.inf), np.full(seen.shape, np.inf)
        for i in range(seen.shape[1]):
            region = table.aimed[regions[i % len(regions)]]
            aim = layout.aim_density(region, (curve[0], curve[1], curve[2], curve[3]))
            tol = layout.aims[region].eye_tol_density
            for word in WORDS:
                said = word_interval(word, aim, tol, curve[2], curve[3])
                if said is None:
                    continue
                inside = (seen[:, i] >= said.low) & (seen[:, i] < said.high)
                low[inside, i], high[inside, i] = said.low, said.high
        return low, high


def _normed(log_weight: FloatArray) -> FloatArray:
    """Weights that sum to 1 for each outcome."""
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))
