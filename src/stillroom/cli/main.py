"""The command ``stillroom`` and its verbs."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from stillroom import __version__
from stillroom.cli import (
    about,
    bath,
    bench,
    book_files,
    contrast,
    dark_test,
    day,
    daylight,
    focus,
    ghost,
    known,
    mix,
    odd,
    planning,
    recording,
    serving,
    spectrum,
    stillness,
    ultraviolet,
    ways,
)
from stillroom.cli.failures import quietly

app = typer.Typer(
    name="stillroom",
    help="Plan, expose and read direct-positive portraits on paper, and learn from every sheet.",
    invoke_without_command=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    add_completion=False,
)


def _version(*, wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _common(
    context: typer.Context,
    *,
    version: Annotated[  # noqa: ARG001 - the framework calls the callback
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Print the version and stop."
        ),
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


app.command()(serving.demo)
app.command()(serving.serve)
app.command()(planning.advise)
app.command()(planning.predict)
app.command()(recording.record)
app.command()(odd.odd)
app.command()(bath.bath)
app.command()(bench.bench)
app.command()(mix.mix)
app.command()(known.known)
app.add_typer(daylight.app)
app.command()(contrast.contrast)
app.command()(focus.focus)
app.command()(spectrum.spectrum)
app.command()(ultraviolet.ultraviolet)
app.command()(stillness.stillness)
app.command()(ghost.ghost)
app.command("dark-test")(dark_test.dark_test)
app.command()(ways.ways)
app.command()(day.day)
app.command()(book_files.check)
app.command("export")(book_files.export)
app.command("import")(book_files.import_)
app.command()(about.schema)
app.command()(about.paths)


@app.command()
def loop() -> None:
    """Speak the bare ledger: one JSON object a line from standard input, one a line out."""
    from stillroom.services.loop import converse  # noqa: PLC0415

    for answer in converse(sys.stdin.buffer):
        sys.stdout.write(answer + "\n")
        sys.stdout.flush()


def main() -> None:
    """Run the command line."""
    # Matrices here are small: threads for them cost more than they bring (measured: thrice the
    # processor time for one advice). It counts only before the first of them is loaded.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.exit(quietly(app))
