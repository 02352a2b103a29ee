"""The five words as intervals of density."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.exposure import Verdict

BLACK_BELOW_DMAX = 0.10
BARE_ABOVE_DMIN = 0.08
SLIP_RATE = 0.03
"""How often a word is just any word."""

WORDS: tuple[Verdict, ...] = ("black", "too_dark", "as_wanted", "too_light", "bare_paper")


@dataclass(frozen=True, slots=True)
class DensityInterval:
    """A word's density from `low` to `high`; `share` when two words mean the same."""

    low: float
    high: float
    share: float = 1.0


def early_interval(
    word: Verdict, aim_density: float | None, tol_density: float
) -> DensityInterval | None:
    """The densities one of an early look's three words stands for; they share out all.

    Examples
    --------
    >>> early_interval("too_dark", 0.6, 0.15)
    DensityInterval(low=0.75, high=inf, share=1.0)
    """
    if aim_density is None:
        return None
    top, bottom = aim_density + tol_density, aim_density - tol_density
    three = {
        "too_dark": DensityInterval(top, math.inf),
        "as_wanted": DensityInterval(bottom, top),
        "too_light": DensityInterval(-math.inf, bottom),
    }
    return three.get(word)


def word_interval(
    word: Verdict, aim_density: float | None, tol_density: float, dmin: float, dmax: float
) -> DensityInterval | None:
    """The densities a word stands for, or None when it says nothing of exposure.

    Parameters
    ----------
    word : str
        One of the five words, or ``cant_tell``.
    aim_density : float or None
        What was wanted; without an aim only ``black`` and ``bare_paper`` inform.
    tol_density : float
        Half width of *as wanted*.
    dmin, dmax : float
        Of the batch, as believed.

    Notes
    -----
    The five intervals share out all densities. Where the aim itself lies beyond the cut of an
    end word, that word and *as wanted* both mean that the end was reached.

    Examples
    --------
    >>> word_interval("too_dark", 0.6, 0.15, 0.1, 1.9)
    DensityInterval(low=0.75, high=1.7999999999999998, share=1.0)
    """
    black = dmax - BLACK_BELOW_DMAX
    bare = dmin + BARE_ABOVE_DMIN
    if word == "cant_tell":
        return None
    if aim_density is None:
        ends = {
            "black": DensityInterval(black, math.inf),
            "bare_paper": DensityInterval(-math.inf, bare),
        }
        return ends.get(word)
    top = min(max(aim_density + tol_density, bare), black)
    bottom = max(min(aim_density - tol_density, black), bare)
    if aim_density >= black:
        reached = DensityInterval(bottom, math.inf, 0.5)
        shared = {"black": reached, "as_wanted": reached, "too_dark": DensityInterval(0, 0)}
    elif aim_density <= bare:
        reached = DensityInterval(-math.inf, top, 0.5)
        shared = {"bare_paper": reached, "as_wanted": reached, "too_light": DensityInterval(0, 0)}
    else:
        shared = {"as_wanted": DensityInterval(bottom, top)}
    plain = {
        "black": DensityInterval(black, math.inf),
        "too_dark": DensityInterval(top, black),
        "too_light": DensityInterval(bare, bottom),
        "bare_paper": DensityInterval(-math.inf, bare),
    }
    return (plain | shared)[word]
