"""The command that tells what is known, and lets a term be held, forgotten, learned again."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, opened
from stillroom.cli.writing import AS_IT_WAS, WIDTH, print_answer, print_document, written
from stillroom.errors import NotPossible

if TYPE_CHECKING:
    from stillroom.cli.given import Given
    from stillroom.documents.book import Book
    from stillroom.documents.known import Known, KnownTerm
    from stillroom.services.desk import Desk
    from stillroom.store import BookFile

NAME = 26
_FIGURE = 7


def known(
    document: Document = None,
    book: BookOption = None,
    term: Annotated[
        str | None,
        typer.Option(
            "--term",
            metavar="NAME",
            help="One term with its history, such as head/A/output.",
            show_default=False,
        ),
    ] = None,
    *,
    hold: Annotated[
        bool, typer.Option("--hold", help="Hold the term: sheets no longer move it.")
    ] = False,
    forget: Annotated[
        bool, typer.Option("--forget", help="Drop what sheets taught of the term.")
    ] = False,
    learn: Annotated[
        bool, typer.Option("--learn", help="Let sheets teach the term again.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Tell what is known of lights, kit and papers, alone or in a chain, over time.

    With --hold, --forget or --learn, --json prints the document with what was said; a document
    that was given is not changed.
    """
    from stillroom.cli.typed import free_text  # noqa: PLC0415

    said = [
        verb for verb, wanted in (("hold", hold), ("forget", forget), ("learn", learn)) if wanted
    ]
    if len(said) > 1:
        raise NotPossible(f"--{said[0]} and --{said[1]} were given: give one of them.")
    if said and term is None:
        raise NotPossible(f"--{said[0]} is said of one term: name it with --term NAME.")
    free_text(term, (), None)
    with opened(document, book) as given:
        if said and term is not None:
            _say(given, term, said[0], as_json=as_json)
            return
        _show(given, term, as_json=as_json)


def _say(given: Given, term: str, verb: str, *, as_json: bool) -> None:
    from stillroom.services.moving import known_term  # noqa: PLC0415

    def write(_: BookFile, desk: Desk) -> None:
        {"hold": desk.hold, "forget": desk.forget, "learn": desk.learn}[verb](term)

    after, _ = written(given, write)
    if as_json:
        print_document(after)
        return
    found = known_term(after, term, memo=given.memo)
    _print([f"{found.label[:1].upper()}{found.label[1:]}: {found.sentence}."])
    if given.store is None:
        _print([AS_IT_WAS])


def _show(given: Given, term: str | None, *, as_json: bool) -> None:
    from stillroom.services.histories import PassingMemo, known  # noqa: PLC0415
    from stillroom.services.moving import known_term  # noqa: PLC0415

    memo = given.memo or PassingMemo()
    if term is None:
        found = known(given.book, memo=memo)
        lines = _all(given.book, found)
    else:
        one = known_term(given.book, term, memo=memo)
        found = known(given.book, memo=memo).model_copy(update={"terms": (one,), "chains": ()})
        lines = _one(one)
    if as_json:
        print_answer(found)
    else:
        _print(lines)


def _all(book: Book, found: Known) -> list[str]:
    from stillroom.quantity import (  # noqa: PLC0415
        NINE_IN_TEN,
        range_text,
        stops_text,
    )
    from stillroom.services.pieces import counted  # noqa: PLC0415

    if not found.terms:
        return ["Nothing is known yet beyond what was entered: no sheet has been read."]
    sheets = counted(s for x in book.sittings for s in x.sheets if s.readings)
    lines = [f"What {sheets} told. Ranges are nine in ten, shifts from what was entered.", ""]
    if found.chains:
        lines.append("Chains, from the light to the paper")
        for chain in found.chains:
            figures = (stops_text(chain.shift), range_text(NINE_IN_TEN * chain.sd))
            lines += _row(chain.title, figures, "")
        lines.append("")
    lines.append("Parts")
    moved = [t for t in found.terms if t.standing != "entered"]
    for term in moved:
        lines += _row(term.term, _figures(term), term.sentence)
    entered = [t.term for t in found.terms if t.standing == "entered"]
    if entered:
        lines += ["", f"As entered; sheets have not told them apart yet: {', '.join(entered)}."]
    return lines


def _figures(term: KnownTerm) -> tuple[str, str]:
    return _shift(term.shift, term.unit), _range(term.sd, term.unit)


def _shift(value: float, unit: str) -> str:
    from stillroom.quantity import stops_decimal_text, stops_text  # noqa: PLC0415

    return stops_text(value) if unit == "stops" else stops_decimal_text(value)


def _range(sd: float, unit: str) -> str:
    from stillroom.quantity import NINE_IN_TEN, range_text  # noqa: PLC0415

    half = NINE_IN_TEN * sd
    if half == 0:
        return "held"
    return range_text(half) if unit == "stops" else f"±{half:.2f}"


def _row(name: str, figures: tuple[str, str], text: str) -> list[str]:
    """A name, its shift and range, and a sentence in a column of its own."""
    shift, reach = figures
    if not text:
        wide = WIDTH - 2 * _FIGURE
        return [f"{textwrap.shorten(name, wide, placeholder='…'):<{wide}}{shift:>7}{reach:>7}"]
    left = f"{name:<{NAME}} {shift:>5}{reach:>{_FIGURE}}  "
    room = WIDTH - len(left)
    first, *rest = textwrap.wrap(text, room) or [""]
    return [left + first, *(" " * len(left) + line for line in rest)]


def _one(term: KnownTerm) -> list[str]:
    from stillroom.telling.words import day  # noqa: PLC0415

    lines = [
        f"{term.term}: {term.label}",
        f"{term.sentence[:1].upper()}{term.sentence[1:]}.",
        f"Entered to {_range(term.entered_sd, term.unit)}"
        + (" stops." if term.unit == "stops" else "."),
    ]
    if term.history:
        lines += ["", "After each sitting"]
        for point in term.history:
            when = f"{day(point.when)}, {point.sitting}"
            figures = _shift(point.shift, term.unit), _range(point.sd, term.unit)
            lines += _row(when, figures, "")
    if term.moved_by:
        lines += ["", f"{'What moved it most':<52}{'before':>14}{'after':>14}"]
        for by in term.moved_by:
            name = by.mark if by.sheet is not None else "meter"
            was = _finely(by.shift_before, by.sd_before)
            became = _finely(by.shift_after, by.sd_after)
            lines.append(f"{f'{name}, {day(by.when)}':<52}{was:>14}{became:>14}")
    return lines


def _finely(shift: float, sd: float) -> str:
    """Two decimals: one sheet seldom moves a term by a third of a stop."""
    from stillroom.quantity import NINE_IN_TEN, stops_decimal_text  # noqa: PLC0415

    return f"{stops_decimal_text(shift)} ±{NINE_IN_TEN * sd:.2f}"


def _print(lines: Iterable[str]) -> None:
    from stillroom.cli.failures import plain  # noqa: PLC0415

    for line in lines:
        text = plain(line)
        parts = [text] if len(text) <= WIDTH else textwrap.wrap(text, WIDTH)
        for part in parts or [""]:
            typer.echo(part.rstrip())
