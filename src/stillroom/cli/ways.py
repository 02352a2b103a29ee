"""The command about another camera: what it asks, and ways to the same aims there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import print_answer

if TYPE_CHECKING:
    from stillroom.documents.holding import Viewing
    from stillroom.documents.ways import Ways

_VIEWINGS: dict[str, Viewing] = {"hand": "in_the_hand", "wall": "on_the_wall"}


def ways(
    camera: Annotated[
        str, typer.Option("--camera", metavar="ID", help="The other camera.", show_default=False)
    ],
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    lens: Annotated[
        str | None,
        typer.Option(
            "--lens",
            metavar="ID",
            help="Its lens; left out: the one that shows the sitter most alike.",
            show_default=False,
        ),
    ] = None,
    magnification: Annotated[
        float | None,
        typer.Option(
            "--magnification",
            metavar="M",
            help="How large; left out: as much of the sitter as now.",
            show_default=False,
        ),
    ] = None,
    distance: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="LENGTH",
            help="From lens to sitter, such as 1.5 m; instead of --magnification.",
            show_default=False,
        ),
    ] = None,
    viewing: Annotated[
        str | None,
        typer.Option(
            "--viewing",
            metavar="hand|wall",
            help="How it is looked at; left out: as the sitting says.",
            show_default=False,
        ),
    ] = None,
    paper: Annotated[
        str | None,
        typer.Option("--paper", metavar="ID", help="On another paper.", show_default=False),
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            "--at",
            metavar="SEAT",
            help="A seat by daylight, or place/seat; left out: the first.",
            show_default=False,
        ),
    ] = None,
    room: Annotated[
        str | None,
        typer.Option(
            "--room", metavar="STATE", help="State of the room's own light.", show_default=False
        ),
    ] = None,
    f: Annotated[
        str | None,
        typer.Option("--f", metavar="F", help="This stop alone.", show_default=False),
    ] = None,
    pops_most: Annotated[
        int, typer.Option("--pops-most", metavar="N", help="Most pops on one sheet.")
    ] = 8,
    buy_ws: Annotated[
        float, typer.Option("--buy-ws", metavar="WS", help="Most W·s to be bought or hired.")
    ] = 0.0,
    as_json: JsonOption = False,
) -> None:
    """Say what another camera asks, and rank ways to the same aims there."""
    from stillroom.cli import typed  # noqa: PLC0415
    from stillroom.errors import UnknownName  # noqa: PLC0415
    from stillroom.quantity import parse_length_m  # noqa: PLC0415
    from stillroom.services.ways import Asked  # noqa: PLC0415
    from stillroom.services.ways import ways as ask  # noqa: PLC0415

    if viewing is not None and viewing not in _VIEWINGS:
        raise UnknownName("viewing", viewing, _VIEWINGS)
    with opened(document, book) as given:
        found = given.sitting(sitting)
        answer = ask(
            given.book,
            Asked(
                sitting=found.id,
                camera=camera,
                lens=lens,
                magnification=magnification,
                subject_distance_m=None if distance is None else parse_length_m(distance, "m"),
                viewing=None if viewing is None else _VIEWINGS[viewing],
                seat=at,
                room_state=room,
                paper=paper,
                f_number=None if f is None else typed.f_number(f),
                pops_most=pops_most,
                buy_ws=buy_ws,
            ),
            memo=given.memo,
        )
    if as_json:
        print_answer(answer)
    else:
        _show(answer)


def _show(answer: Ways) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.ways_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        out.print(Text(view.title, style="bold"))
        lines(out, [view.headline, view.otherwise, *view.cautions])
        out.print()
        figures = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for name, words in view.figures:
            figures.add_row(Text(f"  {name}"), Text(words))
        out.print(figures)
        lines(out, [view.nearest])
        for way in view.ways:
            out.print()
            out.print(Text(f"{way.rank}  {way.title}", style="bold"))
            table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
            for name, words in (
                ("Set", way.detail),
                ("First", way.changes),
                ("Tones land", way.tones),
                ("Eye sharp", way.focus),
                ("To hold", way.hold),
                ("Second edge", way.edge),
                ("All together", way.right),
                ("Heads", way.firing),
                ("Why here", way.why),
            ):
                if words:
                    table.add_row(Text(f"   {name}"), Text(words))
            out.print(table)
        if view.piece:
            out.print()
            out.print(Text("First a test piece", style="bold"))
            lines(out, [view.piece, view.straight])
        out.print()
        out.print(Text("What carries over", style="bold"))
        lines(out, list(view.carries))
        if view.does_not:
            out.print(Text("What does not", style="bold"))
            lines(out, list(view.does_not))
        lines(out, ["Ranges are nine in ten."])
