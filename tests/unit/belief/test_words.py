"""Five words share out all densities, whatever was wanted."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from stillroom.belief import WORDS, word_interval
from stillroom.belief.likelihood import word_chance
from stillroom.exposure import Verdict
from tests.unit.engine_cases import opening, posterior_of, sheet

SD = 0.08  # of an eye, in density
SLIP = 0.03


def chances(tone: float, aim: float | None, tol: float, dmin: float, dmax: float) -> list[float]:
    """Chance of each word at a density, with the formula of the design notes."""
    found = []
    for word in WORDS:
        interval = word_interval(word, aim, tol, dmin, dmax)
        assert interval is not None
        inside = norm.cdf((interval.high - tone) / SD) - norm.cdf((interval.low - tone) / SD)
        found.append((1 - SLIP) * interval.share * inside + SLIP / 5)
    return found


@given(
    tone=st.floats(-0.5, 3.0),
    aim=st.floats(-0.3, 3.0),
    tol=st.floats(0.01, 1.0),
    dmin=st.floats(0.0, 0.4),
    span=st.floats(0.3, 2.2),
)
def test_five_chances_are_never_negative_and_sum_to_one(
    tone: float, aim: float, tol: float, dmin: float, span: float
) -> None:
    """For aims over the whole curve and beyond either end cut."""
    found = chances(tone, aim, tol, dmin, dmin + span)
    assert min(found) >= SLIP / 5 - 1e-12
    assert sum(found) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("aim", np.arange(-0.1, 2.2, 0.05).tolist())
def test_the_engines_own_chances_sum_to_one(aim: float) -> None:
    """The same through the likelihood that sheets are weighed with."""
    begin = opening()
    begin["sitting"]["aims"]["key"]["density"] = aim
    placed = np.linspace(-8, 8, 41)
    total = np.zeros(41)
    for word in WORDS:
        made = {"dial_stops": {}, "f_number": 5.6, "pops": 1, "seconds": 0.125}
        said = {"settings": made, "reading": {"regions": {"key": {"verdict": word}}}}
        likelihood = posterior_of(begin, [sheet(said)]).likelihood
        z = np.zeros((41, likelihood.size))
        tone = likelihood.tones(z, placed[:, None])[1]
        chance = word_chance(likelihood.evidence, tone)[:, 0]
        assert chance.min() >= SLIP / 5 - 1e-12
        total += chance
    assert total == pytest.approx(np.ones(41), abs=1e-9)


def test_the_cut_points_of_an_aim_inside_the_curve() -> None:
    """Dmax - 0.10, aim + tolerance, aim - tolerance, Dmin + 0.08, darkest word first."""
    cuts = [word_interval(w, 0.8, 0.15, 0.1, 1.9) for w in WORDS]
    low = [c.low for c in cuts if c is not None]
    high = [c.high for c in cuts if c is not None]
    assert low == pytest.approx([1.80, 0.95, 0.65, 0.18, -math.inf])
    assert high == pytest.approx([math.inf, 1.80, 0.95, 0.65, 0.18])


def test_the_background_that_once_gave_a_negative_chance() -> None:
    """An aim of 1.77 with 0.22: its upper cut lies beyond black; it gave -0.70 when crossed."""
    found = chances(1.7, 1.77, 0.22, 0.1, 1.9)
    assert found[1] == pytest.approx(SLIP / 5)
    assert sum(found) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("aim", "end", "never"), [(1.85, "black", "too_dark"), (0.12, "bare_paper", "too_light")]
)
def test_beyond_an_end_cut_two_words_mean_reached(
    aim: float, end: Verdict, never: Verdict
) -> None:
    reached = word_interval(end, aim, 0.15, 0.1, 1.9)
    assert reached == word_interval("as_wanted", aim, 0.15, 0.1, 1.9)
    assert reached is not None
    assert reached.share == 0.5
    assert reached.low < aim < reached.high
    nothing = word_interval(never, aim, 0.15, 0.1, 1.9)
    assert nothing is not None
    assert nothing.low == nothing.high


def test_without_an_aim_only_the_ends_tell() -> None:
    assert word_interval("cant_tell", 0.8, 0.15, 0.1, 1.9) is None
    for word in WORDS[1:4]:
        assert word_interval(word, None, 0.0, 0.1, 1.9) is None
    black = word_interval("black", None, 0.0, 0.1, 1.9)
    assert black is not None
    assert black.low == pytest.approx(1.8)
    assert black.high == math.inf
