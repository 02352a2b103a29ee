"""The line of a day: the chair, the holders, the trays or tanks, and the times they take."""

from __future__ import annotations

from dataclasses import dataclass, replace

from stillroom.documents.day import Assumed
from stillroom.documents.wet import Status
from stillroom.services.day.asked import Ground
from stillroom.services.processes import steps_of
from stillroom.wetline.day import Between, Line, Stage, Station, line_of
from stillroom.wetline.process import Timed, at_temperature

STEP_S = 5
"""Times are planned to five seconds."""
TANK, DEVELOPER, CHAIR, HOLDERS = "tank", "developer", "chair", "holders"
LAST_WASH = "last wash"
LAST_WASH_HOLDS = 4
"""Sheets at once in the last wash: common practice, no source."""
ROCKED = ("first_development", "bleach", "second_development")
ROCKING_S = 30
"""Of its time, what rocking keeps hands from anything else; a minute and a half a sheet in all
(computed from common practice)."""
WATER = ("first_wash", "second_wash", "third_wash", "rinse")
ANY_LONGER = ("last_wash",)
CARRY_S = 15


@dataclass(frozen=True, slots=True)
class Figure:
    """A time people take."""

    name: str
    between: Between
    unit: str
    status: Status = "common_practice"


FIGURES: dict[str, Figure] = {
    "greet": Figure("greeting and consent", Between(5, 10), "min"),
    "pose": Figure("posing, light, focus, exposure", Between(3, 6), "min"),
    "unload": Figure("unloading a holder side and loading it again", Between(0.5, 1), "min"),
    "read": Figure("reading a sheet and setting anew", Between(2, 4), "min"),
    "touch": Figure("moving a sheet to the next tray", Between(10, 25), "s"),
    "fill": Figure("draining one bath and filling the next", Between(0.4, 0.9), "min"),
    "set_up": Figure("mixing and setting up", Between(30, 45), "min"),
    "clear_up": Figure("clearing up", Between(25, 35), "min", "invented"),
}
"""Times with their ranges, common practice without a source where nothing else is said; that nine
in ten lie in them is ours."""


@dataclass(frozen=True, slots=True)
class Times:
    """What people and baths take on one day."""

    greet_min: float
    pose_min: float
    unload_min: float
    read_min: float
    touch_s: float
    fill_min: float
    eye_times: float = 1.0
    """Baths that end by eye take so many times as long as planned [1]."""


def middle_times() -> Times:
    """What people take on a day like any other."""
    middle = {name: figure.between.middle for name, figure in FIGURES.items()}
    return Times(
        greet_min=middle["greet"],
        pose_min=middle["pose"],
        unload_min=middle["unload"],
        read_min=middle["read"],
        touch_s=middle["touch"],
        fill_min=middle["fill"],
    )


def assumed(*, with_sitters: bool, in_vessel: bool) -> tuple[Assumed, ...]:
    """The figures a day is reckoned with, for whoever wants to know."""
    left_out = {"touch"} if in_vessel else {"fill"}
    if not with_sitters:
        left_out |= {"greet", "pose", "read"}
    return tuple(
        Assumed(
            name=figure.name,
            low=figure.between.low,
            high=figure.between.high,
            unit=figure.unit,
            status=figure.status,
        )
        for name, figure in FIGURES.items()
        if name not in left_out
    )


@dataclass(frozen=True, slots=True)
class DayLine:
    """A line with the stage after which a sheet can be read.

    Parameters
    ----------
    line : Line
        The line.
    first_wet : int
        The stage with which a sheet goes into the line.
    readable : int
        The stage after which it can be read wet.
    """

    line: Line
    first_wet: int
    readable: int


def day_line(ground: Ground, times: Times, *, with_chair: bool) -> DayLine:
    """The line of a day.

    Parameters
    ----------
    ground : Ground
        What the day is planned on.
    times : Times
        What people and baths take.
    with_chair : bool
        Whether sheets are exposed in it; else they come in their holders, which do not count.

    Raises
    ------
    BadValue
        If no time makes up for the temperature.
    """
    process = ground.process
    fill_s = 60 * times.fill_min if process.fill_drain_s else 0.0
    timed = at_temperature(
        steps_of(process),
        ground.temperature_c,
        reference_c=process.temperature_c,
        fill_drain_s=fill_s,
    )
    stages: list[tuple[str, Stage]] = []
    if with_chair:
        pose = _s(60 * times.pose_min)
        stages.append((CHAIR, Stage("exposure", pose, 0, pose)))
        stages.append(("", Stage("carrying", CARRY_S, None)))
    in_trays = process.vessel == "trays"
    first_wet = len(stages)
    if in_trays:
        unload = _s(60 * times.unload_min)
        stages.append(("", Stage("unloading", unload, 0, unload)))
        stages += [_in_tray(one, times) for one in timed if one.seconds is not None]
    else:
        load = _s(max(process.load_s, 60 * times.unload_min))
        stages.append((TANK, Stage("loading", load, None, load)))
        stages += [_in_tank(one, times, fill_s) for one in timed if one.seconds is not None]
    hang = _s(times.touch_s)
    stages.append(("", Stage("hanging up", hang, None, hang)))
    ids = [one.step.id for one in timed if one.seconds is not None]
    line = line_of(stages, _holds(ground, stages), ground.asked.hands)
    if with_chair:
        held = Station(HOLDERS, ground.sides, ((0, first_wet),))
        line = replace(line, stations=(*line.stations, held))
    last = "fix" if "fix" in ids else "rinse" if "rinse" in ids else ids[-1]
    readable = first_wet + 1 + (ids.index(last) if in_trays else len(ids) - 1)
    return DayLine(line, first_wet, readable)


def _holds(ground: Ground, stages: list[tuple[str, Stage]]) -> dict[str, int]:
    stations = {station for station, _ in stages}
    wanted = {
        TANK: ground.asked.tanks,
        DEVELOPER: ground.asked.developer_trays,
        LAST_WASH: LAST_WASH_HOLDS,
    }
    return {name: holds for name, holds in wanted.items() if name in stations}


def _in_tray(one: Timed, times: Times) -> tuple[str, Stage]:
    step = one.step.id
    seconds = _s(_took(one, times))
    touch = _s(times.touch_s)
    hands = touch + ROCKING_S if step in ROCKED else touch
    waits: int | None = 0
    if step in ANY_LONGER:
        waits = None
    elif step in WATER and one.longest_s is not None:
        waits = max(0, _s(one.longest_s) - seconds)
    name = step.replace("_", " ")
    station = DEVELOPER if step in ("first_development", "second_development") else name
    return station, Stage(name, max(seconds, touch), waits, min(hands, max(seconds, touch)))


def _in_tank(one: Timed, times: Times, fill_s: float) -> tuple[str, Stage]:
    seconds = _s(_took(one, times))
    waits: int | None = 0
    if one.step.id in ANY_LONGER:
        waits = None
    elif one.step.id in WATER and one.longest_s is not None:
        waits = max(0, _s(one.longest_s) - seconds)
    name = one.step.id.replace("_", " ")
    return TANK, Stage(name, seconds, waits, min(_s(fill_s), seconds))


def _took(one: Timed, times: Times) -> float:
    seconds = one.seconds or 0.0
    return seconds * times.eye_times if one.step.ends == "eye" else seconds


def _s(seconds: float) -> int:
    return max(STEP_S, STEP_S * round(seconds / STEP_S))
