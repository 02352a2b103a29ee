"""Means, shares and ratios with their standard errors, and tables of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from benchmarks.world.records import Outcome

BySeed = dict[int, Outcome]


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure, its standard error and what it was taken over; NaN where there is nothing."""

    value: float
    se: float
    count: int

    def __str__(self) -> str:
        return f"{self.value:.2f} ({self.se:.2f})" if self.count else ""

    def signed(self) -> str:
        """Give it with its sign, for differences."""
        return f"{self.value:+.2f} ({self.se:.2f})" if self.count else ""


NOTHING = Figure(math.nan, math.nan, 0)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Give a Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)


def mean(values: Sequence[float]) -> Figure:
    """Give the mean of independent values."""
    if not values:
        return NOTHING
    spread = float(np.std(values, ddof=1)) if len(values) > 1 else math.nan
    return Figure(float(np.mean(values)), spread / math.sqrt(len(values)), len(values))


def share(hits: Sequence[tuple[object, bool]]) -> Figure:
    """Give a share of hits, those of one seed taken together.

    Parameters
    ----------
    hits : sequence of (seed, bool)
        Those of one seed one after the other.

    Returns
    -------
    Figure
        Its standard error counts a seed as one draw.
    """
    return mean_by_seed([(seed, float(hit)) for seed, hit in hits])


def mean_by_seed(pairs: Sequence[tuple[object, float]]) -> Figure:
    """Give a mean of values of which those of one seed hang together.

    Parameters
    ----------
    pairs : sequence of (seed, float)
        Those of one seed one after the other.

    Returns
    -------
    Figure
        Its standard error counts a seed as one draw.
    """
    if not pairs:
        return NOTHING
    middle = float(np.mean([value for _, value in pairs]))
    sums = [
        sum(value - middle for _, value in group)
        for _, group in groupby(pairs, key=lambda pair: pair[0])
    ]
    return Figure(middle, math.sqrt(sum(one**2 for one in sums)) / len(pairs), len(pairs))


def in_power(by_seed: BySeed) -> BySeed:
    """Leave out sittings that nobody could have brought home with this kit."""
    return {seed: one for seed, one in by_seed.items() if one.in_power}


def groups(outcomes: Iterable[Outcome]) -> dict[tuple[str, str], dict[str, BySeed]]:
    """Give outcomes by class and reading, then strategy, then seed."""
    found: dict[tuple[str, str], dict[str, BySeed]] = {}
    for one in outcomes:
        case = found.setdefault((one.cls, one.reading), {})
        case.setdefault(one.strategy, {})[one.seed] = one
    return found


def difference(ours: BySeed, theirs: BySeed) -> Figure:
    """Give the mean of ours minus theirs in sheets, seed by seed."""
    pairs = _pairs(ours, theirs)
    return mean([float(one - other) for one, other in pairs])


def ratio(ours: BySeed, theirs: BySeed) -> Figure:
    """Give the ratio of the two means in sheets on the same seeds (error to first order)."""
    pairs = np.array(_pairs(ours, theirs), dtype=np.float64)
    if not pairs.size:
        return NOTHING
    one, other = pairs.mean(axis=0)
    left = mean(list(pairs[:, 0] - one / other * pairs[:, 1]))
    return Figure(float(one / other), left.se / float(other), len(pairs))


def _pairs(ours: BySeed, theirs: BySeed) -> list[tuple[int, int]]:
    return [
        (one.sheets, theirs[seed].sheets)
        for seed, one in sorted(in_power(ours).items())
        if seed in theirs
    ]


def upper(counts: Sequence[int]) -> int:
    """Give the 95th percentile of whole numbers, itself one of them."""
    return int(np.quantile(counts, 0.95, method="inverted_cdf"))
