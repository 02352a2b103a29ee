"""Sittings run to the first true keeper, or for a fixed number of sheets."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from benchmarks.world.advice_check import IllegalAdvice, legal_forecast, legal_settings
from benchmarks.world.by_hand import HandMethod, Photographer, PointCorrection
from benchmarks.world.oracle import Best, best_settings
from benchmarks.world.public import ClassName, Mode, Reading, Settings
from benchmarks.world.scenario import CAP, Scenario, build
from benchmarks.world.sheets import Studio
from benchmarks.world.tool import Tool, ToolError
from benchmarks.world.truth import WORLDS

Strategy = Literal["hand", "point", "engine", "oracle"]
STRATEGIES: tuple[Strategy, ...] = ("hand", "point", "engine", "oracle")
OUT_OF_POWER = 0.3  # the oracle's best odds below which a sitting is left out for everybody


@dataclass(frozen=True, slots=True)
class Made:
    """One sheet of a run, the hidden side with it.

    Parameters
    ----------
    settings : dict
        As advised.
    forecast : dict or None
        As said by the tool; None for a stepped sheet and for everybody else.
    off_stops : dict
        Exposure minus aim by aimed region [stops].
    keeper, spoiled, misset : bool
        What came of it.
    odd : str or None
        What the tool found odd about the reading.
    """

    settings: dict[str, Any]
    forecast: dict[str, Any] | None
    off_stops: dict[str, float]
    keeper: bool
    spoiled: bool
    misset: bool
    odd: str | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """One sitting of one strategy.

    Parameters
    ----------
    world, cls, reading, strategy : str
        What was run.
    seed : int
        Which one.
    power : float
        The oracle's odds at its best settings.
    sheets : int
        Sheets to the first keeper, stepped ones counted; one more than the cap when there was
        none, or when the tool erred.
    made : list of Made
        Sheet by sheet.
    error : str or None
        What ended the sitting early.
    """

    world: str
    cls: str
    reading: str
    strategy: str
    seed: int
    power: float
    sheets: int
    made: list[Made] = field(default_factory=list)
    error: str | None = None

    @property
    def in_power(self) -> bool:
        """Whether the kit can reach the aims at all."""
        return self.power >= OUT_OF_POWER

    def as_json(self) -> dict[str, Any]:
        """Give everything for the results file."""
        return {**asdict(self), "in_power": self.in_power}


@dataclass(frozen=True, slots=True)
class Task:
    """One seed of one class and reading, for all strategies.

    Parameters
    ----------
    world, cls, mode, seed : str, str, str, int
        The scenario.
    strategies : tuple of str
        Who runs it.
    cap : int
        Most sheets of a sitting.
    fixed : bool
        Go on after a keeper to exactly ``cap`` sheets.
    say_kept : bool
        Tell the tool whether sheets were kept, with three errors in a hundred.
    """

    world: str
    cls: ClassName
    mode: Mode
    seed: int
    strategies: tuple[Strategy, ...] = STRATEGIES
    cap: int = CAP
    fixed: bool = False
    say_kept: bool = False


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


class Engine:
    """The tool, asked for every plan and told every reading, all answers checked."""

    def __init__(self, tool: Tool, scenario: Scenario) -> None:
        self.tool = tool
        self.studio = scenario.studio
        self.forecast: dict[str, Any] | None = None
        self.odd: str | None = None
        self._accepted(tool.ask(scenario.begin()))

    def plan(self) -> Settings:
        """Ask for the next settings and check that they can be set."""
        said = self.tool.ask({"op": "plan"})
        sitting = self.studio.sitting
        settings = legal_settings(self.studio.kit, sitting, said.get("settings"))
        self.forecast = legal_forecast(sitting, settings, said.get("forecast"))
        return settings

    def tell(self, settings: Settings, reading: Reading, *, kept: bool | None) -> None:
        """Tell what the sheet shows."""
        said = self.tool.ask(
            {"op": "record", "settings": settings.as_json(), "reading": reading, "kept": kept}
        )
        self._accepted(said)
        odd = said.get("odd", False)
        if odd is not False and not isinstance(odd, str):
            raise IllegalAdvice(f"odd is {odd!r}, neither false nor a sentence.")
        self.odd = odd or None

    @staticmethod
    def _accepted(said: dict[str, Any]) -> None:
        if said.get("ok") is not True:
            raise IllegalAdvice(f"The answer {said!r} does not say ok.")


def _by_person(task: Task, studio: Studio, person: Photographer) -> tuple[int, list[Made]]:
    made = []
    for number in range(1, task.cap + 1):
        settings = person.plan()
        sheet = studio.expose(settings, number)
        made.append(
            Made(
                settings.as_json(),
                None,
                sheet.off_stops,
                sheet.keeper,
                sheet.spoiled,
                sheet.misset,
            )
        )
        if sheet.keeper and not task.fixed:
            return number, made
        person.look(settings, sheet.reading)
    return _first_keeper(task, made), made


def _by_tool(task: Task, scenario: Scenario, tool: Tool) -> tuple[int, list[Made], str | None]:
    made: list[Made] = []
    try:
        engine = Engine(tool, scenario)
        for number in range(1, task.cap + 1):
            settings = engine.plan()
            sheet = scenario.studio.expose(settings, number)
            says = task.say_kept and settings.steps_pops is None
            engine.tell(settings, sheet.reading, kept=sheet.kept_said if says else None)
            made.append(
                Made(
                    settings.as_json(),
                    engine.forecast,
                    sheet.off_stops,
                    sheet.keeper,
                    sheet.spoiled,
                    sheet.misset,
                    engine.odd,
                )
            )
            if sheet.keeper and not task.fixed:
                return number, made, None
    except (ToolError, IllegalAdvice) as error:
        return task.cap + 1, made, f"{type(error).__name__}: {error}"
    return _first_keeper(task, made), made, None


def _first_keeper(task: Task, made: list[Made]) -> int:
    kept = [number for number, sheet in enumerate(made, start=1) if sheet.keeper]
    return kept[0] if kept else task.cap + 1


def run_task(task: Task, tool: Tool | None) -> list[Outcome]:
    """Run one seed with every strategy on the same luck.

    Parameters
    ----------
    task : Task
        What to run.
    tool : Tool or None
        Needed for ``engine``.

    Returns
    -------
    list of Outcome
        One for each strategy; those out of the kit's power hold no sheets and 0 as their number.
    """
    scenario = build(task.cls, task.seed, task.mode, WORLDS[task.world], say_kept=task.say_kept)
    studio = scenario.studio
    oracle = Oracle(studio)
    power = oracle.best.p_keeper
    outcomes = []
    for strategy in task.strategies:
        sheets, made, error = 0, list[Made](), None
        if power < OUT_OF_POWER:
            pass
        elif strategy == "engine":
            if tool is None:
                raise ValueError("The engine needs a tool to talk to.")
            sheets, made, error = _by_tool(task, scenario, tool)
        elif strategy == "oracle":
            sheets, made = _by_person(task, studio, oracle)
        else:
            person = HandMethod if strategy == "hand" else PointCorrection
            sheets, made = _by_person(
                task, studio, person(studio.kit, studio.sitting, scenario.past)
            )
        outcomes.append(
            Outcome(
                task.world, task.cls, task.mode, strategy, task.seed, power, sheets, made, error
            )
        )
    return outcomes
