"""What the desk answers about contrast."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.services.desk_base import DeskBase, planned_moment

if TYPE_CHECKING:
    from stillroom.documents.contrast import Contrast


class ContrastVerbs(DeskBase):
    """How far aims lie apart against what the paper holds."""

    def contrast(self, sitting_id: str) -> Contrast:
        """How far two aims lie apart as the next sheet is advised, and what helps.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If it has fewer than two aims.
        """
        from stillroom.services.contrast_answers import contrast  # noqa: PLC0415

        now = self._as_of_now(sitting_id)
        return self._answer(
            ("contrast", sitting_id, planned_moment(now, sitting_id)),
            lambda _: contrast(
                now, sitting_id, self.advice(sitting_id).settings, memo=self._store.memo
            ),
        )
