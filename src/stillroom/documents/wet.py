"""The wet line: processes as data, the bench as a page needs it, and what became of a sheet."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.thing import Thing
from stillroom.wetline import Ends, Pace, StepId

Base = Literal["rc", "fibre"]
Vessel = Literal["trays", "one_tank", "drum"]
BenchLight = Literal["red", "white"]
HandsWord = Literal["Rock", "Lift", "Drain", "Look", "Lights", "Leave", "Rinse"]
Status = Literal[
    "published_seen", "published_memory", "common_practice", "computed", "own", "invented"
]
"""How a figure is known: published and seen, published and remembered, common practice without a
source, computed from stated figures, the photographer's own, or invented here."""
Outcome = Literal["in_work", "through", "stopped"]
LookAt = Literal["negative", "pale"]
LookWord = Literal["too_dark", "about_right", "too_light"]
EventKind = Literal[
    "begin", "step", "longer", "done", "stop", "look", "black", "temperature", "through"
]

StepS = Annotated[float, Field(gt=0, le=86_400)]
"""How long a step takes [s]; a step of no length is left out instead."""
BathC = Annotated[float, Field(ge=0, le=60)]


class Basis(Strict):
    """How one figure of a step is known."""

    figure: Line
    """Which figure, such as ``seconds``, ``range``, ``temperature``, ``light``."""
    status: Status
    source: Line = ""
    """Title of what it was taken from, or a word on it; empty where there is none."""


class Caution(Strict):
    """What is said before a step."""

    label: Line
    text: Text


class ProcessStep(Strict):
    """One step of a process: its time at the process's own temperature, and how it ends."""

    id: StepId
    ends: Ends = "time"
    seconds: StepS | None = None
    """Left out of a step that is open at its end, such as drying."""
    least_s: StepS | None = None
    longest_s: StepS | None = None
    lift_s: Annotated[float, Field(ge=0, le=600)] = 10.0
    """Its last seconds, in which the sheet is lifted and drained [s]."""
    pace: Pace = "none"
    """What its time does with temperature: as development, bleaching, washing, or nothing."""
    kept_at_c: BathC | None = None
    """Of a bath that is kept at a temperature of its own, which its time is for [degrees C]."""
    coldest_c: BathC | None = None
    warmest_c: BathC | None = None
    """The bath's own limits, where it has any besides the line's [degrees C]."""
    agitation: Line = ""
    bath: Line = ""
    """What stands in the tray."""
    eye_text: Line = ""
    again_share: Annotated[float, Field(ge=0, le=2)] = 0.0
    """How much longer a step by eye goes on once the eye is content, as a share of what it took
    till then [1]."""
    is_optional: bool = False
    is_left_out: bool = False
    caution: Caution | None = None
    bases: tuple[Basis, ...] = ()

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.ends == "open":
            return self
        if self.seconds is None:
            msg = f"step {self.id!r} needs seconds"
            raise ValueError(msg)
        low = self.least_s if self.least_s is not None else self.seconds
        high = self.longest_s if self.longest_s is not None else self.seconds
        if not low <= self.seconds <= high:
            msg = (
                f"step {self.id!r} takes {self.seconds:g} s, which must lie from its least "
                f"({low:g} s) to its longest ({high:g} s)"
            )
            raise ValueError(msg)
        if self.lift_s >= self.seconds:
            msg = (
                f"step {self.id!r} takes {self.seconds:g} s, of which lifting cannot take "
                f"{self.lift_s:g} s"
            )
            raise ValueError(msg)
        return self


class Process(Thing):
    """A way of taking a sheet through the line: what stands in which tray, and how long."""

    paper: Base = "rc"
    vessel: Vessel = "trays"
    bleach: Literal["dichromate", "permanganate", "peroxide", "own"] = "own"
    based_on: Name | None = None
    """The process it was copied from."""
    temperature_c: BathC = 20.0
    """The temperature its times are for [degrees C]."""
    load_s: Annotated[float, Field(ge=0, le=3600)] = 0.0
    """Getting a sheet into the vessel in the dark [s]."""
    fill_drain_s: Annotated[float, Field(ge=0, le=600)] = 0.0
    """Draining one bath and filling the next, where there is one vessel, in addition to each
    step [s]."""
    steps: Annotated[tuple[ProcessStep, ...], Field(min_length=1, max_length=13)]
    bases: tuple[Basis, ...] = ()

    @model_validator(mode="after")
    def _once(self) -> Self:
        named = [step.id for step in self.steps]
        for name in named:
            if named.count(name) > 1:
                msg = f"step {name!r} stands twice in process {self.id!r}"
                raise ValueError(msg)
        return self

    def step(self, step_id: str) -> ProcessStep | None:
        """The step of that id, or None where the process has none."""
        return next((s for s in self.steps if s.id == step_id and not s.is_left_out), None)


# ── What became of a sheet ──────────────────────────────────────────────────────────────────


class RunStep(Strict):
    """One step of a sheet as it was."""

    step: StepId
    began_at: AwareDatetime
    ended_at: AwareDatetime | None = None
    longer_s: Annotated[float, Field(ge=0, le=86_400)] = 0.0
    bath: Name | None = None
    """The bath that was mixed for it."""


class RunLook(Strict):
    """An early look at a sheet in the line."""

    at: AwareDatetime
    look: LookAt
    word: LookWord


class WetRun(Strict):
    """How one sheet went through the line; facts only."""

    id: Name
    """Made where it began."""
    sitting: Name
    sheet: Annotated[int, Field(ge=1, le=10_000)]
    mark: Line = ""
    process: Name
    temperature_c: BathC
    """Of the first developer; of one that drifted, the even one that works as much [degrees C]."""
    asked_s: StepS | None = None
    asked_c: BathC | None = None
    """What the process asked of the first development when the sheet began, so that a process
    altered later alters nothing of it [s, degrees C]; left out: as the process stands."""
    began_at: AwareDatetime
    ended_at: AwareDatetime | None = None
    outcome: Outcome = "in_work"
    steps: tuple[RunStep, ...] = ()
    first_black_s: Annotated[float, Field(gt=0, le=3600)] | None = None
    """From the first developer to the first sign of black [s]."""
    looks: tuple[RunLook, ...] = ()

    @model_validator(mode="after")
    def _goes_together(self) -> Self:
        if (self.outcome == "in_work") != (self.ended_at is None):
            msg = f"run {self.id!r} is {self.outcome!r}: ended_at goes with 'through' or 'stopped'"
            raise ValueError(msg)
        begun = [self.began_at, *(step.began_at for step in self.steps)]
        if begun != sorted(begun) or (self.ended_at is not None and self.ended_at < begun[-1]):
            msg = f"run {self.id!r} must go forward in time: a clock was set back"
            raise ValueError(msg)
        ends = [*(step.began_at for step in self.steps[1:]), self.ended_at]
        for step, end in zip(self.steps, ends, strict=False):
            if end is not None and step.ended_at != end:
                msg = f"step {step.step!r} of run {self.id!r} must end when the next begins"
                raise ValueError(msg)
        return self


class BenchEvent(Strict):
    """One fact told by the bench; an id is taken once, whenever and however often it is sent."""

    id: Name
    run: Name
    kind: EventKind
    at: AwareDatetime
    sitting: Name | None = None
    sheet: Annotated[int, Field(ge=1, le=10_000)] | None = None
    step: StepId | None = None
    seconds: Annotated[float, Field(gt=0, le=86_400)] | None = None
    """Of *longer*: how much; of *black*: since the first developer [s]."""
    word: LookWord | None = None
    process: Name | None = None
    temperature_c: BathC | None = None
    bath: Name | None = None
    asked_s: StepS | None = None
    asked_c: BathC | None = None
    """Of *begin*: what the process asks of the first development; written by the desk."""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        wanted = _NEEDS.get(self.kind, ())
        missing = [name for name in wanted if getattr(self, name) is None]
        if missing:
            msg = f"an event of kind {self.kind!r} needs {' and '.join(missing)}"
            raise ValueError(msg)
        return self


_NEEDS: dict[str, tuple[str, ...]] = {
    "begin": ("sitting", "sheet", "process", "temperature_c"),
    "step": ("step",),
    "longer": ("step", "seconds"),
    "done": ("step",),
    "look": ("step", "word"),
    "temperature": ("temperature_c",),
}


class Refused(Strict):
    """An event that was not taken, and why."""

    id: Line
    sentence: Text


class EventsTaken(Strict):
    """What became of the events that were sent."""

    taken: tuple[Line, ...]
    refused: tuple[Refused, ...]


# ── The bench as a page needs it ────────────────────────────────────────────────────────────


class BenchProcess(Strict):
    """Which process the line stands for."""

    id: Name
    name: Line
    paper: Base
    vessel: Vessel
    bleach: Line = ""


class BenchStep(Strict):
    """One tray as it stands, at the temperature of the line."""

    id: StepId
    name: Line
    word: HandsWord
    voice: Line
    ends: Ends
    seconds: float | None
    """The whole step, lifting included; None where it is open [s]."""
    least_s: float | None
    longest_s: float | None
    lift_s: float
    light: BenchLight
    """What light the sheet in this step bears."""
    look: Literal["", "negative", "pale"] = ""
    agitation: Line = ""
    bath: Line = ""
    eye_text: Line = ""
    again_share: float = 0.0
    """Of a step by eye: how much longer it goes on once the eye is content [1]."""
    then: Line = ""
    is_optional: bool = False
    caution: Caution | None = None
    temperature_c: float | None = None
    """The bath's own temperature, where the step hangs on one [degrees C]."""
    statuses: tuple[Basis, ...] = ()


class BenchSheet(Strict):
    """A sheet that may go through the line, or is in it."""

    sitting: Name
    number: int
    mark: Line
    clip: int | None
    state: Literal["exposed", "in_work", "through"]


class BenchBath(Strict):
    """A bath that stands mixed, and how far it is used."""

    id: Name
    name: Line
    told: Line
    sheets_used: float
    sheets_good: float | None
    good_until: AwareDatetime | None = None
    life: Literal["good", "last", "past"] = "good"


class Bench(Strict):
    """The wet line as it stands: trays, sheets, runs, baths (version ``bench/1``)."""

    stillroom: Literal["bench/1"] = "bench/1"
    process: BenchProcess
    temperature_c: float
    steps: tuple[BenchStep, ...]
    sheets: tuple[BenchSheet, ...]
    runs: tuple[WetRun, ...]
    baths: tuple[BenchBath, ...]
    cautions: tuple[Caution, ...] = ()
    """What holds for the whole line at this temperature."""
    spacing_s: float = 20.0
    """No two lifts fall within so many seconds [s]."""
    ahead_s: float = 10.0
    longer_s: float = 10.0
