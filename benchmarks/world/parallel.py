"""Many tasks on several processes, each with its own tool, and a bar that shows how far."""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from multiprocessing.util import Finalize
from typing import Self

from rich.console import Console
from rich.progress import Progress

from benchmarks.world.records import Outcome, Task
from benchmarks.world.results import Waits
from benchmarks.world.runs import run_task
from benchmarks.world.tool import ONE_THREAD, Tool

Taken = Callable[[list[Outcome], Waits], None]
_TOOL_OF_WORKER: dict[str, Tool] = {}


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


class Bar:
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
        """One task more is done."""
        self.done += 1
        if self.bar is not None and self.row is not None:
            self.bar.advance(self.row)
        elif self.done * 10 // self.total > (self.done - 1) * 10 // self.total:
            print(f"{self.done} of {self.total} sittings", file=sys.stderr, flush=True)


def run_all(
    tasks: list[Task], command: list[str], timeout_s: float, jobs: int, taken: Taken
) -> None:
    """Run all tasks.

    Parameters
    ----------
    tasks : list of Task
        In any order.
    command : list of str
        How the tool is started.
    timeout_s : float
        Longest wait for one answer [s].
    jobs : int
        Processes, each with its own tool and one thread for linear algebra.
    taken : callable
        Given outcomes and waits of each task as they come.
    """
    os.environ.update(ONE_THREAD)  # spawned workers load numpy after this
    pool = ProcessPoolExecutor(
        jobs,
        mp_context=get_context("spawn"),
        initializer=_start_worker,
        initargs=(command, timeout_s),
    )
    with Bar(len(tasks)) as bar:
        try:
            waiting = [pool.submit(_work, task) for task in tasks]
            for future in as_completed(waiting):
                taken(*future.result())
                bar.step()
        finally:
            pool.shutdown(cancel_futures=True)
