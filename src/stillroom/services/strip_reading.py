"""A tone read by eye against a strip of known greys: her own, or a printed one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.documents.book import Paper, RegionReading, StripStep, Verdict
from stillroom.errors import BadValue
from stillroom.reading import MATCH_SD_OWN, MATCH_SD_PRINTED, matched
from stillroom.sitter import region_name

BLACK, BARE = "black", "bare"
"""The two ends of every strip, beyond its steps."""
PRINTED_STEP_DENSITY = 0.15
BEYOND = 0.02
"""At least so much lies between an end and the step beside it."""
_VERDICTS: dict[str, Verdict] = {BLACK: "black", BARE: "bare_paper"}


def steps_of(paper: Paper) -> tuple[StripStep, ...]:
    """Steps to hold against a sheet: her own strip, else a printed grey strip of 0.15 a step.

    Parameters
    ----------
    paper : Paper
        The batch.

    Returns
    -------
    tuple of StripStep
        Darkest first.

    Examples
    --------
    >>> steps = steps_of(Paper(id="x", ei=6, dmin=0.08, dmax=1.9))
    >>> len(steps), steps[0].density, steps[-1].density
    (12, 1.8, 0.15)
    """
    if paper.comparison_strip:
        return tuple(sorted(paper.comparison_strip, key=lambda s: -s.density))
    first = math.ceil((paper.dmin + 0.04) / PRINTED_STEP_DENSITY)
    last = math.floor((paper.dmax - 0.04) / PRINTED_STEP_DENSITY)
    densities = [round(n * PRINTED_STEP_DENSITY, 2) for n in range(last, first - 1, -1)]
    return tuple(StripStep(step=n, density=d) for n, d in enumerate(densities, start=1))


def by_steps(taps: Sequence[str], paper: Paper, region: str) -> RegionReading:
    """One region read against the strip.

    Parameters
    ----------
    taps : sequence of str
        The step that vanished or two neighbours; ``black`` and ``bare`` are the ends.
    paper : Paper
        Whose strip it is.
    region : str
        For the message.

    Returns
    -------
    RegionReading
        A density with its spread, or the verdict of an end.

    Raises
    ------
    BadValue
        If the taps are no step or no neighbours.

    Examples
    --------
    >>> paper = Paper(
    ...     id="x",
    ...     ei=6,
    ...     comparison_strip=[{"step": 1, "density": 1.2}, {"step": 2, "density": 0.6}],
    ... )
    >>> by_steps(["bare"], paper, "rim").verdict, by_steps(["1", "2"], paper, "key").density
    ('bare_paper', 0.9)
    """
    if len(taps) == 1 and taps[0] in _VERDICTS:
        return RegionReading(verdict=_VERDICTS[taps[0]])
    names = tap_names(paper)
    if any(tap not in names for tap in taps):
        known = f"give one of {', '.join(names)}, or two side by side"
        raise BadValue(region_name(region), " and ".join(taps), known)
    own = bool(paper.comparison_strip)
    try:
        match = matched(
            tap_densities(paper),
            [names.index(tap) for tap in taps],
            match_sd=MATCH_SD_OWN if own else MATCH_SD_PRINTED,
        )
    except BadValue:
        raise BadValue(
            region_name(region),
            f"steps {' and '.join(taps)}",
            "name the one step that vanishes, or two side by side",
        ) from None
    return RegionReading(
        density=round(match.density, 3),
        density_sd=round(match.density_sd, 3),
        steps=tuple(sorted(int(tap) for tap in taps if tap.isdecimal())),
    )


def tap_names(paper: Paper) -> tuple[str, ...]:
    """What can be tapped, darkest first: ``black``, the numbers of the steps, ``bare``."""
    return (BLACK, *(str(s.step) for s in steps_of(paper)), BARE)


def tap_densities(paper: Paper) -> list[float]:
    """The densities of those, darkest first; an end lies beyond every step in any case."""
    steps = [s.density for s in steps_of(paper)]
    return [max(paper.dmax, steps[0] + BEYOND), *steps, min(paper.dmin, steps[-1] - BEYOND)]
