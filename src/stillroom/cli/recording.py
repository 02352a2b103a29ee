"""The command that writes down: a sheet as made, what it shows, what a meter showed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import (
    BookOption,
    Document,
    Given,
    JsonOption,
    SittingOption,
    opened,
)
from stillroom.cli.knobs import (
    Dial,
    Distance,
    Filter,
    FNumber,
    Front,
    IsPiece,
    Off,
    On,
    Open,
    PieceRegion,
    PieceSize,
    Pops,
    PreFlash,
)
from stillroom.cli.writing import AS_IT_WAS, Many, print_document, written

if TYPE_CHECKING:
    from stillroom.documents.book import Book
    from stillroom.services.recording import Entry


def record(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    sheet: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            help="Which sheet; left out: a new one where something was set, else the last.",
            show_default=False,
        ),
    ] = None,
    *,
    as_advised: Annotated[
        bool, typer.Option("--as-advised", help="A new sheet, set just as advised.")
    ] = False,
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
    steps: Annotated[
        str | None,
        typer.Option(metavar="1,2,4,8", help="A stepped sheet with these strips."),
    ] = None,
    piece: IsPiece = False,
    piece_region: PieceRegion = None,
    piece_size: PieceSize = None,
    saw: Annotated[
        Many,
        typer.Option(
            metavar="REGION=WORD",
            help="By eye: black, too_dark, as_wanted, too_light, bare_paper, cant_tell.",
        ),
    ] = None,
    density: Annotated[
        Many,
        typer.Option(
            metavar="REGION=D", help="A density; 2:key=0.61 on strip 2 of a stepped sheet."
        ),
    ] = None,
    strip: Annotated[
        Many,
        typer.Option(
            metavar="REGION=STEP",
            help="The step of the strip that vanishes: 5; between two: 5-6; unsure: 5-6?",
        ),
    ] = None,
    by: Annotated[
        str | None,
        typer.Option(metavar="WAY", help="words, strip, densitometer or scan."),
    ] = None,
    early: Annotated[
        Many,
        typer.Option(
            metavar="REGION=WORD",
            help="An early look: too_dark, as_wanted, too_light; face=WORD for the whole face.",
        ),
    ] = None,
    pale: Annotated[
        bool,
        typer.Option("--pale", help="It was at the pale positive; left out: at the negative."),
    ] = False,
    wet: Annotated[
        bool | None,
        typer.Option("--wet/--dry", help="Left out: wet by eye, dry by densitometer or scan."),
    ] = None,
    kept: Annotated[bool, typer.Option("--kept", help="It goes in the box.")] = False,
    not_kept: Annotated[
        str | None,
        typer.Option(metavar="WHY", help="It does not: tones, face, focus, blemish, by commas."),
    ] = None,
    moved: Annotated[
        Many,
        typer.Option(
            metavar="WHAT",
            help="What else moved since the sheet before, such as curtain, or "
            "'a stand was knocked: key'.",
        ),
    ] = None,
    room: Annotated[
        str | None,
        typer.Option(
            metavar="STATE",
            help="State of the room's own light then; left out: as the sitting says now.",
            show_default=False,
        ),
    ] = None,
    note: Annotated[str | None, typer.Option(metavar="TEXT", help="A note on the sheet.")] = None,
    slip: Annotated[
        str | None,
        typer.Option(
            metavar="ID",
            help="An odd sheet was this slip, such as dial-key; or something-else.",
        ),
    ] = None,
    real: Annotated[
        bool, typer.Option("--real", help="An odd sheet is real: it counts in full.")
    ] = False,
    ask_again: Annotated[
        bool, typer.Option("--ask-again", help="Take back what was said of an odd sheet.")
    ] = False,
    meter: Annotated[
        str | None,
        typer.Option(metavar="REGION=SHOWED", help="key=f/22@25 (at ISO 25), key=640lx, key=ev9."),
    ] = None,
    lit: Annotated[
        str | None,
        typer.Option(metavar="LIGHTS", help="Lights on for the meter, by commas."),
    ] = None,
    with_meter: Annotated[
        str | None, typer.Option(metavar="ID", help="Which meter, where there are several.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Write down a sheet as it was made, what it shows, or what a meter showed.

    With a document nothing but the answer is made: --json prints the document with the entry.
    """
    from stillroom.cli import typed  # noqa: PLC0415
    from stillroom.cli.early import early_look  # noqa: PLC0415
    from stillroom.cli.odd import answer_of  # noqa: PLC0415
    from stillroom.cli.pieces import piece_of  # noqa: PLC0415
    from stillroom.documents.checks import check_settings  # noqa: PLC0415
    from stillroom.documents.to_domain import named  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.services.recording import Entry  # noqa: PLC0415

    if kept and not_kept is not None:
        raise BadValue("--not-kept", not_kept, "the sheet is kept; give one of the two")
    if piece and steps is not None:
        raise BadValue("--steps", steps, "a test piece shows one exposure; give one of the two")
    if meter is None and (lit or with_meter):
        raise BadValue("--lit", lit or with_meter, "it goes with --meter; say what was shown")
    typed.free_text(note, moved or (), room)
    with opened(document, book) as given:
        found = given.sitting(sitting)
        paper = named("paper", found.paper, given.book.papers)
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
        # What equals the plan is not kept, so that a light that is not there would pass unseen.
        check_settings(given.book, found, made, "what was set")
        made = typed.at_full(found.lights, given.book.kit, made)
        entry = Entry(
            number=sheet,
            as_advised=as_advised,
            made=made,
            piece=piece_of(is_piece=piece, region=piece_region, size=piece_size),
            steps_pops=None if steps is None else typed.steps_pops(steps),
            readings=typed.readings(
                paper,
                saw=saw or (),
                density=density or (),
                strip=strip or (),
                by=by,
                is_wet=wet,
            )
            + early_look(early or (), is_pale=pale),
            kept=True if kept else None if not_kept is None else False,
            because=() if not_kept is None else typed.reasons(not_kept),
            moved=tuple(moved or ()),
            room_state=room,
            note=note,
            odd=answer_of(slip, is_real=real, ask_again=ask_again),
            metered=None
            if meter is None
            else typed.metered(meter, found.lights, given.book.kit, lit=lit, meter=with_meter),
        )
        _enter(given, found.id, entry, as_json=as_json)


def _enter(given: Given, sitting_id: str, entry: Entry, *, as_json: bool) -> None:
    from stillroom.services.recording import enter  # noqa: PLC0415

    after, number = written(given, lambda store, desk: enter(store, desk, sitting_id, entry))
    if as_json:
        print_document(after)
        return
    _say(after, given, sitting_id, number, entry)


def _say(after: Book, given: Given, sitting_id: str, number: int | None, entry: Entry) -> None:
    from stillroom.cli.early import RED  # noqa: PLC0415
    from stillroom.cli.odd import show_odd  # noqa: PLC0415
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.documents.pieces import region_of_piece  # noqa: PLC0415
    from stillroom.documents.to_domain import named  # noqa: PLC0415
    from stillroom.services.moved_told import widened  # noqa: PLC0415
    from stillroom.services.plan import taught  # noqa: PLC0415
    from stillroom.sitter import region_name  # noqa: PLC0415

    sitting = named("sitting", sitting_id, after.sittings)
    if number is None:
        shown = len(sitting.meter_readings)
        wrapped(f"The meter reading is written down, no. {shown} of sitting {sitting_id}.")
    else:
        sheet = next(s for s in sitting.sheets if s.number == number)
        box = {True: ", in the box", False: ", not kept", None: ""}[sheet.kept]
        if sheet.piece is not None:
            box = f", a test piece at the {region_name(region_of_piece(sitting, sheet)).lower()}"
        wrapped(f"{sheet.mark or number} is written down{box}.")
        if any(reading.by == "early_look" for reading in entry.readings):
            wrapped(f"An early look counts until the finished sheet is read. {RED}")
        for sentence in widened(sitting, sheet) if entry.moved else ():
            wrapped(sentence)
        if sheet.readings or sheet.kept is not None:  # unseen, it taught nothing
            lessons = {t.number: t for t in taught(after, sitting_id, memo=given.memo)}
            lesson = lessons.get(number)
            if lesson is not None and lesson.sentence:
                wrapped(f"What it taught: {lesson.sentence}")
            show_odd(after, sitting_id, number, memo=given.memo)
    if given.store is None:
        wrapped(AS_IT_WAS)
