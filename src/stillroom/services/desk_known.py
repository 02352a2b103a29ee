"""Verbs of what is known: look at a term over time, hold it, forget it, let it learn again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stillroom.documents.book import Choice
from stillroom.documents.read import validated
from stillroom.services.desk_base import DeskBase

if TYPE_CHECKING:
    from stillroom.documents.known import Known, KnownTerm


class KnownVerbs(DeskBase):
    """What sheets made of each term, and what the photographer says over it."""

    def known(self) -> Known:
        """Every term and chain that sheets and readings moved, sitting after sitting."""
        from stillroom.services.histories import known  # noqa: PLC0415 - the engine takes a moment

        return self._answer(("known",), lambda book: known(book, memo=self._store.memo))

    def known_term(self, term: str) -> KnownTerm:
        """One term, with the few sheets and readings that moved it most.

        Raises
        ------
        UnknownName
            If no sitting has to do with a lasting term of that name.
        """
        from stillroom.services.moving import known_term  # noqa: PLC0415

        return self._answer(
            ("known", term), lambda book: known_term(book, term, memo=self._store.memo)
        )

    def hold(self, term: str, form_id: str = "") -> KnownTerm:
        """Hold a term at what is believed of it now: sheets no longer move it.

        Parameters
        ----------
        term : str
            Name of the term, such as ``head/A/output``.
        form_id : str
            The form's one-time id.

        Returns
        -------
        KnownTerm
            As it stands afterwards.

        Raises
        ------
        UnknownName
            If no sitting has to do with a lasting term of that name.
        """
        return self._say(term, "hold", form_id)

    def forget(self, term: str, form_id: str = "") -> KnownTerm:
        """Drop what sheets taught of a term: it is as it was entered. See `hold`."""
        return self._say(term, "forget", form_id)

    def learn(self, term: str, form_id: str = "") -> KnownTerm:
        """Let sheets teach a term again that was held. See `hold`.

        A hold or a forgetting that no sitting followed is taken back whole.
        """
        return self._say(term, "learn", form_id)

    def _say(
        self, term: str, choice: Literal["hold", "forget", "learn"], form_id: str
    ) -> KnownTerm:
        def write() -> None:
            found = self.known_term(term)
            said: dict[str, object] = {"term": term, "choice": choice, "when": self._clock()}
            if choice == "hold":
                said["figure"] = round(found.entered + found.shift, 6)
            self._store.add_choice(validated(Choice, said))

        self._written(write, form_id, f"{choice} {term}"[:200])
        return self.known_term(term)
