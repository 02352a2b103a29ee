"""Verbs of the bench: how the wet line stands, what happened in it, own processes."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Book, Reading, RegionReading
from stillroom.documents.checks import WHOLE_FACE
from stillroom.documents.making import as_made
from stillroom.documents.pieces import region_of_piece
from stillroom.documents.read import validated
from stillroom.documents.wet import (
    Bench,
    BenchEvent,
    EventsTaken,
    LookWord,
    Process,
    Refused,
    WetRun,
)
from stillroom.documents.wet_fold import FIRST, look_of, run_of
from stillroom.errors import NotPossible, StillroomError, shown
from stillroom.services.baths import bench_baths
from stillroom.services.bench import bench_of
from stillroom.services.desk_base import DeskBase, find, free_name
from stillroom.services.first_term import FirstDevelopment, first_development
from stillroom.services.own_process import own_steps
from stillroom.services.processes import process_called, processes, steps_of
from stillroom.wetline import check_line

PROCESS = "bench process"
TEMPERATURE = "bench temperature_c"
_SEEN: dict[LookWord, str] = {
    "too_dark": "too_dark",
    "about_right": "as_wanted",
    "too_light": "too_light",
}
"""What the bench's words are in a reading."""


class BenchVerbs(DeskBase):
    """The wet line. Facts are taken once by their own id, in whatever order they arrive."""

    def bench(self, process: str | None = None, temperature_c: float | None = None) -> Bench:
        """The wet line as it stands: trays, sheets, what is in work, baths.

        Parameters
        ----------
        process : str, optional
            Left out: the one last set on the bench, else that of the sitting's camera or paper.
        temperature_c : float, optional
            Of the line; left out: the one last set, else the process's own [degrees C].

        Raises
        ------
        UnknownName
            If there is no such process.
        BadValue
            If no time makes up for that temperature.
        """
        book = self.book()
        kept_process = self.preference(PROCESS)
        known = {one.id for one in (*book.kit.processes, *processes(book))}
        process = process or (kept_process if kept_process in known else None)
        if temperature_c is None and (kept := self.preference(TEMPERATURE)):
            temperature_c = float(kept)
        now = self._clock()
        return bench_of(
            book,
            now.date(),
            process=process,
            temperature_c=temperature_c,
            baths=bench_baths(book, now),
        )

    def set_bench(self, process: str | None = None, temperature_c: float | None = None) -> Bench:
        """Keep which process the bench stands for, and how warm its line is.

        Parameters
        ----------
        process : str, optional
            Empty: the one of the sitting's camera or paper again.
        temperature_c : float, optional
            [degrees C]

        Returns
        -------
        Bench
            As it stands then.

        Raises
        ------
        UnknownName, BadValue
            As of `bench`; then nothing is kept.
        """
        found = self.bench(process, temperature_c)
        if process is not None:
            self.set_preference(PROCESS, process)
        if temperature_c is not None:
            self.set_preference(TEMPERATURE, repr(temperature_c))
        return found

    def copy_process(
        self,
        process_id: str,
        name: str,
        times_s: Mapping[str, float] | None = None,
        *,
        without: Collection[str] = (),
        temperature_c: float | None = None,
    ) -> Process:
        """Write down a process of one's own: a copy of another, with one's own times.

        Parameters
        ----------
        process_id : str
            What is copied: one that comes with the tool, or one's own.
        name : str
            What it is called.
        times_s : mapping, optional
            Step to its time [s]; the others stay.
        without : collection of str
            Steps that are left out.
        temperature_c : float, optional
            What its times are for; left out: as what is copied [degrees C].

        Returns
        -------
        Process
            As it was written down.

        Raises
        ------
        UnknownName
            If there is no such process or step.
        BadValue, OutOfRange
            If a step takes no time, or nothing would reverse without the steps left out.
        """
        base = process_called(self.book(), process_id)
        said = base.model_dump(exclude_unset=True, exclude={"id", "name", "note", "retired"})
        said |= {"name": name, "based_on": base.id}
        said["steps"] = own_steps(base, times_s or {}, without)
        if temperature_c is not None:
            said["temperature_c"] = check_line(temperature_c)

        def write() -> Process:
            taken = [process.id for process in processes(self.book())]
            made = validated(Process, {"id": free_name(name, taken, "process"), **said})
            steps_of(made)
            self._store.put_thing("processes", made)
            return made

        return self._written(write)

    def use_process(
        self, process_id: str | None, *, paper: str | None = None, camera: str | None = None
    ) -> None:
        """Say how the sheets of a paper or a camera go through the line.

        Parameters
        ----------
        process_id : str or None
            The process; None: the usual one again.
        paper, camera : str, optional
            Whose sheets; a camera's own process stands before the paper's.

        Raises
        ------
        UnknownName
            If there is no such process, paper or camera.
        """
        book = self.book()
        if process_id is not None:
            process_called(book, process_id)

        def write() -> None:
            if paper is not None:
                there = find("paper", paper, book.papers)
                self._store.put_paper(there.model_copy(update={"process": process_id}))
            if camera is not None:
                found = find("camera", camera, book.kit.cameras)
                self._store.put_thing("cameras", found.model_copy(update={"process": process_id}))

        self._written(write)

    def bench_events(self, events: Sequence[Mapping[str, Any]]) -> EventsTaken:
        """Write down what the bench tells.

        Parameters
        ----------
        events : sequence of mapping
            Each a `BenchEvent`; some perhaps sent before, in any order.

        Returns
        -------
        EventsTaken
            Ids that stand written down now, and those that were refused with a sentence each; a
            refused one takes no other with it, and may be sent again.
        """
        taken: list[str] = []
        refused: list[Refused] = []
        read: list[BenchEvent] = []
        for said in events:
            try:
                read.append(validated(BenchEvent, said))
            except StillroomError as error:
                refused.append(Refused(id=str(said.get("id", ""))[:64], sentence=str(error)))
        # What began comes first: nothing is told of a run that nobody knows.
        for event in sorted(read, key=lambda e: (e.kind != "begin", e.at)):
            try:
                self._take(event)
                taken.append(event.id)
            except StillroomError as error:
                refused.append(Refused(id=event.id, sentence=str(error)))
        return EventsTaken(taken=tuple(taken), refused=tuple(refused))

    def _take(self, event: BenchEvent) -> None:
        def write() -> None:
            if self._store.has_bench_event(event.id):
                return
            told = self._store.bench_run(event.run)
            begin = next((e for e in told if e.kind == "begin"), None)
            told_now = event
            if event.kind == "begin":
                self._check_begin(event, begin)
                begin = told_now = self._as_asked(event)
            elif begin is None:
                raise NotPossible(
                    f"Nothing is known of run {shown(event.run)}: send what began it first, then "
                    f"this {event.kind} again."
                )
            elif event.at < begin.at:
                raise NotPossible(
                    f"This {event.kind} is of {event.at:%H:%M:%S}, before its sheet began at "
                    f"{begin.at:%H:%M:%S}: a clock was set back; put the clock right and tell it "
                    "again."
                )
            assert begin.sitting is not None  # noqa: S101 - narrows the type
            assert begin.sheet is not None  # noqa: S101
            self._check_step(event, begin)
            self._store.add_bench_event(begin.sitting, begin.sheet, told_now)
            if event.kind == "look":
                self._write_look(event, begin.sitting, begin.sheet, told)

        self._written(write)

    def _as_asked(self, event: BenchEvent) -> BenchEvent:
        """A beginning with what its process asks of the first development by now."""
        process = process_called(self.book(), event.process or "")
        first = process.step(FIRST)
        if first is None or first.seconds is None:
            return event
        asked = {"asked_s": first.seconds, "asked_c": process.temperature_c}
        return event.model_copy(update=asked)

    def _check_begin(self, event: BenchEvent, begin: BenchEvent | None) -> None:
        if begin is not None:
            raise NotPossible(f"Run {shown(event.run)} began already, at {begin.at:%H:%M:%S}.")
        process_called(self.book(), event.process or "")
        sheet = self._sheet(self._sitting(event.sitting or ""), event.sheet or 0)
        run: WetRun | None = sheet.wet
        if run is not None and run.outcome == "in_work":
            raise NotPossible(
                f"{sheet.mark or f'Sheet {sheet.number}'} is in work already, since "
                f"{run.began_at:%H:%M:%S}: finish or stop it first."
            )
        if run is not None and run.outcome == "through":
            raise NotPossible(
                f"{sheet.mark or f'Sheet {sheet.number}'} has been through the line already: no "
                "sheet goes through twice."
            )

    def _check_step(self, event: BenchEvent, begin: BenchEvent) -> None:
        if event.step is None:
            return
        process = process_called(self.book(), begin.process or "")
        if process.step(event.step) is None:
            raise NotPossible(
                f"Process {shown(process.id)} has no step {event.step}: nothing of it was written."
            )

    def _write_look(
        self, event: BenchEvent, sitting: str, number: int, told: Sequence[BenchEvent]
    ) -> None:
        """An early look is a reading as any other; a look told late takes nothing from a later."""
        if event.step is None or event.word is None:
            return
        seen = look_of(event.step)
        later = [
            e
            for e in told
            if e.kind == "look"
            and e.step is not None
            and look_of(e.step) == seen
            and (e.at, e.id) > (event.at, event.id)
        ]
        sheet = self._sheet(self._sitting(sitting), number)
        if seen is None or later or sheet.settings.steps_pops is not None:
            return
        word = RegionReading.model_validate({"verdict": _SEEN[event.word]})
        region = WHOLE_FACE
        if sheet.piece is not None:  # it shows one region and no face
            region = region_of_piece(self._sitting(sitting), sheet)
        regions = {region: word}
        reading = Reading(when=event.at, state=seen, by="early_look", regions=regions)
        self._store.add_reading(sitting, number, reading)

    def first_development(self, sitting_id: str, number: int) -> FirstDevelopment | None:
        """How a sheet's first development differed from its process; None where it did not.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        """
        sitting = self._sitting(sitting_id)
        return first_development(self.book(), sitting, self._sheet(sitting, number))

    def made_forecast(self, sitting_id: str, number: int) -> Forecast:
        """What is believed by now of a sheet that was made, with all that is its own.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        """
        from stillroom.services.forecasts import forecast_of  # noqa: PLC0415 - takes a moment
        from stillroom.services.worktable import worktable  # noqa: PLC0415 - the same

        def work_out(book: Book) -> Forecast:
            table = worktable(book, sitting_id, memo=self._store.memo)
            sheet = self._sheet(table.sitting, number)
            settings = as_made(sheet.settings, sheet.made)
            return forecast_of(table, table.posterior(), settings, made=sheet)

        return self._answer(("made", sitting_id, number), work_out)

    def bench_run(self, run_id: str) -> WetRun | None:
        """One run as it is known by now; None of an unknown one."""
        return run_of(self._store.bench_run(run_id))
