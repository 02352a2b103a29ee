"""Whether the tool's advice needs fewer sheets than the correction anybody could do by hand."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from benchmarks.world.public import ClassName
from benchmarks.world.records import Task
from benchmarks.world.runs import run_task
from benchmarks.world.tool import Tool

FIRST_SEED = 1000
SEEDS = 40
CLASSES: tuple[ClassName, ...] = ("A", "B")


@pytest.mark.slow
def test_fewer_sheets_than_point_correction_on_the_same_luck() -> None:
    """New paper and light (A), known paper and new modifier (B), by scan; 40 seeds of each.

    Longer runs on other seeds found 0.69 (se 0.23) and 0.39 (se 0.13) sheets fewer per sitting
    of 100, and of 60 more seeds (2000 on) 0.40 (se 0.16) and 0.25 (se 0.16): together about
    0.41. One sitting's difference has a standard deviation of 1.2 to 1.9, so the mean of these 80
    has a standard error of 0.14 to 0.21: a tool as good as that fails for other seeds between
    once in 40 and once in 500 times.
    """
    differences: list[int] = []
    with Tool([sys.executable, "-m", "stillroom", "loop"], 60.0) as tool:
        for cls in CLASSES:
            for seed in range(FIRST_SEED, FIRST_SEED + SEEDS):
                task = Task("matched", cls, "scan", seed, strategies=("point", "engine"))
                point, engine = run_task(task, tool)
                assert engine.error is None
                if engine.in_power:
                    differences.append(engine.sheets - point.sheets)
    assert len(differences) > 0.9 * SEEDS * len(CLASSES)
    assert np.mean(differences) < 0
