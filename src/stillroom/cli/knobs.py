"""Options that say how something is set, the same wherever they are given."""

from __future__ import annotations

from typing import Annotated

import typer

from stillroom.cli.writing import Many

Dial = Annotated[
    Many,
    typer.Option(
        "--dial",
        metavar="LIGHT=VALUE",
        help="What the head's own dial shows: key=-1.2, fill=150, key=full.",
    ),
]
Distance = Annotated[
    Many,
    typer.Option(
        "--distance",
        metavar="LIGHT=LENGTH",
        help="Cloth or front to the region it serves: key=0.9m, key=3ft, key=90cm.",
    ),
]
Front = Annotated[
    Many,
    typer.Option(
        "--front", metavar="LIGHT=IDS", help="What stands before it: rim=strip,grid or rim=bare."
    ),
]
Off = Annotated[Many, typer.Option("--off", metavar="LIGHT", help="A light that is off.")]
On = Annotated[Many, typer.Option("--on", metavar="LIGHT", help="A light that is on again.")]
FNumber = Annotated[
    str | None,
    typer.Option("--f", metavar="MARK", help="F-number as marked: 8 or f/8.", show_default=False),
]
Pops = Annotated[int | None, typer.Option("--pops", metavar="N", help="Pops on one sheet.")]
IsPiece = Annotated[
    bool,
    typer.Option("--piece", help="A test piece: an offcut taped where one aimed region falls."),
]
PieceRegion = Annotated[
    str | None,
    typer.Option(
        metavar="REGION",
        help="Where it lay; left out: as advised, else where the tolerance is least.",
        show_default=False,
    ),
]
PieceSize = Annotated[
    str | None,
    typer.Option(
        metavar="WxH",
        help="Its size in mm: 90x120; left out: a fifth of a sheet.",
        show_default=False,
    ),
]
Open = Annotated[
    str | None,
    typer.Option(
        "--open", metavar="SECONDS", help="Open time: 0.5, 1/8 or 2s.", show_default=False
    ),
]
Filter = Annotated[
    str | None,
    typer.Option(
        "--filter",
        metavar="ID",
        help="The filter on the lens, or none; left out: as things stand.",
        show_default=False,
    ),
]
PreFlash = Annotated[
    str | None,
    typer.Option(
        "--pre-flash",
        metavar="STOPS",
        help="An even flash by itself so far below the mid-tone, such as 3, or none.",
        show_default=False,
    ),
]
