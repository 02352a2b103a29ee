"""How well the tool finds out what went wrong with a sheet, and what it costs when it does not.

In a simulated world three good sheets are made and then one with a slip (of the room and of the
paper also the first of four). The world breaks what is said openly on purpose, and every slip has
sizes of its own (``benchmarks.odd_world``). By kind: how often the sheet is called odd, how often
the true slip is named, and named first; and how far the slip moves the next forecast of the key
cheek when nothing is said, and when the first slip named is taken for the answer, both beside the
same sitting in which nothing went wrong. All data invented::

    python3 run bench odd --seeds 30 --reading scan strip words --out odd.json

``--print`` prints the tables of such a file again. Seeds below 1000 are for finding out what to
better; what is published starts at 1000 and was run once.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import get_args

import numpy as np

from benchmarks.odd_world import AIMS, CLOSED, KINDS, SITTING, Kind, Reading, World
from benchmarks.world.parallel import Bar
from benchmarks.world.public import REGIONS
from benchmarks.world.tool import ONE_THREAD
from benchmarks.world.truth import WORLDS
from stillroom.belief.posterior import landing
from stillroom.documents import book as doc
from stillroom.documents.odd import OddSheets
from stillroom.services.odd import odd_sheets
from stillroom.services.odd_answers import answered_slip
from stillroom.services.worktable import Worktable

SHEETS = 4
PUBLISHED_FROM = 1000
NONE_OF = {False: "none", True: "none_bright"}
_COLUMNS = (
    "slip",
    "n",
    "odd",
    "first",
    "first three",
    "named",
    "moved, nothing said",
    "moved, as named",
    "off, nothing said",
    "off, as named",
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """One sitting.

    Parameters
    ----------
    kind, reading : str
        The slip (``none``, ``none_bright``: every sheet is good), and how all were read.
    seed : int
        Which world.
    odd : tuple of int
        Numbers of the sheets that are called odd.
    named : tuple of str
        Slips named of the sheet with the slip, the likeliest first.
    off_stops : dict
        Of the next sheet's key cheek, forecast minus truth, ``silent`` and ``answered`` [stops].
    """

    kind: str
    reading: str
    seed: int
    odd: tuple[int, ...]
    named: tuple[str, ...]
    off_stops: dict[str, float]


# ---- one sitting --------------------------------------------------------------------------------


def run_seed(world: str, seed: int, how: Reading, kinds: Sequence[str]) -> list[Outcome]:
    """All kinds of slips in one world, and the sitting without any.

    Parameters
    ----------
    world : str
        ``rough`` or ``matched``.
    seed : int
        Which.
    how : {"scan", "strip", "words"}
        How sheets are read.
    kinds : sequence of str
        Of :data:`benchmarks.odd_world.KINDS`.
    """
    outcomes = []
    for bright in dict.fromkeys(KINDS[name].bright for name in kinds):
        made = World(WORLDS[world], seed, bright=bright)
        good = tuple(made.sheet(number, how) for number in range(1, SHEETS + 1))
        book = made.book(good)
        off = {"silent": _off(made, book)}
        found = _numbers(odd_sheets(book, SITTING))
        outcomes.append(Outcome(NONE_OF[bright], how, seed, found, (), off))
        of = [name for name in kinds if KINDS[name].bright is bright]
        outcomes += [_with_slip(made, name, KINDS[name], good, how) for name in of]
    return outcomes


def _with_slip(
    made: World, name: str, kind: Kind, good: tuple[doc.Sheet, ...], how: Reading
) -> Outcome:
    wrong = made.sheet(kind.number, how, made.slip(kind))
    book = made.book(_with(good, wrong))
    found = odd_sheets(book, SITTING)
    off = {"silent": _off(made, book)}
    odd = next((s for s in found.sheets if s.number == kind.number), None)
    off["answered"] = off["silent"]
    if odd is not None:  # the first slip named is taken for what happened
        said = answered_slip(book.sittings[0], wrong, odd.slips[0].id, found)
        off["answered"] = _off(made, made.book(_with(good, said)))
    named = tuple(s.id for s in odd.slips) if odd else ()
    return Outcome(name, how, made.seed, _numbers(found), named, off)


def _with(good: tuple[doc.Sheet, ...], other: doc.Sheet) -> tuple[doc.Sheet, ...]:
    return tuple(other if s.number == other.number else s for s in good)


def _numbers(found: OddSheets) -> tuple[int, ...]:
    return tuple(s.number for s in found.sheets)


def _off(made: World, book: doc.Book) -> float:
    """Forecast minus truth of what the key cheek of a fifth sheet lies off its aim [stops]."""
    number = SHEETS + 1
    dials = made.dials_of(number)
    table = Worktable(book, SITTING)
    settings = made.settings(dials)
    layout = table.layout(settings, CLOSED)
    posterior = table.posterior()
    states = posterior.states(layout)
    placed = landing(states, layout, table.bare_settings(settings))
    curves, wanted = states.curves, AIMS["key"][0]
    share = np.clip((wanted - curves.dmin) / (curves.dmax - curves.dmin), 1e-6, 1 - 1e-6)
    nu = curves.asymmetry
    aim = np.log((share**-nu - 1.0) / (2.0**nu - 1.0)) / curves.contrast
    said = float((placed[:, 0, layout.regions.index("key")] - aim[:, 0]).mean())
    true = float(made.placements(dials, number=number)[REGIONS.index("key")])
    return said - (true - made.truth.curve.stops(wanted))


# ---- tables -------------------------------------------------------------------------------------


def tables(outcomes: Sequence[Outcome]) -> str:
    """Markdown: for each way of reading one table by kind of slip."""
    parts = []
    for how in dict.fromkeys(o.reading for o in outcomes):
        of = [o for o in outcomes if o.reading == how]
        seeds = sorted({o.seed for o in of})
        clean = [o for o in of if o.kind in NONE_OF.values()]
        others = [(o, KINDS[o.kind].number) for o in of if o.kind in KINDS]
        blamed = sum(any(n != at for n in o.odd) for o, at in others)
        false = sum(len(o.odd) for o in clean)
        off = _root([o.off_stops["silent"] for o in clean])
        parts += [
            f"### By {how}, seeds {seeds[0]} to {seeds[-1]}",
            (
                f"Good sheets called odd where nothing went wrong: {false} of "
                f"{SHEETS * len(clean)}; sittings with a slip in which a good sheet was: {blamed} "
                f"of {len(others)}. Key cheek off by {off} stops without a slip."
            ),
            _table(of),
        ]
    return "\n\n".join(parts)


def _table(outcomes: Sequence[Outcome]) -> str:
    lines = ["| " + " | ".join(_COLUMNS) + " |", "|---" + "|---:" * (len(_COLUMNS) - 1) + "|"]
    without = {(o.kind, o.seed): o.off_stops["silent"] for o in outcomes}
    for name, kind in KINDS.items():
        of = [o for o in outcomes if o.kind == name]
        if not of:
            continue
        at = [next((i for i, s in enumerate(o.named) if kind.is_named(s)), 9) for o in of]
        odd = sum(kind.number in o.odd for o in of)
        counts = [odd, sum(i < 1 for i in at), sum(i < 3 for i in at), sum(i < 9 for i in at)]
        off = [[o.off_stops[said] for o in of] for said in ("silent", "answered")]
        moved = [
            [x - without[NONE_OF[kind.bright], o.seed] for o, x in zip(of, one, strict=True)]
            for one in off
        ]
        roots = [_root(one) for one in (*moved, *off)]
        lines.append(
            "| " + " | ".join(str(c) for c in (kind.title, len(of), *counts, *roots)) + " |"
        )
    return "\n".join(lines)


def _root(values: Sequence[float]) -> str:
    """Root of the mean square and its standard error by the spread of the squares."""
    squares = np.square(values)
    root = math.sqrt(float(squares.mean())) if len(squares) else 0.0
    if len(squares) < 2 or root == 0:
        return f"{root:.2f}"
    error = float(squares.std(ddof=1)) / math.sqrt(len(squares)) / (2 * root)
    return f"{root:.2f} ± {error:.2f}"


# ---- command line -------------------------------------------------------------------------------


def _arguments(given: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="benchmarks.odd",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = parser.add_argument
    add("--seeds", type=int, default=30, help="how many")
    add("--first-seed", type=int, default=PUBLISHED_FROM, help="the first of them")
    add("--reading", nargs="+", choices=get_args(Reading), default=["scan"])
    add("--kinds", nargs="+", choices=list(KINDS), default=list(KINDS))
    add("--world", choices=sorted(WORLDS), default="rough")
    add("--jobs", type=int, default=1, help="processes")
    add("--out", type=Path, help="JSON file for all results")
    add("--print", type=Path, metavar="FILE", help="only print the tables of these results")
    arguments = parser.parse_args(given)
    for name in ("seeds", "jobs"):
        if getattr(arguments, name) < 1:
            parser.error(f"--{name} is {getattr(arguments, name)}: give at least 1")
    if arguments.first_seed < 0:
        parser.error(f"--first-seed is {arguments.first_seed}: give at least 0")
    return arguments


def _run(arguments: argparse.Namespace) -> list[Outcome]:
    os.environ.update(ONE_THREAD)  # spawned workers load numpy after this
    seeds = range(arguments.first_seed, arguments.first_seed + arguments.seeds)
    tasks = [(arguments.world, seed, how, arguments.kinds) for seed in seeds
             for how in arguments.reading]  # fmt: skip
    outcomes: list[Outcome] = []
    pool = ProcessPoolExecutor(arguments.jobs, mp_context=get_context("spawn"))
    with pool, Bar(len(tasks)) as bar:
        for future in [pool.submit(run_seed, *task) for task in tasks]:
            outcomes += future.result()
            bar.step()
    order = {how: i for i, how in enumerate(get_args(Reading))}
    return sorted(outcomes, key=lambda o: (order[o.reading], o.seed))


def main(given: list[str] | None = None) -> int:
    """Run the benchmark, or print what it found."""
    arguments = _arguments(given)
    if arguments.print is not None:
        try:
            said = json.loads(arguments.print.read_text(encoding="utf-8"))
            outcomes = [Outcome(**{**o, "odd": tuple(o["odd"]), "named": tuple(o["named"])})
                        for o in said["outcomes"]]  # fmt: skip
        except (OSError, ValueError, KeyError, TypeError) as error:
            print(f"{arguments.print} holds no results of this benchmark: {error}.",
                  file=sys.stderr)  # fmt: skip
            return 2
        print(tables(outcomes))
        return 0
    began = time.perf_counter()
    outcomes = _run(arguments)
    if arguments.out is not None:
        said = {"world": arguments.world, "outcomes": [asdict(o) for o in outcomes]}
        arguments.out.write_text(json.dumps(said), encoding="utf-8")
    took = time.perf_counter() - began
    print(f"World {arguments.world}, {took:.0f} s; all data invented.\n\n{tables(outcomes)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
