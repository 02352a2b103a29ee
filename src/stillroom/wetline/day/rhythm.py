"""One rhythm tried: whether a sheet's way can begin anew every so many seconds for ever."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.wetline.day.line import Line

LEAST_STEP_S = 5
"""Waits are tried this far apart at the finest [s]."""

Planes = tuple[int, ...]


class _Turn:
    """What is held round a rhythm, slot by slot: one plane of bits for each one held at once."""

    __slots__ = ("_all", "_holds", "_slots", "planes")

    def __init__(self, holds: int, slots: int) -> None:
        self._holds = holds
        self._slots = slots
        self._all = (1 << slots) - 1
        self.planes: Planes = (0,) * holds

    def add(self, begin: int, length: int) -> bool:
        """Hold one more for so many slots; False, and nothing held, where there is no room."""
        turns, rest = divmod(length, self._slots)
        if turns > self._holds:
            return False
        arc = ((1 << rest) - 1) << begin % self._slots
        arc = (arc | arc >> self._slots) & self._all
        planes = self.planes
        for mask in [self._all] * turns + [arc]:
            if planes[-1] & mask:
                return False
            lower = (mask, *(plane & mask for plane in planes[:-1]))
            planes = tuple(plane | new for plane, new in zip(planes, lower, strict=True))
        self.planes = planes
        return True


class Rhythm:
    """The spans of a sheet's way, modulo one rhythm.

    Parameters
    ----------
    line : Line
        The line.
    seconds : int
        The rhythm [s].
    step : int
        What all times are multiples of [s].
    """

    def __init__(self, line: Line, seconds: int, step: int) -> None:
        self._line = line
        self._seconds = seconds
        self._step = step
        self._stride = step * -(-LEAST_STEP_S // step)
        slots = seconds // step
        self._stations = [_Turn(station.holds, slots) for station in line.stations]
        self._hands = _Turn(line.hands, slots)
        self._leaves: list[list[tuple[int, int]]] = [[] for _ in line.stages]
        for k, station in enumerate(line.stations):
            for first, last in station.spans:
                self._leaves[last].append((k, first))
        self._starts = [0]
        self.tried = 0

    def starts(self, most: int) -> tuple[int, ...] | None:
        """Return when each stage begins; None where none was found among so many ways."""
        if not self._begins():
            return None
        before: list[list[Planes]] = []
        tries = [self._lengths()]
        while tries and self.tried < most:
            length = next(tries[-1], None)
            if length is None:
                tries.pop()
                self._starts.pop()
                if before:
                    self._put_back(before.pop())
                continue
            self.tried += 1
            held = [turn.planes for turn in (*self._stations, self._hands)]
            self._starts.append(self._starts[-1] + length)
            if not (self._ends() and self._begins()):
                self._starts.pop()
                self._put_back(held)
            elif len(self._starts) > len(self._line.stages):
                return tuple(self._starts)
            else:
                before.append(held)
                tries.append(self._lengths())
        return None

    def _lengths(self) -> Iterator[int]:
        """How long the stage that began last may take, the shortest first."""
        stage = self._line.stages[len(self._starts) - 1]
        most = self._seconds - self._step
        if stage.waits_s is not None:
            most = min(stage.waits_s, most)
        return iter(range(stage.seconds, stage.seconds + most + 1, self._stride))

    def _begins(self) -> bool:
        at = len(self._starts) - 1
        if at == len(self._line.stages) or not self._line.stages[at].hands_s:
            return True
        return self._hands.add(
            self._starts[-1] // self._step, self._line.stages[at].hands_s // self._step
        )

    def _ends(self) -> bool:
        starts, step = self._starts, self._step
        return all(
            self._stations[k].add(starts[first] // step, (starts[-1] - starts[first]) // step)
            for k, first in self._leaves[len(starts) - 2]
        )

    def _put_back(self, held: list[Planes]) -> None:
        for turn, planes in zip((*self._stations, self._hands), held, strict=True):
            turn.planes = planes
