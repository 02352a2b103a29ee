"""Verbs at the door: what a sitter said coming in, and a sheet going out."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.documents.book import Sheet, Sitter
from stillroom.documents.hand_over import HandOver, SeenTo, Whereabouts
from stillroom.documents.read import validated
from stillroom.documents.sitter_card import SitterCard
from stillroom.services.desk_base import DeskBase, find


class DoorVerbs(DeskBase):
    """Each adds an entry; what was written before stays in the book's history."""

    def write_sitter_card(
        self,
        sitter_id: str,
        card: SitterCard,
        *,
        holds_still_s: float | None = None,
        form_id: str = "",
    ) -> None:
        """Write down what a sitter says now; a yes that is no longer there is taken back.

        Parameters
        ----------
        sitter_id : str
            Who.
        card : SitterCard
            The whole card as it stands now.
        holds_still_s : float, optional
            How long they can hold still [s]; left out, what was known stays.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sitter.
        """

        def write() -> None:
            sitter = find("sitter", sitter_id, self.book().sitters)
            said: dict[str, object] = {"at_the_door": card}
            if holds_still_s is not None:
                said["holds_still_s"] = holds_still_s
            there = sitter.model_dump(exclude_unset=True)
            self._store.put_sitter(validated(Sitter, {**there, **said}))

        self._written(write, form_id, "write_sitter_card")

    def hand_over(
        self,
        sitting_id: str,
        number: int,
        state: Whereabouts,
        seen_to: Sequence[SeenTo] = (),
        form_id: str = "",
    ) -> None:
        """Write down where a sheet is now and what was seen to.

        Parameters
        ----------
        sitting_id : str
            The sitting.
        number : int
            The sheet.
        state : {"here", "promised", "given", "binned"}
            Where it is.
        seen_to : sequence of str
            Of ``dry_scan``, ``fixed_or_told``, ``back_copied`` and ``scan_turned``, all that hold.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        BadDocument
            If the state or something seen to is none of those.
        """

        def write() -> None:
            sheet = self._sheet(self._sitting(sitting_id), number)
            said = validated(
                HandOver, {"state": state, "seen_to": tuple(seen_to), "when": self._clock()}
            )
            there = sheet.model_dump(exclude_unset=True)
            handed = {**there, "hand_over": said}
            self._store.correct_sheet(sitting_id, validated(Sheet, handed))

        self._written(write, form_id, "hand_over")
