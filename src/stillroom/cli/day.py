"""The command about a day: how many sheets and sitters it holds, and what to pack."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, now, opened
from stillroom.cli.writing import print_answer

if TYPE_CHECKING:
    from datetime import datetime

    from rich.console import Console

    from stillroom.cli.given import Given
    from stillroom.documents.day import Day
    from stillroom.services.day import DayAsked


def day(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    sitters: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="How many come; left out: as many as fit.", show_default=False
        ),
    ] = None,
    sheets: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="Sheets exposed before, and no sitters.", show_default=False
        ),
    ] = None,
    each: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            help="Sheets carried for each sitter; left out: by the odds that one lands.",
            show_default=False,
        ),
    ] = None,
    chance: Annotated[
        float | None,
        typer.Option(
            metavar="P",
            help="Chance that a sheet lands, such as 0.7; left out: as advised.",
            show_default=False,
        ),
    ] = None,
    begins: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="TIME",
            help="When the first sitter comes, such as 10:00.",
            show_default=False,
        ),
    ] = None,
    ends: Annotated[
        str | None,
        typer.Option("--to", metavar="TIME", help="By when it is through.", show_default=False),
    ] = None,
    on: Annotated[
        str | None,
        typer.Option(
            "--on", metavar="DATE", help="Which day; left out: today.", show_default=False
        ),
    ] = None,
    every: Annotated[
        float | None,
        typer.Option(metavar="MINUTES", help="Sitters come so far apart.", show_default=False),
    ] = None,
    process: Annotated[
        str | None,
        typer.Option(
            metavar="ID",
            help="Such as rc-tank/permanganate; left out: as the book says.",
            show_default=False,
        ),
    ] = None,
    temperature: Annotated[
        float | None,
        typer.Option(metavar="C", help="Of the line [degrees C].", show_default=False),
    ] = None,
    tanks: Annotated[int, typer.Option(metavar="N", help="Tanks or drums.")] = 1,
    trays: Annotated[
        int, typer.Option(metavar="N", help="Trays of developer; with one it is used twice.")
    ] = 1,
    hands: Annotated[int, typer.Option(metavar="N", help="Pairs of hands.")] = 1,
    holders: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="Holder sides; left out: as the kit has.", show_default=False
        ),
    ] = None,
    paper: Annotated[
        int | None,
        typer.Option(metavar="N", help="Sheets of paper at hand.", show_default=False),
    ] = None,
    litres: Annotated[
        float | None,
        typer.Option(metavar="L", help="Of each bath at hand.", show_default=False),
    ] = None,
    pairs: Annotated[
        bool, typer.Option("--pairs", help="Two sheets exposed before the first is read.")
    ] = False,
    by_turns: Annotated[
        int, typer.Option("--by-turns", metavar="N", help="Sitters in the studio at once.")
    ] = 1,
    bag: Annotated[bool, typer.Option("--bag", help="What to pack instead.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Say how many sheets and sitters a day holds, when it is through, and what holds it up."""
    from stillroom.services.day import DayAsked  # noqa: PLC0415
    from stillroom.services.day.hours import begins_on, date_typed, hour_typed  # noqa: PLC0415

    moment = now()
    asked_on = date_typed("--on", on, moment)
    first = hour_typed("--from", begins, asked_on, moment)
    asked = DayAsked(
        sitting=sitting,
        sitters=sitters,
        exposed=sheets,
        each=each,
        p_lands=chance,
        begins=begins_on(first, asked_on, moment),
        ends=hour_typed("--to", ends, asked_on, moment),
        process=process,
        temperature_c=temperature,
        tanks=tanks,
        developer_trays=trays,
        hands=hands,
        holder_sides=holders,
        paper=paper,
        litres=litres,
        together=2 if pairs else 1,
        by_turns=by_turns,
        every_min=every,
    )
    with opened(document, book) as given:
        answer = _answer(given, asked, moment)
    if as_json:
        print_answer(answer)
    elif bag:
        _print_bag(answer)
    else:
        _print(answer)


def _answer(given: Given, asked: DayAsked, moment: datetime) -> Day:
    from stillroom.services.day import day as ask  # noqa: PLC0415
    from stillroom.services.day import leading_sitting  # noqa: PLC0415
    from stillroom.services.plan import advise  # noqa: PLC0415

    found = leading_sitting(given.book, asked.sitting)
    if found is None:
        return ask(given.book, asked, moment)
    advice = advise(given.book, found.id, memo=given.memo)
    return ask(
        given.book,
        asked,
        moment,
        p_lands=advice.forecast.p_keeper,
        settings=advice.settings,
    )


def _print(answer: Day) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import indented, lines, page  # noqa: PLC0415
    from stillroom.telling.day_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        out.print(Text(view.title, style="bold"))
        lines(out, [view.headline, view.range_line, view.held_up])
        out.print()
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for name, said in view.figures:
            table.add_row(Text(name), Text(said))
        out.print(indented(table))
        if view.asked_for:
            _table(out, "Ask them for", ("Sitter", "comes", "done", "nine in ten"), view.asked_for)
        _table(
            out,
            "As planned",
            ("Sitter" if answer.sitters else "Sheet", "sits down", "into the line", "can be read",
             "washed"),
            view.sheets,
        )  # fmt: skip
        out.print()
        out.print(Text("What one more buys", style="bold"))
        lines(out, view.more)
        if view.otherwise:
            out.print()
            out.print(Text("Or otherwise", style="bold"))
            lines(out, view.otherwise)
        out.print()
        lines(out, view.notes)


def _print_bag(answer: Day) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import indented, lines, page  # noqa: PLC0415
    from stillroom.telling.day_told import bag_told  # noqa: PLC0415

    view = bag_told(answer)
    with page() as out:
        out.print(Text(view.title, style="bold"))
        out.print()
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for name, said in view.rows:
            table.add_row(Text(name), Text(said))
        out.print(indented(table))
        out.print()
        out.print(Text("Baths", style="bold"))
        lines(out, view.baths)
        out.print()
        lines(out, view.cautions)


def _table(
    out: Console, title: str, heads: tuple[str, ...], rows: tuple[tuple[str, ...], ...]
) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import indented  # noqa: PLC0415

    shown = [at for at in range(len(heads)) if any(row[at] for row in rows)]
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for at in shown:
        table.add_column(Text(heads[at]))
    for row in rows:
        table.add_row(*(Text(row[at]) for at in shown))
    out.print()
    out.print(Text(title, style="bold"))
    out.print(indented(table))
