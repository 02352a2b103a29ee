"""When several sheets go into one line, so that hands are never wanted twice at once."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from stillroom.errors import OutOfRange, in_range
from stillroom.wetline.process import Timed, total_s

SPACING_S = 20.0
"""No two lifts fall within so many seconds [s]."""
ONE_AT_A_TIME = frozenset(
    {"first_development", "bleach", "clear", "lights", "second_development", "fix", "wash_aid"}
)
"""Trays that hold one sheet, for sheets upon another develop and bleach unevenly; water holds
several, and there a sheet may wait."""
MOST_SHEETS = 40
_STEP_S = 5.0
_MOST_WAIT_S = 180.0


@dataclass(frozen=True, slots=True)
class Visit:
    """One sheet in one tray.

    Attributes
    ----------
    sheet : int
        From 0.
    step : str
        Id of the step.
    begins_s, ends_s : float
        Since the first sheet went in [s]; a step that is open ends when it begins.
    """

    sheet: int
    step: str
    begins_s: float
    ends_s: float


@dataclass(slots=True)
class _Taken:
    """What the sheets before want of hands and trays."""

    spacing_s: float
    moves: list[float] = field(default_factory=list)
    stays: dict[str, list[tuple[float, float]]] = field(default_factory=dict)

    def is_free(self, at_s: float) -> bool:
        """Whether no other sheet is moved near that moment."""
        at = bisect_left(self.moves, at_s)
        near = self.moves[max(0, at - 1) : at + 1]
        return all(abs(at_s - other) >= self.spacing_s for other in near)

    def has_room(self, step: str, begins_s: float, ends_s: float) -> bool:
        """Whether the tray is empty all that time."""
        return all(ends_s <= begin or begins_s >= end for begin, end in self.stays.get(step, ()))

    def take(self, visits: Sequence[Visit]) -> None:
        """Keep a sheet's moves and trays."""
        insort(self.moves, visits[0].begins_s)
        for visit in visits:
            if visit.ends_s > visit.begins_s:
                insort(self.moves, visit.ends_s)
            if visit.step in ONE_AT_A_TIME:
                self.stays.setdefault(visit.step, []).append((visit.begins_s, visit.ends_s))


def visits(
    timed: Sequence[Timed],
    sheets: int,
    *,
    one_vessel: bool = False,
    load_s: float = 0.0,
    spacing_s: float = SPACING_S,
) -> tuple[Visit, ...]:
    """Which sheet is where and when, each as early as the ones before it let it.

    Parameters
    ----------
    timed : sequence of Timed
        The steps at the line's temperature.
    sheets : int
        How many.
    one_vessel : bool
        Whether one tank or drum does everything: then one sheet follows the other.
    load_s : float
        Getting a sheet into that vessel [s].
    spacing_s : float
        The least time between any two moves of different sheets [s].

    Returns
    -------
    tuple of Visit
        In order of time. A sheet may stay longer in water than its step takes, never beyond the
        longest of it; in every other tray it stays to the second.

    Raises
    ------
    OutOfRange
        If there is no sheet, or there are more than 40.

    Notes
    -----
    Sheet after sheet, each at the first start, in whole steps of five seconds, that fits. That is
    no proof of the shortest line; the plan of a whole day looks further.
    """
    if not 1 <= sheets <= MOST_SHEETS:
        raise OutOfRange("sheets", sheets, 1, MOST_SHEETS)
    taken = _Taken(in_range("spacing_s", spacing_s, 0, 600, "s"))
    found: list[Visit] = []
    if one_vessel:
        each = total_s(timed, load_s=load_s)
        for sheet in range(sheets):
            found += _straight(timed, sheet, each * sheet + load_s)
        return _in_time(found)
    start = 0.0
    for sheet in range(sheets):
        through = _threaded(timed, sheet, start, taken)
        while through is None:
            start += _STEP_S
            through = _threaded(timed, sheet, start, taken)
        taken.take(through)
        found += through
    return _in_time(found)


def _in_time(found: Sequence[Visit]) -> tuple[Visit, ...]:
    return tuple(sorted(found, key=lambda visit: (visit.begins_s, visit.sheet)))


def _straight(timed: Sequence[Timed], sheet: int, start: float) -> list[Visit]:
    found, now = [], start
    for one in timed:
        after = now + (one.seconds or 0.0)
        found.append(Visit(sheet, one.step.id, now, after))
        now = after
    return found


def _threaded(
    timed: Sequence[Timed], sheet: int, start: float, taken: _Taken
) -> list[Visit] | None:
    """One sheet between those before it, waiting in water where that helps; None: not then."""
    if not taken.is_free(start):
        return None
    dead: set[tuple[int, float]] = set()

    def onwards(at: int, now: float) -> list[Visit] | None:
        if at == len(timed):
            return []
        if (at, now) in dead:
            return None
        step = timed[at].step.id
        for stay in _stays(timed[at]):
            after = now + stay
            if stay and not taken.is_free(after):
                continue
            if step in ONE_AT_A_TIME and not taken.has_room(step, now, after):
                continue
            rest = onwards(at + 1, after)
            if rest is not None:
                return [Visit(sheet, step, now, after), *rest]
        dead.add((at, now))
        return None

    return onwards(0, start)


def _stays(one: Timed) -> Iterator[float]:
    """How long a sheet may be in a tray: to the second, in water as long as it bears."""
    stay = one.seconds or 0.0
    yield stay
    if one.seconds is None or one.step.id in ONE_AT_A_TIME or one.longest_s is None:
        return
    most = min(one.longest_s, stay + _MOST_WAIT_S)
    stay += _STEP_S
    while stay <= most:
        yield stay
        stay += _STEP_S
