"""In which order the sheets of a day come, and which waits for which to be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.services.day.line import DayLine, Times
from stillroom.wetline.day import Coming, Schedule


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose sheet it is, both counted from 0."""

    sitter: int
    sheet: int


def exposed_before(count: int) -> list[Coming]:
    """Sheets that lie ready from the beginning."""
    return [Coming()] * count


def comings(
    day: DayLine,
    times: Times,
    used: Sequence[int],
    *,
    together: int,
    by_turns: int,
    asked_for_s: Sequence[int] | None = None,
) -> tuple[list[Coming], list[Whose]]:
    """The sheets of sitters, one sitter after the other or several by turns.

    Parameters
    ----------
    day : DayLine
        The line.
    times : Times
        What people take.
    used : sequence of int
        Sheets of each sitter.
    together : int
        Sheets that are exposed before the first of them is read.
    by_turns : int
        Sitters in the studio at once.
    asked_for_s : sequence of int, optional
        Each sitter does not come before [s]; left out: when the one before has gone.
    """
    greet_s, read_s = round(60 * times.greet_min), round(60 * times.read_min)
    found: list[Coming] = []
    whose: list[Whose] = []
    last: dict[int, int] = {}
    for first in range(0, len(used), by_turns):
        group = range(first, min(first + by_turns, len(used)))
        rounds = max((-(-used[s] // together) for s in group), default=0)
        for turn in range(rounds):
            for s in group:
                led_by = last.get(s)
                gone = last.get(s - by_turns) if turn == 0 else None
                for sheet in range(turn * together, min((turn + 1) * together, used[s])):
                    comes = 0 if asked_for_s is None else asked_for_s[s]
                    after = led_by if turn else gone
                    pause = read_s if turn else read_s + greet_s
                    at_s = comes + greet_s if turn == 0 else 0
                    last[s] = len(found)
                    found.append(Coming(at_s, after, day.readable, 0 if after is None else pause))
                    whose.append(Whose(s, sheet))
    return found, whose


def done_s(schedule: Schedule, whose: Sequence[Whose], sitters: int) -> list[int]:
    """When the last sheet of each sitter is through [s]."""
    done = [0] * sitters
    for row, one in zip(schedule.starts_s, whose, strict=True):
        done[one.sitter] = max(done[one.sitter], row[-1])
    return done


def came_s(schedule: Schedule, whose: Sequence[Whose], sitters: int, times: Times) -> list[int]:
    """When each sitter came: a greeting before sitting down [s]."""
    came = [0] * sitters
    for row, one in zip(schedule.starts_s, whose, strict=True):
        if one.sheet == 0:
            came[one.sitter] = max(0, row[0] - round(60 * times.greet_min))
    return came


def stayed_s(
    schedule: Schedule, whose: Sequence[Whose], sitters: int, times: Times, readable: int
) -> list[int]:
    """How long each sitter stayed: to the reading of the last sheet [s]."""
    came = came_s(schedule, whose, sitters, times)
    read = [0] * sitters
    for row, one in zip(schedule.starts_s, whose, strict=True):
        read[one.sitter] = max(read[one.sitter], row[readable + 1] + round(60 * times.read_min))
    return [r - c for r, c in zip(read, came, strict=True)]
