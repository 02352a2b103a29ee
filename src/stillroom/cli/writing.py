"""How a command writes and prints: into the book or a passing copy of a document, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

import typer

from stillroom.cli.given import Given, now

if TYPE_CHECKING:
    from pydantic import BaseModel

    from stillroom.documents.book import Book
    from stillroom.services.desk import Desk
    from stillroom.store import BookFile

Many = list[str] | None
"""An option that may be given several times."""
WIDTH = 80
"""Columns where nothing says how wide the terminal is."""
AS_IT_WAS = "Your document is as it was: --json prints the new one."
Result = TypeVar("Result")


def written(given: Given, write: Callable[[BookFile, Desk], Result]) -> tuple[Book, Result]:
    """The book after something was written, and what the writing returned.

    A document that was given stays as it is: a passing book that holds it is written into.
    """
    from stillroom.services.desk import Desk  # noqa: PLC0415
    from stillroom.services.recording import entered  # noqa: PLC0415

    if given.store is None:
        return entered(given.book, now, write)
    result = write(given.store, Desk(given.store, now))
    return given.store.load(), result


def print_document(book: Book) -> None:
    """A whole document, a line for each of its lines, without what it leaves open."""
    typer.echo(book.model_dump_json(indent=1, exclude_unset=True).encode())


def print_answer(answer: BaseModel, indent: int | None = None) -> None:
    """One answer as JSON, in UTF-8 whatever the terminal speaks."""
    typer.echo(answer.model_dump_json(indent=indent).encode())
