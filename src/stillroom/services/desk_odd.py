"""Verbs of a sheet that contradicts the rest: a slip, real, or to be asked again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.documents.book import LightSetting, Sheet
from stillroom.documents.making import as_made
from stillroom.errors import NotPossible
from stillroom.services.desk_base import DeskBase
from stillroom.services.marks import last_number

if TYPE_CHECKING:
    from stillroom.documents.odd import OddSheets


class OddVerbs(DeskBase):
    """What is said of odd sheets. An answer is a further version of the sheet, never a change."""

    def odd_sheets(self, sitting_id: str) -> OddSheets:
        """The sheets of a sitting that contradict the rest, and what was answered of them.

        Raises
        ------
        UnknownName
            If the book has no such sitting.
        """
        return self._answer(
            ("odd", sitting_id),
            lambda book: self._engine.odd_sheets(book, sitting_id, memo=self._store.memo),
        )

    def say_slip(self, sitting_id: str, number: int, slip: str, form_id: str = "") -> str:
        """It was a slip: what was really made is written down, or its tones are left out.

        Parameters
        ----------
        sitting_id, number : str, int
            Which sheet.
        slip : str
            Id of one of the slips named of it, or ``something-else``.
        form_id : str
            The form's one-time id.

        Returns
        -------
        str
            The slip, as it is written down.

        Raises
        ------
        UnknownName
            If there is no such sheet, or that slip is not named of it.
        NotPossible
            If the sheet does not contradict the others now.
        """
        from stillroom.services.odd_answers import answered_slip  # noqa: PLC0415

        def write() -> str:
            self._take_back(sitting_id, number)
            sitting = self._sitting(sitting_id)
            sheet = self._sheet(sitting, number)
            answered = answered_slip(sitting, sheet, slip, self.odd_sheets(sitting_id))
            self._store.correct_sheet(sitting_id, answered)
            self._hang_again(sitting_id, sheet, answered)
            return answered.odd_cause

        return self._written(write, form_id, "say_slip")

    def say_real(self, sitting_id: str, number: int, form_id: str = "") -> None:
        """It is real: the sheet counts in full and cannot be a spoiled one.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        NotPossible
            If it was not read.
        """
        from stillroom.services.odd_answers import answered_real  # noqa: PLC0415

        def write() -> None:
            self._take_back(sitting_id, number)
            sheet = self._sheet(self._sitting(sitting_id), number)
            if not sheet.readings:
                raise NotPossible(f"Sheet {number} was not read: read it first.")
            self._store.correct_sheet(sitting_id, answered_real(sheet))

        self._written(write, form_id, "say_real")

    def ask_again(self, sitting_id: str, number: int, form_id: str = "") -> None:
        """Take back what was answered of a sheet: it is asked about again.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        NotPossible
            If nothing was answered of it.
        """

        def write() -> None:
            if not self._take_back(sitting_id, number):
                raise NotPossible(
                    f"Nothing was answered of sheet {number}: nothing is taken back."
                )

        self._written(write, form_id, "ask_again")

    def _take_back(self, sitting_id: str, number: int) -> bool:
        from stillroom.services.odd_answers import is_answered, taken_back  # noqa: PLC0415

        sheet = self._sheet(self._sitting(sitting_id), number)
        if not is_answered(sheet):
            return False
        answered = before = sheet
        for version in reversed(self._store.sheet_history(sitting_id, number)):
            part = version.part
            assert isinstance(part, Sheet)  # noqa: S101 - a sheet's history holds sheets
            before = part
            if not is_answered(part):
                break
            answered = part
        self._store.correct_sheet(sitting_id, taken_back(sheet, answered, before))
        return True

    def _hang_again(self, sitting_id: str, before: Sheet, answered: Sheet) -> None:
        """What was off, or on, by a slip is as it should be again for the next sheet."""
        sitting = self._sitting(sitting_id)
        if answered.number != last_number(sitting) or sitting.stands_after == answered.number:
            return
        hung, slipped = (as_made(s.settings, s.made) for s in (before, answered))
        if any(
            (stood := hung.lights.get(role, LightSetting())).modifiers != light.modifiers
            or stood.on != light.on
            for role, light in slipped.lights.items()
        ):
            stands = hung.model_copy(update={"steps_pops": None})
            self._store.put_sitting(
                sitting.model_copy(update={"stands": stands, "stands_after": answered.number})
            )
