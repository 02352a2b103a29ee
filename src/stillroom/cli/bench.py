"""The command that prints the wet line as a timetable."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import print_answer
from stillroom.errors import BadValue, BookError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stillroom.documents.book import Book, Paper, Sitting
    from stillroom.documents.timetable import Timetable
    from stillroom.documents.wet import Process
    from stillroom.services.timetable import Lamp


def bench(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    process: Annotated[
        str | None,
        typer.Option(
            "--process",
            metavar="ID",
            help="Left out: that of the sitting's camera or paper.",
            show_default=False,
        ),
    ] = None,
    temperature: Annotated[
        str | None,
        typer.Option(
            "--temperature",
            metavar="C",
            help="Of the line, in degrees Celsius; left out: the process's own.",
            show_default=False,
        ),
    ] = None,
    sheets: Annotated[
        int | None,
        typer.Option(
            "--sheets",
            metavar="N",
            help="How many; left out: those exposed and not yet through, else one.",
            show_default=False,
        ),
    ] = None,
    lamp_lm: Annotated[
        float | None,
        typer.Option(
            "--lamp-lm",
            metavar="LM",
            help="Lumens of the bulb for the second exposure; with --lamp-at.",
            show_default=False,
        ),
    ] = None,
    lamp_at: Annotated[
        str | None,
        typer.Option(
            "--lamp-at", metavar="LENGTH", help="From bulb to sheet.", show_default=False
        ),
    ] = None,
    warm: Annotated[bool, typer.Option("--warm", help="The bulb is a warm one.")] = False,
    first_sign: Annotated[
        str | None,
        typer.Option(
            "--first-sign",
            metavar="SECONDS",
            help="Seconds to the first sign of black: times without a thermometer.",
            show_default=False,
        ),
    ] = None,
    developer: Annotated[
        str, typer.Option("--developer", help="For --first-sign: mq, metol, hydroquinone, amidol.")
    ] = "mq",
    list_: Annotated[bool, typer.Option("--list", help="List the processes instead.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Print the wet line as a timetable: trays, times, calls, light, cautions."""
    from stillroom.services.bench import line_at  # noqa: PLC0415
    from stillroom.services.processes import processes  # noqa: PLC0415
    from stillroom.services.timetable import timetable  # noqa: PLC0415

    found, at = _book(document, book, sitting, is_named=process is not None)
    if list_:
        _list(processes(found), [own.id for own in found.kit.processes], as_json=as_json)
        return
    taken = _process(found, at, process)
    paper = _paper(found, at)
    line = line_at(taken, None if temperature is None else _degrees(temperature))
    answer = timetable(
        line,
        _waiting(at) if sheets is None else sheets,
        paper=paper,
        lamp=_lamp(lamp_lm, lamp_at, is_warm=warm),
        first_sign_s=None if first_sign is None else _seconds(first_sign),
        developer=developer,
    )
    if as_json:
        print_answer(answer)
    else:
        _show(answer)


def _book(
    document: str | None, book: Path | None, sitting: str | None, *, is_named: bool
) -> tuple[Book, Sitting | None]:
    """The book that was given, else one's own; a process by its name needs none."""
    from stillroom.documents.book import Book  # noqa: PLC0415

    try:
        with opened(document, book) as given:
            asked = sitting is not None or bool(given.book.sittings)
            return given.book, given.sitting(sitting) if asked else None
    except BookError:
        if document is not None or book is not None or sitting is not None or not is_named:
            raise
        return Book(), None


def _process(book: Book, at: Sitting | None, name: str | None) -> Process:
    from stillroom.documents.to_domain import named  # noqa: PLC0415
    from stillroom.errors import NotPossible  # noqa: PLC0415
    from stillroom.services.bench import process_of_sitting  # noqa: PLC0415
    from stillroom.services.processes import gone, process_called, usual_process  # noqa: PLC0415

    if name is not None:
        return process_called(book, name)
    if at is None:
        return usual_process(book)
    camera = named("camera", at.camera, book.kit.cameras)
    text = gone(book, camera, named("paper", at.paper, book.papers))
    if text:
        raise NotPossible(text)
    return process_of_sitting(book, at)


def _paper(book: Book, at: Sitting | None) -> Paper | None:
    return None if at is None else next(p for p in book.papers if p.id == at.paper)


def _waiting(at: Sitting | None) -> Sequence[str] | int:
    """Marks of the sheets that are exposed and not through; else one sheet."""
    from stillroom.services.bench import waits  # noqa: PLC0415

    if at is None:
        return 1
    return [sheet.mark or str(sheet.number) for sheet in at.sheets if waits(at, sheet)] or 1


def _degrees(text: str) -> float:
    plain = text.strip().removesuffix("C").removesuffix("°").strip()
    return _number("--temperature", plain, text, "give degrees Celsius, such as 20")


def _seconds(text: str) -> float:
    plain = text.strip().removesuffix("s").strip()
    return _number("--first-sign", plain, text, "give seconds, such as 12")


def _number(name: str, plain: str, text: str, what: str) -> float:
    try:
        return float(plain.replace(",", "."))
    except ValueError:
        raise BadValue(name, text, what) from None


def _lamp(flux_lm: float | None, at: str | None, *, is_warm: bool) -> Lamp | None:
    from stillroom.quantity import parse_length_m  # noqa: PLC0415
    from stillroom.services.timetable import Lamp  # noqa: PLC0415

    if flux_lm is None and at is None:
        return None
    if flux_lm is None or at is None:
        missing = "--lamp-lm" if flux_lm is None else "--lamp-at"
        raise BadValue(missing, "missing", "give both --lamp-lm and --lamp-at")
    return Lamp(flux_lm, parse_length_m(at, "m"), is_warm)


def _list(found: Sequence[Process], own: Sequence[str], *, as_json: bool) -> None:
    import json  # noqa: PLC0415

    from stillroom.telling.bench_told import process_rows  # noqa: PLC0415

    rows = process_rows(found, own)
    if as_json:
        named = [{"id": one.id, "name": one.name, "based_on": one.based_on} for one in found]
        print(json.dumps({"stillroom": "processes/1", "processes": named}, ensure_ascii=False))
        return
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import page  # noqa: PLC0415

    with page() as out:
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        out.print(table)


def _show(answer: Timetable) -> None:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling import bench_told as told  # noqa: PLC0415

    with page() as out:
        out.print(Text(told.head(answer), style="bold"))
        lines(out, [told.summary(answer)])
        out.print()
        trays = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
        for name in ("Tray", "Time", "Range", "Light", "Known by"):
            trays.add_column(name)
        for step in answer.steps:
            name = f"{step.name}, optional" if step.is_optional else step.name
            trays.add_row(
                Text(name),
                Text(told.step_time(step)),
                Text(told.step_range(step)),
                Text(step.light),
                Text(told.known_by(step.statuses)),
            )
        out.print(trays)
        out.print()
        calls = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for row in told.agenda(answer):
            calls.add_row(*(Text(cell) for cell in row))
        out.print(calls)
        out.print()
        for step in answer.steps:
            if step.ends == "eye":
                lines(out, [f"{step.name}: {step.eye_text}."])
        lines(out, [answer.safelight])
        if answer.lamp is not None:
            lines(out, [answer.lamp.sentence])
        if answer.by_sign is not None:
            lines(out, [answer.by_sign.sentence])
        cautions = [*(step.caution for step in answer.steps), *answer.cautions]
        lines(out, [f"{one.label}: {one.text}" for one in cautions if one is not None])
        out.print()
        out.print(Text("How the figures are known", style="bold"))
        lines(out, list(told.sources(answer)))
        lines(out, [answer.not_checked])
