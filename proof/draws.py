"""A second way, where it still works: draws from the prior, weighted by what was seen."""

from __future__ import annotations

from typing import Any

import jax
import numpy as np

from proof.likelihood import REGIONS, Target

DRAWS = 200_000
BATCH = 1000
LEAST_EFFECTIVE = 1000
"""With fewer effective draws the weights' own error is not to be trusted."""
MOST_SHEETS = 3


def by_draws(target: Target, seed: int) -> list[dict[str, Any]] | None:
    """Mean and its error by plan and region; None where too few draws fit what was seen."""
    if target.seen.sheets > MOST_SHEETS:
        return None
    rng = np.random.default_rng([seed, 11])
    x = rng.standard_normal((DRAWS // BATCH, BATCH, len(target.unknowns)))
    both = jax.jit(jax.vmap(lambda one: (target.log_likelihood(one), target.deviations(one))))
    found = [both(part) for part in x]
    log_weight = np.concatenate([np.asarray(f[0]) for f in found])
    ahead = np.concatenate([np.asarray(f[1]) for f in found])
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    if 1 / (weight @ weight) < LEAST_EFFECTIVE:
        return None
    mean = weight @ ahead
    error = np.sqrt((weight**2) @ (ahead - mean) ** 2)
    n = len(REGIONS)
    return [
        {
            region: {
                "mean": round(float(mean[n * i + j]), 5),
                "mean_error": round(float(error[n * i + j]), 5),
            }
            for j, region in enumerate(REGIONS)
        }
        for i in range(len(target.plans))
    ]
