"""Matching greys by eye."""

from __future__ import annotations

import numpy as np
import pytest

from stillroom.errors import BadValue
from stillroom.reading import MATCH_SD_PRINTED, matched

STRIP = (1.75, 1.45, 1.1, 0.8, 0.5, 0.25)


def test_one_step_reads_as_its_own_density() -> None:
    assert [matched(STRIP, [n]).density for n in range(len(STRIP))] == list(STRIP)


def test_two_neighbours_read_as_the_middle_between_them_in_any_order() -> None:
    assert matched(STRIP, [3, 2]).density == pytest.approx(0.95)
    assert matched(STRIP, [2, 3]) == matched(STRIP, [3, 2])


def test_a_coarse_strip_and_a_printed_one_say_less() -> None:
    fine = matched((1.0, 0.9, 0.8), [1]).density_sd
    coarse = matched((1.4, 0.9, 0.4), [1]).density_sd
    assert fine < coarse
    assert (
        matched(STRIP, [2], match_sd=MATCH_SD_PRINTED).density_sd > matched(STRIP, [2]).density_sd
    )


def test_the_spread_is_what_eyes_that_answer_so_would_show() -> None:
    """An independent draw: eyes with that error, giving the nearest of nine answers."""
    rng = np.random.default_rng(20261114)
    strip = np.array([1.4, 1.1, 0.8, 0.5, 0.2])
    answers = np.concatenate([strip, (strip[1:] + strip[:-1]) / 2])
    truth = rng.uniform(0.65, 0.95, 200_000)  # about the middle step and both halves beside it
    seen = truth + rng.normal(0, 0.04, truth.size)
    answered = answers[np.abs(seen[:, None] - answers).argmin(axis=1)]
    error = float(np.std(answered - truth))
    assert matched(tuple(strip), [2]).density_sd == pytest.approx(error, rel=0.05)


@pytest.mark.parametrize("steps", [[], [0, 2], [1, 2, 3], [6], [-1]])
def test_what_is_no_match_is_refused(steps: list[int]) -> None:
    with pytest.raises(BadValue, match="name one"):
        matched(STRIP, steps)


@pytest.mark.parametrize("strip", [(1.0,), (0.5, 0.8), (0.8, 0.8)])
def test_what_is_no_strip_is_refused(strip: tuple[float, ...]) -> None:
    with pytest.raises(BadValue, match="strip"):
        matched(strip, [0])
