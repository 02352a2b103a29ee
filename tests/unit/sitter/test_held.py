"""What is learned of a sitter covers what they are: sitters drawn, asked and measured."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.quantity import FloatArray
from stillroom.sitter import (
    Motion,
    SmearSeen,
    chance_held,
    longest_held_s,
    motion_of,
    usual_motion,
)
from tests.unit.sitter_paths import streaks_mm, walks

SITTERS = 600
REST = usual_motion("head_rest")
VISIBLE_MM = 0.1


def log_times(motion: Motion, usual: Motion = REST) -> float:
    """How much farther than usual, as a logarithm."""
    return math.log(motion.drift_mm_per_sqrt_s / usual.drift_mm_per_sqrt_s)


def drawn(rng: np.random.Generator) -> FloatArray:
    return np.asarray(REST.sitter_log_sd * rng.standard_normal(SITTERS))


def holds_s(log_scale: float) -> float:
    """What a sitter truly holds in the chair: every second opening."""
    known = Motion(
        REST.sway_mm * math.exp(log_scale), REST.drift_mm_per_sqrt_s * math.exp(log_scale), 0.0
    )
    return longest_held_s(0.25, 0.2, known, odds=0.5)


def said(rng: np.random.Generator, scales: FloatArray) -> list[float]:
    """Twice that, and off by a factor of e either way (both invented)."""
    noise = np.exp(rng.standard_normal(scales.size))
    return [
        min(600.0, max(0.01, 2 * holds_s(float(x)) * float(n)))
        for x, n in zip(scales, noise, strict=True)
    ]


def smears(rng: np.random.Generator, scales: FloatArray, open_s: float) -> FloatArray:
    """One sheet of each sitter, by a path of its own, measured; 0 where none is seen [mm]."""
    streaks = streaks_mm(walks(rng, REST, open_s, scales.size, steps=150))
    width = 0.25 * np.exp(scales + 0.25 * rng.standard_normal(scales.size)) * streaks
    measured = width * np.exp(0.15 * rng.standard_normal(scales.size))
    return np.asarray(np.where(width < VISIBLE_MM, 0.0, measured))


def covers(scales: FloatArray, found: list[Motion]) -> tuple[float, float]:
    """Shares of sitters within the stated 50 and 90 % ranges."""
    off = np.array(
        [abs(x - log_times(m)) / m.sitter_log_sd for x, m in zip(scales, found, strict=True)]
    )
    return float((off < 0.6745).mean()), float((off < 1.6449).mean())


def test_words_alone_are_believed_as_far_as_they_go() -> None:
    rng = np.random.default_rng(21)
    scales = drawn(rng)
    found = [motion_of("head_rest", holds_still_s=word) for word in said(rng, scales)]
    half, most = covers(scales, found)
    assert half == pytest.approx(0.5, abs=0.06)
    assert most == pytest.approx(0.9, abs=0.04)
    errors = scales - np.array([log_times(m) for m in found])
    assert errors.std() < 0.85 * scales.std()
    assert abs(errors.mean()) < 0.06


@pytest.mark.parametrize("open_s", [1.0, 4.0])
@pytest.mark.parametrize("sheets", [1, 4])
def test_words_and_sheets_together(open_s: float, sheets: int) -> None:
    """With 1 s most sheets show nothing, with 4 s most show a smear: both teach honestly."""
    rng = np.random.default_rng(22 + sheets)
    scales = drawn(rng)
    words = said(rng, scales)
    widths = np.array([smears(rng, scales, open_s) for _ in range(sheets)])
    found = [
        motion_of(
            "head_rest",
            holds_still_s=word,
            smears=[SmearSeen(float(w), open_s, 0.25, "head_rest") for w in of_one],
        )
        for word, of_one in zip(words, widths.T, strict=True)
    ]
    half, most = covers(scales, found)
    assert half == pytest.approx(0.5, abs=0.07)
    assert most == pytest.approx(0.9, abs=0.05)
    errors = scales - np.array([log_times(m) for m in found])
    assert errors.std() < (0.8 if sheets == 1 else 0.6) * scales.std()


def test_odds_given_after_the_first_sheets_come_true() -> None:
    """Of the openings promised 6 to 8 in 10 about 7 in 10 are held, by paths of their own."""
    rng = np.random.default_rng(30)
    scales = drawn(rng)
    first, next_ = smears(rng, scales, 3.0), smears(rng, scales, 3.0)
    promised = np.array(
        [
            float(
                chance_held(
                    3.0,
                    0.25,
                    0.2,
                    motion_of("head_rest", smears=[SmearSeen(float(w), 3.0, 0.25, "head_rest")]),
                )
            )
            for w in first
        ]
    )
    held = next_ < 0.2
    assert held.mean() == pytest.approx(promised.mean(), abs=0.05)
    some = (promised > 0.6) & (promised < 0.85)
    assert some.sum() > 60
    assert held[some].mean() == pytest.approx(promised[some].mean(), abs=0.12)


@given(st.floats(0.02, 500), st.floats(1.2, 4))
def test_who_says_more_is_believed_to_hold_more(word_s: float, factor: float) -> None:
    less = motion_of("head_rest", holds_still_s=word_s)
    more = motion_of("head_rest", holds_still_s=min(600.0, word_s * factor))
    assert log_times(more) <= log_times(less) + 1e-9
    assert less.sitter_log_sd < REST.sitter_log_sd + 0.02


@given(st.floats(0.02, 10), st.floats(1.2, 4), st.floats(0.2, 20))
def test_a_wider_smear_is_a_sitter_who_moves_more(
    smear: float, factor: float, open_s: float
) -> None:
    less = motion_of("seated", smears=[SmearSeen(smear, open_s, 0.25, "seated")])
    more = motion_of("seated", smears=[SmearSeen(smear * factor, open_s, 0.25, "seated")])
    assert more.sway_mm > less.sway_mm
    assert less.sitter_log_sd < usual_motion("seated").sitter_log_sd


def test_no_smear_on_a_longer_sheet_says_more() -> None:
    short, long = (
        motion_of("head_rest", smears=[SmearSeen(0, t, 0.25, "head_rest")]) for t in (0.5, 8.0)
    )
    assert log_times(long) < log_times(short) < 0


def test_nothing_known_is_as_usual_and_order_does_not_matter() -> None:
    assert motion_of("leaning", True) == usual_motion("leaning", is_child=True)  # noqa: FBT003
    sheets = [SmearSeen(0.3, 3, 0.25, "head_rest"), SmearSeen(0, 1, 0.2, "seated")]
    one = motion_of("seated", smears=sheets, holds_still_s=4)
    other = motion_of("seated", smears=reversed(sheets), holds_still_s=4)
    assert one.sway_mm == pytest.approx(other.sway_mm, rel=1e-12)


def test_a_smear_held_otherwise_tells_less() -> None:
    same = motion_of("head_rest", smears=[SmearSeen(0.6, 3, 0.25, "head_rest")])
    other = motion_of("head_rest", smears=[SmearSeen(4.0, 3, 0.25, "seated")])
    assert other.sitter_log_sd > same.sitter_log_sd


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        ((-0.1, 1.0, 0.25), "smear"),
        ((0.1, 0.0, 0.25), "open time"),
        ((0.1, 1.0, math.nan), "magnification"),
    ],
)
def test_smears_beyond_sense_are_refused(fields: tuple[float, float, float], name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        SmearSeen(*fields, "seated")
    assert refused.value.name == name


def test_words_beyond_sense_are_refused() -> None:
    with pytest.raises(OutOfRange, match="holds still is 0"):
        motion_of("seated", holds_still_s=0.0)
    with pytest.raises(BadValue, match="support is 'sofa'"):
        motion_of("seated", smears=[SmearSeen(0.2, 1.0, 0.25, "sofa")])
