"""The tone curve of a direct positive, and the five words of the eye."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from benchmarks.world.public import Word

FloatArray = NDArray[np.float64]
WORDS: tuple[Word, ...] = ("black", "too_dark", "as_wanted", "too_light", "bare_paper")  # by tone
_BLACK_BELOW_DMAX = 0.10
_BARE_ABOVE_DMIN = 0.08
_REACHED = 1e-6


@dataclass(frozen=True, slots=True)
class Curve:
    """Density against stops above the mid-tone; more exposure is lighter.

    ``D(u) = dmin + (dmax - dmin) F(u)``, ``F(u) = (1 + (2^nu - 1) exp(kappa u))^(-1/nu)``,
    so that ``F(0) = 1/2`` for every shape.

    Parameters
    ----------
    dmin, dmax : float
        Lightest and darkest density of the paper.
    kappa : float
        Contrast [1/stop], natural.
    nu : float
        Asymmetry; 1 is symmetric.

    Examples
    --------
    >>> round(Curve(0.1, 1.9, 1.1, 1.0).density(0.0), 9)
    1.0
    """

    dmin: float
    dmax: float
    kappa: float
    nu: float

    @overload
    def density(self, u_stops: float) -> float: ...
    @overload
    def density(self, u_stops: FloatArray) -> FloatArray: ...
    def density(self, u_stops: float | FloatArray) -> float | FloatArray:
        """Give the density at ``u_stops`` above the mid-tone."""
        share = (1.0 + (2.0**self.nu - 1.0) * np.exp(self.kappa * u_stops)) ** (-1.0 / self.nu)
        found = self.dmin + (self.dmax - self.dmin) * share
        return found if isinstance(found, np.ndarray) else float(found)

    def stops(self, density: float) -> float:
        """Give the stops above the mid-tone at ``density``, held just inside the two ends."""
        share = (density - self.dmin) / (self.dmax - self.dmin)
        share = min(max(share, _REACHED), 1.0 - _REACHED)
        return math.log((share**-self.nu - 1.0) / (2.0**self.nu - 1.0)) / self.kappa


def word_cuts(
    aim_density: float, tol_density: float, dmin: float, dmax: float
) -> tuple[float, float, float, float]:
    """Give the four cuts between the five words, darkest first.

    Parameters
    ----------
    aim_density, tol_density : float
        What is wanted and how far off still counts as wanted.
    dmin, dmax : float
        The paper's two ends.

    Returns
    -------
    tuple of float
        Never rising; the two cuts about the aim are held between the end cuts, so that a word
        whose range has vanished has no chance instead of a negative one.

    Examples
    --------
    >>> [round(cut, 2) for cut in word_cuts(1.77, 0.2, 0.1, 1.9)]
    [1.8, 1.8, 1.57, 0.18]
    """
    black = dmax - _BLACK_BELOW_DMAX
    bare = dmin + _BARE_ABOVE_DMIN
    dark = min(max(aim_density + tol_density, bare), black)
    light = min(max(aim_density - tol_density, bare), black)
    return black, dark, light, bare


def word_probabilities(
    density: float, cuts: tuple[float, float, float, float], sd_density: float, lapse: float = 0.03
) -> FloatArray:
    """Give the chance of each of :data:`WORDS` for a true density.

    Parameters
    ----------
    density : float
        True density.
    cuts : tuple of float
        From :func:`word_cuts`.
    sd_density : float
        Noise of the eye [density].
    lapse : float
        Share of words that are said at random.

    Returns
    -------
    ndarray
        Five chances that sum to 1.
    """
    lighter_than = np.concatenate([[1.0], ndtr((np.asarray(cuts) - density) / sd_density), [0.0]])
    chances = (1.0 - lapse) * -np.diff(lighter_than) + lapse / len(WORDS)
    return np.asarray(chances, dtype=np.float64)


def word_of(density: float, cuts: tuple[float, float, float, float]) -> Word:
    """Give the word of a density read without noise."""
    for word, cut in zip(WORDS, cuts, strict=False):
        if density > cut:
            return word
    return WORDS[-1]
