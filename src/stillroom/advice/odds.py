"""The odds that the aimed tones land, for many settings at once."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np
from scipy.special import ndtr

from stillroom.belief import (
    Aims,
    States,
    aims_of,
    exposures,
    still_stops,
    window,
    with_veil,
)
from stillroom.exposure import BareSettings, Layout
from stillroom.quantity import FloatArray

QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
SHIFT_NODES = 9
WIDEST_SCATTER = 8.0
MOST_STEPS = 200
CLOSE = 1e-12
"""So near a quantile is found, in the unit of the values."""
LEAST_SLOPE = 1e-300


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far one region is expected from its aim, the sheet's own scatter included [stops]."""

    mean: float
    sd: float
    quantiles: tuple[float, ...]
    """At `QUANTILES`."""
    p_lands: float


@dataclass(frozen=True, slots=True)
class Odds:
    """What is expected of a sheet: odds that all aimed regions land, and each deviation."""

    p_keeper: float
    regions: dict[str, Deviation]


class Table:
    """States of one sitting, made ready to try many settings on.

    Parameters
    ----------
    states : States
        What is believed.
    layout : Layout
        The sitting.
    """

    def __init__(self, states: States, layout: Layout) -> None:
        self.states = states
        self.layout = layout
        self.aimed = [r for r, a in layout.aims.items() if a.tol_stops is not None]
        self.aims: Aims = aims_of(layout, self.aimed)
        self.target = states.curves.placement_of_aims(self.aims)
        self.rows = [layout.regions.index(r) for r in self.aimed]
        scatter = layout.scatter
        self.sheet_sd = float(np.sqrt((states.sheet_sd**2).mean()))
        self.region_sd = scatter.region_sd_stops
        self.spoiled_rate = scatter.spoiled_rate
        self.spoiled_sd = scatter.spoiled_sd_stops

    def thinned(self, count: int) -> Table:
        """The same with about `count` of the states, evenly taken."""
        step = max(1, self.states.count // count)
        c = self.states.curves
        curves = replace(
            c,
            contrast=c.contrast[::step],
            asymmetry=c.asymmetry[::step],
            dmin=c.dmin[::step],
            dmax=c.dmax[::step],
        )
        states = self.states
        return Table(States(states.theta[::step], curves, states.sheet_sd[::step]), self.layout)

    def light(self, settings: BareSettings) -> FloatArray:
        """Light over the mid-tone's at every region, full dial: (states, regions, sources).

        The dials of the settings are taken back as if a stop on them were a stop of light: what
        they run off by where they stand stays in, and hardly changes with a few steps more.
        """
        made = replace(settings, steps_pops=None)
        back = np.exp2(-self.gains(made)[0])
        return np.asarray(exposures(self.states, self.layout, made, self._still)[:, 0] * back)

    @cached_property
    def _still(self) -> FloatArray:
        return still_stops(self.states, self.layout)

    def deviations(self, light: FloatArray, gains: FloatArray) -> FloatArray:
        """Deviation from the aim: gains (trials, sources) give (trials, states, aimed)."""
        if self.layout.veil is None:
            placed = np.einsum("mrs,ks->kmr", light[:, self.rows], np.exp2(gains), optimize=True)
        else:
            lit = np.einsum("mrs,ks->mkr", light, np.exp2(gains), optimize=True)
            placed = with_veil(self.states, self.layout, lit).transpose(1, 0, 2)[:, :, self.rows]
        return np.asarray(np.log2(np.maximum(placed, 1e-30)) - self.target)

    def quick_odds(self, deviation: FloatArray) -> FloatArray:
        """Odds that all land (trials,), the regions' own scatter folded into the sheet's."""
        return np.asarray(self._inside(deviation, self.states.sheet_sd).mean(axis=1))

    def quick_landing(self, deviation: FloatArray) -> FloatArray:
        """The same state by state (trials, states)."""
        return self._inside(deviation, self.states.sheet_sd)

    def excess(self, deviation: FloatArray) -> FloatArray:
        """How far the aimed regions are expected beyond their tolerances (trials,) [stops]."""
        beyond = np.maximum(np.abs(deviation) - self.aims.tol, 0.0)
        return np.asarray(beyond.sum(axis=2).mean(axis=1))

    def _inside(self, deviation: FloatArray, sheet_sd: FloatArray | float) -> FloatArray:
        sd = np.hypot(sheet_sd, self.region_sd)
        # Region by region, for numpy is slow to take the largest of two along a last axis.
        parts = [(deviation[:, :, i], tol) for i, tol in enumerate(self.aims.tol)]
        low = reduce(np.maximum, [-tol - part for part, tol in parts])
        high = reduce(np.minimum, [tol - part for part, tol in parts])
        return np.asarray(np.clip(ndtr(high / sd) - ndtr(low / sd), 0.0, None))

    def landing_by_state(self, deviation: FloatArray) -> FloatArray:
        """Odds that all land, state by state (trials, states), the spoiled sheet counted in.

        A good sheet's shift is integrated by quadrature; a spoiled one's is so broad that the
        regions' own scatter can be folded into it.
        """
        nodes, weights = np.polynomial.hermite_e.hermegauss(SHIFT_NODES)
        weights = weights / weights.sum()
        good = np.zeros(deviation.shape[:2])
        shift = self.states.sheet_sd[:, None]
        for node, weight in zip(nodes, weights, strict=True):
            inside = window(deviation + shift * node, self.aims.tol, self.region_sd)
            good += weight * inside.prod(axis=2)
        spoiled = self._inside(deviation, self.spoiled_sd)
        return np.asarray((1 - self.spoiled_rate) * good + self.spoiled_rate * spoiled)

    def odds_of_landing(self, deviation: FloatArray) -> FloatArray:
        """Odds that all land (trials,), the spoiled sheet counted in."""
        return np.asarray(self.landing_by_state(deviation).mean(axis=1))

    def gains(self, settings: BareSettings) -> FloatArray:
        """The dials of one setting as gains (1, sources)."""
        dials = settings.dial_stops
        return np.array([[dials.get(role, 0.0) for role in self.layout.roles]])

    def odds(self, settings: BareSettings) -> Odds:
        """Everything that is expected of a sheet with these settings."""
        deviation = self.deviations(self.light(settings), self.gains(settings))
        p_keeper = float(self.odds_of_landing(deviation)[0]) if self.aimed else 0.0
        regions = {}
        scatter = np.hypot(self.states.sheet_sd, self.region_sd)
        whole = math.hypot(self.sheet_sd, self.region_sd)
        for i, region in enumerate(self.aimed):
            values = deviation[0, :, i]
            spread = float(np.hypot(values.std(), whole))
            lands = window(values, self.aims.tol[i], scatter).mean()
            quantiles = scattered_quantiles(values, scatter)
            regions[region] = Deviation(float(values.mean()), spread, quantiles, float(lands))
        return Odds(p_keeper, regions)


def scattered_quantiles(values: FloatArray, sd: FloatArray | float) -> tuple[float, ...]:
    """Quantiles (at `QUANTILES`) of equally likely values with normal scatter added, exactly.

    Parameters
    ----------
    values : FloatArray
        One for each state.
    sd : float or FloatArray
        Scatter, in the unit of the values; one for all or one for each.

    Examples
    --------
    >>> [round(q, 3) for q in scattered_quantiles(np.array([1.0]), 1.0)]
    [-0.645, 0.326, 1.0, 1.674, 2.645]
    """
    wanted = np.array(QUANTILES)
    widest = WIDEST_SCATTER * float(np.max(sd))
    low = np.full(wanted.shape, values.min() - widest)
    high = np.full(wanted.shape, values.max() + widest)
    at, off = np.quantile(values, wanted), np.ones(wanted.shape)
    for _ in range(MOST_STEPS):
        scores = (at[:, None] - values) / sd
        short = wanted - ndtr(scores).mean(axis=1)
        low, high = np.where(short > 0, at, low), np.where(short > 0, high, at)
        slope = (np.exp(-0.5 * scores * scores) / sd).mean(axis=1) / math.sqrt(2 * math.pi)
        ahead = at + short / np.maximum(slope, LEAST_SLOPE)
        is_there = (np.abs(ahead - at) < CLOSE) | (high - low < CLOSE)
        if is_there.all():
            break
        # By the slope while that gets nearer fast, else half-way.
        helps = (ahead > low) & (ahead < high) & (2 * np.abs(short) < off)
        ahead = np.where(helps, ahead, (low + high) / 2)
        at, off = np.where(is_there, at, ahead), np.abs(short)
    return tuple(float(q) for q in at)


def scatter_scores(states: int, each: int) -> FloatArray:
    """Normal scores (states, each) that fill the normal law evenly, without chance.

    Every state gets other ones; taken together they lie as evenly as a golden-ratio sequence.
    """
    from scipy.special import ndtri  # noqa: PLC0415

    golden = (math.sqrt(5) - 1) / 2
    even = ((np.arange(states * each) + 0.5) * golden) % 1.0
    return np.asarray(ndtri(even).reshape(states, each))
