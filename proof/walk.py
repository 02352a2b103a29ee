"""NUTS over one history, and what it says of itself."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import jax
import numpy as np
import numpyro
import numpyro.distributions as dist
from numpy.typing import NDArray
from numpyro.diagnostics import effective_sample_size, split_gelman_rubin
from numpyro.infer import MCMC, NUTS

from proof.likelihood import Target

Array = NDArray[np.float64]

CHAINS = 4
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
STARTS = 20_000
"""Draws from the prior among which the chains' starts are chosen."""
STARTS_KEPT = 400
BATCH = 1000


@dataclass(frozen=True, slots=True)
class Walked:
    """What NUTS found: deviations (chains, draws, plans and regions), and how it went."""

    deviations: Array
    divergences: int
    unknowns: int
    seconds: float
    """Of processor time without compilation; 0 where it was not timed."""

    @property
    def rhat(self) -> Array:
        """Split R-hat of every deviation."""
        return np.asarray(split_gelman_rubin(self.deviations))

    @property
    def ess(self) -> Array:
        """Effective draws of every deviation."""
        return np.asarray(effective_sample_size(self.deviations))

    def summary(self, i: int) -> dict[str, Any]:
        """Figures of one deviation, to be frozen."""
        x = self.deviations[:, :, i]
        mean, sd = float(x.mean()), float(x.std())
        square = (x - mean) ** 2
        ess, ess_square = float(self.ess[i]), float(effective_sample_size(square))
        return {
            "mean": round(mean, 5),
            "sd": round(sd, 5),
            "quantiles": [round(float(q), 4) for q in np.quantile(x, QUANTILES)],
            "mean_error": round(sd / ess**0.5, 5),
            "sd_error": round(float(square.std()) / ess_square**0.5 / (2 * sd), 5),
            "rhat": round(float(self.rhat[i]), 4),
            "ess": round(ess),
        }


def starts(target: Target, seed: int) -> Array:
    """Four starts far apart: draws from the prior that what was seen leaves possible.

    The draws are weighed by the cube root of their likelihood, so that no mode is passed over;
    of those kept, four are taken from four quarters of what they predict for the key cheek.
    """
    rng = np.random.default_rng([seed, 7])
    x = rng.standard_normal((STARTS // BATCH, BATCH, len(target.unknowns)))
    seen = np.asarray(jax.lax.map(jax.vmap(target.log_likelihood), x)).ravel()
    weight = np.exp((seen - seen.max()) / 3)
    kept = x.reshape(STARTS, -1)[rng.choice(STARTS, STARTS_KEPT, p=weight / weight.sum())]
    ahead = np.asarray(jax.vmap(target.deviations)(kept))[:, 0]
    quarters = [20, 150, 250, 380]
    return np.asarray(kept[np.argsort(ahead)[quarters]])


def walk(
    target: Target,
    seed: int,
    *,
    warmup: int,
    draws: int,
    accept: float = 0.85,
    timed: bool = False,
) -> Walked:
    """Walk four chains from four starts; to be timed, walk them a second time once compiled."""

    def model() -> None:
        unit = dist.Normal(0, 1).expand([len(target.unknowns)]).to_event(1)
        x = numpyro.sample("x", unit)
        numpyro.factor("seen", target.log_likelihood(x))

    mcmc = MCMC(
        NUTS(model, dense_mass=True, target_accept_prob=accept, max_tree_depth=8),
        num_warmup=warmup,
        num_samples=draws,
        num_chains=CHAINS,
        chain_method="vectorized",
        progress_bar=False,
    )
    first = {"x": starts(target, seed)}

    def run() -> Any:
        mcmc.run(jax.random.PRNGKey(seed), init_params=first, extra_fields=("diverging",))
        return jax.block_until_ready(mcmc.get_samples(group_by_chain=True)["x"])

    x, seconds = run(), 0.0
    if timed:
        began = time.process_time()
        run()
        seconds = time.process_time() - began
    diverging = mcmc.get_extra_fields(group_by_chain=True)["diverging"]
    ahead = np.asarray(jax.lax.map(jax.vmap(target.deviations), x))
    return Walked(ahead, int(diverging.sum()), len(target.unknowns), seconds)
