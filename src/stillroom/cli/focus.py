"""The command that says where to focus, how deep it is, and what is off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import print_answer

if TYPE_CHECKING:
    from stillroom.documents.focus import Focus
    from stillroom.documents.holding import Viewing
    from stillroom.services.focus_asked import MeasuredFrom


def focus(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    f: Annotated[
        str | None,
        typer.Option("--f", metavar="N", help="F-stop as marked; left out: as it stands."),
    ] = None,
    viewing: Annotated[
        str | None,
        typer.Option(metavar="HOW", help="hand or wall: how the picture is looked at."),
    ] = None,
    shift: Annotated[
        str | None,
        typer.Option(
            metavar="MM", help="How far the sheet lies behind the ground glass; below 0: before."
        ),
    ] = None,
    rest: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Head rest to eye, by the tape: 18.5 cm."),
    ] = None,
    focal: Annotated[
        str | None,
        typer.Option(metavar="MM", help="Focal length: no book is asked then."),
    ] = None,
    magnification: Annotated[
        str | None, typer.Option(metavar="M", help="With --focal: image over sitter, 1/4.")
    ] = None,
    distance: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="With --focal: lens to eye, 1.2 m.")
    ] = None,
    measured_from: Annotated[
        str,
        typer.Option("--from", metavar="WHERE", help="With --distance: from lens, board or film."),
    ] = "lens",
    draw: Annotated[
        str | None, typer.Option(metavar="MM", help="With --focal: draw of the bellows.")
    ] = None,
    pupil: Annotated[
        str, typer.Option(metavar="P", help="With --focal: rear over front pupil.")
    ] = "1",
    flange: Annotated[
        str | None,
        typer.Option(metavar="MM", help="With --focal: draw at infinity focus (telephoto)."),
    ] = None,
    bellows: Annotated[
        str | None, typer.Option(metavar="MM", help="With --focal: longest draw of the camera.")
    ] = None,
    sheet_format: Annotated[
        str, typer.Option("--format", metavar="SIZE", help="With --focal: the sheet.")
    ] = "4x5 in",
    as_json: JsonOption = False,
) -> None:
    """Say where to focus, what is sharp about the eye, and what is off."""
    from dataclasses import replace  # noqa: PLC0415

    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.services import focus_asked, focusing  # noqa: PLC0415

    looked_at = _viewing(viewing)
    stop = None if f is None else number("--f", f.removeprefix("f/"))
    if focal is None:
        for name, value, unsaid in (
            ("--magnification", magnification, None), ("--distance", distance, None),
            ("--draw", draw, None), ("--from", measured_from, "lens"), ("--pupil", pupil, "1"),
            ("--flange", flange, None), ("--bellows", bellows, None),
            ("--format", sheet_format, "4x5 in"),
        ):  # fmt: skip
            if value != unsaid:
                raise BadValue(name, value, "it goes with --focal; else the book says it")
        with opened(document, book) as given:
            found = given.sitting(sitting)
            asked = focus_asked.focus_asked(given.book, found.id, f_number=stop, viewing=looked_at)
    else:
        if document is not None or book is not None or sitting is not None:
            raise BadValue("--focal", focal, "with it no book is asked; leave one out")

        def said(option: str, text: str | None) -> float | None:
            return None if text is None else number(option, text)

        asked = focus_asked.bare(
            focal_mm=number("--focal", focal),
            f_number=5.6 if stop is None else stop,
            pupil_ratio=number("--pupil", pupil),
            sheet=sheet_format,
            magnification=said("--magnification", magnification),
            distance_m=None if distance is None else _length_m(distance, "m"),
            draw_of_mm=said("--draw", draw),
            flange_at_infinity_mm=said("--flange", flange),
            measured_from=_from(measured_from),
            bellows_mm=said("--bellows", bellows),
            viewing=looked_at,
        )
    if shift is not None:
        asked = replace(asked, sheet_behind_glass_mm=number("--shift", shift))
    if rest is not None:
        asked = focus_asked.with_rest(asked, _length_m(rest, "cm") * 1000)
    answer = focusing.focus(asked)
    if as_json:
        print_answer(answer)
    else:
        _show(answer)


def _viewing(text: str | None) -> Viewing | None:
    from stillroom.errors import BadValue  # noqa: PLC0415

    if text is None:
        return None
    known: dict[str, Viewing] = {
        "hand": "in_the_hand", "in_the_hand": "in_the_hand",
        "wall": "on_the_wall", "on_the_wall": "on_the_wall",
    }  # fmt: skip
    word = text.strip().lower().replace(" ", "_").replace("-", "_")
    if word not in known:
        raise BadValue("--viewing", text, "choose hand or wall")
    return known[word]


def _from(text: str) -> MeasuredFrom:
    from stillroom.errors import BadValue  # noqa: PLC0415

    known: dict[str, MeasuredFrom] = {
        "lens": "lens", "board": "board", "lens board": "board", "film": "film", "sheet": "film",
    }  # fmt: skip
    word = text.strip().lower().replace("-", " ").replace("_", " ")
    if word not in known:
        raise BadValue("--from", text, "choose lens, board or film")
    return known[word]


def _length_m(text: str, unit: str) -> float:
    """A length; nothing and below nothing are read too, and refused with what can be done."""
    from stillroom.quantity import parse_length_m  # noqa: PLC0415

    stripped = text.strip()
    if stripped.startswith(("-", "\N{MINUS SIGN}")):
        return -parse_length_m(stripped[1:], unit)
    return 0.0 if stripped.strip("0., ") == "" else parse_length_m(stripped, unit)


def _show(answer: Focus) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.focus_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        lines(out, [view.line, view.where])
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for what, words in view.rows:
            table.add_row(Text(f"  {what}"), Text(words))
        out.print(table)
        lines(out, view.notes)
