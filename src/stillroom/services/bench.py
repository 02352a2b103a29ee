"""The bench of a book: the trays at the line's temperature, the sheets, the baths."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stillroom.documents import book as doc
from stillroom.documents.to_domain import named
from stillroom.documents.wet import (
    Basis,
    Bench,
    BenchBath,
    BenchProcess,
    BenchSheet,
    BenchStep,
    Caution,
    Process,
    ProcessStep,
    WetRun,
)
from stillroom.services.bench_words import (
    NAMES,
    VOICE,
    WORDS,
    seconds_in_words,
    then_text,
    warm_bath,
)
from stillroom.services.marks import sheet_mark
from stillroom.services.processes import gone, process_called, steps_of, usual_process
from stillroom.services.readings import is_read
from stillroom.services.sittings import going_on
from stillroom.wetline.gate import light_of
from stillroom.wetline.process import Timed, at_temperature

AT_TEMPERATURE = "seconds at this temperature"
"""What a time is called that was worked out for another temperature."""
LOOKS = {"first_wash": "negative", "third_wash": "pale"}
"""Where an early look is asked for: in the water after the first developer, after the clear."""


def bench_of(
    book: doc.Book,
    today: date,
    *,
    process: str | None = None,
    temperature_c: float | None = None,
    baths: Sequence[BenchBath] = (),
) -> Bench:
    """The bench as it stands.

    Parameters
    ----------
    book : Book
        The book.
    today : date
        Sheets that went through on another day are left out.
    process : str, optional
        Left out: that of the sheets' camera or paper.
    temperature_c : float, optional
        Of the line; left out: the one the process is for [degrees C].
    baths : sequence of BenchBath
        What stands mixed.

    Returns
    -------
    Bench

    Raises
    ------
    UnknownName
        If there is no such process.
    BadValue
        If no time makes up for that temperature.
    """
    line = line_at(process_of_bench(book, process), temperature_c)
    sheets, runs = _sheets(book, today)
    return Bench(
        process=line.bench_process,
        temperature_c=line.temperature_c,
        steps=line.steps,
        sheets=tuple(sheets),
        runs=tuple(runs),
        baths=tuple(baths),
        cautions=(*line.cautions, *_gone(book, process)),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A process in a line of a certain temperature.

    Attributes
    ----------
    process : Process
        As the book has it.
    temperature_c : float
        Of the line [degrees C].
    timed : tuple of Timed
        Its steps there, in the core's terms.
    steps : tuple of BenchStep
        The same as trays, with words.
    cautions : tuple of Caution
        What holds for the whole line.
    """

    process: Process
    temperature_c: float
    timed: tuple[Timed, ...]
    steps: tuple[BenchStep, ...]
    cautions: tuple[Caution, ...]

    @property
    def bench_process(self) -> BenchProcess:
        """Which process the line stands for."""
        taken = self.process
        return BenchProcess(
            id=taken.id,
            name=taken.name or taken.id,
            paper=taken.paper,
            vessel=taken.vessel,
            bleach=taken.bleach,
        )


def line_at(process: Process, temperature_c: float | None = None) -> Line:
    """A process at a temperature; its own unless given.

    Raises
    ------
    BadValue
        If no time makes up for that temperature, or the steps cannot reverse a sheet.
    """
    warm = process.temperature_c if temperature_c is None else temperature_c
    timed = at_temperature(
        steps_of(process),
        warm,
        reference_c=process.temperature_c,
        fill_drain_s=process.fill_drain_s,
    )
    steps = tuple(bench_steps(process, timed))
    return Line(process, warm, timed, steps, _of_line(process, timed, warm))


def _gone(book: doc.Book, process: str | None) -> tuple[Caution, ...]:
    """That the paper or camera in use names a process that is not there, where none was named."""
    latest = going_on(book)
    if process or latest is None:
        return ()
    camera = named("camera", latest.camera, book.kit.cameras)
    text = gone(book, camera, named("paper", latest.paper, book.papers))
    return (Caution(label="Process", text=text),) if text else ()


def process_of_bench(book: doc.Book, process: str | None) -> Process:
    """The process named, else that of the latest unfinished sitting's camera or paper."""
    if process:
        return process_called(book, process)
    latest = going_on(book)
    return usual_process(book) if latest is None else process_of_sitting(book, latest)


def process_of_sitting(book: doc.Book, sitting: doc.Sitting) -> Process:
    """How the sheets of a sitting go through the line, where nobody said otherwise."""
    paper = named("paper", sitting.paper, book.papers)
    return usual_process(book, paper, named("camera", sitting.camera, book.kit.cameras))


def bench_steps(process: Process, timed: Iterable[Timed]) -> list[BenchStep]:
    """The trays of a process with their times, words and cautions, in order."""
    by_id: dict[str, ProcessStep] = {step.id: step for step in process.steps}
    told = list(timed)
    found = []
    for at, one in enumerate(told):
        said = by_id[one.step.id]
        after = told[at + 1].step.id if at + 1 < len(told) else None
        found.append(_step(process, said, one, after))
    return found


def _step(process: Process, said: ProcessStep, one: Timed, after: str | None) -> BenchStep:
    return BenchStep.model_validate(
        {
            "id": said.id,
            "name": NAMES[said.id],
            "word": WORDS[said.id],
            "voice": VOICE[said.id],
            "ends": said.ends,
            "seconds": _whole(one.seconds),
            "least_s": _whole(one.least_s),
            "longest_s": _whole(one.longest_s),
            "lift_s": one.lift_s,
            "light": light_of(said.id),
            "look": LOOKS.get(said.id, ""),
            "agitation": said.agitation,
            "bath": said.bath,
            "eye_text": said.eye_text,
            "again_share": said.again_share,
            "then": then_text(process.vessel, after, one.lift_s),
            "is_optional": said.is_optional,
            "caution": said.caution,
            "temperature_c": one.temperature_c,
            "statuses": (*said.bases, *_by_temperature(process, said, one)),
        }
    )


def _whole(seconds: float | None) -> float | None:
    """A time to the second, which is what hands can keep."""
    return None if seconds is None else float(max(1, round(seconds)))


def _by_temperature(process: Process, said: ProcessStep, one: Timed) -> tuple[Basis, ...]:
    """That a time was worked out for another temperature, where it was."""
    usual = said.kept_at_c or process.temperature_c
    if one.temperature_c is None or one.temperature_c == usual or said.seconds is None:
        return ()
    source = f"{seconds_in_words(said.seconds)} at {usual:g} °C, by the pace of ten degrees"
    return (Basis(figure=AT_TEMPERATURE, status="computed", source=source),)


def _of_line(process: Process, timed: Iterable[Timed], line_c: float) -> tuple[Caution, ...]:
    by_id: dict[str, ProcessStep] = {step.id: step for step in process.steps}
    found = []
    for one in timed:
        said = by_id[one.step.id]
        text = warm_bath(one.temperature_c, line_c, said)
        if text:
            found.append(Caution(label=NAMES[said.id], text=text))
    return tuple(found)


def _sheets(book: doc.Book, today: date) -> tuple[list[BenchSheet], list[WetRun]]:
    sheets, runs = [], []
    for sitting in sorted(book.sittings, key=lambda s: (s.when, s.id)):
        initials = _initials(book, sitting)
        for sheet in sitting.sheets:
            state = _state(sitting, sheet, today)
            if state is None:
                continue
            sheets.append(
                BenchSheet.model_validate(
                    {
                        "sitting": sitting.id,
                        "number": sheet.number,
                        "mark": sheet.mark or sheet_mark(initials, sheet.number),
                        "clip": sheet.clip,
                        "state": state,
                    }
                )
            )
            if sheet.wet is not None:
                runs.append(sheet.wet)
    return sheets, runs


def _state(sitting: doc.Sitting, sheet: doc.Sheet, today: date) -> str | None:
    """What a sheet is to the bench; None where it has nothing to do with it."""
    run = sheet.wet
    if run is not None and run.outcome == "in_work":
        return "in_work"
    if run is not None and run.outcome == "through":
        ended = run.ended_at or run.began_at
        return "through" if ended.astimezone(sitting.when.tzinfo).date() == today else None
    return "exposed" if waits(sitting, sheet) else None


def waits(sitting: doc.Sitting, sheet: doc.Sheet) -> bool:
    """Whether a sheet was exposed and has not been in the line, as far as anything is known."""
    if sheet.wet is not None and sheet.wet.outcome != "stopped":
        return False
    return not (sitting.finished or is_read(sheet) or sheet.kept is not None)


def _initials(book: doc.Book, sitting: doc.Sitting) -> str:
    first = sitting.sitters[0] if sitting.sitters else None
    return next((s.initials for s in book.sitters if s.id == first), "")
