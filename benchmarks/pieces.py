"""What test pieces save: sittings of one class with and without, on the same luck.

The engine plans as in ``stillroom loop``, within this process, once as always and once with test
pieces thought of, paper or time being dear. A piece is exposed as the sheet of its number, and
nothing but its region is told; it takes a fifth of a sheet of paper and a round like any other::

    python3 run bench pieces --seeds 40 --readings scan eye

Prints Markdown: paper and rounds to the first true keeper, and what both cost together.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Any, Literal, get_args

from benchmarks.world.advice_check import legal_settings
from benchmarks.world.oracle import best_settings
from benchmarks.world.public import ClassName, Mode, Reading, Settings
from benchmarks.world.records import OUT_OF_POWER
from benchmarks.world.scenario import CAP, Scenario, build
from benchmarks.world.truth import WORLDS
from stillroom.advice import PieceCost
from stillroom.advice.costs import SHEETS_A_ROUND, Dear
from stillroom.services.loop import LoopSession

Makes = Literal["none", "first", "offered", "alone"]


@dataclass(frozen=True, slots=True)
class Sitting:
    """One sitting to its first keeper.

    Parameters
    ----------
    seed : int
        Which one.
    pieces, sheets : int
        Test pieces and whole sheets made, stepped ones counted in.
    keeper : bool
        Whether there was one before the cap of rounds.
    """

    seed: int
    pieces: int
    sheets: int
    keeper: bool

    @property
    def paper(self) -> float:
        """Paper used [sheets]."""
        return self.sheets + PieceCost().share * self.pieces

    @property
    def rounds(self) -> int:
        """Rounds waited for."""
        return self.pieces + self.sheets

    def cost(self, dear: Dear) -> float:
        """Paper and rounds together, as the advice weighs them [sheets]."""
        return self.paper + SHEETS_A_ROUND[dear] * self.rounds


class Played:
    """The engine in one sitting.

    Parameters
    ----------
    scenario : Scenario
        Its open side is told.
    piece : PieceCost
        What a test piece costs.
    makes : {"none", "first", "offered", "alone"}
        Which pieces are made: none; those proposed as the next step; those that are offered
        beside a sheet too, and again as long as they are; of these only one before each whole
        sheet, as the tool does by itself.
    """

    def __init__(self, scenario: Scenario, piece: PieceCost, makes: Makes) -> None:
        self.session = LoopSession(None if makes == "none" else piece)
        self.makes = makes
        self.studio = scenario.studio
        self._ask(scenario.begin())

    def to_a_keeper(self, seed: int) -> Sitting:
        """Plan, expose and read until a sheet lands."""
        pieces = sheets = 0
        before = False
        while pieces + sheets < CAP:
            said = self._ask({"op": "plan"})
            piece = said.get("piece")
            if piece is not None and not self._makes(is_first=piece["first"], before=before):
                piece = None
            before = piece is not None
            told = said["settings"] if piece is None else piece["settings"]
            settings = legal_settings(self.studio.kit, self.studio.sitting, told)
            sheet = self.studio.expose(settings, pieces + sheets + 1)
            if piece is None:
                sheets += 1
                if sheet.keeper:
                    return Sitting(seed, pieces, sheets, keeper=True)
                self._tell(settings, sheet.reading)
            else:
                pieces += 1
                self._tell(settings, only(sheet.reading, piece["region"]))
        return Sitting(seed, pieces, sheets + 1, keeper=False)

    def _makes(self, *, is_first: bool, before: bool) -> bool:
        if self.makes == "offered":
            return True
        return not before and (is_first or self.makes == "alone")

    def _tell(self, settings: Settings, reading: Reading) -> None:
        self._ask(
            {"op": "record", "settings": settings.as_json(), "reading": reading, "kept": None}
        )

    def _ask(self, message: dict[str, Any]) -> dict[str, Any]:
        said = self.session.answer(json.dumps(message))
        if "error" in said:
            raise RuntimeError(said["error"])
        return said


def only(reading: Reading, region: str) -> Reading:
    """What a test piece shows of what the whole sheet would have shown.

    Examples
    --------
    >>> only({"regions": {"key": {"density": 0.6}, "shadow": {"density": 1.4}}}, "key")
    {'regions': {'key': {'density': 0.6}}}
    """
    seen = reading["regions"]
    return {"regions": {r: tone for r, tone in seen.items() if r == region}}


def sittings(
    cls: ClassName, mode: Mode, world: str, dear: Dear, seeds: range
) -> Iterator[dict[Makes, Sitting]]:
    """Every way of making pieces, seed by seed; those out of the kit's power are left out."""
    for seed in seeds:
        scenario = build(cls, seed, mode, WORLDS[world])
        studio = scenario.studio
        best = best_settings(studio.kit, studio.sitting, studio.truth, studio.aims_stops())
        if best.p_keeper >= OUT_OF_POWER:
            cost = PieceCost(dear=dear)
            ways: tuple[Makes, ...] = get_args(Makes)
            yield {way: Played(scenario, cost, way).to_a_keeper(seed) for way in ways}


def rows(title: str, found: list[dict[Makes, Sitting]], dear: Dear) -> Iterator[str]:
    """Means of every way, and its paired difference from making none with the standard error."""
    for way in found[0]:
        ours, plain = [one[way] for one in found], [one["none"] for one in found]
        cells = [title, way, f"{len(ours)}", f"{sum(one.pieces > 0 for one in ours)}"]
        cells += _compared([(a.paper, b.paper) for a, b in zip(plain, ours, strict=True)])
        cells += _compared([(a.rounds, b.rounds) for a, b in zip(plain, ours, strict=True)])
        cells += _compared(
            [(a.cost(dear), b.cost(dear)) for a, b in zip(plain, ours, strict=True)]
        )
        yield f"| {' | '.join(cells)} |"


def _compared(values: list[tuple[float, float]]) -> list[str]:
    apart = [b - a for a, b in values]
    error = stdev(apart) / math.sqrt(len(apart))
    return [f"{fmean(b for _, b in values):.2f}", f"{fmean(apart):+.2f} ({error:.2f})"]


def main(given: list[str] | None = None) -> None:
    """Run the benchmark and print its table."""
    parser = argparse.ArgumentParser(prog="benchmarks.pieces", description=__doc__.split("\n")[0])
    add = parser.add_argument
    add("--classes", nargs="+", choices=get_args(ClassName), default=["A"])
    add("--readings", nargs="+", choices=get_args(Mode), default=["scan"])
    add("--world", choices=sorted(WORLDS), default="rough")
    add("--dear", choices=get_args(Dear), default="paper")
    add("--seeds", type=int, default=40, help="how many, at least 2")
    add("--first-seed", type=int, default=0, help="the first of them")
    said = parser.parse_args(given)
    if said.seeds < 2 or said.first_seed < 0:
        parser.error("give at least 2 seeds, the first of them 0 or more")
    seeds = range(said.first_seed, said.first_seed + said.seeds)
    began = time.perf_counter()
    head = ["class, reading", "pieces", "sittings", "with one"]
    for what in ("paper [sheets]", "rounds", "cost [sheets]"):
        head += [what, "difference (se)"]
    lines = [f"| {' | '.join(head)} |", f"|{'---|' * len(head)}"]
    for cls in said.classes:
        for mode in said.readings:
            found = list(sittings(cls, mode, said.world, said.dear, seeds))
            lines += rows(f"{cls}, {mode}", found, said.dear)
    took = time.perf_counter() - began
    print(
        f"World {said.world}, seeds {seeds[0]} to {seeds[-1]}, {said.dear} dear, {took:.0f} s; "
        "all data invented.\n"
    )
    print("\n".join(lines))


if __name__ == "__main__":
    main()
