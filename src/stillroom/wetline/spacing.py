"""When several sheets go into one line, so that hands are never wanted twice at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import OutOfRange, in_range
from stillroom.wetline.process import Timed, total_s

SPACING_S = 20.0
"""No two lifts fall within so many seconds [s]."""
ONE_AT_A_TIME = frozenset(
    {"first_development", "bleach", "clear", "lights", "second_development", "fix", "wash_aid"}
)
"""Trays that hold one sheet, for sheets upon another develop and bleach unevenly; water holds
several."""
_STEP_S = 5.0
MOST_SHEETS = 40


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


def lifts_s(timed: Sequence[Timed]) -> tuple[float, ...]:
    """When a sheet is moved on, since it went in: the beginning and the end of each step [s]."""
    found, now = [0.0], 0.0
    for one in timed:
        if one.seconds is not None:
            now += one.seconds
            found.append(now)
    return tuple(found)


def starts_s(
    timed: Sequence[Timed],
    sheets: int,
    *,
    one_vessel: bool = False,
    load_s: float = 0.0,
    spacing_s: float = SPACING_S,
) -> tuple[float, ...]:
    """When each sheet goes in, each as early as the ones before it let it.

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
        The least time between any two moves of hands [s].

    Returns
    -------
    tuple of float
        Since the first went in, whole steps of five seconds [s].

    Raises
    ------
    OutOfRange
        If there is no sheet, or there are more than 40.
    """
    if not 1 <= sheets <= MOST_SHEETS:
        raise OutOfRange("sheets", sheets, 1, MOST_SHEETS)
    spacing_s = in_range("spacing_s", spacing_s, 0, 600, "s")
    if one_vessel:
        each = total_s(timed, load_s=load_s)
        return tuple(each * n for n in range(sheets))
    moves = lifts_s(timed)
    stays = _stays(timed)
    starts: list[float] = []
    for _ in range(sheets):
        start = starts[-1] + _STEP_S if starts else 0.0
        while not _fits(start, starts, moves, stays, spacing_s):
            start += _STEP_S
        starts.append(start)
    return tuple(starts)


def _stays(timed: Sequence[Timed]) -> list[tuple[float, float]]:
    found, now = [], 0.0
    for one in timed:
        if one.seconds is None:
            continue
        if one.step.id in ONE_AT_A_TIME:
            found.append((now, now + one.seconds))
        now += one.seconds
    return found


def _fits(
    start: float,
    starts: Sequence[float],
    moves: Sequence[float],
    stays: Sequence[tuple[float, float]],
    spacing_s: float,
) -> bool:
    for other in starts:
        later = start - other
        if any(begin + later < end for begin, end in stays):
            return False
        if any(abs(a + later - b) < spacing_s for a in moves for b in moves):
            return False
    return True


def visits(
    timed: Sequence[Timed], starts: Sequence[float], *, load_s: float = 0.0
) -> tuple[Visit, ...]:
    """Which sheet is where and when, in order of time.

    Parameters
    ----------
    timed : sequence of Timed
        The steps.
    starts : sequence of float
        When each sheet goes in [s].
    load_s : float
        Getting a sheet into its vessel before the first step [s].

    Returns
    -------
    tuple of Visit
    """
    found = []
    for sheet, start in enumerate(starts):
        now = start + load_s
        for one in timed:
            after = now + (one.seconds or 0.0)
            found.append(Visit(sheet, one.step.id, now, after))
            now = after
    return tuple(sorted(found, key=lambda visit: (visit.begins_s, visit.sheet)))
