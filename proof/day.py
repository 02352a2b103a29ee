"""Freeze the earliest finish of small days, found and proved by a constraint solver.

    python3 -m proof.day                 solve every day anew; needs the package ortools
    python3 -m proof.day --compare       the tool against what is frozen

Every combination of one to four stations, one to eight sheets, no hands, one pair or two, a
station used twice or not, waiting nowhere, for a limited time or as long as is wanted, and sheets
that are there at once or come one after the other; the times are drawn. The solver is told the
days as they are, without the tool's rule that no sheet overtakes. Days it cannot settle within its
time are left out, and counted. Its package is large and is used by nothing else, so it is not
among the pins: install it in an environment of its own.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from importlib.metadata import version
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np

from stillroom.wetline.day import Coming, Line, Stage, line_of, schedule

FROZEN = Path(__file__).parents[1] / "tests" / "data" / "day" / "against_a_solver.json"
SEED = 7
GRID_S = 15
LONGEST_S = 1.5
HANDS = (None, 1, 2)
WAITS: tuple[tuple[int | None, ...], ...] = ((0,), (0, 30, 60), (0, None))


def days() -> Iterator[dict[str, Any]]:
    """Every day, as it is frozen."""
    cases = product(range(1, 5), range(1, 9), HANDS, (False, True), WAITS, (False, True))
    for at, (stations, sheets, hands, twice, waits, staggered) in enumerate(cases):
        rng = np.random.default_rng([SEED, at])
        names = [*"abcd"[:stations], *(["a"] if twice and stations > 1 else [])]
        touch = 0 if hands is None else int(rng.choice([15, 30]))
        stages = [
            [name, GRID_S * int(rng.integers(2, 19)), waits[int(rng.integers(len(waits)))], touch]
            for name in names
        ]
        holds = {name: int(rng.choice([1, 1, 1, 2])) for name in sorted(set(names))}
        apart = GRID_S * rng.integers(0, 20, sheets) if staggered else np.zeros(sheets, int)
        comes = (np.cumsum(apart) - apart[0]).tolist()
        yield {"stages": stages, "holds": holds, "hands": hands or 1, "comes": comes}


def line_from(day: dict[str, Any]) -> Line:
    """The line of a frozen day."""
    stages = [
        (name, Stage(f"{name}{n}", seconds, waits, touch))
        for n, (name, seconds, waits, touch) in enumerate(day["stages"])
    ]
    return line_of(stages, day["holds"], day["hands"])


def coming_of(day: dict[str, Any]) -> list[Coming]:
    """Its sheets."""
    return [Coming(at) for at in day["comes"]]


def solved_s(day: dict[str, Any]) -> int | None:
    """The earliest finish by the solver; None where it did not settle it [s]."""
    from ortools.sat.python import cp_model  # noqa: PLC0415

    stages, sheets = day["stages"], day["comes"]
    latest = max(sheets) + sum(stage[1] for stage in stages) * len(sheets)
    model = cp_model.CpModel()
    at = [[model.new_int_var(0, latest, "") for _ in range(len(stages) + 1)] for _ in sheets]
    held: dict[str, list[Any]] = {name: [] for name in day["holds"]}
    touches = []
    for row, comes in zip(at, sheets, strict=True):
        model.add(row[0] >= comes)
        for n, (name, seconds, waits, touch) in enumerate(stages):
            took = model.new_int_var(seconds, latest if waits is None else seconds + waits, "")
            held[name].append(model.new_interval_var(row[n], took, row[n + 1], ""))
            if touch:
                touches.append(model.new_fixed_size_interval_var(row[n], touch, ""))
    for name, intervals in held.items():
        model.add_cumulative(intervals, [1] * len(intervals), day["holds"][name])
    if touches:
        model.add_cumulative(touches, [1] * len(touches), day["hands"])
    finish = model.new_int_var(0, latest, "")
    model.add_max_equality(finish, [row[-1] for row in at])
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = LONGEST_S
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    if solver.solve(model) != cp_model.OPTIMAL:
        return None
    least: float = solver.objective_value
    return round(least)


def freeze() -> None:
    """Solve all days and write what was found."""
    found, left_out, unsettled = [], 0, []
    for n, day in enumerate(days()):
        finish = solved_s(day)
        if finish is None:
            left_out += 1
            unsettled.append(day)
        else:
            found.append({**day, "finish_s": finish})
        if n % 100 == 0:
            print(f"{n} days, {left_out} not settled", flush=True)
    told = {
        "solver": f"ortools {version('ortools')}, CP-SAT",
        "seed": SEED,
        "not_settled": left_out,
        "days": found,
        "unsettled": unsettled,
    }
    FROZEN.parent.mkdir(parents=True, exist_ok=True)
    lines = json.dumps(told).replace('{"stages"', '\n{"stages"')
    FROZEN.write_text(lines + "\n", encoding="utf-8")
    print(f"{len(found)} days frozen, {left_out} not settled in {LONGEST_S:g} s each")


def compare() -> None:
    """Hold the tool against what is frozen."""
    told = json.loads(FROZEN.read_text(encoding="utf-8"))
    late = [
        day
        for day in told["days"]
        if schedule(line_from(day), coming_of(day)).finish_s != day["finish_s"]
    ]
    print(f"{len(told['days']) - len(late)} of {len(told['days'])} days as early as can be")
    if late:
        sys.exit(f"Later than can be: {len(late)} days, such as {late[0]}.")


def main() -> None:
    """Freeze or compare."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--compare", action="store_true", help="solve nothing")
    (compare if parser.parse_args().compare else freeze)()


if __name__ == "__main__":
    main()
