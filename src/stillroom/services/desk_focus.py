"""What the desk answers about focus."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.services.desk_base import DeskBase

if TYPE_CHECKING:
    from stillroom.documents.focus import Focus
    from stillroom.documents.holding import Viewing


class FocusVerbs(DeskBase):
    """Where to focus, how deep it is, and what is off."""

    def focus(
        self, sitting_id: str, *, f_number: float | None = None, viewing: Viewing | None = None
    ) -> Focus:
        """Focus of a sitting at a stop of its lens; that which is advised unless it is said.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If the lens lacks the stop, or the bellows do not reach.
        """
        from stillroom.services.focus_asked import focus_asked  # noqa: PLC0415
        from stillroom.services.focusing import focus  # noqa: PLC0415

        number = self.advice(sitting_id).settings.f_number if f_number is None else f_number
        return self._answer(
            ("focus", sitting_id, number, viewing),
            lambda book: focus(focus_asked(book, sitting_id, f_number=number, viewing=viewing)),
        )
