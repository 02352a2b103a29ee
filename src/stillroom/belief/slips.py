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
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from stillroom.belief.evidence import LaidSheet, gather
from stillroom.belief.explanations import Case, Explanation, Slip, explanations, nulls
from stillroom.belief.likelihood import STUDENT_NU, Curves, Likelihood
from stillroom.belief.named import standard_normal, stream
from stillroom.belief.posterior import Posterior, States, exposures, with_veil
from stillroom.exposure import BareReading, Layout
from stillroom.quantity import FloatArray

STATES_USED = 400
SHIFT_REACH, SHIFT_STEP = 3.25, 0.5
"""The sheet's own shift is summed over in steps of half its spread; each state's steps start
elsewhere, so that together they leave no gap."""
SPOILED_STEP = 0.1
TABLE_STEP_STOPS = 1 / 16
TABLE_ENDS_STOPS = (-12.0, 10.0)
ALIKE_STOPS = 0.15
ALIKE_SHIFT_STOPS = 0.4
ALIKE_DENSITY = 0.03
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
    value : float
        Likeliest size of the slip.
    change_stops : tuple of float
        What it would do to each reading's spot, on average, at that size.
    density : tuple of float
        Tone it would give each spot, on average.
    alike : tuple of int
        Others of the comparison, by their place in it, that would give the same light.
    """

    explanation: Explanation
    share: float
    log_likelihood: float
    value: float
    change_stops: tuple[float, ...]
    density: tuple[float, ...]
    alike: tuple[int, ...] = ()


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


def compare(
    without: Posterior, laid: LaidSheet, more: Sequence[Explanation] = ()
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
    found = [*explanations(laid.layout, settings, sheet.count, losses), *more]
    return sheet.compared(found)


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
        self.layout, self.sheet = laid.layout, laid.sheet
        self.states = _some(without.states(self.layout))
        self.count = self.states.count
        likelihood = Likelihood(gather(without.belief, self.layout, [laid], ()))
        e = self._evidence = likelihood.evidence
        self._likelihood = likelihood
        spots = np.concatenate([e.density_spot, e.word_spot]).astype(np.intp)
        self.anything = len(spots) > 0
        self.reads = len(e.density_spot)
        self.strip = e.strip[spots]
        self.region = np.array([self._region_of(i, e.a, e.c) for i in spots], dtype=np.intp)
        bias = np.concatenate([e.density_bias, e.word_bias])
        variance = np.einsum("it,ts,is->i", bias, e.belief.covariance, bias)
        self._bias, self._bias_sd = bias @ e.belief.mean, np.sqrt(np.maximum(variance, 0))

    def _region_of(self, spot: int, a: FloatArray, c: FloatArray) -> int:
        raise NotImplementedError
