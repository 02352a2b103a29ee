"""Commands on whole books: look for faults, write out, take in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.given import BookOption, Document, now, open_existing, opened, read_document
from stillroom.errors import BookError


def check(document: Document = None, book: BookOption = None) -> None:
    """Look a document or a book through, and say what is wrong with it."""
    from stillroom.documents.checks import check_references  # noqa: PLC0415
    from stillroom.documents.pieces import whole_sheets  # noqa: PLC0415

    with opened(document, book) as given:
        check_references(given.book)
        if given.store is not None and (damage := given.store.damage()):
            raise BookError(
                f"{given.store.path} is damaged: {'; '.join(damage[:3])}. Go back to a copy of it."
            )
        sittings = given.book.sittings
    sheets = sum(whole_sheets(sitting) for sitting in sittings)
    pieces = sum(len(sitting.sheets) for sitting in sittings) - sheets
    more = f", test pieces: {pieces}" if pieces else ""
    typer.echo(f"Nothing wrong found. Sittings: {len(sittings)}, sheets: {sheets}{more}.")


def export(
    book: BookOption = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="A new file; left out: standard output.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write the whole book out as one document."""
    with open_existing(book) as store:
        text = store.export_document()
    if out is None:
        typer.echo(text.encode(), nl=False)
        return
    try:
        with out.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise BookError(f"{out} is there already: name a new file.") from None
    except OSError as error:
        raise BookError(f"{out} cannot be written: {error.strerror or error}.") from None
    typer.echo(f"The book is written out into {out}.")


def import_(
    document: Annotated[
        str, typer.Argument(metavar="DOCUMENT", help="A file, or - for standard input.")
    ],
    book: BookOption = None,
    *,
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Put it in the place of the book, which is copied first."),
    ] = False,
) -> None:
    """Take a document into the book; what is there already stays, all of it or nothing."""
    from stillroom.services.paths import find_paths  # noqa: PLC0415
    from stillroom.store import open_book  # noqa: PLC0415

    taken = read_document(document)
    path = find_paths(book=book).book.path
    make_folder(path.parent)
    with open_book(path, clock=now) as store:
        copy = store.import_document(taken, replace=replace)
    if copy is not None:
        typer.echo(f"The book as it was is copied to {copy}.")
    typer.echo(f"Taken into {path}: {len(taken.sittings)} sittings.")


def make_folder(folder: Path) -> None:
    """Make the folder of a book where it is missing."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookError(f"{folder} cannot be made: {error.strerror or error}.") from None
