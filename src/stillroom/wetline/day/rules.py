"""Sums on the back of an envelope: one tank, piles of sheets, sheets to carry."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.errors import in_range
from stillroom.wetline.day.line import whole


def one_tank_min(steps_min: Sequence[float], fill_drain_min: float, load_min: float) -> float:
    """Return how long one sheet takes in one tank.

    Parameters
    ----------
    steps_min : sequence of float
        Its steps [min].
    fill_drain_min : float
        Draining one bath and filling the next, once a step [min].
    load_min : float
        Getting the sheet into the tank [min].

    Returns
    -------
    float
        [min]

    Raises
    ------
    OutOfRange
        If a time lies outside 0 to 1440 min.

    References
    ----------
    The sum of the steps, and as many fillings: common practice, no source.

    Examples
    --------
    >>> steps = [2, 1, 1.5, 1.5, 1, 1, 0.33, 1.5, 0.5, 1, 4]
    >>> round(one_tank_min(steps, 0.6, 2), 1)
    23.9
    """
    fill = in_range("fill_drain_min", fill_drain_min, 0, 1440, "min")
    total = in_range("load_min", load_min, 0, 1440, "min")
    for step in steps_min:
        total += in_range("steps_min", step, 0, 1440, "min") + fill
    return total


def pile_per_hour(sheets: int, steps_min: Sequence[float], baths: int, longer_min: float) -> float:
    """Return how many sheets an hour go through by piles, one pile at a time.

    Parameters
    ----------
    sheets : int
        In a pile [1]; beyond 3 or 4 they come out less even.
    steps_min : sequence of float
        The steps of one sheet [min].
    baths : int
        Of them, baths that take longer for a pile [1].
    longer_min : float
        Longer by so much for each further sheet [min].

    Returns
    -------
    float
        [1/h]

    Raises
    ------
    BadValue
        If there is no sheet.
    OutOfRange
        If a time lies outside its range.

    Examples
    --------
    >>> round(pile_per_hour(3, [15.3], 11, 0.1), 1)
    10.3
    """
    count = whole("sheets", sheets, 1, 100)
    longer = in_range("longer_min", longer_min, 0, 60, "min")
    total = sum(in_range("steps_min", step, 0, 1440, "min") for step in steps_min)
    took = in_range("steps_min", total, 0.01, 14_400, "min") + whole("baths", baths, 0, 40) * (
        longer * (count - 1)
    )
    return 60.0 * count / took


def sheets_to_land(p_lands: float, wanted: float = 0.9, most: int = 8) -> int:
    """Return how many sheets to carry so that one lands as surely as is wanted.

    Parameters
    ----------
    p_lands : float
        Chance that one sheet lands [1], above 0 to 1.
    wanted : float
        How surely [1], 0 to 0.999.
    most : int
        More are not carried [1].

    Returns
    -------
    int
        [1]; sheets are held to land independently of each other, which the second seldom does:
        it knows what the first showed.

    Raises
    ------
    OutOfRange
        If a chance is none.

    Examples
    --------
    >>> [sheets_to_land(p) for p in (0.95, 0.7, 0.5, 0.2)]
    [1, 2, 4, 8]
    """
    chance = in_range("p_lands", p_lands, 0.001, 1)
    sure = in_range("wanted", wanted, 0, 0.999)
    if chance >= sure:
        return 1
    return min(whole("most", most, 1, 100), math.ceil(math.log1p(-sure) / math.log1p(-chance)))


def sheets_used(p_lands: float, most: int) -> float:
    """Return how many sheets are used on average, until one lands or there are no more.

    Parameters
    ----------
    p_lands : float
        Chance that one sheet lands [1], above 0 to 1.
    most : int
        Sheets there are [1].

    Returns
    -------
    float
        [1]

    Raises
    ------
    OutOfRange
        If the chance is none.

    Examples
    --------
    >>> round(sheets_used(0.7, 2), 2)
    1.3
    """
    chance = in_range("p_lands", p_lands, 0.001, 1)
    return float((1 - (1 - chance) ** whole("most", most, 1, 100)) / chance)
