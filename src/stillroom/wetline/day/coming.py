"""When sheets come to the line, and when they went through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import BadValue
from stillroom.wetline.day.line import MOST_SECONDS, Line, whole

MOST_SHEETS = 400
LATEST_S = 7 * MOST_SECONDS


@dataclass(frozen=True, slots=True)
class Coming:
    """When a sheet can begin.

    Parameters
    ----------
    at_s : int
        Not before [s from the day's beginning].
    after : int or None
        Not before this earlier sheet has finished stage `after_stage`, counted from 0.
    after_stage : int
        Which stage of it.
    after_s : int
        And so much later: to read it and to set anew [s].

    Raises
    ------
    BadValue
        If a time is none that can be planned with.
    """

    at_s: int = 0
    after: int | None = None
    after_stage: int = 0
    after_s: int = 0

    def __post_init__(self) -> None:
        whole("at_s", self.at_s, 0, LATEST_S)
        whole("after_s", self.after_s, 0, MOST_SECONDS)


@dataclass(frozen=True, slots=True)
class Schedule:
    """When each sheet begins each stage.

    Parameters
    ----------
    starts_s : tuple of tuple of int
        A row a sheet: when each stage begins, and when the last ends [s].
    least_s : int
        No schedule of these sheets in this order ends before this [s].
    """

    starts_s: tuple[tuple[int, ...], ...]
    least_s: int

    @property
    def finish_s(self) -> int:
        """When the last sheet is through [s]."""
        return max((row[-1] for row in self.starts_s), default=0)

    @property
    def is_best(self) -> bool:
        """Whether no other schedule can end earlier."""
        return self.finish_s <= self.least_s


def checked(line: Line, coming: Sequence[Coming]) -> None:
    """Refuse sheets that cannot be planned.

    Raises
    ------
    BadValue
        If there are too many, one follows a later one, or a stage that is not there.
    """
    if len(coming) > MOST_SHEETS:
        raise BadValue("sheets", len(coming), f"a day's plan takes up to {MOST_SHEETS}")
    for at, each in enumerate(coming):
        if each.after is not None:
            if not 0 <= each.after < at:
                raise BadValue("after", each.after, "a sheet can only follow an earlier one")
            whole("after_stage", each.after_stage, 0, len(line.stages) - 1)


def conflicts(line: Line, coming: Sequence[Coming], schedule: Schedule) -> list[str]:
    """Say what a schedule does that the line cannot do; nothing where all is well.

    Parameters
    ----------
    line : Line
        The line.
    coming : sequence of Coming
        The sheets.
    schedule : Schedule
        What is to be looked at.

    Returns
    -------
    list of str
        One sentence for each thing.
    """
    found: list[str] = []
    rows = schedule.starts_s
    for i, (each, row) in enumerate(zip(coming, rows, strict=True)):
        least = each.at_s
        if each.after is not None:
            least = max(least, rows[each.after][each.after_stage + 1] + each.after_s)
        if row[0] < least:
            found.append(f"sheet {i} begins at {row[0]} before {least}")
        for at, stage in enumerate(line.stages):
            took = row[at + 1] - row[at]
            if took < stage.seconds:
                found.append(f"sheet {i} leaves {stage.name} {stage.seconds - took} s too early")
            if stage.waits_s is not None and took > stage.seconds + stage.waits_s:
                found.append(f"sheet {i} stays in {stage.name} for {took} s")
    for station in line.stations:
        held = [(row[a], row[b + 1]) for row in rows for a, b in station.spans]
        if most_at_once(held) > station.holds:
            found.append(f"{station.name} holds more than {station.holds}")
    busy = [
        (row[at], row[at] + stage.hands_s)
        for row in rows
        for at, stage in enumerate(line.stages)
        if stage.hands_s
    ]
    if most_at_once(busy) > line.hands:
        found.append(f"more than {line.hands} pairs of hands")
    return found


def most_at_once(held: Sequence[tuple[int, int]]) -> int:
    """How many of the spans lie over each other; one may begin when another ends.

    Examples
    --------
    >>> most_at_once([(0, 10), (10, 20), (5, 12)])
    2
    """
    events = sorted([(a, 1) for a, _ in held] + [(b, -1) for _, b in held])
    now = most = 0
    for _, change in events:
        now += change
        most = max(most, now)
    return most
