"""The best state and its Gaussian: where the cloud starts from.

References
----------
Gauss-Newton with Levenberg damping for the mode, and the Gaussian of its curvature (Laplace's
approximation); any text on Bayesian computation. Student-t rows are weighted as in iteratively
reweighted least squares.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.belief.likelihood import (
    STUDENT_NU,
    Likelihood,
    word_bend,
    word_chance,
    word_slope,
)
from stillroom.quantity import FloatArray

STEPS = 30
STEP_CAP = 2.0
DIFFERENCE = 1e-4
LEAST_WORD_WEIGHT = 1e-3


@dataclass(frozen=True, slots=True)
class Mode:
    """The mode (directions + sheets,) and the covariance of its Gaussian."""

    mean: FloatArray
    covariance: FloatArray
    log_mass: float
    """Log of the posterior's mass about the mode, but for a constant."""


def find_mode(likelihood: Likelihood, spoiled: int | None = None) -> Mode:
    """Mode and curvature of the posterior of one sitting, from the prior mean, always.

    Parameters
    ----------
    likelihood : Likelihood
        The sitting's evidence.
    spoiled : int, optional
        The number of a sheet to be taken for a spoiled one: what everything else would then
        say is a mode of its own.
    """
    e = likelihood.evidence
    d, n = likelihood.size, e.sheets
    x = np.zeros(d + n)
    damping = 1e-3
    value = _log_posterior(likelihood, x, spoiled)
    for _ in range(STEPS):
        gradient, hessian = _gradient_and_curvature(likelihood, x, spoiled)
        gained, longest = 0.0, 0.0
        for _ in range(8):
            step = np.linalg.solve(hessian + damping * np.diag(np.diag(hessian)), gradient)
            longest = float(np.abs(step).max(initial=0.0))
            step *= min(1.0, STEP_CAP / longest) if longest > 0 else 1.0
            trial = _log_posterior(likelihood, x + step, spoiled)
            if trial > value:
                x = x + step
                damping = max(damping / 5, 1e-9)
                gained, value = trial - value, trial
                break
            damping *= 8
        if gained < 1e-7:
            break
    _, hessian = _gradient_and_curvature(likelihood, x, spoiled)
    _, log_determinant = np.linalg.slogdet(hessian)
    mass = value - 0.5 * float(log_determinant)
    return Mode(x, np.asarray(np.linalg.inv(hessian), dtype=np.float64), mass)


def _log_posterior(likelihood: Likelihood, x: FloatArray, spoiled: int | None) -> float:
    d = likelihood.size
    z, b = x[None, :d], x[None, d:]
    # The scatter that is believed before the sitting: here its own spread does not matter.
    shift = likelihood.log_shifts(b, likelihood.evidence.sheet_sd)
    if spoiled is not None:
        shift[:, spoiled] = likelihood.log_spoiled(b)[:, spoiled]
    seen = likelihood.log_seen(z, b) + shift.sum(axis=1)
    return float(seen[0] - 0.5 * (z @ z.T)[0, 0])


def _outputs(likelihood: Likelihood, x: FloatArray) -> FloatArray:
    """Densities of read spots, of worded spots, and metered levels, for rows of states."""
    e = likelihood.evidence
    d = likelihood.size
    z, b = x[:, :d], x[:, d:]
    parts = [likelihood.levels(z)]
    if len(e.c):
        parts = [*likelihood.tones(z, likelihood.placements(z, b)), *parts]
    return np.concatenate(parts, axis=1)


def _gradient_and_curvature(
    likelihood: Likelihood, x: FloatArray, spoiled: int | None
) -> tuple[FloatArray, FloatArray]:
    e = likelihood.evidence
    d, n = likelihood.size, e.sheets
    states = np.concatenate([x[None], x + DIFFERENCE * np.eye(d + n)])
    out = _outputs(likelihood, states)
    jacobian = (out[1:] - out[0]).T / DIFFERENCE
    score, weight = _scores(likelihood, out[0])
    gradient = jacobian.T @ score
    hessian = (jacobian.T * weight) @ jacobian
    gradient[:d] -= x[:d]
    hessian[range(d), range(d)] += 1.0
    precision = _shift_precision(likelihood, x[d:])
    if spoiled is not None:
        precision[spoiled] = e.spoiled_sd**-2
    gradient[d:] -= precision * x[d:]
    hessian[range(d, d + n), range(d, d + n)] += precision
    return gradient, hessian


def _scores(likelihood: Likelihood, out: FloatArray) -> tuple[FloatArray, FloatArray]:
    """First derivative and curvature weight of each observation in its own output."""
    e = likelihood.evidence
    scores, weights = [], []
    read, worded = len(e.density), len(e.word_spot)
    if not len(e.c):
        read = worded = 0
    if read:
        r = (e.density - out[:read]) / e.density_sd
        w = (STUDENT_NU + 1) / (STUDENT_NU + r * r)
        scores.append(w * r / e.density_sd)
        weights.append(w / e.density_sd**2)
    if worded:
        tone = out[read : read + worded]
        chance = word_chance(e, tone)
        first = word_slope(e, tone) / chance
        scores.append(first)
        bend = word_bend(e, tone) / chance
        weights.append(np.maximum(first**2 - bend, LEAST_WORD_WEIGHT))
    level = out[read + worded :]
    scores.append((e.level_value - level) / e.level_sd**2)
    weights.append(1 / e.level_sd**2)
    return np.concatenate(scores), np.concatenate(weights)


def _shift_precision(likelihood: Likelihood, b: FloatArray) -> FloatArray:
    """Precision of each sheet's shift, from how likely it is a spoiled one."""
    e = likelihood.evidence
    good = likelihood.p_good(b, e.sheet_sd)
    return np.asarray(good / e.sheet_sd**2 + (1 - good) / e.spoiled_sd**2)
