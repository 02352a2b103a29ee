"""The odds that an eye is sharp, against eyes drawn by dice before lenses traced ray by ray.

From the rays come focal length, f-number, pupil ratio, size on the sheet and every disc; from the
service only the odds, and how far the eye may be off.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stillroom.camera import Lens
from stillroom.documents.holding import Holding
from stillroom.services.focus_asked import Asked
from stillroom.services.focusing import focus

sys.path.insert(0, str(Path(__file__).parents[1] / "camera"))
from traced_lens import PLAIN, RETROFOCUS, TELEPHOTO, Traced  # type: ignore[import-not-found]

EYES = 100_000


def asked_of(lens: Traced, before_mm: float, shift_mm: float) -> Asked:
    """The same lens and framing in numbers that a kit would hold."""
    _, entrance = lens.entrance_pupil
    _, leaving = lens.exit_pupil
    n = lens.focal / entrance
    return Asked(
        lens=Lens("traced", lens.focal, (n,), None, leaving / entrance),
        format_mm=(102, 127),
        magnification=lens.magnification(before_mm),
        f_number=n,
        exact=n,
        sheet_behind_glass_mm=shift_mm,
        holding=Holding(support="leaning", focus_on="target_in_chair"),
    )


@pytest.mark.parametrize(
    ("lens", "before_mm"),
    [(PLAIN, 1100.0), (TELEPHOTO, 1800.0), (RETROFOCUS, 1100.0), (RETROFOCUS, 1800.0)],
)
@pytest.mark.parametrize("shift_mm", [0.0, 1.0, -1.2])
def test_odds_are_those_of_traced_eyes(lens: Traced, before_mm: float, shift_mm: float) -> None:
    answer = focus(asked_of(lens, before_mm, shift_mm))
    said, circle = answer.stand_in, answer.sharp[0].circle_mm
    nearer = np.random.default_rng(3).normal(0, said.eye_sd_mm, EYES)
    sheet = lens.image_behind(before_mm) + shift_mm
    disc = np.asarray(lens.blur(before_mm - nearer, sheet))
    # Three standard deviations of a count of 100 000 are at most 0.005.
    assert said.p_sharp == pytest.approx(float((disc <= circle).mean()), abs=0.005)
    assert 0 < said.p_sharp < 1


@pytest.mark.parametrize("lens", [PLAIN, TELEPHOTO, RETROFOCUS])
@pytest.mark.parametrize("shift_mm", [0.4, -0.7, 1.3])
def test_an_eye_that_is_surely_there_is_sharp_or_soft_as_the_displaced_sheet_says(
    lens: Traced, shift_mm: float
) -> None:
    """Odds and disc are worked out on two ways; about 1 or about 0 they must say the same."""
    there = Holding(support="head_rest", focus_on="eye")
    asked = replace(asked_of(lens, 4000.0, shift_mm), holding=there)
    circle = asked.circle_mm("in_the_hand")
    # The f-number at which the disc is just the circle.
    just = lens.blur(4000.0, lens.image_behind(4000.0) + shift_mm) * asked.f_exact / circle
    for factor in (0.9, 0.98, 1.02, 1.1):
        answer = focus(replace(asked, exact=just * factor))
        assert answer.displaced is not None
        assert answer.displaced.is_sharp == (factor > 1)
        assert (answer.stand_in.p_sharp > 0.5) == (factor > 1)
