"""Lines of the worked examples of a day, built from the figures as they are printed."""

from __future__ import annotations

from collections.abc import Iterable

from stillroom.wetline.day import Coming, Line, Schedule, Stage, bounds, line_of

__all__ = [
    "BOX",
    "EIGHT",
    "ONE_DEV_TRAY",
    "ONE_TANK",
    "STEPS_MIN",
    "TRAYS_TWO_PEOPLE",
    "TWO_DRUMS",
    "TWO_TANKS",
    "WORKED_B",
    "WORKED_C",
    "WORKED_C_WAITING",
    "bound_of",
    "finished_within",
    "is_held_up_by",
]

STEPS_MIN = (2, 1, 1.5, 1.5, 1, 1, 0.33, 1.5, 0.5, 1, 4)
NAMES = (
    *("first development", "first wash", "bleach", "second wash", "clear", "third wash"),
    *("lights", "second development", "rinse", "fix", "final wash"),
)
WATER = ("first wash", "second wash", "third wash", "rinse", "final wash")
ROCKED = ("first development", "bleach", "second development")
TOUCH_S, FILL_DRAIN_MIN, LOAD_MIN = 15, 0.6, 2
EIGHT = (Coming(),) * 8


def seconds(minutes: float) -> int:
    return round(60 * minutes)


def tank(holds: int = 1, hands_on_min: float = 0.0) -> Line:
    """The eleven steps and the loading in tanks; the operator's minutes at their beginning."""
    took = seconds(sum(STEPS_MIN) + len(STEPS_MIN) * FILL_DRAIN_MIN + LOAD_MIN)
    stage = Stage("in the tank", took, 0, seconds(hands_on_min))
    return line_of([("tank", stage)], {"tank": holds})


def trays(people: int = 1) -> Line:
    """Every step its own tray; twelve transfers, and 1.5 min of rocking in the three that ask it.

    Sheets may wait in water for as long as is wanted.
    """
    stages = [
        (
            name,
            Stage(
                name,
                seconds(took),
                None if name in WATER else 0,
                TOUCH_S + (30 if name in ROCKED else 0),
            ),
        )
        for name, took in zip(NAMES, STEPS_MIN, strict=True)
    ]
    stages.append(("", Stage("hang up", TOUCH_S, None, TOUCH_S)))
    return line_of(stages, {"final wash": 4}, people)


def one_dev_tray(waits_s: int = 0) -> Line:
    """Worked C: its own minutes, one developer tray for both developments."""
    minutes = (2, 1, 1.5, 1.5, 1, 1, 0.5, 1.5, 4)
    names = [*NAMES[:8], "final wash"]
    stages = [
        (
            "developer" if "development" in name else name,
            Stage(name, seconds(took), waits_s if "wash" in name else 0),
        )
        for name, took in zip(names, minutes, strict=True)
    ]
    return line_of(stages, {"final wash": 2})


def box() -> Line:
    """In the box, by feel: hands stay with the sheet to the last rinse (so read by us)."""
    took = seconds(sum(STEPS_MIN[:9])) + 9 * TOUCH_S
    return line_of([("box", Stage("in the box", took, 0, took))])


ONE_TANK, TWO_TANKS, TWO_DRUMS = tank(), tank(2), tank(2, 7.0)
WORKED_B, TRAYS_TWO_PEOPLE = trays(), trays(2)
WORKED_C, WORKED_C_WAITING, ONE_DEV_TRAY = one_dev_tray(), one_dev_tray(30), one_dev_tray(60)
BOX = box()


def bound_of(line: Line, name: str) -> float:
    """What one station, or the hands, allow [min]."""
    return next(each.interval_s for each in bounds(line) if each.name == name) / 60


def is_held_up_by(line: Line, names: Iterable[str]) -> bool:
    return bounds(line)[0].name in names


def finished_within(found: Schedule, minutes: float) -> int:
    return sum(row[-1] <= 60 * minutes for row in found.starts_s)
