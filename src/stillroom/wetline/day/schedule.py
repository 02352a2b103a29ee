"""A day's sheets through the line, finished as early as can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stillroom.wetline.day.coming import Coming, Schedule, checked
from stillroom.wetline.day.exact import Search
from stillroom.wetline.day.interval import MOST_TRIED, interval
from stillroom.wetline.day.line import Line
from stillroom.wetline.day.one_by_one import Board, Row

SMALL = 72
"""Up to so much that may meet, the search is meant to come to its end: eight sheets through four
stations, one of them used twice."""
SMALL_NODES = 40_000
"""Choices that are looked at then, at most: some seconds."""
LARGE_WORK = 1_500_000_000
"""Else: choices times the cube of how much may meet; about half a second."""
BLOCKS = (2, 3, 4)
"""Sheets that are planned together and then repeated."""
BLOCK_NODES = 1_500
LEAST_ON_MANY = 150
"""Sheets from which blocks are left out, to stay quick."""


def schedule(line: Line, coming: Sequence[Coming], *, thorough: bool = True) -> Schedule:
    """Return a schedule of sheets through a line, none overtaking another.

    Sheets are put in by several rules, each as early as it can be through or in blocks that
    repeat; from the best of these a search goes on until nothing better is left to be found, or
    it is given up. Where few sheets pass few stations it comes to its end. What is least possible
    by work alone is said with it, so that one can see how much may be left.

    Parameters
    ----------
    line : Line
        The line.
    coming : sequence of Coming
        The sheets, in the order in which they begin; up to 400.
    thorough : bool
        Whether to search; else the best of the quickest rules is taken.

    Returns
    -------
    Schedule

    Raises
    ------
    BadValue
        If the sheets cannot be planned.

    Examples
    --------
    One developer tray for both developments, and not a second of waiting allowed:

    >>> from stillroom.wetline.day.line import Stage, line_of
    >>> stages = [("tray", Stage("first", 120)), ("rest", Stage("rest", 390))]
    >>> line = line_of([*stages, ("tray", Stage("second", 90))], {"rest": 9})
    >>> found = schedule(line, [Coming()] * 4)
    >>> [row[0] for row in found.starts_s], found.finish_s, found.is_best
    ([0, 120, 240, 360], 960, True)
    """
    checked(line, coming)
    if not coming:
        return Schedule((), 0)
    search = Search(line, coming)
    least = search.least_s()
    best: Schedule | None = None
    for rows in _tried(line, coming, thorough=thorough):
        found = Schedule(tuple(rows), min(least, rows[-1][-1]))
        if best is None or found.finish_s < best.finish_s:
            best = found
        if best.is_best:
            return best
    if best is None:  # the first rule always finds one
        raise AssertionError
    if not thorough:
        return best
    nodes = SMALL_NODES if search.size <= SMALL else LARGE_WORK // search.size**3
    return search.best(best, nodes)


def quick(line: Line, coming: Sequence[Coming]) -> Schedule:
    """Return a schedule in which each sheet is through as early as the ones before it allow.

    Parameters
    ----------
    line : Line
        The line.
    coming : sequence of Coming
        The sheets, in the order in which they begin; up to 400.

    Returns
    -------
    Schedule
        Nothing is said of the least but one sheet's way.

    Raises
    ------
    BadValue
        If the sheets cannot be planned.
    """
    checked(line, coming)
    return Schedule(tuple(_one_by_one(line, coming)), line.flow_s if coming else 0)


def _tried(line: Line, coming: Sequence[Coming], *, thorough: bool) -> Iterator[list[Row]]:
    yield _one_by_one(line, coming)
    yield _one_by_one(line, coming, late=False)
    if len(coming) == 1:
        return
    tried = MOST_TRIED if thorough else MOST_TRIED // 10
    yield _repeated(line, coming, [interval(line, most_tried=tried).starts_s])
    is_led = any(each.after is not None for each in coming)
    if len(coming) > LEAST_ON_MANY or is_led:
        return
    for size in BLOCKS if thorough else BLOCKS[:1]:
        if size < len(coming):
            together = [Coming()] * size
            start = quick(line, together)
            block = Search(line, together).best(start, BLOCK_NODES // size).starts_s
            yield _repeated(line, coming, block)


def _one_by_one(line: Line, coming: Sequence[Coming], *, late: bool = True) -> list[Row]:
    board = Board(line)
    for each in coming:
        board.place(board.earliest(board.begins(each), late=late))
    return board.rows


def _repeated(line: Line, coming: Sequence[Coming], block: Sequence[Row]) -> list[Row]:
    """Blocks of sheets, each as early as it fits in; what is left over takes the first ways."""
    board = Board(line)
    at = 0
    while at < len(coming):
        now = block[: len(coming) - at]
        begins = [board.begins(each) for each in coming[at : at + len(now)]]
        for row in board.fits(begins, now):
            board.place(row)
        at += len(now)
    return board.rows
