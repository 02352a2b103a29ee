"""A second way, where it still works: draws from the prior, weighted by what was seen."""

from __future__ import annotations

from typing import Any

import numpy as np

from proof.likelihood import REGIONS
from proof.walk import Sampled

DRAWS = 200_000
LEAST_EFFECTIVE = 1000
"""With fewer effective draws the weights' own error is not to be trusted."""
MOST_SHEETS = 2


def by_draws(sampled: Sampled, seed: int) -> list[dict[str, Any]] | None:
    """Mean, spread and their errors by plan and region; None where too few draws fit."""
    if sampled.target.seen.sheets > MOST_SHEETS:
        return None
    _, log_weight, ahead = sampled.draws(DRAWS, np.random.default_rng([seed, 11]))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    if 1 / (weight @ weight) < LEAST_EFFECTIVE:
        return None
    mean = weight @ ahead
    square = (ahead - mean) ** 2
    sd = np.sqrt(weight @ square)
    figures = {
        "mean": mean,
        "sd": sd,
        "mean_error": np.sqrt((weight**2) @ square),
        "sd_error": np.sqrt((weight**2) @ (square - sd**2) ** 2) / (2 * sd),
    }
    n = len(REGIONS)
    return [
        {
            region: {name: round(float(values[n * i + j]), 5) for name, values in figures.items()}
            for j, region in enumerate(REGIONS)
        }
        for i in range(len(sampled.target.history["plans"]))
    ]
