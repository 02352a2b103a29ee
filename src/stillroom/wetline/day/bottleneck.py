"""What holds a day up, and what one more of anything would save."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stillroom.errors import UnknownName
from stillroom.wetline.day.coming import Coming
from stillroom.wetline.day.interval import HANDS
from stillroom.wetline.day.line import MOST_HELD, Line
from stillroom.wetline.day.schedule import schedule

WORTH_S = 60
"""A shorter gain is none [s]."""
MOST_HANDS = 20


@dataclass(frozen=True, slots=True)
class Gain:
    """What one more of a thing does to the finish.

    Parameters
    ----------
    name : str
        The station; ``hands`` for a pair of hands.
    saves_s : int
        How much earlier the last sheet is through with one more [s].
    most_s : int
        And with as many as one likes [s].
    """

    name: str
    saves_s: int
    most_s: int


def gains(
    line: Line, coming: Sequence[Coming], names: Iterable[str] | None = None
) -> tuple[Gain, ...]:
    """Return what one more of each thing saves, the one that holds most up first.

    Parameters
    ----------
    line : Line
        The line.
    coming : sequence of Coming
        The sheets.
    names : iterable of str, optional
        Stations to ask of, and ``hands``; all unless given.

    Returns
    -------
    tuple of Gain
        By what is saved with as many as one likes. All days are planned by the same rules,
        without the search for the last minute, so that like is held against like.

    Raises
    ------
    UnknownName
        If the line has no such station.
    BadValue
        If the sheets cannot be planned.

    Examples
    --------
    >>> from stillroom.wetline.day.line import Stage, line_of
    >>> line = line_of([("tank", Stage("tank", 1440, None))])
    >>> gains(line, [Coming()] * 4)
    (Gain(name='tank', saves_s=2880, most_s=4320),)
    """
    known = [station.name for station in line.stations] + ([HANDS] if line.hands_s else [])
    asked = known if names is None else list(names)
    for name in asked:
        if name not in known:
            raise UnknownName("station", name, known)
    now = schedule(line, coming, thorough=False).finish_s

    def saved(name: str, most: int) -> int:
        other = _with(line, name, most)
        return max(0, now - schedule(other, coming, thorough=False).finish_s)

    found = []
    for name in asked:
        most = saved(name, max(1, len(coming)))
        least = saved(name, 1) if most else 0
        found.append(Gain(name, least, max(least, most)))
    return tuple(sorted(found, key=lambda gain: (-gain.most_s, -gain.saves_s)))


def bottleneck(found: Sequence[Gain], line: Line) -> str:
    """Return what holds the line up; ``""`` where nothing of it does.

    Parameters
    ----------
    found : sequence of Gain
        By `gains`.
    line : Line
        The line.

    Returns
    -------
    str
        Where two things hold it up alike, the one that is busy for longer.

    Examples
    --------
    >>> from stillroom.wetline.day.line import Stage, line_of
    >>> line = line_of([("tank", Stage("tank", 1440, None))])
    >>> bottleneck(gains(line, [Coming()] * 4), line), bottleneck(gains(line, [Coming()]), line)
    ('tank', '')
    """
    worth = [gain for gain in found if gain.most_s >= WORTH_S]
    if not worth:
        return ""
    most = max(gain.most_s for gain in worth)

    def busy(gain: Gain) -> float:
        if gain.name == HANDS:
            return line.hands_s / line.hands
        station = line.station(gain.name)
        return line.busy_s(station) / station.holds

    return max((g for g in worth if g.most_s >= 0.95 * most), key=busy).name


def _with(line: Line, name: str, more: int) -> Line:
    if name == HANDS:
        return line.with_hands(min(MOST_HANDS, line.hands + more))
    return line.with_holds(name, min(MOST_HELD, line.station(name).holds + more))
