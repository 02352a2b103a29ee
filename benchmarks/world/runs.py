"""Sittings run to the first true keeper, or for a fixed number of sheets."""

from __future__ import annotations

from dataclasses import replace

from benchmarks.world.by_hand import HandMethod, Photographer, PointCorrection
from benchmarks.world.by_tool import run_by_tool
from benchmarks.world.oracle import Best, best_settings
from benchmarks.world.past_perfect import PastPerfect
from benchmarks.world.public import Reading, Settings
from benchmarks.world.records import BY_TOOL, OUT_OF_POWER, Made, Outcome, Strategy, Task
from benchmarks.world.scenario import Scenario, build
from benchmarks.world.sheet_reader import SheetReader
from benchmarks.world.sheets import Studio
from benchmarks.world.tool import Tool
from benchmarks.world.truth import WORLDS


class Oracle:
    """Somebody who knows everything but the scatter of the sheets (and does not see them tire)."""

    def __init__(self, studio: Studio) -> None:
        self.best: Best = best_settings(
            studio.kit, studio.sitting, studio.truth, studio.aims_stops()
        )

    def plan(self) -> Settings:
        """Give the same best settings for every sheet."""
        return self.best.settings

    def look(self, settings: Settings, reading: Reading) -> None:
        """Learn nothing: there is nothing to learn."""


def _by_person(task: Task, studio: Studio, person: Photographer) -> list[Made]:
    made = []
    for number in range(1, task.cap + 1):
        settings = person.plan()
        sheet = studio.expose(settings, number)
        made.append(Made.of(settings, sheet, number))
        if sheet.keeper and not task.fixed:
            break
        person.look(settings, sheet.reading)
    return made


def _person(strategy: Strategy, scenario: Scenario, oracle: Oracle) -> Photographer:
    if strategy == "oracle":
        return oracle
    if strategy == "past_perfect":
        return PastPerfect(scenario, oracle.best.settings)
    if strategy == "sheet_reader":
        return SheetReader(scenario)
    studio = scenario.studio
    by_hand = HandMethod if strategy == "hand" else PointCorrection
    return by_hand(studio.kit, studio.sitting, scenario.past)


def _counted(outcome: Outcome, cap: int) -> Outcome:
    """Fill in sheets and rounds; an error costs the cap, whatever was kept before."""
    kept = [sheet.round for sheet in outcome.made if sheet.keeper]
    if outcome.error is None and kept:
        spent = sum(sheet.round <= kept[0] for sheet in outcome.made)
        return replace(outcome, sheets=spent, rounds=kept[0])
    together = sum(sheet.round == 1 for sheet in outcome.made) or 1
    return replace(outcome, sheets=cap + 1, rounds=-(-cap // together) + 1)


def run_task(task: Task, tool: Tool | None) -> list[Outcome]:
    """Run one seed with every strategy on the same luck.

    Parameters
    ----------
    task : Task
        What to run.
    tool : Tool or None
        Needed for what the tool runs.

    Returns
    -------
    list of Outcome
        One for each strategy; those out of the kit's power hold no sheets and 0 as their number.
        A run with a stepped sheet first is that of ``engine`` when this began so by itself: the
        same book gets the same answer.
    """
    scenario = _scenario(task)
    oracle = Oracle(scenario.studio)
    power = oracle.best.p_keeper
    outcomes: dict[Strategy, Outcome] = {}
    for strategy in task.strategies:
        empty = Outcome(
            task.world,
            task.label,
            task.mode,
            strategy,
            task.seed,
            power,
            sheets=0,
            fixed=task.fixed,
            sitters=scenario.sitters,
        )
        engine = outcomes.get("engine")
        if power < OUT_OF_POWER:
            outcomes[strategy] = empty
        elif strategy == "stepped_first" and engine is not None and _began_stepped(engine):
            outcomes[strategy] = replace(engine, strategy=strategy)
        elif strategy in BY_TOOL:
            if tool is None:
                raise ValueError(f"{strategy} needs a tool to talk to.")
            told = _scenario(task, say_kept=True) if strategy == "told_kept" else scenario
            run = run_by_tool(task, told, tool, strategy)
            whole = replace(empty, made=run.made, error=run.error, paper=run.paper)
            outcomes[strategy] = _counted(whole, task.cap)
        else:
            made = _by_person(task, scenario.studio, _person(strategy, scenario, oracle))
            outcomes[strategy] = _counted(replace(empty, made=made), task.cap)
    return list(outcomes.values())


def _scenario(task: Task, *, say_kept: bool = False) -> Scenario:
    rules = WORLDS[task.world]
    return build(task.cls, task.seed, task.mode, rules, say_kept=say_kept, sitters=task.sitters)


def _began_stepped(engine: Outcome) -> bool:
    return bool(engine.made) and engine.made[0].settings["steps_pops"] is not None
