"""How long forty sheets take to plan, beside planning them minute by minute, and how well.

The loop is what somebody would write first: each sheet in turn is tried from every five seconds
on, waiting nowhere, until nothing meets what was placed before. What it takes and how late it ends
is held against the tool's schedule of the same forty sheets. Everything runs in one process, and
its processor's time is taken, so that what else runs does not count.

    python3 run bench day
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial

from stillroom.wetline.day import Coming, Line, Schedule, Stage, conflicts, line_of, schedule

SHEETS = 40
RUNS = 3
STEP_S = 5
LONGEST_MS = 1000.0
LEAST_RATIO = 3.0
STEPS = (
    ("developer", 120, 0, 45),
    ("water 1", 60, 60, 15),
    ("bleach", 90, 0, 45),
    ("water 2", 90, 90, 15),
    ("clear", 60, 0, 15),
    ("water 3", 60, 60, 15),
    ("lights", 20, 0, 15),
    ("developer", 90, 0, 45),
    ("rinse", 30, 30, 15),
    ("fix", 60, 0, 15),
    ("last wash", 180, None, 15),
)
"""Resin-coated paper, one developer tray; times are common practice, no source."""


def line(hands: int) -> Line:
    """The line of the benchmark."""
    stages = [
        (name, Stage(f"{name} {n}", seconds, waits, touch))
        for n, (name, seconds, waits, touch) in enumerate(STEPS)
    ]
    return line_of(stages, {"last wash": 4}, hands)


def looped(of: Line, sheets: int) -> Schedule:
    """Each sheet in turn, tried from every five seconds on."""
    way = [0]
    for stage in of.stages:
        way.append(way[-1] + stage.seconds)
    rows: list[tuple[int, ...]] = []
    begin = 0
    for _ in range(sheets):
        while True:
            row = tuple(begin + t for t in way)
            tried = Schedule((*rows, row), 0)
            if not conflicts(of, [Coming()] * (len(rows) + 1), tried):
                break
            begin += STEP_S
        rows.append(row)
    return Schedule(tuple(rows), 0)


def timed(run: Callable[[], Schedule], runs: int) -> tuple[float, Schedule]:
    """Middle of the times of some runs [ms], and what came of them."""
    answer = run()  # the first run warms up, and is not timed
    found = []
    for _ in range(runs):
        start = time.process_time()
        answer = run()
        found.append(1000 * (time.process_time() - start))
    return statistics.median(found), answer


def main(arguments: Sequence[str] | None = None) -> None:
    """Print what it takes, and leave with what was missed."""
    parser = argparse.ArgumentParser(prog="run bench day", description=__doc__.split("\n")[0])
    parser.parse_args(arguments)
    coming = [Coming()] * SHEETS
    missed = []
    for hands in (1, 2):
        of = line(hands)
        loop_ms, slow = timed(partial(looped, of, SHEETS), 1)
        ms, found = timed(partial(schedule, of, coming), RUNS)
        title = f"{SHEETS} sheets, {hands} pair{'s' if hands > 1 else ''} of hands"
        print(f"{title:<32}{ms:>8.0f} ms, {found.finish_s / 60:>6.0f} min to the last")
        print(f"{'the loop':<32}{loop_ms:>8.0f} ms, {slow.finish_s / 60:>6.0f} min to the last")
        print(f"{'no less than':<45}{found.least_s / 60:>6.0f} min by work alone")
        print(f"{'the loop over the schedule':<32}{loop_ms / ms:>8.1f} times")
        missed += [
            said
            for is_missed, said in (
                (bool(conflicts(of, coming, found)), f"{title}: not possible"),
                (ms > LONGEST_MS, f"{title} took {ms:.0f} ms, wanted {LONGEST_MS:.0f}"),
                (loop_ms / ms < LEAST_RATIO, f"{title}: {loop_ms / ms:.1f} times the loop"),
                (found.finish_s > slow.finish_s, f"{title}: later than the loop"),
            )
            if is_missed
        ]
    if missed:
        sys.exit(f"Missed: {'; '.join(missed)}.")


if __name__ == "__main__":
    main()
