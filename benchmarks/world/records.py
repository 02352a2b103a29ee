"""What is run and what came of it: tasks, sheets and outcomes, and their way to JSON and back."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal, Self, get_args

from benchmarks.world.public import ClassName, Mode, Settings
from benchmarks.world.scenario import CAP
from benchmarks.world.sheets import Sheet

Strategy = Literal[
    "hand",
    "point",
    "engine",
    "told_kept",
    "stepped_first",
    "together_2",
    "together_3",
    "together_4",
    "sheet_reader",
    "past_perfect",
    "oracle",
]
ALL_STRATEGIES: tuple[Strategy, ...] = get_args(Strategy)
_ORDER: tuple[str, ...] = ALL_STRATEGIES
STRATEGIES: tuple[Strategy, ...] = (
    "hand",
    "point",
    "engine",
    "sheet_reader",
    "past_perfect",
    "oracle",
)
READINGS: tuple[str, ...] = get_args(Mode)
BY_TOOL: tuple[Strategy, ...] = (
    "engine",
    "told_kept",
    "stepped_first",
    "together_2",
    "together_3",
    "together_4",
)
Key = tuple[str, str, str, str, int, bool]
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
    round : int
        Sheets of one round are exposed before any of them is seen; counted from 1.
    p_any : float or None
        The tool's odds that one sheet at least of the round lands; None when it was made alone.
    imagined : Made or None
        For a stepped sheet at the start of a fixed run: the plain sheet made in its place.
    """

    settings: dict[str, Any]
    forecast: dict[str, Any] | None
    off_stops: dict[str, float]
    keeper: bool
    spoiled: bool
    misset: bool
    odd: str | None = None
    round: int = 1
    p_any: float | None = None
    imagined: Made | None = None

    @classmethod
    def of(
        cls,
        settings: Settings,
        sheet: Sheet,
        number: int,
        forecast: dict[str, Any] | None = None,
        **more: Any,
    ) -> Self:
        """Put together what was set and what came of it; made alone unless said otherwise."""
        return cls(
            settings.as_json(),
            forecast,
            sheet.off_stops,
            sheet.keeper,
            sheet.spoiled,
            sheet.misset,
            **{"round": number, **more},
        )

    @classmethod
    def from_json(cls, said: dict[str, Any]) -> Self:
        """Read what :func:`dataclasses.asdict` wrote."""
        imagined = said["imagined"]
        return cls(**{**said, "imagined": None if imagined is None else cls.from_json(imagined)})


@dataclass(frozen=True, slots=True)
class Paper:
    """What the tool says of the paper's speed when the sitting is over, and what it is [stops]."""

    mean: float
    sd: float
    true: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """One sitting of one strategy.

    Parameters
    ----------
    world, cls, reading, strategy : str
        What was run; class D with a sitter who was asked for is called D2 to D8.
    seed : int
        Which one.
    power : float
        The oracle's odds at its best settings.
    sheets : int
        Sheets spent up to the first keeper, stepped ones and the whole last round counted; one
        more than the cap when there was none, or when the tool erred.
    made : list of Made
        Sheet by sheet.
    error : str or None
        What ended the sitting early.
    rounds : int
        Times that somebody had to wait until sheets were finished and read.
    fixed : bool
        Whether the run went on after a keeper.
    sitters : int
        Sittings of the seed, this one included.
    paper : Paper or None
        Class D by the tool.
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
    rounds: int = 0
    fixed: bool = False
    sitters: int = 1
    paper: Paper | None = None

    @property
    def in_power(self) -> bool:
        """Whether the kit can reach the aims at all."""
        return self.power >= OUT_OF_POWER

    @property
    def key(self) -> Key:
        """What it is the outcome of."""
        return (self.world, self.cls, self.reading, self.strategy, self.seed, self.fixed)

    @property
    def order(self) -> tuple[object, ...]:
        """Where it stands among others in a table."""
        reading, strategy = READINGS.index(self.reading), _ORDER.index(self.strategy)
        return (self.world, self.cls, reading, self.fixed, strategy, self.seed)

    def as_json(self) -> dict[str, Any]:
        """Give everything for the results file."""
        return asdict(self)

    @classmethod
    def from_json(cls, said: dict[str, Any]) -> Self:
        """Read what :meth:`as_json` gave."""
        paper = said["paper"]
        return cls(
            **{
                **said,
                "made": [Made.from_json(one) for one in said["made"]],
                "paper": None if paper is None else Paper(**paper),
            }
        )


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
    sitters : int or None
        For class D: which sitter today's is, 2 to 8, if not by turns.
    """

    world: str
    cls: ClassName
    mode: Mode
    seed: int
    strategies: tuple[Strategy, ...] = STRATEGIES
    cap: int = CAP
    fixed: bool = False
    sitters: int | None = None

    @property
    def label(self) -> str:
        """The class as outcomes call it."""
        return self.cls if self.sitters is None or self.cls != "D" else f"D{self.sitters}"

    @property
    def keys(self) -> list[Key]:
        """What its outcomes will be called."""
        return [
            (self.world, self.label, self.mode, strategy, self.seed, self.fixed)
            for strategy in self.strategies
        ]


def together_of(strategy: Strategy) -> int:
    """Give how many sheets a strategy makes before any is seen.

    Examples
    --------
    >>> together_of("together_3"), together_of("engine")
    (3, 1)
    """
    return int(strategy.removeprefix("together_")) if strategy.startswith("together_") else 1
