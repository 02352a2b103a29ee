"""Sheets put into the line one after the other, each as early as it can be through."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stillroom.wetline.day.coming import Coming
from stillroom.wetline.day.line import Line

NEVER = 1 << 40
MOST_STATES = 48
"""Ways a sheet may have come so far that are followed."""

Row = tuple[int, ...]


class Held:
    """How many are held at a station over time, and the windows in which one more finds room."""

    __slots__ = ("_counts", "_times", "holds")

    def __init__(self, holds: int) -> None:
        self.holds = holds
        self._times = [0]
        self._counts = [0]

    def add(self, begin: int, end: int) -> None:
        """Hold one more from `begin` to `end`."""
        if end <= begin:
            return
        first, last = self._cut(begin), self._cut(end)
        for at in range(first, last):
            self._counts[at] += 1

    def _cut(self, moment: int) -> int:
        at = bisect_left(self._times, moment)
        if at == len(self._times) or self._times[at] != moment:
            self._times.insert(at, moment)
            self._counts.insert(at, self._counts[at - 1] if at else 0)
        return at

    def windows(self, moment: int, more: int = 1) -> Iterator[tuple[int, int]]:
        """The windows with room for so many that end after `moment`; the last has no end."""
        times, counts, holds = self._times, self._counts, self.holds + 1 - more
        at = max(0, bisect_right(times, moment) - 1)
        begin: int | None = None
        while at < len(times):
            if counts[at] < holds:
                if begin is None:
                    begin = max(times[at], moment)
            elif begin is not None:
                yield begin, times[at]
                begin = None
            at += 1
        if begin is not None:
            yield begin, NEVER


@dataclass(frozen=True, slots=True)
class _State:
    """A sheet may begin a stage at any moment from `low` to `high`."""

    low: int
    high: int
    until: tuple[tuple[int, int], ...]
    """Stage after which it must have left a station, and by when."""
    came: int
    """Which state of the stage before."""


class Board:
    """The line with the sheets placed so far.

    Parameters
    ----------
    line : Line
        The line.
    """

    def __init__(self, line: Line) -> None:
        self.line = line
        self._stations = [Held(station.holds) for station in line.stations]
        self._hands = Held(line.hands)
        self.rows: list[Row] = []
        self._enters: list[list[tuple[int, int]]] = [[] for _ in line.stages]
        for k, station in enumerate(line.stations):
            for first, last in station.spans:
                self._enters[first].append((k, last))

    def place(self, row: Row) -> None:
        """Take a sheet's way as settled."""
        for held, station in zip(self._stations, self.line.stations, strict=True):
            for first, last in station.spans:
                held.add(row[first], row[last + 1])
        for at, stage in enumerate(self.line.stages):
            self._hands.add(row[at], row[at] + stage.hands_s)
        self.rows.append(row)

    def begins(self, coming: Coming) -> int:
        """Return when a sheet can begin, the ones before it being placed [s]."""
        least = coming.at_s
        if coming.after is not None:
            least = max(least, self.rows[coming.after][coming.after_stage + 1] + coming.after_s)
        return max(least, self.rows[-1][0]) if self.rows else least

    def earliest(self, least_s: int, *, late: bool = True) -> Row:
        """Return the way on which a sheet is through the earliest.

        Parameters
        ----------
        least_s : int
            It does not begin before [s].
        late : bool
            Whether it begins as late as that allows; else it waits on the way.
        """
        stages = self.line.stages
        levels: list[list[_State]] = []
        states = [_State(least_s, NEVER, (), -1)]
        for at in range(len(stages)):
            begun = self._begun(at, states)
            levels.append(begun)
            states = self._ended(at, begun)
        levels.append(states)
        best = min(range(len(states)), key=lambda n: states[n].low)
        return self._back(levels, best, late=late)

    def _begun(self, at: int, states: Sequence[_State]) -> list[_State]:
        """The states in which stage `at` can begin: stations have room and hands are free."""
        hands_s = self.line.stages[at].hands_s
        found: list[_State] = []
        for state in states:
            options = [state]
            if hands_s:
                options = [
                    _State(max(low, s.low), min(high - hands_s, s.high), s.until, s.came)
                    for s in options
                    for low, high in self._up_to(self._hands, s)
                    if high - hands_s >= s.low
                ]
            for k, last in self._enters[at]:
                options = [
                    _State(
                        max(low, s.low), min(high - 1, s.high), (*s.until, (last, high)), s.came
                    )
                    for s in options
                    for low, high in self._up_to(self._stations[k], s)
                ]
            found += [s for s in options if s.low <= s.high]
        found.sort(key=lambda s: s.low)
        return found[:MOST_STATES]

    def fits(self, begins: Sequence[int], block: Sequence[Row]) -> list[Row]:
        """Return a block of sheets moved to where it fits in the earliest.

        Parameters
        ----------
        begins : sequence of int
            When each of its sheets can begin [s].
        block : sequence of tuple of int
            The ways of the sheets, as they lie to each other.
        """
        moved = max(least - row[0] for least, row in zip(begins, block, strict=True))
        uses: list[tuple[Held, int, int, int]] = []
        for held, station in zip(self._stations, self.line.stations, strict=True):
            visits = [(row[a], row[b + 1]) for row in block for a, b in station.spans]
            uses += [(held, *piece) for piece in _pieces(visits)]
        stages = self.line.stages
        touches = [
            (row[at], row[at] + stage.hands_s) for row in block for at, stage in enumerate(stages)
        ]
        uses += [(self._hands, *piece) for piece in _pieces(touches)]
        settled = False
        while not settled:
            settled = True
            for held, begin, end, count in uses:
                room = next(
                    max(low, begin + moved)
                    for low, high in held.windows(begin + moved, count)
                    if high - max(low, begin + moved) >= end - begin
                )
                if room > begin + moved:
                    moved, settled = room - begin, False
        return [tuple(moment + moved for moment in row) for row in block]

    @staticmethod
    def _up_to(held: Held, state: _State) -> Iterator[tuple[int, int]]:
        for low, high in held.windows(state.low):
            if low > state.high:
                return
            yield low, high

    def _ended(self, at: int, begun: Sequence[_State]) -> list[_State]:
        """The states after stage `at`."""
        stage = self.line.stages[at]
        found = []
        for n, state in enumerate(begun):
            low = state.low + stage.seconds
            high = NEVER if stage.waits_s is None else state.high + stage.seconds + stage.waits_s
            until = state.until
            if until:
                high = min(high, *(limit for _, limit in until))
                until = tuple(one for one in until if one[0] != at)
            if low <= high:
                found.append(_State(low, min(high, NEVER), until, n))
        return found

    def _back(self, levels: Sequence[Sequence[_State]], best: int, *, late: bool) -> Row:
        """The moments of a way, from its end backwards."""
        moment = levels[-1][best].low
        row = [moment]
        came = levels[-1][best].came
        for at in range(len(self.line.stages) - 1, -1, -1):
            stage, state = self.line.stages[at], levels[at][came]
            low = state.low
            if stage.waits_s is not None:
                low = max(low, moment - stage.seconds - stage.waits_s)
            high = min(state.high, moment - stage.seconds)
            moment = high if late else low
            row.append(moment)
            came = state.came
        return tuple(reversed(row))


def _pieces(spans: Sequence[tuple[int, int]]) -> list[tuple[int, int, int]]:
    """Spans cut where their number changes: from, to, how many."""
    changes: dict[int, int] = {}
    for begin, end in spans:
        changes[begin] = changes.get(begin, 0) + 1
        changes[end] = changes.get(end, 0) - 1
    moments = sorted(changes)
    pieces, now = [], 0
    for begin, end in pairwise(moments):
        now += changes[begin]
        if now:
            pieces.append((begin, end, now))
    return pieces
