"""Odds as people say them: *7 in 10*, *1 in 8*; never a percentage."""

from __future__ import annotations

import math

from stillroom.errors import in_range

_TENTHS = 10
_RARE = (100, 50, 30, 20, 15, 12, 10, 8, 6, 5, 4, 3, 2)
_LEFT_OUT_BELOW = 1 / 50


def odds(p: float) -> str:
    """How often something happens, to the nearest tenth, finer towards never and always.

    Parameters
    ----------
    p : float
        Probability [1], 0 to 1.

    Returns
    -------
    str
        Such as ``7 in 10``, ``19 in 20``, ``1 in 30``.

    Raises
    ------
    OutOfRange
        If `p` is not a finite number from 0 to 1.

    Examples
    --------
    >>> odds(0.68), odds(0.97), odds(0.04), odds(0.002)
    ('7 in 10', '29 in 30', '1 in 30', 'fewer than 1 in 100')
    """
    chance = in_range("odds", p, 0, 1)
    if chance < 0.075:
        return one_in(chance)
    if chance > 0.925:
        rest = 1 - chance
        if rest < 1 / 100:
            return "more than 99 in 100"
        n = _nearest(rest)
        return f"{n - 1} in {n}"
    return f"{round(chance * _TENTHS)} in {_TENTHS}"


def one_in(p: float) -> str:
    """The odds of something unwanted as *1 in n*; above 4 in 10 in tenths.

    Parameters
    ----------
    p : float
        Probability [1], 0 to 1.

    Returns
    -------
    str
        Such as ``1 in 8``; n is the nearest of a short list, by ratio.

    Raises
    ------
    OutOfRange
        If `p` is not a finite number from 0 to 1.

    Examples
    --------
    >>> one_in(0.13), one_in(0.6), one_in(0.001)
    ('1 in 8', '6 in 10', 'fewer than 1 in 100')
    """
    chance = in_range("odds", p, 0, 1)
    if chance > 0.55:
        return odds(chance)
    if chance < 1 / 100:
        return "fewer than 1 in 100"
    return f"1 in {_nearest(chance)}"


def worth_saying(p: float) -> bool:
    """Whether a mishap is said at all: under 1 in 50 it is left out.

    Examples
    --------
    >>> worth_saying(0.03), worth_saying(0.01)
    (True, False)
    """
    return p >= _LEFT_OUT_BELOW


def _nearest(chance: float) -> int:
    return min(_RARE, key=lambda n: abs(math.log(chance * n)))
