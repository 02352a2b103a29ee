"""A reversal process as steps in order, at the temperature of a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.wetline.temperature import (
    REFERENCE_C,
    Pace,
    check_line,
    seconds_at,
)

Ends = Literal["time", "eye", "open"]

StepId = Literal[
    "first_development",
    "first_wash",
    "bleach",
    "second_wash",
    "clear",
    "third_wash",
    "lights",
    "second_development",
    "rinse",
    "fix",
    "wash_aid",
    "last_wash",
    "dry",
]
STEPS: tuple[str, ...] = get_args(StepId)
"""Every step there is, in the only order in which a sheet can take them."""
NEEDED = ("first_development", "first_wash", "bleach", "lights", "second_development")
"""Without these nothing reverses: each with what stands between developer and bleach."""
LONGEST_STEP_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a process.

    Attributes
    ----------
    id : str
        One of `STEPS`.
    seconds : float or None
        Its time at the process's temperature, lifting included; None where it is open [s].
    least_s, longest_s : float or None
        The range in which it works [s].
    ends : str
        ``time``, ``eye`` (somebody looks), or ``open``.
    pace : str
        What temperature does to its time.
    lift_s : float
        Its last seconds, in which the sheet is lifted and drained [s].
    kept_at_c : float or None
        The bath's own temperature, for which its time is, where it does not follow the line
        [degrees C].
    warmest_c : float or None
        The bath is kept no warmer than this [degrees C].
    """

    id: str
    seconds: float | None
    least_s: float | None = None
    longest_s: float | None = None
    ends: Ends = "time"
    pace: Pace = "none"
    lift_s: float = 0.0
    kept_at_c: float | None = None
    warmest_c: float | None = None


@dataclass(frozen=True, slots=True)
class Timed:
    """One step at the temperature of a line.

    Attributes
    ----------
    step : Step
        As the process has it.
    seconds, least_s, longest_s : float or None
        What it takes here, draining and filling one vessel included [s].
    lift_s : float
        The last of these seconds, in which the hands lift, drain, or drain and fill [s].
    temperature_c : float or None
        Of the bath; None where it does not matter [degrees C].
    """

    step: Step
    seconds: float | None
    least_s: float | None
    longest_s: float | None
    lift_s: float
    temperature_c: float | None


def check_steps(steps: Sequence[Step]) -> None:
    """Check that steps can reverse a sheet.

    Raises
    ------
    UnknownName
        If a step is none of `STEPS`.
    BadValue
        If one stands out of order or twice, or one that is needed is missing.
    OutOfRange
        If a time is not above 0, or longer than a day.
    """
    places = []
    for step in steps:
        if step.id not in STEPS:
            raise UnknownName("step", step.id, STEPS)
        places.append(STEPS.index(step.id))
        for name, value in (
            (f"seconds of {step.id}", step.seconds),
            (f"least_s of {step.id}", step.least_s),
            (f"longest_s of {step.id}", step.longest_s),
        ):
            if value is not None and not 0 < value <= LONGEST_STEP_S:
                raise OutOfRange(name, value, 1, LONGEST_STEP_S, "s")
        if step.seconds is None and step.ends != "open":
            raise BadValue(f"seconds of {step.id}", "missing", "say how long it takes")
    for earlier, later in pairwise(places):
        if later <= earlier:
            raise BadValue(
                "order of the steps",
                f"{STEPS[earlier]}, {STEPS[later]}",
                f"{STEPS[later]} comes before {STEPS[earlier]} and stands there once",
            )
    named = {step.id for step in steps}
    for needed in NEEDED:
        if needed not in named:
            raise BadValue(
                "steps", f"without {needed}", "no sheet reverses without it; put it in its place"
            )


def at_temperature(
    steps: Iterable[Step],
    temperature_c: float,
    *,
    reference_c: float = REFERENCE_C,
    fill_drain_s: float = 0.0,
) -> tuple[Timed, ...]:
    """The steps of a process in a line of a certain temperature.

    Parameters
    ----------
    steps : iterable of Step
        In order.
    temperature_c : float
        Of the line [degrees C].
    reference_c : float
        The temperature the times are for [degrees C].
    fill_drain_s : float
        Draining one bath and filling the next, added to each step that is not open [s].

    Returns
    -------
    tuple of Timed
        A bath that must not be as warm as the line is kept at its own limit.

    Raises
    ------
    BadValue
        If no time makes up for that temperature: below 14, above 27 degrees C.

    Examples
    --------
    >>> (one,) = at_temperature([Step("first_development", 120, pace="developer")], 18)
    >>> round(one.seconds)
    138
    """
    temperature_c = check_line(temperature_c)
    return tuple(_timed(step, temperature_c, reference_c, fill_drain_s) for step in steps)


def _timed(step: Step, line_c: float, reference_c: float, fill_drain_s: float) -> Timed:
    if step.kept_at_c is not None:
        bath_c = reference_c = step.kept_at_c
    else:
        bath_c = line_c if step.warmest_c is None else min(line_c, step.warmest_c)

    def here(value: float | None) -> float | None:
        if value is None:
            return None
        return seconds_at(value, bath_c, step.pace, reference_c=reference_c) + fill_drain_s

    if step.ends == "open":
        return Timed(step, None, None, None, 0.0, None)
    lift_s = step.lift_s + fill_drain_s
    known = None if step.pace == "none" else bath_c
    return Timed(step, here(step.seconds), here(step.least_s), here(step.longest_s), lift_s, known)


def total_s(timed: Iterable[Timed], *, load_s: float = 0.0) -> float:
    """How long one sheet takes through a line, to the end of the last wash.

    Parameters
    ----------
    timed : iterable of Timed
        Its steps.
    load_s : float
        Getting the sheet into the vessel [s].

    Returns
    -------
    float
        [s]

    Examples
    --------
    >>> total_s(at_temperature([Step("first_development", 120)], 20, fill_drain_s=36))
    156.0
    """
    return load_s + sum(one.seconds for one in timed if one.seconds is not None)
