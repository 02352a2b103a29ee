"""What the desk asks of the engine, so that a test can answer in its place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from stillroom.documents.answers import Advice, Forecast, SheetTaught
    from stillroom.documents.book import Book, Settings
    from stillroom.documents.odd import OddSheets
    from stillroom.documents.several import SeveralSheets
    from stillroom.services.plan import BeliefMemo, PaperBelief, TermBelief


class Planner(Protocol):
    """Pure answers about a book; the module `stillroom.services.plan` is the one."""

    def predict(
        self,
        book: Book,
        sitting_id: str,
        settings: Settings | None = None,
        *,
        memo: BeliefMemo | None = None,
    ) -> Forecast:
        """What a sheet would show; without settings, as things stand."""
        ...

    def advise(self, book: Book, sitting_id: str, *, memo: BeliefMemo | None = None) -> Advice:
        """What to set for the next sheet."""
        ...

    def advise_several(
        self,
        book: Book,
        sitting_id: str,
        count: int,
        first: Advice | None = None,
        *,
        memo: BeliefMemo | None = None,
    ) -> SeveralSheets:
        """What to set for several sheets that are made before any is seen."""
        ...

    def as_planned(
        self,
        book: Book,
        sitting_id: str,
        settings: Settings,
        unseen: tuple[str, ...],
        fresh: Advice | None = None,
        *,
        memo: BeliefMemo | None = None,
    ) -> Advice:
        """The advice for a sheet that was planned together with others: those settings."""
        ...

    def taught(
        self, book: Book, sitting_id: str, *, memo: BeliefMemo | None = None
    ) -> tuple[SheetTaught, ...]:
        """What each sheet so far taught."""
        ...

    def odd_sheets(
        self, book: Book, sitting_id: str, *, memo: BeliefMemo | None = None
    ) -> OddSheets:
        """The sheets that contradict the rest, with their likeliest slips."""
        ...

    def paper_belief(
        self, book: Book, paper_id: str, *, memo: BeliefMemo | None = None
    ) -> PaperBelief:
        """What is believed of a batch of paper."""
        ...

    def kit_belief(
        self, book: Book, *, memo: BeliefMemo | None = None
    ) -> Mapping[str, TermBelief]:
        """What is believed of each thing of the kit."""
        ...


def engine() -> Planner:
    """The engine, imported when the first answer is asked for, for that takes a moment."""
    from stillroom.services import plan  # noqa: PLC0415

    return plan
