"""A sitting by the tool: asked for every plan, told every reading, all answers checked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from benchmarks.world.advice_check import (
    IllegalAdvice,
    legal_chain,
    legal_forecast,
    legal_settings,
    legal_together,
)
from benchmarks.world.public import Reading, Settings
from benchmarks.world.records import Made, Paper, Strategy, Task, together_of
from benchmarks.world.scenario import Scenario
from benchmarks.world.stepped import plain_version, stepped_version
from benchmarks.world.tool import Tool, ToolError

PAPER = "paper"


@dataclass(frozen=True, slots=True)
class Plan:
    """One sheet as planned, with what is said of it."""

    settings: Settings
    forecast: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class Run:
    """What came of a sitting by the tool."""

    made: list[Made]
    error: str | None = None
    paper: Paper | None = None


class Engine:
    """The tool in one sitting; every answer is checked.

    Parameters
    ----------
    tool : Tool
        At the end of its pipe.
    scenario : Scenario
        Its open side is told.
    """

    def __init__(self, tool: Tool, scenario: Scenario) -> None:
        self.tool = tool
        self.studio = scenario.studio
        self._accepted(tool.ask(scenario.begin()))

    def plan(self) -> Plan:
        """Ask for the next settings and check that they can be set."""
        said = self.tool.ask({"op": "plan"})
        sitting = self.studio.sitting
        settings = legal_settings(self.studio.kit, sitting, said.get("settings"))
        return Plan(settings, legal_forecast(sitting, settings, said.get("forecast")))

    def plan_together(self, count: int) -> tuple[list[Plan], float]:
        """Ask for the settings of several sheets, and the odds that one at least lands."""
        said = self.tool.ask({"op": "plan", "count": count})
        found, p_any = legal_together(self.studio.kit, self.studio.sitting, said, count)
        return [Plan(settings, forecast) for settings, forecast in found], p_any

    def forecast(self, settings: Settings) -> dict[str, Any] | None:
        """Ask what to expect of settings chosen here."""
        said = self.tool.ask({"op": "forecast", "settings": settings.as_json()})
        return legal_forecast(self.studio.sitting, settings, said.get("forecast"))

    def tell(self, settings: Settings, reading: Reading, *, kept: bool | None) -> str | None:
        """Tell what the sheet shows; give what the tool finds odd about it."""
        said = self.tool.ask(
            {"op": "record", "settings": settings.as_json(), "reading": reading, "kept": kept}
        )
        self._accepted(said)
        odd = said.get("odd", False)
        if odd is not False and not isinstance(odd, str):
            raise IllegalAdvice(f"odd is {odd!r}, neither false nor a sentence.")
        return odd or None

    def chain(self, name: str) -> tuple[float, float]:
        """Ask for mean and sd of one chain [stops]."""
        return legal_chain(name, self.tool.ask({"op": "chains"}))

    @staticmethod
    def _accepted(said: dict[str, Any]) -> None:
        if said.get("ok") is not True:
            raise IllegalAdvice(f"The answer {said!r} does not say ok.")


def run_by_tool(task: Task, scenario: Scenario, tool: Tool, strategy: Strategy) -> Run:
    """Run one sitting by the tool.

    Parameters
    ----------
    task : Task
        What to run.
    scenario : Scenario
        The task's.
    tool : Tool
        At the end of its pipe.
    strategy : str
        ``engine``: plan by plan. ``told_kept``: the same, told of every plain sheet whether it
        was kept, with three errors in a hundred. ``stepped_first``: the first sheet is made a
        stepped one if it is not planned as such. ``together_N``: N sheets are exposed before any
        is seen.

    Returns
    -------
    Run
        With the error that ended it, if there was one.
    """
    made: list[Made] = []
    try:
        engine = Engine(tool, scenario)
        while len(made) + together_of(strategy) <= task.cap:
            made += _round(engine, task, strategy, len(made) + 1)
            if any(sheet.keeper for sheet in made) and not task.fixed:
                break
        if task.cls != "D":
            return Run(made)
        mean, sd = engine.chain(PAPER)
    except (ToolError, IllegalAdvice) as error:
        return Run(made, f"{type(error).__name__}: {error}")
    return Run(made, None, Paper(mean, sd, scenario.paper_speed_log2))


def _round(engine: Engine, task: Task, strategy: Strategy, first: int) -> list[Made]:
    """Plan, expose, then read and tell the sheets of one round, numbered from ``first``."""
    studio, together = engine.studio, together_of(strategy)
    p_any: float | None = None
    if together == 1:
        plans = [engine.plan()]
    else:
        plans, p_any = engine.plan_together(together)
    plain = plans[0].settings
    if strategy == "stepped_first" and first == 1 and plain.steps_pops is None:
        plans = [Plan(stepped_version(studio.kit, studio.sitting, plain), None)]
    imagined = _imagined(engine, plans[0].settings) if task.fixed and first == 1 else None
    sheets = [studio.expose(plan.settings, at) for at, plan in enumerate(plans, start=first)]
    made = []
    for plan, sheet in zip(plans, sheets, strict=True):
        says = strategy == "told_kept" and plan.settings.steps_pops is None
        odd = engine.tell(plan.settings, sheet.reading, kept=sheet.kept_said if says else None)
        number = (first - 1) // together + 1
        made.append(Made.of(plan.settings, sheet, number, plan.forecast, odd=odd, p_any=p_any))
    return [replace(made[0], imagined=imagined), *made[1:]]


def _imagined(engine: Engine, planned: Settings) -> Made | None:
    """Make a plain first sheet in place of a stepped one, same luck; the tool never sees it."""
    if planned.steps_pops is None:
        return None
    plain = plain_version(planned)
    return Made.of(plain, engine.studio.expose(plain, 1), 1, engine.forecast(plain))
