"""What the bench told, put together to how a sheet went through the line; and back again.

Facts carry the moment they happened at, so the order in which they arrive does not matter.
"""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import accumulate
from typing import get_args

from stillroom.documents.wet import (
    BenchEvent,
    LookAt,
    Outcome,
    RunLook,
    RunStep,
    WetRun,
)
from stillroom.wetline import StepId, work_seconds
from stillroom.wetline.temperature import REFERENCE_C

_RANK = {
    "begin": 0,
    "done": 1,
    "step": 2,
    "temperature": 3,
    "longer": 4,
    "black": 5,
    "look": 6,
    "stop": 7,
    "through": 8,
}
FIRST: StepId = "first_development"
LONGEST_S = 86_400.0
ASKED = ("asked_s", "asked_c")
_LOOK_OF: dict[StepId, LookAt] = {
    "first_development": "negative",
    "first_wash": "negative",
    "bleach": "negative",
    "second_wash": "pale",
    "clear": "pale",
    "third_wash": "pale",
}


def look_of(step: StepId) -> LookAt | None:
    """What an early look in a step sees: the negative, the pale positive, or nothing early."""
    return _LOOK_OF.get(step)


def in_order(events: Iterable[BenchEvent]) -> list[BenchEvent]:
    """Events in the order in which they happened, each id once.

    What happened at the same moment is put in order of kind, then by id, so that any order of
    arrival gives the same.
    """
    once = {event.id: event for event in events}
    return sorted(once.values(), key=lambda e: (e.at, _RANK[e.kind], e.id))


def run_of(events: Iterable[BenchEvent], mark: str = "") -> WetRun | None:
    """How a sheet went through the line, by what was told of one run.

    Parameters
    ----------
    events : iterable of BenchEvent
        In any order, some perhaps twice.
    mark : str
        What the sheet is called.

    Returns
    -------
    WetRun or None
        None while nobody told that it began.
    """
    told = in_order(events)
    begin = next((e for e in told if e.kind == "begin"), None)
    if begin is None:
        return None
    # `begin` says it all, or it would be no event.
    assert begin.sitting is not None  # noqa: S101 - narrows the type
    assert begin.sheet is not None  # noqa: S101
    assert begin.process is not None  # noqa: S101
    assert begin.temperature_c is not None  # noqa: S101
    black = [e for e in told if e.kind == "black"]
    end = next((e for e in reversed(told) if e.kind in ("stop", "through")), None)
    outcome: Outcome = "in_work"
    if end is not None:
        outcome = "stopped" if end.kind == "stop" else "through"
    steps = _steps(begin, told, end)
    said: dict[str, object] = {
        "id": begin.run,
        "sitting": begin.sitting,
        "sheet": begin.sheet,
        "process": begin.process,
        "temperature_c": _warmth(begin, told, steps[0].ended_at),
        "began_at": begin.at,
        "outcome": outcome,
        "steps": steps,
    }
    if mark:
        said["mark"] = mark
    for name in ASKED:
        if getattr(begin, name) is not None:
            said[name] = getattr(begin, name)
    if end is not None:
        said["ended_at"] = max(end.at, steps[-1].began_at)
    if black:
        last = black[-1]
        seconds = last.seconds or (last.at - begin.at).total_seconds()
        if 0 < seconds <= 3600:
            said["first_black_s"] = seconds
    if looks := _looks(told):
        said["looks"] = looks
    return WetRun.model_validate(said)


def _warmth(begin: BenchEvent, told: Sequence[BenchEvent], end: datetime | None) -> float:
    """Temperature of the first developer while the sheet was in it [degrees C].

    Between readings it is taken to run straight, and after the last to stay; told is the even
    temperature at which the developer would have worked as much.
    """
    readings = {0.0: begin.temperature_c or 0.0}
    for event in told:
        there = event.at >= begin.at and (end is None or event.at <= end)
        if event.kind == "temperature" and event.temperature_c is not None and there:
            readings[(event.at - begin.at).total_seconds()] = event.temperature_c
    at, warm = list(readings.items())[-1]
    if len(readings) == 1:
        return warm
    whole = at if end is None else (end - begin.at).total_seconds()
    if whole > at:
        readings[whole] = warm
    work = work_seconds(list(readings.items()))
    return round(REFERENCE_C + 10 * math.log2(work / whole), 2)


def _steps(
    begin: BenchEvent, told: Sequence[BenchEvent], end: BenchEvent | None
) -> tuple[RunStep, ...]:
    """Steps in the order of the line; where a clock was set back none begins before the last."""
    began: dict[StepId, BenchEvent] = {}
    for event in told:
        if event.kind == "step" and event.step is not None:
            began.setdefault(event.step, event)
    began.setdefault(FIRST, begin)
    line = [step for step in get_args(StepId) if step in began]
    times = list(accumulate((began[step].at for step in line), max))
    found = []
    for at, step in enumerate(line):
        if at + 1 < len(line):
            ended: datetime | None = times[at + 1]
        elif end is not None:
            ended = max(end.at, times[at])
        else:
            done = [e.at for e in told if e.kind == "done" and e.step == step]
            ended = max(done[0], times[at]) if done else None
        longer = sum(e.seconds or 0.0 for e in told if e.kind == "longer" and e.step == step)
        said: dict[str, object] = {"step": step, "began_at": times[at]}
        if ended is not None:
            said["ended_at"] = ended
        if longer:
            said["longer_s"] = min(longer, LONGEST_S)
        if began[step].bath is not None:
            said["bath"] = began[step].bath
        found.append(RunStep.model_validate(said))
    return tuple(found)


def _looks(told: Sequence[BenchEvent]) -> tuple[RunLook, ...]:
    """The last look of each kind."""
    last: dict[LookAt, RunLook] = {}
    for event in told:
        if event.kind == "look" and event.step is not None and event.word is not None:
            seen = look_of(event.step)
            if seen is not None:
                last[seen] = RunLook(at=event.at, look=seen, word=event.word)
    return tuple(sorted(last.values(), key=lambda look: (look.at, look.look)))


def latest(runs: Iterable[WetRun]) -> WetRun | None:
    """The run of a sheet that counts: the last that began; one that was stopped gives way."""
    return max(
        runs,
        key=lambda run: (run.outcome != "stopped", run.began_at, run.id),
        default=None,
    )


def run_of_sheet(events: Iterable[BenchEvent], mark: str = "") -> WetRun | None:
    """How a sheet went through the line, by everything that was told of it in any run."""
    runs: dict[str, list[BenchEvent]] = {}
    for event in events:
        runs.setdefault(event.run, []).append(event)
    found = (run_of(told, mark) for told in runs.values())
    return latest(run for run in found if run is not None)


def events_of(run: WetRun) -> tuple[BenchEvent, ...]:
    """What the bench must have told for a run to be as it is; `run_of` makes the run of them.

    Parameters
    ----------
    run : WetRun
        As it stands in a document.

    Returns
    -------
    tuple of BenchEvent
        Their ids hang on the run alone, so that the same document gives the same ones.
    """
    found: list[dict[str, object]] = [
        {
            "kind": "begin",
            "at": run.began_at,
            "sitting": run.sitting,
            "sheet": run.sheet,
            "process": run.process,
            "temperature_c": run.temperature_c,
        }
    ]
    found[0] |= {name: getattr(run, name) for name in ASKED if getattr(run, name) is not None}
    for step in run.steps:
        entered: dict[str, object] = {"kind": "step", "at": step.began_at, "step": step.step}
        if step.bath is not None:
            entered["bath"] = step.bath
        if step.step != FIRST or step.began_at != run.began_at or step.bath is not None:
            found.append(entered)
        if step.longer_s:
            found.append(
                {
                    "kind": "longer",
                    "at": step.began_at,
                    "step": step.step,
                    "seconds": step.longer_s,
                }
            )
    if run.first_black_s is not None:
        at = run.began_at + timedelta(seconds=run.first_black_s)
        found.append({"kind": "black", "at": at, "seconds": run.first_black_s})
    for look in run.looks:
        step_id = "first_wash" if look.look == "negative" else "third_wash"
        found.append({"kind": "look", "at": look.at, "step": step_id, "word": look.word})
    if run.ended_at is None and run.steps and run.steps[-1].ended_at is not None:
        last = run.steps[-1]
        found.append({"kind": "done", "at": last.ended_at, "step": last.step})
    if run.ended_at is not None:
        kind = "stop" if run.outcome == "stopped" else "through"
        found.append({"kind": kind, "at": run.ended_at})
    name = uuid.uuid5(uuid.NAMESPACE_URL, f"stillroom:wet-run:{run.id}:{run.sitting}:{run.sheet}")
    return tuple(
        BenchEvent.model_validate({"id": str(uuid.uuid5(name, str(n))), "run": run.id, **said})
        for n, said in enumerate(found)
    )
