"""How often a sheet can begin: the bound by work, and a rhythm that can go on for ever."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.wetline.day.line import Line
from stillroom.wetline.day.rhythm import Rhythm

FINEST_S = 5
"""Rhythms are tried this far apart, or by a finer step that the line's times are made of [s]."""
MOST_TRIED = 60_000
"""Ways of waiting that are tried, all rhythms together."""
HANDS = "hands"


@dataclass(frozen=True, slots=True)
class Bound:
    """What one station, or the hands, allow at the most.

    Parameters
    ----------
    name : str
        The station; ``hands`` for the hands.
    busy_s : int
        How long one sheet keeps it busy [s].
    holds : int
        Sheets, or pairs of hands, at once [1].
    """

    name: str
    busy_s: int
    holds: int

    @property
    def interval_s(self) -> float:
        """The shortest time from one sheet to the next [s]."""
        return self.busy_s / self.holds


@dataclass(frozen=True, slots=True)
class Interval:
    """A rhythm that can go on for ever.

    Parameters
    ----------
    seconds : float
        From one sheet to the next [s].
    starts_s : tuple of int
        When each stage begins, counted from the sheet's first [s]; one more for the end.
    """

    seconds: float
    starts_s: tuple[int, ...]

    @property
    def per_hour(self) -> float:
        """Sheets in an hour [1/h]."""
        return 3600.0 / self.seconds


def bounds(line: Line) -> tuple[Bound, ...]:
    """Return what each station and the hands allow, the tightest first.

    Parameters
    ----------
    line : Line
        The line.

    Returns
    -------
    tuple of Bound

    References
    ----------
    Work content over capacity, a lower bound of every periodic schedule.

    Examples
    --------
    >>> from stillroom.wetline.day.line import Stage, line_of
    >>> dev, rinse = Stage("first", 120, hands_s=15), Stage("rinse", 60, None, hands_s=15)
    >>> line = line_of([("tray", dev), ("water", rinse), ("tray", Stage("second", 90))])
    >>> [(each.name, each.interval_s) for each in bounds(line)]
    [('tray', 210.0), ('water', 60.0), ('hands', 30.0)]
    """
    found = [Bound(each.name, line.busy_s(each), each.holds) for each in line.stations]
    if line.hands_s:
        found.append(Bound(HANDS, line.hands_s, line.hands))
    return tuple(sorted(found, key=lambda each: -each.interval_s))


def interval(line: Line, *, most_tried: int = MOST_TRIED) -> Interval:
    """Return the shortest rhythm in which every sheet takes the same way at the same times.

    Rhythms are tried upwards from the bound by work. In each, the spans in which a sheet holds a
    station or hands, taken modulo the rhythm, must fit in beside each other; where a sheet may
    wait, its waits are tried too, about 5 s apart.

    Parameters
    ----------
    line : Line
        The line.
    most_tried : int
        Ways of waiting that are tried, all rhythms together [1].

    Returns
    -------
    Interval
        The rhythm and the times of its stages. Without waits it is the shortest there is, to
        5 s; with many, one that was found among those tried.

    Examples
    --------
    One tray for both developments: the second visit collides until the rhythm is five minutes.

    >>> from stillroom.wetline.day.line import Stage, line_of
    >>> stages = [("tray", Stage("first", 120)), ("rest", Stage("rest", 390))]
    >>> line = line_of([*stages, ("tray", Stage("second", 90))], {"rest": 9})
    >>> interval(line).seconds
    300.0
    """
    step = _step_s(line)
    least = max((each.interval_s for each in bounds(line)), default=float(step))
    rhythm = max(step, math.ceil(least / step) * step)
    left = most_tried
    while rhythm < line.flow_s and left > 0:
        trial = Rhythm(line, rhythm, step)
        starts = trial.starts(min(left, max(1, most_tried // 10)))
        if starts is not None:
            return Interval(float(rhythm), starts)
        left -= trial.tried
        rhythm += step
    starts_s = _never_waiting(line)
    return Interval(float(max(line.flow_s, math.ceil(least))), starts_s)


def _never_waiting(line: Line) -> tuple[int, ...]:
    at, starts = 0, [0]
    for stage in line.stages:
        at += stage.seconds
        starts.append(at)
    return tuple(starts)


def _step_s(line: Line) -> int:
    times = [t for s in line.stages for t in (s.seconds, s.hands_s, s.waits_s or 0)]
    common = math.gcd(*times)
    return next(step for step in range(FINEST_S, 0, -1) if common % step == 0)
