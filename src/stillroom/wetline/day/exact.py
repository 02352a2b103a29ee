"""The earliest finish there is: branch and bound on who goes first where sheets or hands meet.

Sheets are alike, so one that overtakes another could change places with it at the moment of
passing without anything else being different: only schedules in which no sheet overtakes are
looked at. (Where a sheet waits for another to be read, the order given is kept.) What remains
open is which visit to a tray used twice, or which touch of a pair of hands, goes before which;
each choice is a difference of two moments, and the earliest moments under all of them are
longest paths.

References
----------
De Reyck and Herroelen, branch and bound for project scheduling with generalized precedence
relations, European Journal of Operational Research 111 (1998); from memory.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush, heapreplace
from itertools import permutations

from stillroom.wetline.day.coming import Coming, Schedule
from stillroom.wetline.day.line import Line

NEVER = -(1 << 40)
MOST_CONCLUDED = 64
"""Up to so much that may meet, every pair is looked at anew after each choice."""


@dataclass(frozen=True, slots=True)
class _Use:
    """From moment `begin` (plus nothing) to moment `end` plus `lasts` something is held."""

    begin: int
    end: int
    lasts: int


class _Stuck(Exception):
    """The choices so far contradict each other, or end too late."""


class _Moments:
    """Earliest and latest moments under differences, with a trail to go back on.

    Moments are numbered; ``v`` is at least ``u`` plus the length for each arc (u, v, length).
    """

    def __init__(self, count: int) -> None:
        self.heads = [0] * count
        self.tails = [NEVER] * count
        self._out: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        self._into: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        self._trail: list[tuple[int, int, int]] = []
        self.deadline = 1 << 40

    def mark(self) -> int:
        """Where to go back to."""
        return len(self._trail)

    def back(self, mark: int) -> None:
        """Undo everything since."""
        while len(self._trail) > mark:
            kind, at, old = self._trail.pop()
            if kind == 0:
                self.heads[at] = old
            elif kind == 1:
                self.tails[at] = old
            else:
                v, _ = self._out[at].pop()
                self._into[v].pop()

    def least(self, at: int, moment: int) -> None:
        """A moment is not before."""
        if moment > self.heads[at]:
            self._raise(at, moment, -1)

    def ends(self, at: int) -> None:
        """A moment that the deadline is for."""
        self._lengthen(at, 0, -1)

    def arc(self, u: int, v: int, length: int) -> None:
        """Let v be at least u plus the length.

        Raises
        ------
        _Stuck
            If that cannot be.
        """
        self._out[u].append((v, length))
        self._into[v].append((u, length))
        self._trail.append((2, u, 0))
        if self.heads[u] + length > self.heads[v]:
            self._raise(v, self.heads[u] + length, u)
        if self.tails[v] != NEVER and self.tails[v] + length > self.tails[u]:
            self._lengthen(u, self.tails[v] + length, v)

    def _raise(self, at: int, moment: int, source: int) -> None:
        heads, tails, trail, deadline = self.heads, self.tails, self._trail, self.deadline
        trail.append((0, at, heads[at]))
        heads[at] = moment
        if tails[at] != NEVER and moment + tails[at] > deadline:
            raise _Stuck
        queue = deque([at])
        while queue:
            u = queue.popleft()
            now = heads[u]
            for v, length in self._out[u]:
                if now + length > heads[v]:
                    if v == source:
                        raise _Stuck
                    trail.append((0, v, heads[v]))
                    heads[v] = now + length
                    if tails[v] != NEVER and heads[v] + tails[v] > deadline:
                        raise _Stuck
                    queue.append(v)

    def _lengthen(self, at: int, tail: int, source: int) -> None:
        heads, tails, trail, deadline = self.heads, self.tails, self._trail, self.deadline
        trail.append((1, at, tails[at]))
        tails[at] = tail
        if heads[at] + tail > deadline:
            raise _Stuck
        queue = deque([at])
        while queue:
            v = queue.popleft()
            now = tails[v]
            for u, length in self._into[v]:
                if now + length > tails[u]:
                    if u == source:
                        raise _Stuck
                    trail.append((1, u, tails[u]))
                    tails[u] = now + length
                    if heads[u] + tails[u] > deadline:
                        raise _Stuck
                    queue.append(u)


class Search:
    """The search for the earliest finish of sheets through a line.

    Parameters
    ----------
    line : Line
        The line.
    coming : sequence of Coming
        The sheets, in the order in which they begin.
    """

    def __init__(self, line: Line, coming: Sequence[Coming]) -> None:
        self._line = line
        self._width = len(line.stages) + 1
        self._sheets = len(coming)
        self._moments = _Moments(self._sheets * self._width)
        self._grid = _grid(line, coming)
        self._lay_out(coming)
        self._shared = self._shared_uses()
        self._pairs = [
            pair
            for holds, uses in self._shared
            for pair in permutations(uses, 2)
            if holds == 1 and pair[0].begin // self._width != pair[1].begin // self._width
        ]
        self._base = self._moments.mark()
        self.size = self._sheets + sum(len(uses) for _, uses in self._shared)
        """How much there is that may meet."""
        self.nodes = 0

    def _at(self, sheet: int, stage: int) -> int:
        return sheet * self._width + stage

    def _lay_out(self, coming: Sequence[Coming]) -> None:
        moments, line = self._moments, self._line
        for i, each in enumerate(coming):
            moments.least(self._at(i, 0), each.at_s)
            for j, stage in enumerate(line.stages):
                here, then = self._at(i, j), self._at(i, j + 1)
                moments.arc(here, then, stage.seconds)
                if stage.waits_s is not None:
                    moments.arc(then, here, -stage.seconds - stage.waits_s)
                self._in_order(i, j)
            if i:
                moments.arc(self._at(i - 1, self._width - 1), self._at(i, self._width - 1), 0)
            if each.after is not None:
                done = self._at(each.after, each.after_stage + 1)
                moments.arc(done, self._at(i, 0), each.after_s)
            for station in line.stations:
                before = i - station.holds
                if before >= 0:
                    for first, last in station.spans:
                        moments.arc(self._at(before, last + 1), self._at(i, first), 0)
        if self._sheets:
            moments.ends(self._at(self._sheets - 1, self._width - 1))

    def _in_order(self, i: int, j: int) -> None:
        hands_s = self._line.stages[j].hands_s
        if i:
            self._moments.arc(self._at(i - 1, j), self._at(i, j), 0)
        before = i - self._line.hands
        if hands_s and before >= 0:
            self._moments.arc(self._at(before, j), self._at(i, j), hands_s)

    def _shared_uses(self) -> list[tuple[int, list[_Use]]]:
        """What may meet: visits of stations with several, and touches of different stages."""
        shared = []
        for station in self._line.stations:
            if len(station.spans) > 1:
                uses = [
                    _Use(self._at(i, first), self._at(i, last + 1), 0)
                    for i in range(self._sheets)
                    for first, last in station.spans
                ]
                shared.append((station.holds, uses))
        touches = [
            _Use(self._at(i, j), self._at(i, j), stage.hands_s)
            for i in range(self._sheets)
            for j, stage in enumerate(self._line.stages)
            if stage.hands_s
        ]
        if touches:
            shared.append((self._line.hands, touches))
        return shared

    # ── Bounds ──────────────────────────────────────────────────────────────────────────────────

    def least_s(self) -> int:
        """Return a moment before which nothing can be finished, by work alone [s]."""
        heads = self._moments.heads
        if not heads:
            return 0
        return max([heads[-1], *(self._by_work(holds, uses) for holds, uses in self._shared)])

    def _by_work(self, holds: int, uses: Sequence[_Use]) -> int:
        """The least finish by the work of one station or of the hands, begun again at will.

        Whatever has the longest way to go is taken up first, and put down for what has a longer
        one (Jackson's preemptive schedule); several places count as one that is so many times as
        quick.
        """
        heads, tails = self._moments.heads, self._moments.tails
        parts = sorted(
            (heads[use.begin] * holds, use.lasts or self._least_between(use), use.end, use.lasts)
            for use in uses
        )
        waiting: list[tuple[int, int]] = []
        best = now = at = 0
        while at < len(parts) or waiting:
            if not waiting:
                now = max(now, parts[at][0])
            while at < len(parts) and parts[at][0] <= now:
                _, length, end, lasts = parts[at]
                heappush(waiting, (-(tails[end] - lasts) * holds, length))
                at += 1
            negative, left = waiting[0]
            until = parts[at][0] if at < len(parts) else now + left
            if now + left <= until:
                now += left
                best = max(best, now - negative)
                heappop(waiting)
            else:
                heapreplace(waiting, (negative, left - (until - now)))
                now = until
        least = -(-best // holds)
        return -(-least // self._grid) * self._grid

    def _least_between(self, use: _Use) -> int:
        first, last = use.begin % self._width, use.end % self._width
        return sum(stage.seconds for stage in self._line.stages[first:last])

    # ── Search ──────────────────────────────────────────────────────────────────────────────────

    def best(self, known: Schedule, most_nodes: int) -> Schedule:
        """Return the earliest finish, or the best that was found after so many nodes.

        Parameters
        ----------
        known : Schedule
            One that is possible.
        most_nodes : int
            Choices to look at.
        """
        if not self._sheets:
            return known
        moments = self._moments
        least = max(known.least_s, self.least_s())
        rows, finish = known.starts_s, known.finish_s
        stack: list[tuple[int, list[tuple[_Use, _Use]]]] = []
        goes_on = finish > least
        while goes_on:
            self.nodes += 1
            moments.deadline = finish - self._grid
            if self._draws_conclusions() and not self._too_late():
                meeting = self._meeting()
                if meeting is None:
                    rows = self._rows()
                    finish = rows[-1][-1]
                    if finish <= least:
                        break
                    moments.deadline = finish - self._grid
                else:
                    stack.append((moments.mark(), self._orders(meeting)))
            while stack and not self._next(stack):
                pass
            goes_on = bool(stack) and self.nodes < most_nodes
        if not stack:
            least = finish
        moments.back(self._base)
        return Schedule(rows, min(least, finish))

    def _draws_conclusions(self) -> bool:
        """Order all pairs that can only go one way round; False where one can go neither way."""
        if self.size > MOST_CONCLUDED:
            return True
        moments = self._moments
        heads, tails = moments.heads, moments.tails
        changed = True
        while changed:
            changed = False
            latest = moments.deadline
            for one, other in self._pairs:
                ends = heads[one.end] + one.lasts
                if ends + tails[other.begin] <= latest:
                    continue
                if heads[other.end] + other.lasts > heads[one.begin]:
                    try:
                        moments.arc(other.end, one.begin, other.lasts)
                    except _Stuck:
                        return False
                    changed = True
        return True

    def _next(self, stack: list[tuple[int, list[tuple[_Use, _Use]]]]) -> bool:
        """Take the next choice that is left; False when it contradicts, or none is left there."""
        mark, orders = stack[-1]
        self._moments.back(mark)
        if not orders:
            stack.pop()
            return False
        first, then = orders.pop()
        try:
            self._moments.arc(first.end, then.begin, first.lasts)
        except _Stuck:
            return False
        return True

    def _too_late(self) -> bool:
        heads, deadline = self._moments.heads, self._moments.deadline
        if heads[-1] > deadline:
            return True
        return any(self._by_work(holds, uses) > deadline for holds, uses in self._shared)

    def _meeting(self) -> tuple[_Use, ...] | None:
        """The first uses that meet at the earliest moments, one more than may; None if none do."""
        heads = self._moments.heads
        found: tuple[int, tuple[_Use, ...]] | None = None
        for holds, uses in self._shared:
            order = sorted(uses, key=lambda use: heads[use.begin])
            on: list[_Use] = []
            for use in order:
                begin = heads[use.begin]
                if found and begin >= found[0]:
                    break
                on = [one for one in on if heads[one.end] + one.lasts > begin]
                on.append(use)
                if len(on) > holds:
                    found = (begin, tuple(on[-holds - 1 :]))
                    break
        return found[1] if found else None

    def _orders(self, meeting: tuple[_Use, ...]) -> list[tuple[_Use, _Use]]:
        """Who goes before whom, the likeliest last."""
        heads, tails = self._moments.heads, self._moments.tails
        deadline = self._moments.deadline
        possible = []
        for first, then in permutations(meeting, 2):
            ends = heads[first.end] + first.lasts
            if ends + tails[then.begin] <= deadline:
                possible.append((ends - heads[then.begin], first, then))
        possible.sort(key=lambda each: -each[0])
        return [(first, then) for _, first, then in possible]

    def _rows(self) -> tuple[tuple[int, ...], ...]:
        heads, width = self._moments.heads, self._width
        return tuple(tuple(heads[i * width : (i + 1) * width]) for i in range(self._sheets))


def _grid(line: Line, coming: Sequence[Coming]) -> int:
    """What every moment is a multiple of [s]."""
    times = [t for s in line.stages for t in (s.seconds, s.hands_s, s.waits_s or 0)]
    times += [t for each in coming for t in (each.at_s, each.after_s)]
    return max(1, math.gcd(*times))
