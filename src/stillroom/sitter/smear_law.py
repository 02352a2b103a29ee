"""The distribution of one smear, of an opening or of several pops.

The mean square of a path about its mean is a weighted sum of squares of Gaussian variables. It is
taken as a gamma variable with the same mean and variance, both directions together, whose shape
counts by how many independent bends the smear is made: 1 for a straight pass or two pops, more
the more often the head turns about.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range
from stillroom.sitter.sway import OPEN_RANGE_S, moments, moments_at

if TYPE_CHECKING:
    from stillroom.sitter.stillness import Motion

SMEAR_RANGE_MM = (0.0001, 1000.0)
MAGNIFICATION_RANGE = (0.001, 20.0)
POPS_RANGE = (2.0, 64.0)
_STREAK = math.sqrt(12.0)  # length of an even streak over its root mean square spread


@dataclass(frozen=True, slots=True)
class SmearLaw:
    """Mean, standard deviation and skewness of the natural logarithm of a smear [mm]."""

    mean: FloatArray
    sd: FloatArray
    skew: FloatArray

    @property
    def median_mm(self) -> FloatArray:
        """The smear that every second one exceeds [mm]."""
        return np.asarray(np.exp(self.mean - self.skew * self.sd / 6))


def of_opening(
    open_s: float | FloatArray, magnification: float | FloatArray, motion: Motion
) -> SmearLaw:
    """The smear of one opening by steady light."""
    t = all_in_range("open time", open_s, *OPEN_RANGE_S, "s")
    return _law(*mean_square(t, motion), magnification, motion)


def of_pops(
    pops: float | FloatArray,
    gap_s: float | FloatArray,
    magnification: float | FloatArray,
    motion: Motion,
) -> SmearLaw:
    """The smear of several pops, evenly apart."""
    count = all_in_range("pops", pops, *POPS_RANGE)
    gap = all_in_range("time between pops", gap_s, *OPEN_RANGE_S, "s")
    count, gap = np.broadcast_arrays(count, gap)
    pairs = zip(count.flat, gap.flat, strict=True)
    flat = [_of_burst(round(float(n)), float(apart)) for n, apart in pairs]
    columns = np.array(flat).reshape(*count.shape, 5)
    return _law(*_mixed(np.moveaxis(columns, -1, 0), motion), magnification, motion)


def below(allowed_mm: float | FloatArray, law: SmearLaw) -> FloatArray:
    """The chance that a smear stays within a width [mm]."""
    from scipy.special import ndtr  # noqa: PLC0415

    allowed = all_in_range("allowed smear", allowed_mm, *SMEAR_RANGE_MM, "mm")
    z = (np.log(allowed) - law.mean) / law.sd
    bell = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
    chance: FloatArray = np.clip(ndtr(z) - law.skew / 6 * (z**2 - 1) * bell, 0.0, 1.0)
    return chance


def mean_square(t: FloatArray, motion: Motion) -> tuple[FloatArray, FloatArray]:
    """Mean square spread over a time in one direction [mm²], and its independent bends."""
    times, table = moments()
    return _mixed(
        np.array([np.exp(np.interp(np.log(t), times, column)) for column in table]), motion
    )


@lru_cache(maxsize=8192)
def _of_burst(pops: int, gap_s: float) -> tuple[float, float, float, float, float]:
    return moments_at(pops * gap_s, pops)


def _mixed(of: FloatArray, motion: Motion) -> tuple[FloatArray, FloatArray]:
    sway, drift = motion.sway_mm**2, motion.drift_mm_per_sqrt_s**2
    mean = sway * of[0] + drift * of[1]
    square = sway**2 * of[2] + 2 * sway * drift * of[3] + drift**2 * of[4]
    return mean, mean**2 / square


def _law(
    square: FloatArray, bends: FloatArray, magnification: float | FloatArray, motion: Motion
) -> SmearLaw:
    from scipy.special import polygamma, psi  # noqa: PLC0415

    m = all_in_range("magnification", magnification, *MAGNIFICATION_RANGE)
    mean = np.log(_STREAK * m * np.sqrt(2 * square)) + (psi(bends) - np.log(bends)) / 2
    variance = motion.log_sd**2 + polygamma(1, bends) / 4
    skew = polygamma(2, bends) / 8 / variance**1.5
    mean, sd, skew = np.broadcast_arrays(mean, np.sqrt(variance), skew)
    return SmearLaw(mean, sd, skew)
