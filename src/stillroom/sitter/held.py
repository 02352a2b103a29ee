"""What a sitter's word and the smears on their sheets tell of how still they hold."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import in_range
from stillroom.quantity import FloatArray
from stillroom.sitter.skin import HOLDS_STILL_RANGE_S
from stillroom.sitter.smear_law import MAGNIFICATION_RANGE
from stillroom.sitter.stillness import (
    Motion,
    chance_held,
    smear_mm,
    usual_motion,
)
from stillroom.sitter.sway import OPEN_RANGE_S

# "I can sit still for t seconds" is taken as said of a seat with a head rest, of a face at a
# quarter of its size and a smear of 0.2 mm: of what the question makes people think of.
WORD_MAGNIFICATION = 0.25  # invented
WORD_SMEAR_MM = 0.2  # invented
WORD_TIMES = 2.0  # invented: people say twice what they hold
WORD_LOG_SD = 1.0  # invented: and differ in that by a factor of e
VISIBLE_SMEAR_MM = (
    0.1  # common practice, no source: about what an eye finds on a sheet in the hand
)
MEASURED_LOG_SD = 0.15  # invented: a smear measured twice
OTHER_SUPPORT_LOG_SD = 0.3  # invented: what a smear tells of another way to be held
_SMEAR_RANGE_MM = (0.0, 100.0)
_GRID = 241
_REACH = 6.0  # standard deviations to each side


@dataclass(frozen=True, slots=True)
class SmearSeen:
    """How wide the sitter's movement was on one sheet made by steady light.

    Parameters
    ----------
    smear_mm : float
        As measured on the sheet [mm], 0 to 100; 0: none is seen, so less than 0.1 mm.
    open_s : float
        Open time of that sheet [s], 0.00001 to 600.
    magnification : float
        Image over sitter [1], 0.001 to 20.
    support : str
        How the sitter was held.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> SmearSeen(0.3, 3.0, 0.25, "head_rest").smear_mm
    0.3
    """

    smear_mm: float
    open_s: float
    magnification: float
    support: str

    def __post_init__(self) -> None:
        in_range("smear", self.smear_mm, *_SMEAR_RANGE_MM, "mm")
        in_range("open time", self.open_s, *OPEN_RANGE_S, "s")
        in_range("magnification", self.magnification, *MAGNIFICATION_RANGE)


def motion_of(
    support: str,
    is_child: bool = False,  # noqa: FBT001, FBT002 - reads as a sentence: motion of a seated child
    holds_still_s: float | None = None,
    smears: Iterable[SmearSeen] = (),
) -> Motion:
    """Return how a sitter's head moves, from all that is known of them.

    How far this sitter moves against others held alike is one number, taken to be the same
    however they are held. Its logarithm is Gaussian before; the word and each smear are weighed
    on a grid.

    Parameters
    ----------
    support : {"standing", "leaning", "seated", "seated_arms_on_table", "head_rest"}
        How body and head will be held.
    is_child : bool
        Whether a child sits.
    holds_still_s : float, optional
        What the sitter says they can hold [s], 0.01 to 600.
    smears : iterable of SmearSeen
        Their sheets that were measured.

    Returns
    -------
    Motion
        With what is still not known as ``sitter_log_sd``.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If a support is none of the five.

    References
    ----------
    Bayes' rule; bias and spread of the word, of a measured smear and of another support are
    invented.

    Examples
    --------
    >>> wide = SmearSeen(0.6, 2.0, 0.25, "head_rest")
    >>> usual = motion_of("head_rest")
    >>> known = motion_of("head_rest", smears=[wide, wide])
    >>> known.drift_mm_per_sqrt_s > usual.drift_mm_per_sqrt_s
    True
    >>> known.sitter_log_sd < usual.sitter_log_sd
    True
    """
    usual = usual_motion(support, is_child=is_child)
    seen = tuple(smears)
    if holds_still_s is None and not seen:
        return usual
    spread = usual.sitter_log_sd
    log_times = np.linspace(-_REACH * spread, _REACH * spread, _GRID)
    log_weight = -((log_times / spread) ** 2) / 2
    if holds_still_s is not None:
        said_s = in_range("holds still", holds_still_s, *HOLDS_STILL_RANGE_S, "s")
        log_weight = log_weight + _of_word(log_times, said_s, is_child=is_child)
    for one in seen:
        log_weight = log_weight + _of_smear(log_times, one, support, is_child=is_child)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ log_times)
    sd = math.sqrt(float(weight @ (log_times - mean) ** 2))
    return replace(usual.times(math.exp(mean)), sitter_log_sd=sd)


def _of_word(log_times: FloatArray, said_s: float, *, is_child: bool) -> FloatArray:
    """Log likelihood of a word, by how much farther than usual the sitter moves."""
    chair = replace(usual_motion("head_rest", is_child=is_child), sitter_log_sd=0.0)
    times_s = np.geomspace(*OPEN_RANGE_S, 241)
    median, _ = smear_mm(times_s, WORD_MAGNIFICATION, chair)
    # A sitter who moves e^x times as far as usual holds the time whose usual smear is e^-x times
    # as wide.
    log_held = np.interp(math.log(WORD_SMEAR_MM) - log_times, np.log(median), np.log(times_s))
    off = (math.log(said_s / WORD_TIMES) - log_held) / WORD_LOG_SD
    weight: FloatArray = -(off**2) / 2
    return weight


def _of_smear(
    log_times: FloatArray, seen: SmearSeen, support: str, *, is_child: bool
) -> FloatArray:
    """Log likelihood of a measured smear, or of none that is seen."""
    motion = replace(usual_motion(seen.support, is_child=is_child), sitter_log_sd=0.0)
    other = 0.0 if seen.support == support else OTHER_SUPPORT_LOG_SD
    if seen.smear_mm == 0:
        motion = replace(motion, trial_log_sd=math.hypot(motion.trial_log_sd, other))
        unseen = chance_held(
            seen.open_s, seen.magnification, VISIBLE_SMEAR_MM * np.exp(-log_times), motion
        )
        return np.log(np.maximum(unseen, 1e-12))
    more = math.hypot(other, MEASURED_LOG_SD)
    motion = replace(motion, trial_log_sd=math.hypot(motion.trial_log_sd, more))
    median, log_sd = smear_mm(seen.open_s, seen.magnification, motion)
    off = (np.log(seen.smear_mm / median) - log_times) / log_sd
    weight: FloatArray = -(off**2) / 2
    return weight
