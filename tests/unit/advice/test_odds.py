"""Odds and ranges against closed forms and plain counting."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from stillroom.advice import QUANTILES, Table, scatter_scores, scattered_quantiles
from stillroom.belief import Belief, Posterior
from tests.unit.engine_cases import all_known, layout_of, opening, posterior_of, settings

MADE = settings({"key": 0.0, "fill": -0.4, "rim": 0.0})


def known(**kit: float) -> Table:
    begin = all_known(opening())
    begin["kit"].update(kit)
    layout = layout_of(begin)
    return Table(Posterior(Belief.empty(), layout).states(), layout)


@pytest.mark.parametrize("sd", [0.1, 0.193, 1.0])
def test_quantiles_of_one_known_value_are_the_normal_laws(sd: float) -> None:
    """Closed form. Sixteen scores a state once made these ranges 8 % too narrow."""
    found = scattered_quantiles(np.full(800, 0.3), sd)
    assert found == pytest.approx(0.3 + sd * norm.ppf(QUANTILES), abs=1e-9)


def test_quantiles_of_a_normal_cloud_with_scatter_add_in_quadrature() -> None:
    cloud = norm.ppf((np.arange(4000) + 0.5) / 4000) * 0.3
    found = scattered_quantiles(cloud, 0.4)
    assert found == pytest.approx(0.5 * norm.ppf(QUANTILES), abs=1e-3)


@pytest.mark.parametrize("apart", [0.0, 3.0, 40.0])
@pytest.mark.parametrize("sd", [0.004, 0.3])
def test_so_much_of_the_law_lies_below_each_quantile(apart: float, sd: float) -> None:
    """The definition, in two heaps that may lie far apart, with nothing between them."""
    rng = np.random.default_rng(3)
    values = rng.normal(0, 0.5, 797) + np.where(np.arange(797) < 240, apart, 0.0)
    scatter = sd * rng.uniform(0.5, 2.0, 797)
    for wanted, at in zip(QUANTILES, scattered_quantiles(values, scatter), strict=True):
        assert norm.cdf((at - values) / scatter).mean() == pytest.approx(wanted, abs=1e-9)


def test_scores_fill_the_normal_law() -> None:
    scores = scatter_scores(800, 8)
    assert scores.shape == (800, 8)
    assert scores.mean() == pytest.approx(0, abs=1e-3)
    assert scores.std() == pytest.approx(1, abs=2e-3)
    assert np.quantile(scores, QUANTILES) == pytest.approx(norm.ppf(QUANTILES), abs=5e-3)
    assert abs(scores.mean(axis=1)).max() < 0.7  # and each state's are spread as well


def test_odds_of_a_known_sitting_are_the_two_regions_joint_chance() -> None:
    """Scatter of the sheet moves both, of the region each: a bivariate normal, closed form.

    The spoiled sheet has the same law with 1.5 stops. Nine nodes are good to 0.001.
    """
    table = known()
    off = table.deviations(table.light(MADE), table.gains(MADE))[0, 0]
    tol = np.array([1 / 3, 0.5])

    def lands(sheet_sd: float) -> float:
        covariance = sheet_sd**2 * np.ones((2, 2)) + 0.07**2 * np.eye(2)
        law = multivariate_normal(off, covariance, seed=1)
        return float(law.cdf(tol, lower_limit=-tol))

    wanted = 0.97 * lands(math.hypot(0.15, 0.10)) + 0.03 * lands(1.5)
    assert table.odds(MADE).p_keeper == pytest.approx(wanted, abs=0.004)


def test_odds_by_plain_counting() -> None:
    """A wide belief: a million sheets made of its own states, spoiled ones among them.

    Counting errs by 0.0003; the folded scatter of spoiled sheets adds 0.001 at most.
    """
    posterior = posterior_of(opening())
    table = Table(posterior.states(), posterior.layout)
    off = table.deviations(table.light(MADE), table.gains(MADE))[0]
    rng = np.random.default_rng(5)
    which = rng.integers(0, len(off), 1_000_000)
    spoiled = rng.random(1_000_000) < 0.03
    shift = rng.standard_normal(1_000_000) * np.where(spoiled, 1.5, math.hypot(0.15, 0.10))
    landed = np.ones(1_000_000, dtype=bool)
    for i, tol in enumerate((1 / 3, 0.5)):
        own = 0.07 * rng.standard_normal(1_000_000)
        landed &= abs(off[which, i] + shift + own) < tol
    assert table.odds(MADE).p_keeper == pytest.approx(float(landed.mean()), abs=0.003)


def test_ranges_hold_what_they_say_by_plain_counting() -> None:
    posterior = posterior_of(opening())
    table = Table(posterior.states(), posterior.layout)
    off = table.deviations(table.light(MADE), table.gains(MADE))[0, :, 0]
    rng = np.random.default_rng(6)
    scatter = math.hypot(0.15, 0.10, 0.07)
    sheets = rng.choice(off, 400_000) + scatter * rng.standard_normal(400_000)
    found = table.odds(MADE).regions["key"]
    assert found.mean == pytest.approx(sheets.mean(), abs=0.01)
    assert found.sd == pytest.approx(sheets.std(), abs=0.01)
    assert found.quantiles == pytest.approx(np.quantile(sheets, QUANTILES), abs=0.02)
    assert found.p_lands == pytest.approx((abs(sheets) < 1 / 3).mean(), abs=0.003)


def test_excess_is_what_lies_beyond_the_tolerances() -> None:
    table = known()
    deviation = np.array([[[0.2, -0.4]], [[1.0, 0.0]], [[-0.5, 2.0]]])
    wanted = [0.0, 1.0 - 1 / 3, (0.5 - 1 / 3) + 1.5]
    assert table.excess(deviation) == pytest.approx(wanted)


def test_a_deviation_is_exposure_minus_aim_in_each_state() -> None:
    table = known()
    one = table.deviations(table.light(MADE), table.gains(MADE))[0, 0]
    half: Any = table.deviations(
        table.light(settings({"key": 0, "fill": -0.4, "rim": 0}, 8)), table.gains(MADE)
    )
    assert half[0, 0] - one == pytest.approx(np.full(2, -2 * math.log2(8 / 5.6)), abs=1e-9)
