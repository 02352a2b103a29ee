"""What the pages ask of the desk, until `stillroom.services` brings the real one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from stillroom.documents.answers import Advice, Forecast
from stillroom.documents.book import Book, Settings


@dataclass(frozen=True, slots=True)
class Saved:
    """Where the book lies and when something was last written into it."""

    where: str
    at: datetime | None


class Desk(Protocol):
    """The verbs the pages use."""

    def book(self) -> Book:
        """The whole book."""
        ...

    def saved(self) -> Saved:
        """Where it lies, and since when."""
        ...

    def current_sitting_id(self) -> str | None:
        """Latest unfinished sitting, else the latest."""
        ...

    def add_thing(self, kind: str, data: dict[str, Any]) -> Any:
        """Add a thing to the kit."""
        ...

    def edit_thing(self, kind: str, thing_id: str, data: dict[str, Any]) -> Any:
        """Change a thing."""
        ...

    def retire_thing(self, kind: str, thing_id: str, *, retired: bool = True) -> Any:
        """Take a thing out of use, or back into it."""
        ...

    def kit_belief(self) -> Mapping[str, Any]:
        """What is believed of each thing, by ``head/A`` and the like."""
        ...

    def paper_belief(self, paper_id: str) -> Any:
        """What is believed of one batch."""
        ...

    def add_paper(self, data: dict[str, Any]) -> Any:
        """Add a batch of paper."""
        ...

    def edit_paper(self, paper_id: str, data: dict[str, Any]) -> Any:
        """Change a batch."""
        ...

    def retire_paper(self, paper_id: str, *, retired: bool = True) -> Any:
        """Take a batch out of use, or back into it."""
        ...

    def new_batch(self, paper_id: str, batch_name: str) -> str:
        """Open a new box of the same paper; its id."""
        ...

    def first_sheet(self, answers: Any) -> str:
        """Make what the first answers need; the id of the sitting."""
        ...

    def advice(self, sitting_id: str) -> Advice:
        """What to set for the next sheet."""
        ...

    def forecast(self, sitting_id: str, settings: Settings) -> Forecast:
        """What one sheet would show."""
        ...
