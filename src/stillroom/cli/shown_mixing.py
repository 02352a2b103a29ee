"""Mixing lists, baths and labels on a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from rich.table import Table
from rich.text import Text

from stillroom.cli.failures import plain
from stillroom.cli.terminal import lines, page
from stillroom.documents.mixing import Bath, Label, MixingList, Solution
from stillroom.documents.recipes import Recipe
from stillroom.services.mixing_words import amount_text
from stillroom.telling.mixing_told import bath_rows, hazard_told, label_told, mix_told, recipe_rows


def recipes_shown(recipes: tuple[Recipe, ...]) -> None:
    """Recipes by kind."""
    with page() as out:
        for kind, rows in recipe_rows(recipes):
            lines(out, [kind])
            out.print(_table(rows))
        lines(out, ["stillroom mix RECIPE --volume 1L lists what goes in."])


def list_shown(answer: MixingList) -> None:
    """A mixing list, its cautions first."""
    view = mix_told(answer)
    with page() as out:
        lines(out, [f"{view.title}, {view.volume}", *view.cautions])
        out.print()
        for part in view.parts:
            lines(out, [f"{part.name}, {part.volume}:" if part.name else ""])
            rows = [("", part.water)]
            for line in part.lines:
                rows.append((line.amount, f"{line.what}; {line.known}."))
                if line.out_of:
                    bottles = ", ".join(f"{amount} of {bottle}" for bottle, amount in line.out_of)
                    rows.append(("", f"out of your bottle: {bottles}"))
                if line.note:
                    rows.append(("", line.note))
            out.print(_table([*rows, ("", part.fill)]))
        out.print()
        lines(out, [f"{i}. {text}" for i, text in enumerate(view.steps, 1)])
        out.print()
        lines(out, view.notes)
        out.print(_table(view.keeps))
        out.print(_table(view.hazard))
        lines(out, view.never)
        lines(out, [view.foot])


def solution_shown(answer: Solution) -> None:
    """A percent solution."""
    with page() as out:
        lines(out, [f"{answer.name}: {amount_text(answer.volume, answer.unit)}"])
        lines(out, [f"{i}. {text}" for i, text in enumerate(answer.steps, 1)])
        lines(out, answer.cautions)
        out.print(_table(hazard_told(answer.hazard)))
        lines(out, [answer.not_checked])


def baths_shown(baths: tuple[Bath, ...]) -> None:
    """The baths that stand, each with its clocks."""
    with page() as out:
        if not baths:
            lines(out, ["No bath is written down: stillroom mix RECIPE --made writes one down."])
        for bath in baths:
            lines(out, [f"{bath.id}. {bath.told}"])
            out.print(_table(bath_rows(bath)))


def label_shown(label: Label, now: datetime) -> None:
    """A label, as text."""
    view = label_told(label, now)
    with page() as out:
        lines(out, [view.name.upper(), view.signal.upper()])
        out.print(_table(view.rows))
        lines(out, [f"{text}." for text in view.statements])
        lines(out, [*view.never, view.collect, view.supplier])


def _table(rows: Iterable[tuple[str, str]]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for what, text in rows:
        table.add_row(Text(f"  {plain(what)}"), Text(plain(text)))
    return table
