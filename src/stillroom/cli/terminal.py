"""The terminal that answers are set for."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from stillroom.cli.failures import plain
from stillroom.cli.writing import WIDTH

WIDEST = 100


@contextmanager
def page() -> Iterator[Console]:
    """A console whose lines are written at the end, without blanks behind them."""
    width = None if sys.stdout.isatty() else WIDTH
    out = Console(file=sys.stdout, highlight=False, markup=False, emoji=False, width=width)
    out.width = min(out.width, WIDEST)
    with out.capture() as captured:
        yield out
    for line in captured.get().splitlines():
        sys.stdout.write(f"{line.rstrip()}\n")


def lines(out: Console, texts: Sequence[str]) -> None:
    """Sentences one under the other; empty ones are left out."""
    for text in texts:
        if text:
            out.print(Text(plain(text)))


def indented(table: Table) -> Padding:
    """A table, two columns from the margin."""
    return Padding(table, (0, 0, 0, 2))
