"""The command that says whether a sitter holds still, and writes down what a sheet showed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import AS_IT_WAS, print_answer, print_document, written

if TYPE_CHECKING:
    from stillroom.cli.given import Given
    from stillroom.documents.book import Sitting
    from stillroom.documents.holding import Support
    from stillroom.documents.stillness import Stillness
    from stillroom.services.desk import Desk
    from stillroom.store import BookFile

USUAL_ALLOWED_MM = 0.2
"""Allowed smear where only numbers are given: a big sheet looked at as a whole."""


def stillness(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    open_s: Annotated[
        str | None,
        typer.Option(
            "--open-s",
            metavar="SECONDS",
            help="Open time by steady light: 3 or 1/8; left out: as advised.",
            show_default=False,
        ),
    ] = None,
    support: Annotated[
        str | None,
        typer.Option(
            metavar="HOW",
            help="standing, leaning, seated, seated_arms_on_table or head_rest; left out: as the "
            "sitting says.",
            show_default=False,
        ),
    ] = None,
    keep: Annotated[
        bool, typer.Option("--keep", help="Write --support down with the sitting.")
    ] = False,
    allowed_mm: Annotated[
        str | None,
        typer.Option(
            "--allowed-mm",
            metavar="MM",
            help="Widest smear allowed on the sheet; left out: by how it is looked at.",
            show_default=False,
        ),
    ] = None,
    magnification: Annotated[
        str | None,
        typer.Option(
            metavar="M",
            help="Image over sitter, 0.25 or 1/4: no book is asked then.",
            show_default=False,
        ),
    ] = None,
    child: Annotated[bool, typer.Option("--child", help="With --magnification: a child.")] = False,
    says_s: Annotated[
        str | None,
        typer.Option(
            "--says-s",
            metavar="SECONDS",
            help="With --magnification: what the sitter says they can hold.",
            show_default=False,
        ),
    ] = None,
    sheet: Annotated[
        int | None,
        typer.Option(metavar="N", help="The sheet that --smear is of.", show_default=False),
    ] = None,
    smear: Annotated[
        str | None,
        typer.Option(
            metavar="MM",
            help="Write down how wide the movement is on a sheet; 0: none is seen.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Say how long the sitter holds still and what would help, or write down a smear.

    With --smear or --keep, --json prints the document with the entry.
    """
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415

    asked = _Asked(
        None if open_s is None else number("--open-s", open_s.rstrip("s ")),
        None if support is None else _support(support),
        None if allowed_mm is None else number("--allowed-mm", allowed_mm),
    )
    if (sheet is None) != (smear is None):
        raise BadValue("--smear", smear, "--sheet N and --smear MM go together; give both")
    if keep and asked.support is None:
        raise BadValue("--keep", "given", "it goes with --support; say how the sitter is held")
    if magnification is None:
        if child or says_s is not None:
            raise BadValue(
                "--child" if child else "--says-s",
                "given" if child else says_s,
                "it goes with --magnification; else the sitter of the book is asked about",
            )
        _of_sitting(
            document,
            book,
            sitting,
            asked,
            keep=keep,
            smear=None if sheet is None or smear is None else (sheet, number("--smear", smear)),
            as_json=as_json,
        )
        return
    if document is not None or book is not None or sitting is not None or keep or sheet:
        raise BadValue(
            "--magnification", magnification, "with it no book is asked or written; leave one out"
        )
    answer = _of_numbers(
        asked,
        number("--magnification", magnification),
        None if says_s is None else number("--says-s", says_s.rstrip("s ")),
        is_child=child,
    )
    _print(answer, as_json=as_json)


class _Asked:
    """What may be asked of a sitting and with bare numbers alike."""

    def __init__(
        self, open_s: float | None, support: Support | None, allowed_mm: float | None
    ) -> None:
        from stillroom.errors import in_range  # noqa: PLC0415
        from stillroom.sitter.smear_law import SMEAR_RANGE_MM  # noqa: PLC0415

        self.open_s = open_s
        self.support = support
        self.allowed_mm = allowed_mm
        if allowed_mm is not None:
            in_range("allowed smear", allowed_mm, *SMEAR_RANGE_MM, "mm")


def _support(text: str) -> Support:
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.sitter import SUPPORTS  # noqa: PLC0415

    wanted = text.strip().lower().replace("-", "_").replace(" ", "_")
    for support in SUPPORTS:
        if wanted == support:
            return support
    raise BadValue("--support", text, f"choose one of {', '.join(SUPPORTS)}")


def _of_numbers(
    asked: _Asked, magnification: float, says_s: float | None, *, is_child: bool
) -> Stillness:
    from stillroom.errors import in_range  # noqa: PLC0415
    from stillroom.services.held_through import WANTED  # noqa: PLC0415
    from stillroom.services.stillness import USUAL_SUPPORT, Held, answered  # noqa: PLC0415
    from stillroom.sitter import longest_held_s  # noqa: PLC0415
    from stillroom.sitter.smear_law import MAGNIFICATION_RANGE  # noqa: PLC0415

    held = Held(
        who="the child" if is_child else "the sitter",
        support=asked.support or USUAL_SUPPORT,
        support_is_said=asked.support is not None,
        is_child=is_child,
        holds_still_s=says_s,
        smears=(),
        left_out=0,
        magnification=in_range("magnification", magnification, *MAGNIFICATION_RANGE),
        allowed_mm=asked.allowed_mm or USUAL_ALLOWED_MM,
        viewing=None,
    )
    open_s = asked.open_s
    if open_s is None:
        open_s = longest_held_s(held.magnification, held.allowed_mm, held.motion(), WANTED)
    return answered(held, open_s)


def _of_sitting(
    document: str | None,
    book: Path | None,
    sitting: str | None,
    asked: _Asked,
    *,
    keep: bool,
    smear: tuple[int, float] | None,
    as_json: bool,
) -> None:
    from stillroom.services.plan import advise  # noqa: PLC0415
    from stillroom.services.stillness import stillness as ask  # noqa: PLC0415

    with opened(document, book) as given:
        found = given.sitting(sitting)
        if keep or smear is not None:
            _write(given, found, asked.support if keep else None, smear, as_json=as_json)
            return
        settings = advise(given.book, found.id, memo=given.memo).settings
        answer = ask(
            given.book,
            found.id,
            settings,
            open_s=asked.open_s,
            support=asked.support,
            allowed_mm=asked.allowed_mm,
        )
    _print(answer, as_json=as_json)


def _write(
    given: Given,
    found: Sitting,
    support: Support | None,
    smear: tuple[int, float] | None,
    *,
    as_json: bool,
) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.services.stillness_words import SUPPORT_WORDS  # noqa: PLC0415
    from stillroom.telling.stillness_told import smear_text  # noqa: PLC0415

    def write(_: BookFile, desk: Desk) -> None:
        if support is not None:
            desk.set_holding(found.id, support=support)
        if smear is not None:
            desk.measure_smear(found.id, *smear)

    after, _ = written(given, write)
    if as_json:
        print_document(after)
        return
    if support is not None:
        wrapped(f"Sitting {found.id}: the sitter is held {SUPPORT_WORDS[support]}.")
    if smear is not None:
        wrapped(f"Sheet {smear[0]} of sitting {found.id}: {smear_text(smear[1])}.")
    if given.store is None:
        wrapped(AS_IT_WAS)


def _print(answer: Stillness, *, as_json: bool) -> None:
    if as_json:
        print_answer(answer)
        return
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.stillness_told import told  # noqa: PLC0415

    view = told(answer)
    with page() as out:
        lines(out, [answer.sentence, view.blink])
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for how_often, longest in view.longest:
            table.add_row(Text(f"  Held {how_often}"), Text(longest))
        for what, figure in view.rows:
            table.add_row(Text(f"  {what}"), Text(figure))
        out.print(table)
        if view.ways:
            out.print()
            out.print(Text("What helps", style="bold"))
            lines(out, view.ways)
        lines(out, view.notes)
