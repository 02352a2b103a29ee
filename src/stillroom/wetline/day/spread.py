"""A finish with its range: the same day lived many times over."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.wetline.day.coming import Coming, Schedule
from stillroom.wetline.day.line import Line
from stillroom.wetline.day.schedule import quick

NINE_IN_TEN_SD = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Between:
    """A time that lies between two others nine times in ten, skewed as times are.

    Parameters
    ----------
    low, high : float
        Between which it lies nine times in ten, in any unit above 0.

    Raises
    ------
    BadValue
        If they are not above 0 and in order.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.high:
            raise BadValue("range", (self.low, self.high), "give two times above 0 in order")

    @property
    def middle(self) -> float:
        """What is as often exceeded as not."""
        return math.sqrt(self.low * self.high)

    def drawn(self, rng: np.random.Generator) -> float:
        """One of it, by the lognormal law.

        Parameters
        ----------
        rng : numpy.random.Generator
            Where chance comes from.
        """
        sd = math.log(self.high / self.low) / (2 * NINE_IN_TEN_SD)
        return self.middle * math.exp(sd * rng.standard_normal())


@dataclass(frozen=True, slots=True)
class FinishRange:
    """When a day is through, nine times in ten.

    Parameters
    ----------
    q05_s, q50_s, q95_s : float
        One in twenty is earlier than the first, one in two than the second, one in twenty later
        than the third [s].
    """

    q05_s: float
    q50_s: float
    q95_s: float


def days_lived(
    day_of: Callable[[np.random.Generator], tuple[Line, Sequence[Coming]]],
    days: int,
    rng: np.random.Generator,
) -> list[Schedule]:
    """Return a day lived so many times over.

    Parameters
    ----------
    day_of : callable
        Draws one day: its line and its sheets. Each sheet then goes in as early as those before
        it allow, as somebody would who does not know what comes.
    days : int
        How many, 1 to 10 000.
    rng : numpy.random.Generator
        Where chance comes from.

    Returns
    -------
    list of Schedule

    Raises
    ------
    OutOfRange
        If `days` is.
    BadValue
        If a day cannot be planned.
    """
    count = round(in_range("days", days, 1, 10_000))
    return [quick(*day_of(rng)) for _ in range(count)]


def range_of(moments_s: Sequence[float]) -> FinishRange:
    """Return the middle nine in ten of moments.

    Parameters
    ----------
    moments_s : sequence of float
        One a day [s]; at least one.

    Returns
    -------
    FinishRange

    Raises
    ------
    BadValue
        If there is none.

    Examples
    --------
    >>> range_of([60.0, 120.0, 180.0]).q50_s
    120.0
    """
    if not len(moments_s):
        raise BadValue("moments_s", "none", "give at least one")
    q05, q50, q95 = np.quantile(np.asarray(moments_s, dtype=float), (0.05, 0.5, 0.95))
    return FinishRange(float(q05), float(q50), float(q95))
