"""A process of one's own: a copy of another, with one's own times."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from stillroom.documents.wet import Process, ProcessStep
from stillroom.errors import BadValue, UnknownName

OWN_TIME = {"figure": "seconds", "status": "own"}


def own_steps(
    base: Process, times_s: Mapping[str, float], without: Collection[str] = ()
) -> list[dict[str, Any]]:
    """The steps of a process with other times, as a document has them.

    Parameters
    ----------
    base : Process
        What is copied.
    times_s : mapping of str to float
        Step to its time at the process's temperature [s]; a range that does not hold it is
        widened to it.
    without : collection of str
        Steps that are left out.

    Returns
    -------
    list of dict

    Raises
    ------
    UnknownName
        If the process has no such step.
    BadValue
        If a step that only ends when it is dry is given a time.
    """
    known: dict[str, ProcessStep] = {step.id: step for step in base.steps}
    for name in (*times_s, *without):
        if name not in known:
            raise UnknownName(f"step of process {base.id!r}", name, known)
        if name in times_s and known[name].ends == "open":
            raise BadValue(
                f"seconds of {name}", times_s[name], "it ends when it ends; leave it out"
            )
    return [_own(step, times_s.get(step.id), left_out=step.id in without) for step in base.steps]


def _own(step: ProcessStep, seconds: float | None, *, left_out: bool) -> dict[str, Any]:
    said = step.model_dump(exclude_unset=True)
    if left_out:
        said["is_left_out"] = True
    else:
        said.pop("is_left_out", None)
    if seconds is None or seconds == step.seconds:
        return said
    said["seconds"] = seconds
    if step.least_s is not None:
        said["least_s"] = min(step.least_s, seconds)
    if step.longest_s is not None:
        said["longest_s"] = max(step.longest_s, seconds)
    if seconds <= 2 * step.lift_s:
        said["lift_s"] = seconds / 2
    others = [b.model_dump(exclude_unset=True) for b in step.bases if b.figure != "seconds"]
    said["bases"] = [OWN_TIME, *others]
    return said
