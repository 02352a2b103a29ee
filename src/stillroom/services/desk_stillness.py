"""What the desk answers about holding still, and how a smear is written down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.documents.book import Sheet
from stillroom.documents.read import validated
from stillroom.services.desk_base import DeskBase, planned_moment

if TYPE_CHECKING:
    from stillroom.documents.holding import Support
    from stillroom.documents.stillness import Stillness


class StillnessVerbs(DeskBase):
    """Whether the sitter holds still, and what sheets showed of it."""

    def stillness(
        self,
        sitting_id: str,
        *,
        open_s: float | None = None,
        support: Support | None = None,
        allowed_mm: float | None = None,
    ) -> Stillness:
        """Whether the sitter holds still for the next sheet, and what would help.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        open_s : float, optional
            Another open time by steady light [s]; as advised unless given.
        support : str, optional
            Held otherwise than the sitting says.
        allowed_mm : float, optional
            The widest smear allowed on the sheet [mm]; by how it is looked at unless given.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        BadValue
            If a number is none that can be reckoned with.
        """
        from stillroom.services.stillness import stillness  # noqa: PLC0415

        now = self._as_of_now(sitting_id)
        asked = (open_s, support, allowed_mm)
        return self._answer(
            ("stillness", sitting_id, asked, planned_moment(now, sitting_id)),
            lambda _: stillness(
                now,
                sitting_id,
                self.advice(sitting_id).settings,
                open_s=open_s,
                support=support,
                allowed_mm=allowed_mm,
            ),
        )

    def measure_smear(
        self, sitting_id: str, number: int, smear_mm: float | None, form_id: str = ""
    ) -> None:
        """Write down how wide the sitter's movement is on a sheet.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        number : int
            The sheet.
        smear_mm : float or None
            As measured on the sheet [mm], 0 to 100; 0: none is seen; None takes it back.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        OutOfRange, BadValue
            If it is no width.
        """

        def write() -> None:
            sheet = self._sheet(self._sitting(sitting_id), number)
            said = sheet.model_dump(exclude_unset=True) | {"smear_mm": smear_mm}
            self._store.correct_sheet(sitting_id, validated(Sheet, said))

        self._written(write, form_id, "measure_smear")
