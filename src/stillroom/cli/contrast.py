"""The command that says how far aims lie apart, what the paper takes, and what helps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.knobs import Filter, PreFlash
from stillroom.cli.planning import standing_so
from stillroom.cli.writing import print_answer

if TYPE_CHECKING:
    from stillroom.documents.contrast import Contrast


def contrast(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    on_lens: Filter = None,
    pre_flash: PreFlash = None,
    as_json: JsonOption = False,
) -> None:
    """Say how far the lightest and darkest aims lie apart, what the paper takes, what helps."""
    from stillroom.cli import typed  # noqa: PLC0415
    from stillroom.services.contrast_answers import contrast as ask  # noqa: PLC0415

    made = typed.made(lens_filter=on_lens, pre_flash=pre_flash)
    with opened(document, book) as read:
        given, found = standing_so(read, read.sitting(sitting), made)
        answer = ask(given.book, found.id, memo=given.memo)
    if as_json:
        print_answer(answer)
    else:
        _show(answer)


def _show(answer: Contrast) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.contrast_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        lines(out, [answer.sentence])
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for name, figures in view.figures:
            table.add_row(Text(f"  {name}"), *(Text(figure) for figure in figures))
        out.print(table)
        if view.ways:
            out.print()
            out.print(Text("What helps", style="bold"))
            for way in view.ways:
                lines(out, [f"{way.text} Tones land, {way.odds}."])
        lines(out, [view.else_, view.as_set])
        lines(out, ["Ranges are nine in ten."])
