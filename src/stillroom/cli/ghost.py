"""The command that says whether steady light beside a flash makes a second edge."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast, get_args

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import print_answer

if TYPE_CHECKING:
    from stillroom.documents.firing import Firing
    from stillroom.documents.ghost import Ghost
    from stillroom.documents.holding import Fires, Support
    from stillroom.services.ghost_answers import GhostAsked

_IN = re.compile(r"([0-9.,]+)\s*in\s*([0-9.,]+)", re.IGNORECASE)


def _option(name: str, metavar: str, help_text: str) -> typer.models.OptionInfo:
    found: typer.models.OptionInfo = typer.Option(
        name, metavar=metavar, help=help_text, show_default=False
    )
    return found


def ghost(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    open_s: Annotated[
        str | None,
        _option("--open-s", "SECONDS", "How long the lens is open; left out: as advised."),
    ] = None,
    odds: Annotated[
        str | None,
        _option("--odds", "ODDS", "Wanted that no second edge shows: 9/10; left out: 9 in 10."),
    ] = None,
    room_state: Annotated[
        str | None,
        _option("--room-state", "STATE", "State of the room; left out: as the sitting says."),
    ] = None,
    modelling: Annotated[
        bool, typer.Option("--modelling", help="The modelling lamps are on.")
    ] = False,
    support: Annotated[
        str | None,
        _option(
            "--support",
            "HOW",
            "standing, leaning, seated, seated_arms_on_table or head_rest; left out: as the "
            "sitting says.",
        ),
    ] = None,
    fires: Annotated[
        str | None,
        _option(
            "--fires",
            "HOW",
            "sync_shutter, cap_in_dark, cap_in_light, remote or second_person; left out: as the "
            "sitting says.",
        ),
    ] = None,
    away_s: Annotated[
        str | None,
        _option("--away-s", "SECONDS", "How long nobody sits in the chair while it is open."),
    ] = None,
    mix: Annotated[
        str | None,
        _option("--mix", "SHARE", "Share of steady light wanted: 1/2 is as much as the flash."),
    ] = None,
    firing: Annotated[
        bool,
        typer.Option("--firing", help="Say how it fires instead: count, heads, plugs, battery."),
    ] = False,
    share: Annotated[
        str | None,
        _option("--share", "SHARE", "Steady light's share of the light, 1/20: no book is asked."),
    ] = None,
    steady_lx: Annotated[
        str | None,
        _option("--steady-lx", "LX", "In place of --share: steady light at the face, metered."),
    ] = None,
    flash_lxs: Annotated[
        str | None,
        _option("--flash-lxs", "LXS", "With --steady-lx: all pops together, in lux seconds."),
    ] = None,
    light: Annotated[
        str | None,
        _option("--light", "STOPS", "With --share: where the lighter side falls; left out: +½."),
    ] = None,
    beside: Annotated[
        str | None,
        _option("--beside", "STOPS", "With --share: where the other side falls; left out: −2½."),
    ] = None,
    magnification: Annotated[
        str | None,
        _option("--magnification", "M", "With --share: image over sitter; left out: 1/4."),
    ] = None,
    allowed_mm: Annotated[
        str | None,
        _option("--allowed-mm", "MM", "With --share: widest smear allowed; left out: 0.2."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Say whether steady light beside a flash makes a second edge, and how long shows none."""
    from stillroom.errors import BadValue  # noqa: PLC0415

    of_numbers = {
        "--share": share,
        "--steady-lx": steady_lx,
        "--flash-lxs": flash_lxs,
        "--light": light,
        "--beside": beside,
        "--magnification": magnification,
        "--allowed-mm": allowed_mm,
    }
    given = {name: text for name, text in of_numbers.items() if text is not None}
    said = _asked(
        open_s=open_s,
        odds=odds,
        room_state=room_state,
        modelling=modelling,
        support=support,
        fires=fires,
        away_s=away_s,
        mix=mix,
    )
    if given:
        of_book = {
            "--sitting": sitting,
            "--book": book,
            "DOCUMENT": document,
            "--room-state": room_state,
            "--fires": fires,
            "--away-s": away_s,
            "--modelling": modelling or None,
            "--firing": firing or None,
        }
        for name, value in of_book.items():
            if value is not None:
                raise BadValue(
                    name,
                    "given" if value is True else value,
                    f"{next(iter(given))} asks of bare numbers and no book; leave one out",
                )
        _print_ghost(_of_numbers(given, said), as_json=as_json)
        return
    _of_sitting(document, book, sitting, said, firing=firing, as_json=as_json)


def _asked(
    *,
    open_s: str | None,
    odds: str | None,
    room_state: str | None,
    modelling: bool,
    support: str | None,
    fires: str | None,
    away_s: str | None,
    mix: str | None,
) -> GhostAsked:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.documents.holding import Fires, Support  # noqa: PLC0415
    from stillroom.errors import in_range  # noqa: PLC0415
    from stillroom.services.ghost_answers import (  # noqa: PLC0415
        ODDS_RANGE,
        SHARE_RANGE,
        USUAL_ODDS,
        GhostAsked,
    )

    def seconds(option: str, text: str | None) -> float | None:
        return None if text is None else number(option, text.rstrip("s "))

    wanted = USUAL_ODDS
    if odds is not None:
        wanted = in_range("--odds", _chance("--odds", odds), *ODDS_RANGE)
    share = None
    if mix is not None:
        share = in_range("--mix", _chance("--mix", mix), *SHARE_RANGE)
    return GhostAsked(
        open_s=seconds("--open-s", open_s),
        room_state=room_state,
        odds=wanted,
        modelling=modelling,
        away_s=seconds("--away-s", away_s),
        mix=share,
        support=cast("Support | None", _one_of("--support", support, get_args(Support))),
        fires=cast("Fires | None", _one_of("--fires", fires, get_args(Fires))),
    )


def _chance(option: str, text: str) -> float:
    from stillroom.cli.typed import number  # noqa: PLC0415

    return number(option, _IN.sub(r"\1/\2", text))


def _one_of(option: str, text: str | None, choices: tuple[str, ...]) -> str | None:
    from stillroom.errors import BadValue  # noqa: PLC0415

    if text is None:
        return None
    wanted = text.strip().lower().replace("-", "_").replace(" ", "_")
    if wanted not in choices:
        raise BadValue(option, text, f"choose one of {', '.join(choices)}")
    return wanted


def _of_numbers(given: dict[str, str], said: GhostAsked) -> Ghost:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.services.ghost_numbers import (  # noqa: PLC0415
        Numbers,
        ghost_of_numbers,
        share_of_levels,
    )

    open_s = 1.0 if said.open_s is None else said.open_s
    values = {
        name: _chance(name, text) if name == "--share" else number(name, text)
        for name, text in given.items()
    }
    levels = ("--steady-lx", "--flash-lxs")
    if "--share" in values:
        for name in levels:
            if name in values:
                raise BadValue(name, given[name], "--share says it already; leave one out")
        share = values["--share"]
    else:
        for name in levels:
            if name not in values:
                raise BadValue(name, "not given", "give --share, or --steady-lx and --flash-lxs")
        share = share_of_levels(values["--steady-lx"], values["--flash-lxs"], open_s)
    names = {
        "--light": "light_stops",
        "--beside": "beside_stops",
        "--magnification": "magnification",
        "--allowed-mm": "allowed_mm",
    }
    more = {field: values[name] for name, field in names.items() if name in values}
    return ghost_of_numbers(
        Numbers(
            share=share,
            open_s=open_s,
            odds=said.odds,
            mix=said.mix,
            support=said.support or "seated",
            **more,
        )
    )


def _of_sitting(
    document: str | None,
    book: Path | None,
    sitting: str | None,
    said: GhostAsked,
    *,
    firing: bool,
    as_json: bool,
) -> None:
    from stillroom.services.plan import advise  # noqa: PLC0415

    with opened(document, book) as given:
        found = given.sitting(sitting)
        settings = advise(given.book, found.id, memo=given.memo).settings
        if firing:
            from stillroom.services.firing import firing as how  # noqa: PLC0415

            _print_firing(how(given.book, found.id, settings, fires=said.fires), as_json=as_json)
            return
        from stillroom.services.ghost_answers import ghost as ask  # noqa: PLC0415

        answer = ask(given.book, found.id, settings, said, memo=given.memo)
    _print_ghost(answer, as_json=as_json)


def _print_ghost(answer: Ghost, *, as_json: bool) -> None:
    if as_json:
        print_answer(answer)
        return
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.ghost_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        lines(out, [view.line])
        if view.regions:
            table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
            for title in ("", "by steady light", "second edge"):
                table.add_column(title)
            for name, share, shown in view.regions:
                table.add_row(Text(f"  {name}"), Text(share), Text(shown))
            out.print(table)
        if view.rows:
            rows = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
            for what, figure in view.rows:
                rows.add_row(Text(f"  {what}"), Text(figure))
            out.print(rows)
        if view.ways:
            out.print()
            out.print(Text("What helps", style="bold"))
            lines(out, view.ways)
        lines(out, [view.dark_test, *view.notes])


def _print_firing(answer: Firing, *, as_json: bool) -> None:
    if as_json:
        print_answer(answer)
        return
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.firing_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        lines(out, [view.line, view.count])
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for what, figure in view.rows:
            table.add_row(Text(f"  {what}"), Text(figure))
        out.print(table)
        lines(out, [*view.notes, *view.cautions])
