"""The commands that answer: what to set next, and what a sheet would show."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.knobs import (
    Dial,
    Distance,
    Filter,
    FNumber,
    Front,
    Off,
    On,
    Open,
    Pops,
    PreFlash,
)
from stillroom.cli.writing import print_answer
from stillroom.errors import BadValue

if TYPE_CHECKING:
    from stillroom.cli.given import Given
    from stillroom.documents.book import Made, Settings, Sitting

Ledger = Annotated[
    str | None,
    typer.Option(
        "--ledger",
        metavar="REGION",
        help="Show the ledger of stops of one region, such as key.",
        show_default=False,
    ),
]


def advise(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    sheets: Annotated[
        int, typer.Option("--sheets", metavar="N", help="Plan N sheets before any is seen.")
    ] = 1,
    *,
    on_lens: Filter = None,
    pre_flash: PreFlash = None,
    ledger: Ledger = None,
    as_json: JsonOption = False,
) -> None:
    """Say what to set for the next sheet, why, and the odds that its tones land."""
    from stillroom.cli import typed  # noqa: PLC0415

    made = typed.made(lens_filter=on_lens, pre_flash=pre_flash)
    with opened(document, book) as read:
        given, found = standing_so(read, read.sitting(sitting), made)
        if sheets != 1:
            _several(given, found, sheets, ledger, as_json=as_json)
            return
        from stillroom.services.plan import advise as ask  # noqa: PLC0415

        answer = ask(given.book, found.id, memo=given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown import show_advice, show_ledger  # noqa: PLC0415

        if ledger is not None:
            show_ledger(given.book, found, answer.forecast, ledger)
        else:
            show_advice(given.book, found, answer)


def predict(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    settings: Annotated[
        str | None,
        typer.Option(
            "--settings",
            metavar="JSON",
            help="What is set, as a document has it; left out: as things stand.",
            show_default=False,
        ),
    ] = None,
    *,
    dial: Dial = None,
    distance: Distance = None,
    front: Front = None,
    off: Off = None,
    on: On = None,
    f: FNumber = None,
    pops: Pops = None,
    open_: Open = None,
    on_lens: Filter = None,
    pre_flash: PreFlash = None,
    bare: Annotated[
        bool,
        typer.Option("--bare", help="Print the sitting so set as a bare ledger (JSON) instead."),
    ] = False,
    ledger: Ledger = None,
    as_json: JsonOption = False,
) -> None:
    """Say what the next sheet would show: with how things stand, or as you say."""
    from stillroom.cli import typed  # noqa: PLC0415

    made = typed.made(
        dial=dial or (),
        distance=distance or (),
        front=front or (),
        off=off or (),
        on=on or (),
        f=f,
        pops=pops,
        open_=open_,
        lens_filter=on_lens,
        pre_flash=pre_flash,
    )
    with opened(document, book) as given:
        found = given.sitting(sitting)
        asked = _settings(given, found, settings, made)
        if bare:
            typer.echo(_bare(given, found, asked))
            return
        from stillroom.services.plan import predict as ask  # noqa: PLC0415

        answer = ask(given.book, found.id, asked, memo=given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown import show_forecast, show_ledger  # noqa: PLC0415

        if ledger is not None:
            show_ledger(given.book, found, answer, ledger)
        else:
            show_forecast(given.book, found, answer)


def standing_so(given: Given, sitting: Sitting, made: Made) -> tuple[Given, Sitting]:
    """The book with a sitting that stands as was typed, where anything was; nothing is kept."""
    from stillroom.documents.checks import check_settings  # noqa: PLC0415
    from stillroom.documents.making import as_made  # noqa: PLC0415
    from stillroom.services.marks import last_number  # noqa: PLC0415
    from stillroom.services.worktable import Worktable  # noqa: PLC0415

    if not made.model_fields_set:
        return given, sitting
    check_settings(given.book, sitting, made, "what is set")
    stands = as_made(Worktable(given.book, sitting.id).standing(), made)
    after = {"stands": stands, "stands_after": last_number(sitting)}
    changed = sitting.model_copy(update=after)
    others = (changed if s.id == sitting.id else s for s in given.book.sittings)
    book = given.book.model_copy(update={"sittings": tuple(others)})
    return replace(given, book=book), changed


def _several(
    given: Given, sitting: Sitting, sheets: int, ledger: str | None, *, as_json: bool
) -> None:
    from stillroom.cli.shown import show_several  # noqa: PLC0415
    from stillroom.services.several import advise_several  # noqa: PLC0415

    if ledger is not None:
        raise BadValue("--ledger", ledger, "it shows one sheet; leave --sheets out")
    answer = advise_several(given.book, sitting.id, sheets, memo=given.memo)
    if as_json:
        print_answer(answer)
    else:
        show_several(given.book, sitting, answer)


def _settings(given: Given, sitting: Sitting, text: str | None, made: Made) -> Settings:
    """How things stand, or the settings given, with what was typed laid over them.

    A dial that is left out is at full; its figure is written in, so that it can be shown.
    """
    from stillroom.cli import typed  # noqa: PLC0415
    from stillroom.documents.book import LightSetting, Settings  # noqa: PLC0415
    from stillroom.documents.checks import check_settings  # noqa: PLC0415
    from stillroom.documents.making import as_made  # noqa: PLC0415
    from stillroom.documents.read import read_as  # noqa: PLC0415
    from stillroom.services.worktable import Worktable  # noqa: PLC0415

    if text is None:
        base = Worktable(given.book, sitting.id).standing()
    else:
        base = read_as(Settings, text, "--settings")
    check_settings(given.book, sitting, made, "what is set")
    asked = as_made(base, typed.at_full(sitting.lights, given.book.kit, made))
    lights = dict(asked.lights)
    for role, top in typed.full_dials(sitting.lights, given.book.kit).items():
        setting = lights.get(role, LightSetting())
        if setting.dial is None:
            lights[role] = setting.model_copy(update={"dial": top})
    asked = asked.model_copy(update={"lights": lights})
    check_settings(given.book, sitting, asked, "what is set")
    return asked


def _bare(given: Given, sitting: Sitting, settings: Settings) -> bytes:
    from stillroom.documents.bare_ledger import ledger_document  # noqa: PLC0415
    from stillroom.services.worktable import Worktable  # noqa: PLC0415

    layout = Worktable(given.book, sitting.id).layout(settings)
    return ledger_document(layout.kit, layout.sitting).model_dump_json().encode()
