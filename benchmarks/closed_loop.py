"""Prove or disprove that the tool's advice needs fewer sheets than simple correction.

A simulated world (``benchmarks.world``) exposes and reads sheets. The tool is driven line by line
through ``stillroom loop``; the hand method, point correction and an oracle run the same
seeds with the same luck. Example::

    python -m benchmarks.closed_loop --classes A B --readings scan --seeds 300 --jobs 2

Prints Markdown; ``--out`` writes all results by seed as JSON. ``--calibration 5`` runs five sheets
of every seed without stopping at a keeper, as stopping would bias the odds, and compares
forecasts with what happened. Ends with 1 when the tool erred.
"""

from __future__ import annotations

import argparse
import json
import os
import shlex
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from multiprocessing.util import Finalize
from pathlib import Path
from typing import Self, get_args

from rich.console import Console
from rich.progress import Progress

from benchmarks.world import tally
from benchmarks.world.public import ClassName, Mode
from benchmarks.world.runs import STRATEGIES, Outcome, Task, run_task
from benchmarks.world.scenario import CAP
from benchmarks.world.tool import ONE_THREAD, Tool
from benchmarks.world.truth import WORLDS

Waits = dict[str, list[float]]
_LEFT_OUT = (
    "Sheets with a dial set wrong and stepped sheets are left out. First intervals of exposure "
    "minus aim (how often they held), then the odds of a keeper (spoiled sheets in)."
)
_TOOL_OF_WORKER: dict[str, Tool] = {}


def _arguments(given: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="benchmarks.closed_loop",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = parser.add_argument
    add("--classes", nargs="+", choices=get_args(ClassName), default=["A", "B"])
    add("--readings", nargs="+", choices=get_args(Mode), default=["scan"])
    add("--strategies", nargs="+", choices=STRATEGIES, default=list(STRATEGIES))
    add("--world", choices=sorted(WORLDS), default="matched")
    add("--seeds", type=int, default=300, help="how many")
    add("--first-seed", type=int, default=0, help="the first of them")
    add("--cap", type=int, default=CAP, help="most sheets of a sitting")
    add("--calibration", type=int, metavar="SHEETS", help="run this many sheets of every seed")
    add("--say-kept", action="store_true", help="tell the tool what was kept, 3 % wrong")
    add("--command", default=f"{shlex.quote(sys.executable)} -m stillroom loop")
    add("--timeout", type=float, default=60.0, help="longest wait for one answer, seconds")
    add("--jobs", type=int, default=1, help="processes, each with its own tool")
    add("--out", type=Path, help="JSON file for all results")
    arguments = parser.parse_args(given)
    for name in ("seeds", "cap", "jobs"):
        if getattr(arguments, name) < 1:
            parser.error(f"--{name} is {getattr(arguments, name)}: give at least 1")
    if arguments.calibration is not None and arguments.calibration < 1:
        parser.error(f"--calibration is {arguments.calibration}: give at least 1 sheet")
    return arguments


def _tasks(arguments: argparse.Namespace) -> list[Task]:
    fixed = arguments.calibration is not None
    return [
        Task(
            world=arguments.world,
            cls=cls,
            mode=mode,
            seed=seed,
            strategies=("engine",) if fixed else tuple(arguments.strategies),
            cap=arguments.calibration if fixed else arguments.cap,
            fixed=fixed,
            say_kept=arguments.say_kept,
        )
        for cls in arguments.classes
        for mode in arguments.readings
        for seed in range(arguments.first_seed, arguments.first_seed + arguments.seeds)
    ]


def _start_worker(command: list[str], timeout_s: float) -> None:
    tool = Tool(command, timeout_s)  # its process starts at the first line
    _TOOL_OF_WORKER["tool"] = tool
    Finalize(None, tool.close, exitpriority=10)


def _work(task: Task) -> tuple[list[Outcome], Waits]:
    tool = _TOOL_OF_WORKER["tool"]
    outcomes = run_task(task, tool)
    waits = dict(tool.waits_s)
    tool.waits_s = defaultdict(list)
    return outcomes, waits


class _Bar:
    """Progress on standard error: a bar on a terminal, a line every tenth elsewhere."""

    def __init__(self, total: int) -> None:
        self.total = total
        self.done = 0
        console = Console(stderr=True)
        self.bar = Progress(console=console) if console.is_terminal else None
        self.row = self.bar.add_task("sittings", total=total) if self.bar else None

    def __enter__(self) -> Self:
        if self.bar:
            self.bar.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self.bar:
            self.bar.stop()

    def step(self) -> None:
        self.done += 1
        if self.bar is not None and self.row is not None:
            self.bar.advance(self.row)
        elif self.done * 10 // self.total > (self.done - 1) * 10 // self.total:
            print(f"{self.done} of {self.total} sittings", file=sys.stderr, flush=True)


def _run(arguments: argparse.Namespace) -> tuple[list[Outcome], Waits]:
    tasks = _tasks(arguments)
    os.environ.update(ONE_THREAD)  # spawned workers load numpy after this
    found: dict[Task, list[Outcome]] = {}
    waits: Waits = defaultdict(list)
    pool = ProcessPoolExecutor(
        arguments.jobs,
        mp_context=get_context("spawn"),
        initializer=_start_worker,
        initargs=(shlex.split(arguments.command), arguments.timeout),
    )
    with _Bar(len(tasks)) as bar:
        try:
            waiting = {pool.submit(_work, task): task for task in tasks}
            for future in as_completed(waiting):
                found[waiting[future]], took = future.result()
                for op, seconds in took.items():
                    waits[op] += seconds
                bar.step()
        finally:
            pool.shutdown(cancel_futures=True)
    return [outcome for task in tasks for outcome in found[task]], waits


def _report(
    arguments: argparse.Namespace, outcomes: list[Outcome], waits: Waits, took_s: float
) -> str:
    last = arguments.first_seed + arguments.seeds - 1
    which = f"World {arguments.world}, seeds {arguments.first_seed} to {last}"
    parts = [
        f"{which}, {took_s:.0f} s with {arguments.jobs} processes; all data invented.",
        tally.power_lines(outcomes),
    ]
    if arguments.calibration is None:
        parts += [
            f"### Sheets to the first true keeper (cap {arguments.cap})",
            tally.sheets_table(outcomes, arguments.cap),
        ]
    else:
        parts += [
            f"### Forecasts over {arguments.calibration} sheets of every seed",
            _LEFT_OUT,
            tally.coverage_table(outcomes),
            tally.odds_table(outcomes),
        ]
    if waits:
        parts += ["### Waits for the tool", tally.waits_table(waits)]
        parts += ["### Errors of the tool", tally.errors_lines(outcomes)]
    return "\n\n".join(parts)


def main(given: list[str] | None = None) -> int:
    """Run the benchmark; 1 when the tool erred."""
    arguments = _arguments(given)
    began = time.perf_counter()
    outcomes, waits = _run(arguments)
    took_s = time.perf_counter() - began
    print(_report(arguments, outcomes, waits, took_s))
    if arguments.out is not None:
        said = {
            name: value
            for name, value in vars(arguments).items()
            if name not in {"command", "out"}  # they would name the machine's folders
        }
        results = {
            "arguments": said,
            "took_s": round(took_s, 1),
            "waits_s": waits,
            "outcomes": [outcome.as_json() for outcome in outcomes],
        }
        arguments.out.write_text(json.dumps(results, allow_nan=False), encoding="utf-8")
    return int(any(outcome.error is not None for outcome in outcomes))


if __name__ == "__main__":
    sys.exit(main())
