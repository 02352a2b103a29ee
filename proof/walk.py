"""NUTS over one history, and what it says of itself."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
from numpy.typing import NDArray
from numpyro.diagnostics import effective_sample_size, split_gelman_rubin
from numpyro.infer import MCMC, NUTS
from scipy.optimize import minimize

from proof.likelihood import Target, deviations, log_likelihood

Array = NDArray[np.float64]

CHAINS = 4
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
STARTS = 10_000
"""Draws from the prior among which the chains' starts are chosen."""
STARTS_KEPT = 400
BATCH = 1000
SMALL = 1e-4
"""Step of the differences that tell the curvature."""


@dataclass(frozen=True, slots=True)
class Walked:
    """What NUTS found: deviations (chains, draws, plans and regions), and how it went."""

    deviations: Array
    mean: Array
    covariance: Array
    """Of the unknowns."""
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


def _potential(data: dict[str, Any], z: Any) -> Any:
    return 0.5 * (z @ z) - log_likelihood(data, z)


_slopes: Any = jax.jit(jax.value_and_grad(_potential, argnums=1))
_both: Any = jax.jit(
    jax.vmap(lambda d, z: (log_likelihood(d, z), deviations(d, z)), in_axes=(None, 0))
)


class Sampled:
    """A target with what its walk starts from."""

    def __init__(self, target: Target, seed: int) -> None:
        self.target = target
        self._rng = np.random.default_rng([seed, 7])

    def draws(self, count: int, rng: np.random.Generator) -> tuple[Array, Array, Array]:
        """Draws from the prior, the log likelihood of each, and what each predicts."""
        z = rng.standard_normal((count // BATCH, BATCH, len(self.target.unknowns)))
        found = [_both(self.target.data, part) for part in z]
        seen = np.concatenate([np.asarray(f[0]) for f in found])
        return z.reshape(count, -1), seen, np.concatenate([np.asarray(f[1]) for f in found])

    def ahead(self, z: Array) -> Array:
        """What rows predict; padded to a batch, so that nothing is compiled again."""
        rows = len(z)
        padded = np.concatenate([z, np.zeros((-rows % BATCH, z.shape[1]))])
        parts = padded.reshape(-1, BATCH, z.shape[1])
        found = [np.asarray(_both(self.target.data, part)[1]) for part in parts]
        return np.concatenate(found)[:rows]

    def starts(self) -> Array:
        """Starts far apart: draws from the prior that what was seen leaves possible.

        The draws are weighed by the cube root of their likelihood, so that no mode is passed
        over; of those kept, starts are taken all along what they predict for the key cheek.
        """
        z, seen, ahead = self.draws(STARTS, self._rng)
        weight = np.exp((seen - seen.max()) / 3)
        kept = self._rng.choice(STARTS, STARTS_KEPT, p=weight / weight.sum())
        order = kept[np.argsort(ahead[kept, 0])]
        evenly = np.linspace(0.03, 0.97, CHAINS) * (STARTS_KEPT - 1)
        return np.asarray(z[order[evenly.astype(int)]])

    def stretched(self, start: Array) -> Array:
        """A root of the covariance that the curvature at the nearest mode stands for.

        The walk is taken in these coordinates: the posterior is then about as wide one way as
        the other. No direction is taken for wider than its prior.
        """

        def value(z: Array) -> tuple[float, Array]:
            found, slope = _slopes(self.target.data, z)
            return float(found), np.asarray(slope)

        mode = minimize(value, start, jac=True, method="L-BFGS-B", options={"maxiter": 60}).x
        rows = [
            (value(mode + SMALL * e)[1] - value(mode - SMALL * e)[1]) / (2 * SMALL)
            for e in np.eye(len(mode))
        ]
        curvature = np.array(rows)
        values, vectors = np.linalg.eigh((curvature + curvature.T) / 2)
        return np.asarray(vectors / np.sqrt(np.maximum(values, 1.0)))


def walk(
    sampled: Sampled,
    seed: int,
    *,
    warmup: int,
    draws: int,
    accept: float = 0.8,
    timed: bool = False,
) -> Walked:
    """Walk the chains from their starts; to be timed, walk them again once compiled."""
    target = sampled.target
    first = sampled.starts()
    root = sampled.stretched(first[CHAINS // 2])
    turned = jnp.asarray(root)

    def potential(w: Any) -> Any:
        return _potential(target.data, turned @ w)

    mcmc = MCMC(
        NUTS(
            potential_fn=potential,
            dense_mass=False,
            target_accept_prob=accept,
            max_tree_depth=(6, 9),
        ),
        num_warmup=warmup,
        num_samples=draws,
        num_chains=CHAINS,
        chain_method="vectorized",
        progress_bar=False,
    )
    at = jnp.asarray(np.linalg.solve(root, first.T).T)

    def run() -> Any:
        mcmc.run(jax.random.PRNGKey(seed), init_params=at, extra_fields=("diverging",))
        return jax.block_until_ready(mcmc.get_samples(group_by_chain=True))

    w, seconds = run(), 0.0
    if timed:
        began = time.process_time()
        run()
        seconds = time.process_time() - began
    diverging = mcmc.get_extra_fields(group_by_chain=True)["diverging"]
    z = np.asarray(w).reshape(-1, len(target.unknowns)) @ root.T
    ahead = sampled.ahead(z).reshape(CHAINS, draws, -1)
    known = target.known_by_name
    x = (z @ target.root.T + target.mean)[:, :known]
    return Walked(ahead, x.mean(axis=0), np.cov(x.T), int(diverging.sum()), known, seconds)
