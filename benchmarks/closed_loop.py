"""Prove or disprove that the tool's advice needs fewer sheets than simple correction.

A simulated world (``benchmarks.world``) exposes and reads sheets. The tool is driven line by line
through ``stillroom loop``. The hand method, point correction, somebody who reads sheets without
any error (``sheet_reader``), somebody who knows the past exactly (``past_perfect``) and an oracle
run the same seeds with the same luck. Everything, in pieces::

    python3 run bench closed_loop --all --seeds 250 --jobs 2 --out first.json
    python3 run bench closed_loop --all --seeds 250 --first-seed 250 --jobs 2 --out second.json
    python3 run bench closed_loop --merge first.json second.json

Prints Markdown: tables, and for each target whether it is reached. ``--out`` writes all results
by seed as JSON, now and then while it runs; ``--resume`` goes on with that file.
``--calibration 5`` runs five sheets of every seed without stopping at a keeper, as stopping would
bias the odds, and compares forecasts with what happened. Ends with 1 when the tool erred.
"""

from __future__ import annotations

import argparse
import shlex
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import get_args

from benchmarks.world import calibration, tally
from benchmarks.world.parallel import run_all
from benchmarks.world.public import ClassName, Mode
from benchmarks.world.records import STRATEGIES, Outcome, Strategy, Task
from benchmarks.world.results import NoResults, Results, Waits, merged
from benchmarks.world.scenario import CAP, MOST_SITTERS
from benchmarks.world.targets import target_lines
from benchmarks.world.truth import WORLDS

_TOGETHER: dict[int, Strategy] = {2: "together_2", 3: "together_3", 4: "together_4"}
_ALL_SHEETS = 5
_WRITE_EVERY_S = 60.0
_LEFT_OUT = (
    "Sheets with a dial set wrong are left out, and stepped sheets; where the tool opens with "
    "one, a plain sheet in the middle of its strips is forecast and exposed in its place with the "
    "same luck, and the tool never sees it. First intervals of exposure minus aim (how often they "
    "held; they are stated for sheets that are not spoiled), then the odds of a keeper (spoiled "
    f"sheets in), by tenths that hold {calibration.FEWEST} sheets."
)
_TOGETHER_SAID = (
    f"A round is {tally.ROUND_MINUTES} minutes; all sheets of a round are exposed, and count, "
    "before any is seen."
)


def _arguments(given: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="benchmarks.closed_loop",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = parser.add_argument
    add("--all", action="store_true", help="all classes, readings and strategies, calibration too")
    add("--classes", nargs="+", choices=get_args(ClassName), default=["A", "B"])
    add("--readings", nargs="+", choices=get_args(Mode), default=["scan"])
    add("--strategies", nargs="+", choices=STRATEGIES, default=list(STRATEGIES))
    add("--stepped-first", action="store_true", help="also with a stepped sheet forced first")
    add("--count", nargs="+", type=int, choices=_TOGETHER, default=[], help="sheets together")
    add("--sitters", type=int, help="class D: today's is always this one, 2 to 8")
    add("--world", choices=sorted(WORLDS), default="rough")
    add("--seeds", type=int, default=300, help="how many")
    add("--first-seed", type=int, default=0, help="the first of them")
    add("--cap", type=int, default=CAP, help="most sheets of a sitting")
    add("--calibration", type=int, metavar="SHEETS", help="run this many sheets of every seed")
    add("--say-kept", action="store_true", help="also told what was kept, 3 in 100 wrong")
    add("--command", default=f"{shlex.quote(sys.executable)} -m stillroom loop")
    add("--timeout", type=float, default=60.0, help="longest wait for one answer, seconds")
    add("--jobs", type=int, default=1, help="processes, each with its own tool")
    add("--out", type=Path, help="JSON file for all results")
    add("--resume", action="store_true", help="leave out what the --out file holds already")
    add("--merge", nargs="+", type=Path, metavar="FILE", help="only print tables of these results")
    arguments = parser.parse_args(given)
    for name in ("seeds", "cap", "jobs", "calibration"):
        value = getattr(arguments, name)
        if value is not None and value < 1:
            parser.error(f"--{name} is {value}: give at least 1")
    if arguments.first_seed < 0:
        parser.error(f"--first-seed is {arguments.first_seed}: give at least 0")
    if arguments.sitters is not None and not 2 <= arguments.sitters <= MOST_SITTERS:
        parser.error(f"--sitters is {arguments.sitters}: give 2 to {MOST_SITTERS}")
    if arguments.resume and arguments.out is None:
        parser.error("--resume needs --out: name the file to go on with")
    if arguments.all:
        arguments.classes = list(get_args(ClassName))
        arguments.readings = list(get_args(Mode))
        arguments.count = arguments.count or [2]
    return arguments


def tasks_of(arguments: argparse.Namespace) -> list[Task]:
    """Give what is to be run.

    Parameters
    ----------
    arguments : Namespace
        Of the command line.

    Returns
    -------
    list of Task
        Seed by seed, so that a run that is broken off has some of everything.
    """
    found = []
    for seed in range(arguments.first_seed, arguments.first_seed + arguments.seeds):
        for cls in arguments.classes:
            for mode in arguments.readings:
                whole = Task(
                    world=arguments.world,
                    cls=cls,
                    mode=mode,
                    seed=seed,
                    strategies=_strategies(arguments, cls, mode),
                    cap=arguments.cap,
                    sitters=arguments.sitters,
                )
                sheets = arguments.calibration or _ALL_SHEETS
                fixed = replace(whole, strategies=("engine",), cap=sheets, fixed=True)
                if arguments.all or arguments.calibration is None:
                    found.append(whole)
                if arguments.all or arguments.calibration is not None:
                    found.append(fixed)
    return found


def _strategies(arguments: argparse.Namespace, cls: ClassName, mode: Mode) -> tuple[Strategy, ...]:
    chosen: list[Strategy] = list(arguments.strategies)
    if arguments.say_kept or (arguments.all and mode == "eye"):
        chosen.append("told_kept")
    if arguments.stepped_first or (arguments.all and cls == "A"):
        chosen.append("stepped_first")
    return (*chosen, *(_TOGETHER[count] for count in sorted(set(arguments.count))))


def still_to_run(tasks: list[Task], outcomes: list[Outcome]) -> list[Task]:
    """Leave out tasks of which all outcomes are there."""
    there = {one.key for one in outcomes}
    return [task for task in tasks if not there.issuperset(task.keys)]


def report(results: Results) -> str:
    """Give all tables as Markdown.

    Parameters
    ----------
    results : Results
        Of one run or of several put together.

    Returns
    -------
    str
        World by world.
    """
    parts = []
    for world in dict.fromkeys(one.world for one in results.outcomes):
        outcomes = [one for one in results.outcomes if one.world == world]
        free = [one for one in outcomes if not one.fixed]
        fixed = [one for one in outcomes if one.fixed]
        seeds = [one.seed for one in outcomes]
        which = f"World {world}, seeds {min(seeds)} to {max(seeds)}"
        parts += [
            f"{which}, {results.took_s:.0f} s in all; all data invented.",
            tally.power_lines(outcomes),
        ]
        if free:
            parts += [f"### Sheets to the first true keeper (cap {results.cap})"]
            parts += [tally.sheets_table(free, results.cap)]
        if any(one.strategy.startswith("together_") for one in free):
            parts += ["### Several sheets together", _TOGETHER_SAID, tally.together_table(free)]
        if any(one.paper for one in free):
            parts += ["### Next sitters: the paper's speed at the end", tally.paper_table(free)]
        if fixed:
            parts += ["### Forecasts over sheets of every seed", _LEFT_OUT]
            parts += [calibration.coverage_table(fixed), calibration.odds_table(fixed)]
        parts += ["### Targets", target_lines(outcomes)]
    if results.waits_s:
        parts += ["### Waits for the tool", tally.waits_table(results.waits_s)]
        parts += ["### Errors of the tool", tally.errors_lines(results.outcomes)]
    return "\n\n".join(parts)


def _run(arguments: argparse.Namespace) -> Results:
    said = {
        name: value
        for name, value in vars(arguments).items()
        if name not in {"command", "out", "resume", "merge"}  # they would name folders
    }
    results = Results([])
    tasks = tasks_of(arguments)
    if arguments.resume and arguments.out.exists():
        results = Results.read(arguments.out)
        tasks = still_to_run(tasks, results.outcomes)
    results.arguments.append(said)
    before_s, began = results.took_s, time.perf_counter()
    written = began

    def taken(outcomes: list[Outcome], waits: Waits) -> None:
        nonlocal written
        results.take(outcomes, waits)
        now = time.perf_counter()
        results.took_s = before_s + now - began
        if arguments.out is not None and now - written > _WRITE_EVERY_S:
            results.write(arguments.out)
            written = now

    run_all(tasks, shlex.split(arguments.command), arguments.timeout, arguments.jobs, taken)
    results.sort()
    if arguments.out is not None:
        results.write(arguments.out)
    return results


def main(given: list[str] | None = None) -> int:
    """Run the benchmark; 1 when the tool erred."""
    arguments = _arguments(given)
    if arguments.merge is None:
        results = _run(arguments)
    else:
        try:
            results = merged(Results.read(path) for path in arguments.merge)
        except NoResults as error:
            print(error, file=sys.stderr)
            return 2
    print(report(results))
    return int(any(outcome.error is not None for outcome in results.outcomes))


if __name__ == "__main__":
    sys.exit(main())
