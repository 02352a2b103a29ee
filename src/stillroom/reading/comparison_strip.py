"""Reading by eye against a strip of known greys: the step that vanishes, or two side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from stillroom.errors import BadValue

MATCH_SD_OWN = 0.04  # invented: an eye matching two greys of one paper, edge to edge
MATCH_SD_PRINTED = 0.08  # invented: another surface and another white beside the sheet


@dataclass(frozen=True, slots=True)
class Matched:
    """What a match says.

    Attributes
    ----------
    density : float
        Reflection density [density].
    density_sd : float
        Its standard uncertainty [density].
    """

    density: float
    density_sd: float


def matched(
    densities: Sequence[float], steps: Sequence[int], *, match_sd: float = MATCH_SD_OWN
) -> Matched:
    """Return the density of the step that vanishes, or between two neighbours.

    Parameters
    ----------
    densities : sequence of float
        Densities of all steps of the strip, darkest first [density]; at least two.
    steps : sequence of int
        Places in that sequence (from 0) of one step, or of two neighbours.
    match_sd : float
        How well an eye matches two greys [density].

    Returns
    -------
    Matched
        Density, and a spread that holds the eye's own and the coarseness of the strip.

    Raises
    ------
    BadValue
        If no step or more than two are named, if two are no neighbours, or if a strip has fewer
        than two steps or is not in order.

    Notes
    -----
    Whoever may answer both *5* and *between 5 and 6* answers *5* within a quarter of the
    distance to either neighbour, *between* within a quarter of the middle: a uniform spread of
    that half width, sd = half width / sqrt(3), joined with the eye's own.

    Examples
    --------
    >>> matched([1.2, 0.8, 0.5], [1]).density
    0.8
    >>> round(matched([1.2, 0.8, 0.5], [0, 1]).density, 3)
    1.0
    """
    if len(densities) < 2:
        raise BadValue("strip", len(densities), "a strip needs two steps or more")
    if any(a <= b for a, b in pairwise(densities)):
        raise BadValue("strip", "its steps", "they must go from dark to light")
    chosen = sorted(set(steps))
    if not chosen or chosen[0] < 0 or chosen[-1] >= len(densities):
        raise BadValue("step", list(steps), f"name one of the {len(densities)} steps")
    if len(chosen) > 2 or chosen[-1] - chosen[0] > 1:
        raise BadValue("steps", list(steps), "name one step, or two side by side")
    first, last = chosen[0], chosen[-1]
    if first == last:
        beside = [n for n in (first - 1, first + 1) if 0 <= n < len(densities)]
        gap = max(abs(densities[first] - densities[n]) for n in beside)
    else:
        gap = densities[first] - densities[last]
    coarse = gap / 4 / math.sqrt(3)
    return Matched((densities[first] + densities[last]) / 2, math.hypot(match_sd, coarse))
