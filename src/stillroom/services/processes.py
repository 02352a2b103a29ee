"""Processes of the wet line: those that come with the tool, and a book's own."""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import Any

from stillroom.documents.book import Book, Paper
from stillroom.documents.kit import Camera
from stillroom.documents.read import validated
from stillroom.documents.wet import Process, ProcessStep
from stillroom.errors import UnknownName
from stillroom.services.cautions import step_caution
from stillroom.wetline.process import Step, check_steps

DATA = ("data", "processes.json")
"""Where the starting times lie in the package, each with how it is known."""
LOOKED_AT = ("bleach", "clear")
"""Steps that end by eye; their baths come from the family of the bleach."""

AGAIN_SHARE = 0.5
"""Once no black is left the bleach goes on for half its time (common practice, no source)."""


@lru_cache(maxsize=1)
def built_in() -> tuple[Process, ...]:
    """Every process that comes with the tool: each line with each family of bleach.

    Examples
    --------
    >>> [process.id for process in built_in()][:2]
    ['rc-trays/permanganate', 'rc-trays/dichromate']
    """
    data = _data()
    return tuple(_joined(line, bleach) for line in data["lines"] for bleach in data["bleaches"])


def processes(book: Book) -> tuple[Process, ...]:
    """A book's own processes, then those that come with the tool."""
    return (*(p for p in book.kit.processes if not p.retired), *built_in())


def process_called(book: Book, name: str) -> Process:
    """The process of that id.

    Raises
    ------
    UnknownName
        If neither the book nor the tool has one.
    """
    known = {process.id: process for process in (*built_in(), *book.kit.processes)}
    if name not in known:
        raise UnknownName("process", name, known)
    return known[name]


def usual_process(book: Book, paper: Paper | None = None, camera: Camera | None = None) -> Process:
    """The process that is taken where nobody names one.

    Parameters
    ----------
    book : Book
        The book.
    paper, camera : Paper, Camera, optional
        What is used; a camera's own process stands before the paper's.

    Returns
    -------
    Process
        Without a word of either, or where what they name is gone: resin-coated paper in trays,
        permanganate.
    """
    known = {process.id: process for process in (*built_in(), *book.kit.processes)}
    for thing in (camera, paper):
        if thing is not None and thing.process in known:
            return known[thing.process]
    usual: str = _data()["usual"]["rc"]
    return known[usual]


def gone(book: Book, *things: Paper | Camera) -> str:
    """A sentence where one of these names a process that is not there; else empty."""
    for thing in things:
        if thing.process is not None:
            try:
                process_called(book, thing.process)
            except UnknownName as error:
                return f"{thing.name or thing.id}: {error}"
    return ""


def steps_of(process: Process) -> tuple[Step, ...]:
    """The steps of a process in the core's terms, those left out left out, checked.

    Raises
    ------
    BadValue, OutOfRange, UnknownName
        If they cannot reverse a sheet.
    """
    found = tuple(
        Step(
            step.id,
            step.seconds,
            step.least_s,
            step.longest_s,
            step.ends,
            step.pace,
            step.lift_s,
            step.kept_at_c,
            step.warmest_c,
        )
        for step in process.steps
        if not step.is_left_out
    )
    check_steps(found)
    return found


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    text = files("stillroom.services").joinpath(*DATA).read_text(encoding="utf-8")
    read: dict[str, Any] = json.loads(text)
    return read


def _joined(line: dict[str, Any], bleach: dict[str, Any]) -> Process:
    paper, vessel = line["paper"], line["vessel"]
    steps = []
    for step in line["steps"]:
        by_eye = {"bleach": bleach, "clear": bleach["clear"]}.get(step["id"])
        if by_eye is None:
            steps.append(step)
            continue
        caution = step_caution(step["id"], bleach["id"])
        told = {"caution": caution._asdict()} if caution else {}
        steps.append(_by_eye(step["id"], by_eye, paper, vessel) | told)
    said = {
        "id": f"{line['id']}/{bleach['id']}",
        "name": f"{line['name']}, {bleach['name']}",
        "paper": paper,
        "vessel": vessel,
        "bleach": bleach["id"],
        "load_s": line["load_s"],
        "fill_drain_s": line["fill_drain_s"],
        "steps": steps,
        "bases": line["bases"],
    }
    return validated(Process, said)


def _by_eye(step_id: str, family: dict[str, Any], paper: str, vessel: str) -> dict[str, Any]:
    seconds, least, longest = family[paper]
    apart = ", never one sheet upon another" if vessel == "trays" else ""
    said = {
        "id": step_id,
        "ends": "eye",
        "seconds": seconds,
        "least_s": least,
        "longest_s": longest,
        "lift_s": 10.0 if vessel == "trays" else 0.0,
        "pace": "bleach" if step_id == "bleach" else "wash",
        "agitation": f"moved without a pause{apart}",
        "bath": family["bath"],
        "eye_text": family.get("eye_text") or _till_gone(paper),
        **({"again_share": AGAIN_SHARE} if step_id == "bleach" else {}),
        "bases": family["bases"],
    }
    own = {k: family[k] for k in ("kept_at_c", "coldest_c", "warmest_c") if k in family}
    return validated(ProcessStep, said | own).model_dump(exclude_unset=True)


def _till_gone(paper: str) -> str:
    where = "the face" if paper == "rc" else "face and back"
    return f"till no black is left on {where}, then half as long again"
