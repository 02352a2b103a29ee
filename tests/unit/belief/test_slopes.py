"""The slope of the posterior against the posterior itself, by differences."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from proof.engine import posterior, thawed
from stillroom.belief.likelihood import Likelihood
from stillroom.belief.slopes import log_posterior_slope
from stillroom.quantity import FloatArray

HISTORIES = [h for h in thawed() if not h["begin"]["past"]]
STEP = 1e-5


def differences(likelihood: Likelihood, x: FloatArray) -> FloatArray:
    def law(states: FloatArray) -> FloatArray:
        return likelihood.log_posterior(states[:, : likelihood.size], states[:, likelihood.size :])

    steps = STEP * np.eye(x.shape[1])
    return np.array([(law(one + steps) - law(one - steps)) / (2 * STEP) for one in x])


def slope_of(likelihood: Likelihood, x: FloatArray) -> FloatArray:
    parts = log_posterior_slope(likelihood, x[:, : likelihood.size], x[:, likelihood.size :])
    return np.concatenate(parts, axis=1)


@pytest.mark.parametrize("history", HISTORIES, ids=lambda h: h["name"])
def test_the_slope_is_the_posteriors_own(history: dict[str, Any]) -> None:
    """For readings, words, steps, flare, early looks; kept sheets but for where the aim goes."""
    found = posterior(history)
    x = np.concatenate([found.cloud.z, found.cloud.b], axis=1)[::200]
    expected = differences(found.likelihood, x)
    off = np.abs(slope_of(found.likelihood, x) - expected).max() / np.abs(expected).max()
    assert off < (0.25 if found.evidence.kept else 1e-6)
