"""The command ``stillroom`` and its verbs."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from stillroom import __version__

app = typer.Typer(
    name="stillroom",
    help="Plan, expose and read direct-positive portraits on paper, and learn from every sheet.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
)


def _version(*, wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _common(
    *,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    pass


@app.command()
def loop() -> None:
    """Speak the bare ledger: one JSON object a line from standard input, one a line out."""
    from stillroom.services.loop import converse  # noqa: PLC0415

    for answer in converse(sys.stdin.buffer):
        sys.stdout.write(answer + "\n")
        sys.stdout.flush()


def main() -> None:
    """Run the command line."""
    app()
