"""What a look is worth before the next choice."""

from __future__ import annotations

import pytest

from stillroom.advice import Ahead, Policy, next_sheet
from stillroom.exposure import ReadBy
from tests.unit.engine_cases import opening, posterior_of


def ahead(by: ReadBy, eye_sd_density: float = 0.08) -> Ahead:
    begin = opening()
    begin["kit"]["eye_sd_density"] = eye_sd_density
    plan = next_sheet(posterior_of(begin), last=None, policy=Policy(), read_by=by)
    assert plan.ahead is not None
    return plan.ahead


def test_words_of_a_surer_eye_teach_more() -> None:
    """Decision theory: noise added to an observation never makes it worth more.

    Between eyes this far apart the gain is larger than what few outcomes blur.
    """
    surer, weaker = (ahead("words", sd).stepped for sd in (0.02, 0.5))
    assert surer.odds > weaker.odds + 0.02


@pytest.mark.parametrize("by", ["scan", "strip", "densitometer"])
def test_the_eye_has_no_part_in_what_is_measured(by: ReadBy) -> None:
    assert ahead(by, 0.02).stepped == ahead(by, 0.5).stepped
