"""Heads that move step by step: the model of stillness built once more, from its spectrum.

Sway is a sum of waves whose frequencies follow the hump, drift a velocity that is kept and
renewed; nothing here knows the closed forms.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np

from stillroom.quantity import FloatArray
from stillroom.sitter import Motion

HUMP = NormalDist(0.365, 0.15)  # Hz
PERSISTS_S = 1.0
WAVES = 64


def walks(
    rng: np.random.Generator, motion: Motion, seconds: float, paths: int, steps: int = 400
) -> FloatArray:
    """Positions [mm] of shape (paths, 2 directions, steps + 1), of sitters as usual."""
    moments = np.linspace(0, seconds, steps + 1)
    hz = np.array([HUMP.inv_cdf((i + 0.5) / WAVES) for i in range(WAVES)])
    turns = 2 * math.pi * np.outer(hz, moments)
    waves = np.concatenate([np.cos(turns), np.sin(turns)]) * motion.sway_mm / math.sqrt(WAVES)
    sway = rng.standard_normal((paths, 2, 2 * WAVES)) @ waves
    return np.asarray(sway + _drift(rng, motion, seconds, paths, steps))


def _drift(
    rng: np.random.Generator, motion: Motion, seconds: float, paths: int, steps: int
) -> FloatArray:
    step_s = seconds / steps
    kept = math.exp(-step_s / PERSISTS_S)
    speed = motion.drift_mm_per_sqrt_s / math.sqrt(2 * PERSISTS_S)
    velocity = speed * rng.standard_normal((paths, 2))
    gone = [np.zeros((paths, 2))]
    for _ in range(steps):
        fresh = speed * math.sqrt(1 - kept**2) * rng.standard_normal((paths, 2))
        after = kept * velocity + fresh
        gone.append(gone[-1] + step_s * (velocity + after) / 2)
        velocity = after
    return np.stack(gone, axis=2)


def streaks_mm(positions: FloatArray) -> FloatArray:
    """Length of an even streak with the same spread about its mean, for each path."""
    return np.asarray(np.sqrt(12 * positions.var(axis=2).sum(axis=1)))


def smears_mm(
    rng: np.random.Generator, motion: Motion, open_s: float, magnification: float, paths: int
) -> FloatArray:
    """Smears of as many openings, each of another sitter [mm]."""
    log_scale = motion.sitter_log_sd * rng.standard_normal(paths)
    log_scale += motion.trial_log_sd * rng.standard_normal(paths)
    streaks = streaks_mm(walks(rng, motion, open_s, paths, steps=200))
    return np.asarray(magnification * np.exp(log_scale) * streaks)
