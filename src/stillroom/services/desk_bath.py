"""Verbs of control strips: run one, take it back, say which one others are held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.documents.book import ControlStrip, Sitting
from stillroom.documents.read import validated
from stillroom.errors import NotPossible, UnknownName, shown
from stillroom.services.bath import (
    CONTROL_PAPER_NEEDED,
    StripRun,
    run_of_day,
    sitting_for_strip,
    strip_runs,
)
from stillroom.services.bath_words import run_sentence
from stillroom.services.desk_base import DeskBase, find


@dataclass(frozen=True, slots=True)
class BatchStrips:
    """The control strips of a batch.

    Attributes
    ----------
    runs : tuple of StripRun
        Earliest first.
    today : StripRun or None
        The last one of today.
    sitting_id : str or None
        Where another one would be written; None while no sitting with the batch is going on.
    """

    runs: tuple[StripRun, ...]
    today: StripRun | None
    sitting_id: str | None


class BathVerbs(DeskBase):
    """What the bath alone did. Earlier versions of a sitting stay in the file."""

    def control_strips(self, paper_id: str) -> BatchStrips:
        """Every control strip of a batch, and today's.

        Raises
        ------
        UnknownName
            If there is no such batch.
        """
        book, today = self.book(), self._clock().date()
        sitting = sitting_for_strip(book, paper_id, today)
        return BatchStrips(
            strip_runs(book, paper_id),
            run_of_day(book, paper_id, today),
            sitting.id if sitting else None,
        )

    def bath_says(self, sitting_id: str) -> str:
        """What is known of today's baths; nothing where no control strips are used.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        """
        sitting = self._sitting(sitting_id)
        strips = self.control_strips(sitting.paper)
        of_old = [r for r in strips.runs if r.strip.when.date() != self._clock().date()]
        if sitting.finished or not of_old:
            return ""
        return run_sentence(strips.today)

    def add_control_strip(
        self,
        sitting_id: str,
        steps: Mapping[str, float],
        form_id: str = "",
        *,
        density_sd: float | None = None,
        reference: bool = False,
    ) -> int:
        """Write down a control strip that was run through the line.

        Parameters
        ----------
        sitting_id : str
            The sitting whose baths it went through; its paper is the strip's.
        steps : mapping of str to float
            Density of each step that was read [density].
        form_id : str
            The form's one-time id.
        density_sd : float, optional
            Spread of one reading [density]; left out: that of a densitometer.
        reference : bool
            Whether later runs are held against this one.

        Returns
        -------
        int
            Its place among the strips of the sitting, from 1.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        BadValue
            If no step was read, or a density lies beyond the paper.
        """
        said: dict[str, object] = {"steps": dict(steps)}
        if density_sd is not None:
            said["density_sd"] = density_sd
        if reference:
            said["reference"] = True

        def write() -> int:
            sitting = self._sitting(sitting_id)
            strip = validated(ControlStrip, {"when": self._clock(), **said})
            self._put_strips(sitting, (*sitting.control_strips, strip))
            return len(sitting.control_strips) + 1

        return self._written(write, form_id, "add_control_strip")

    def run_control_strip(
        self,
        paper_id: str,
        steps: Mapping[str, float],
        form_id: str = "",
        *,
        density_sd: float | None = None,
        reference: bool = False,
    ) -> int:
        """Write down a control strip of a batch, in the sitting that is going on with it.

        Raises
        ------
        UnknownName
            If there is no such batch.
        NotPossible
            If no sitting with this batch is going on or was of today.
        BadValue
            As `add_control_strip`.
        """
        book = self.book()
        find("paper", paper_id, book.papers)
        sitting = sitting_for_strip(book, paper_id, self._clock().date())
        if sitting is None:
            raise NotPossible(CONTROL_PAPER_NEEDED)
        return self.add_control_strip(
            sitting.id, steps, form_id, density_sd=density_sd, reference=reference
        )

    def mark_reference(
        self, sitting_id: str, number: int, form_id: str = "", *, reference: bool = True
    ) -> None:
        """Say that later runs are held against a strip, or that they are not.

        The first strip of a batch is a reference in any case. Strips that were run before this
        one stay held against the earlier reference.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        number : int
            Its place among the strips of the sitting, from 1.
        form_id : str
            The form's one-time id.
        reference : bool
            Whether it is one.

        Raises
        ------
        UnknownName
            If there is no such sitting or strip.
        """

        def write() -> None:
            sitting = self._sitting(sitting_id)
            strips = list(sitting.control_strips)
            at = _place(sitting, number)
            strips[at] = strips[at].model_copy(update={"reference": reference})
            self._put_strips(sitting, tuple(strips))

        self._written(write, form_id, "mark_reference")

    def undo_control_strip(self, sitting_id: str, number: int, form_id: str = "") -> None:
        """Take a control strip back: a slip of the finger; the file keeps what was written.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        number : int
            Its place among the strips of the sitting, from 1.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sitting or strip.
        """

        def write() -> None:
            sitting = self._sitting(sitting_id)
            strips = list(sitting.control_strips)
            del strips[_place(sitting, number)]
            self._put_strips(sitting, tuple(strips))

        self._written(write, form_id, "undo_control_strip")

    def _put_strips(self, sitting: Sitting, strips: tuple[ControlStrip, ...]) -> None:
        there = sitting.model_dump(
            exclude_unset=True, exclude={"sheets", "meter_readings", "control_strips"}
        )
        self._store.put_sitting(validated(Sitting, {**there, "control_strips": strips}))


def _place(sitting: Sitting, number: int) -> int:
    known = [str(n) for n in range(1, len(sitting.control_strips) + 1)]
    if str(number) not in known:
        raise UnknownName(f"control strip of sitting {shown(sitting.id)}", str(number), known)
    return number - 1
