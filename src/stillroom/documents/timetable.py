"""The wet line as a timetable, for one sheet or several (version ``timetable/1``)."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Strict, Text
from stillroom.documents.wet import BenchLight, BenchProcess, BenchStep, Caution
from stillroom.wetline import StepId


class Call(Strict):
    """One thing to do at one moment."""

    at_s: float
    """Since the first sheet went in, or began to be loaded [s]."""
    sheet: Line
    """Mark of the sheet, or its number in the line."""
    step: StepId
    voice: Line
    until_s: float | None
    """When the sheet leaves it again; None where it stays [s]."""
    is_by_eye: bool


class LightChange(Strict):
    """When the light over the bench may change."""

    at_s: float
    light: BenchLight
    sentence: Text


class LampTime(Strict):
    """How long the sheet lies under a lamp before the second development."""

    illuminance_lx: float
    seconds: float
    least_s: float
    sure_s: float
    sentence: Text


class BySign(Strict):
    """The first development by the first sign of black, without a thermometer."""

    first_sign_s: float
    least_s: float
    most_s: float
    sentence: Text


class Timetable(Strict):
    """A line from the first sheet in to the last one out."""

    stillroom: Literal["timetable/1"] = "timetable/1"
    process: BenchProcess
    temperature_c: float
    sheets: tuple[Line, ...]
    starts_s: tuple[float, ...]
    one_sheet_s: float
    """Loading, all steps with their draining, to the end of the last wash [s]."""
    finish_s: float
    """When the last sheet leaves its last wash [s]."""
    steps: tuple[BenchStep, ...]
    calls: tuple[Call, ...]
    lights: tuple[LightChange, ...]
    safelight: Text
    """What red light this paper bears, and how long to test it."""
    cautions: tuple[Caution, ...]
    lamp: LampTime | None = None
    by_sign: BySign | None = None
    spacing_s: float = 20.0
    not_checked: Text = (
        "Starting times, from habits of the trade and remembered handbooks; no sheet was measured "
        "for them. Yours replace them."
    )
