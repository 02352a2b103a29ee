"""The cloud: the posterior of one sitting as equally weighted states.

The Gaussian at the mode is wrong by up to half a stop where sheets are all black or all bare,
and its spread does not tell; so it is only where the cloud starts.

References
----------
Sequential Monte Carlo with tempering (Del Moral, Doucet and Jasra 2006), from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from stillroom.belief.laplace import Mode, find_mode
from stillroom.belief.likelihood import Likelihood
from stillroom.belief.moves import Tempered, follow_slope, wander
from stillroom.belief.slopes import log_posterior_slope
from stillroom.quantity import FloatArray

STATES = 800
MOVES = 10
WIDENING = 1.5
START_NU = 7.0
PRIOR_SHARE = 0.25
EVEN_SHARE = 0.5
"""Of the starts at modes, how many are shared out evenly; the rest by the modes' masses."""
SUSPECTS = 16
"""So many sheets are each tried as the spoiled one; among more the others outvote it."""
LEAST_EFFECTIVE_SHARE = 0.4
MOST_TEMPERATURES = 30
WHOLE = 1.0 - 1e-12


@dataclass(frozen=True, slots=True)
class Cloud:
    """Equally weighted states: `z` (states, directions), `b` (states, sheets), and the mode."""

    z: FloatArray
    b: FloatArray
    mode: Mode


def draw_cloud(likelihood: Likelihood, rng: np.random.Generator, states: int = STATES) -> Cloud:
    """Draw the posterior of one sitting.

    Parameters
    ----------
    likelihood : Likelihood
        The sitting's evidence, reduced.
    rng : numpy Generator
        The sitting's own stream.
    states : int
        How many states.

    Returns
    -------
    Cloud
    """
    d = likelihood.size
    mode = find_mode(likelihood)
    if not likelihood.anything:
        return Cloud(np.zeros((states, 0)), np.zeros((states, likelihood.evidence.sheets)), mode)
    start = _Start(likelihood, mode)

    def log_target(x: FloatArray) -> FloatArray:
        return likelihood.log_posterior(x[:, :d], x[:, d:])

    def slope(x: FloatArray) -> FloatArray:
        return np.concatenate(log_posterior_slope(likelihood, x[:, :d], x[:, d:]), axis=1)

    x = start.draw(rng, states)
    now = Tempered(x, log_target(x), start.log_density(x))
    heat = 0.0
    for _ in range(MOST_TEMPERATURES):
        ahead = now.at_target - now.at_start
        step = _next_step(ahead, 1.0 - heat)
        heat += step
        weight = np.exp(step * (ahead - ahead.max()))
        now = now.chosen(_resample(weight / weight.sum(), rng))
        if heat >= WHOLE:
            break
        now = wander(now, log_target, start.log_density, heat=heat, moves=MOVES, rng=rng)
    x = follow_slope(now, log_target, slope, rng)
    return Cloud(x[:, :d], x[:, d:], mode)


class _Start:
    """Where the states start: widened Gaussians with heavier tails, and some of the prior.

    One Gaussian stands at the mode, and one for each sheet (of many: the few that stand out most)
    at the mode that would be if that sheet were a spoiled one. Without those a fogged sheet among
    few would be believed: no state would start where it is not.
    """

    def __init__(self, likelihood: Likelihood, mode: Mode) -> None:
        e = likelihood.evidence
        self.d, self.n = likelihood.size, e.sheets
        self._likelihood = likelihood
        far = np.abs(mode.mean[self.d :])
        may_be = [i for i in np.argsort(-far, kind="stable") if e.spoiled_rate[i] > 0]
        spoiled = [find_mode(likelihood, int(i)) for i in may_be[:SUSPECTS]]
        modes = [mode, *spoiled]
        self._means = [m.mean for m in modes]
        self._roots = [_root(m.covariance * WIDENING) for m in modes]
        size = self.d + self.n
        whitening = [np.linalg.inv(root) for root in self._roots]
        self._whitening = np.concatenate([w.T for w in whitening], axis=1)
        self._white_means = np.concatenate(
            [w @ mean for w, mean in zip(whitening, self._means, strict=True)]
        )
        log_roots = np.array([np.log(np.diag(root)).sum() for root in self._roots])
        self._log_peaks = (
            math.lgamma((START_NU + size) / 2)
            - math.lgamma(START_NU / 2)
            - 0.5 * size * math.log(START_NU * math.pi)
            - log_roots
        )
        mass = np.array([m.log_mass for m in modes])
        by_mass = np.exp(mass - mass.max())
        even = np.ones(len(modes)) / len(modes)
        share = EVEN_SHARE * even + (1 - EVEN_SHARE) * by_mass / by_mass.sum()
        self._shares = np.append(share * (1 - PRIOR_SHARE), PRIOR_SHARE)

    def draw(self, rng: np.random.Generator, states: int) -> FloatArray:
        e = self._likelihood.evidence
        size = self.d + self.n
        scale = np.sqrt(START_NU / rng.chisquare(START_NU, states))
        normal = rng.standard_normal((states, size))
        spoiled = rng.random((states, self.n)) < e.spoiled_rate
        sd = np.where(spoiled, e.spoiled_sd, e.sheet_sd)
        x = normal.copy()
        x[:, self.d :] *= sd
        ends = np.round(np.cumsum(self._shares) * states).astype(int)
        first = 0
        for mean, root, last in zip(self._means, self._roots, ends, strict=False):
            part = slice(first, last)
            x[part] = mean + (normal[part] * scale[part, None]) @ root.T
            first = last
        return x

    def log_density(self, x: FloatArray) -> FloatArray:
        size = self.d + self.n
        z, b = x[:, : self.d], x[:, self.d :]
        prior = (
            -0.5 * (z * z).sum(axis=1)
            - 0.5 * size * math.log(2 * math.pi)
            + self._likelihood.log_shifts(b, self._likelihood.evidence.sheet_sd).sum(axis=1)
        )
        logs = np.log(self._shares) + np.column_stack([self._students(x), prior])
        return np.asarray(np.logaddexp.reduce(logs, axis=1))

    def _students(self, x: FloatArray) -> FloatArray:
        """Log density of each state under each widened Gaussian (states, modes)."""
        size = self.d + self.n
        y = (x @ self._whitening - self._white_means).reshape(len(x), -1, size)
        distance = np.einsum("sij,sij->si", y, y)
        tails = 0.5 * (START_NU + size) * np.log1p(distance / START_NU)
        return np.asarray(self._log_peaks - tails)


def _root(covariance: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)


def _next_step(log_ratio: FloatArray, left: float) -> float:
    """The longest step in temperature that keeps enough effective states."""
    if _effective(log_ratio * left) >= LEAST_EFFECTIVE_SHARE:
        return left
    low, high = 0.0, left
    for _ in range(30):
        middle = (low + high) / 2
        if _effective(log_ratio * middle) >= LEAST_EFFECTIVE_SHARE:
            low = middle
        else:
            high = middle
    return max(low, left * 1e-4)


def _effective(log_weight: FloatArray) -> float:
    """Effective share of equally weighted states."""
    weight = np.exp(log_weight - log_weight.max())
    return float(weight.sum() ** 2 / (weight @ weight) / len(weight))


def _resample(weight: FloatArray, rng: np.random.Generator) -> np.ndarray:
    """Systematic resampling."""
    n = len(weight)
    points = (rng.random() + np.arange(n)) / n
    return np.minimum(np.searchsorted(np.cumsum(weight), points), n - 1)
