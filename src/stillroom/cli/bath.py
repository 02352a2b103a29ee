"""The command about the bath: what control strips say, and another one written down."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import (
    BookOption,
    Document,
    Given,
    JsonOption,
    SittingOption,
    now,
    opened,
)
from stillroom.cli.writing import AS_IT_WAS, Many, print_document, written

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from stillroom.documents.book import Book, Paper
    from stillroom.services.bath import StripRun
    from stillroom.services.desk import Desk
    from stillroom.store import BookFile


def bath(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    density: Annotated[
        Many,
        typer.Option(metavar="STEP=D", help="A control strip was run: the density of one step."),
    ] = None,
    strip: Annotated[
        Many,
        typer.Option(
            metavar="STEP=STEP",
            help="The same by eye: the step of your comparison strip that vanishes: 2=5 or 2=5-6.",
        ),
    ] = None,
    reference: Annotated[
        bool,
        typer.Option(
            "--reference",
            help="Later runs are held against this one; without a reading: against the last one.",
        ),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Say what control strips tell of the bath alone, or write down another one.

    With a document nothing but the answer is made: with a reading, --json prints the document
    with the strip in it.
    """
    from stillroom.cli.typed import pairs  # noqa: PLC0415
    from stillroom.documents.to_domain import named  # noqa: PLC0415
    from stillroom.errors import NotPossible  # noqa: PLC0415

    by_density = pairs("--density", density or (), "1=0.62")
    by_eye = pairs("--strip", strip or (), "1=5-6")
    with opened(document, book) as given:
        found = given.sitting(sitting)
        paper = named("paper", found.paper, given.book.papers)
        if not (by_density or by_eye or reference):
            _show(given.book, paper, now().date(), as_json=as_json)
            return
        read = _read(paper, by_density, by_eye)
        steps = {step: density for step, (density, _) in read.items()}
        spreads = [sd for _, sd in read.values() if sd is not None]

        def write(_: BookFile, desk: Desk) -> None:
            if steps:
                sd = max(spreads, default=None)
                desk.add_control_strip(found.id, steps, density_sd=sd, reference=reference)
                return
            last = len(found.control_strips)
            if last == 0:
                raise NotPossible(
                    f"Sitting {found.id} has no control strip yet: say what one shows."
                )
            desk.mark_reference(found.id, last)

        after, _ = written(given, write)
        if as_json:
            print_document(after)
            return
        _say(after, found.id, given)


def _read(
    paper: Paper, by_density: Mapping[str, str], by_eye: Mapping[str, str]
) -> dict[str, tuple[float, float | None]]:
    """Density and spread of each step; a spread is said by eye only."""
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.services.strip_reading import by_steps  # noqa: PLC0415

    found: dict[str, tuple[float, float | None]] = {
        step: (number("--density", text), None) for step, text in by_density.items()
    }
    for step, text in by_eye.items():
        if step in found:
            raise BadValue("--strip", f"{step}={text}", f"step {step} has a density already")
        seen = by_steps([tap.strip() for tap in text.split("-")], paper, f"step {step}")
        if seen.density is None:
            raise BadValue("--strip", f"{step}={text}", "an end of the strip tells no bath")
        found[step] = (seen.density, seen.density_sd)
    return found


def _say(after: Book, sitting_id: str, given: Given) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.documents.to_domain import named  # noqa: PLC0415
    from stillroom.services.bath import strip_runs  # noqa: PLC0415
    from stillroom.services.bath_words import run_sentence  # noqa: PLC0415

    sitting = named("sitting", sitting_id, after.sittings)
    number = len(sitting.control_strips)
    run = next(
        r
        for r in strip_runs(after, sitting.paper)
        if (r.sitting_id, r.number) == (sitting_id, number)
    )
    wrapped(f"Control strip no. {number} of sitting {sitting_id} is written down.")
    wrapped(run_sentence(run))
    if given.store is None:
        wrapped(AS_IT_WAS)


def _show(book: Book, paper: Paper, today: date, *, as_json: bool) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.services.bath import run_of_day, strip_runs  # noqa: PLC0415
    from stillroom.services.bath_words import run_sentence  # noqa: PLC0415
    from stillroom.services.cautions import BATH_CAUTION  # noqa: PLC0415

    runs = strip_runs(book, paper.id)
    says = run_sentence(run_of_day(book, paper.id, today))
    if as_json:
        told = {"paper": paper.id, "says": says, "runs": [_as_data(run) for run in runs]}
        typer.echo(json.dumps(told, ensure_ascii=False, indent=1))
        return
    for run in runs:
        wrapped(f"{run.strip.when:%Y-%m-%d %H:%M}  {_value(run)}{run_sentence(run)}")
    wrapped(says)
    wrapped(BATH_CAUTION)


def _value(run: StripRun) -> str:
    from stillroom.quantity import (  # noqa: PLC0415
        NINE_IN_TEN,
        range_text,
        stops_decimal_text,
    )

    if run.is_reference or run.shift.value_stops is None:
        return ""
    half = range_text(NINE_IN_TEN * run.shift.sd_stops)
    return f"{stops_decimal_text(run.shift.value_stops, 1)} {half}. "


def _as_data(run: StripRun) -> dict[str, object]:
    from stillroom.services.bath_words import run_sentence  # noqa: PLC0415

    return {
        "sitting": run.sitting_id,
        "number": run.number,
        "when": run.strip.when.isoformat(),
        "reference": run.is_reference,
        "value_stops": run.shift.value_stops,
        "sd_stops": run.shift.sd_stops,
        "steps": list(run.shift.steps),
        "black_loss_density": run.shift.black_loss,
        "says": run_sentence(run),
    }
