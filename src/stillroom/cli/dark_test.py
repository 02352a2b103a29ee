"""The command for the dark test: a white card in the chair, the lens open long, and no pop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, get_args

import typer

from stillroom.cli.given import BookOption, Document, JsonOption, SittingOption, opened
from stillroom.cli.writing import AS_IT_WAS, print_answer, print_document, written

if TYPE_CHECKING:
    from stillroom.cli.given import Given
    from stillroom.documents.book import Sitting, Verdict
    from stillroom.documents.ghost import DarkTestRead
    from stillroom.services.desk import Desk
    from stillroom.store import BookFile


def dark_test(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    open_s: Annotated[
        str | None,
        typer.Option(
            "--open-s",
            metavar="SECONDS",
            help="How long the lens will be open about the pop; left out: as advised.",
            show_default=False,
        ),
    ] = None,
    times: Annotated[
        str | None,
        typer.Option(
            metavar="N",
            help="How many times as long the test is open; left out: 16.",
            show_default=False,
        ),
    ] = None,
    card: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE",
            help="What the card sends back of the light the paper sees; left out: 0.85.",
            show_default=False,
        ),
    ] = None,
    made: Annotated[
        bool, typer.Option("--made", help="Write it down: it was made as planned.")
    ] = False,
    sheet: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="The test --sees is of; left out: the last one.", show_default=False
        ),
    ] = None,
    sees: Annotated[
        str | None,
        typer.Option(
            metavar="TONE",
            help="Write down what the card looks like: black, bare, or its density.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Plan a dark test, write it down, or say what the card looks like and learn what it proves.

    With --made, --json prints the document with the entry; so does --sees of a document that was
    given.
    """
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415

    asked = {
        "open_s": None if open_s is None else number("--open-s", open_s.rstrip("s ")),
        "times": None if times is None else number("--times", times),
        "card": None if card is None else number("--card", card),
    }
    if sheet is not None and sees is None:
        raise BadValue("--sheet", sheet, "it goes with --sees; say what the card looks like")
    if sees is not None and (made or any(x is not None for x in asked.values())):
        raise BadValue("--sees", sees, "the test is made already; leave the other options out")
    with opened(document, book) as given:
        found = given.sitting(sitting)
        if sees is not None:
            _read(given, found, sheet, sees, as_json=as_json)
        elif made:
            _made(given, found, asked, as_json=as_json)
        else:
            _plan(given, found, asked, as_json=as_json)


def _plan(given: Given, found: Sitting, asked: dict[str, float | None], *, as_json: bool) -> None:
    from stillroom.cli.given import now  # noqa: PLC0415
    from stillroom.services import dark_test as test  # noqa: PLC0415
    from stillroom.services.plan import advise  # noqa: PLC0415

    settings = advise(given.book, found.id, memo=given.memo).settings
    times, card = asked["times"], asked["card"]
    answer = test.dark_test(
        given.book,
        found.id,
        settings,
        now(),
        open_s=asked["open_s"],
        times=test.TIMES if times is None else times,
        card=test.CARD_REFLECTANCE if card is None else card,
        memo=given.memo,
    )
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.ghost_told import dark_told  # noqa: PLC0415

    view = dark_told(answer)
    with page() as out:
        lines(out, [view.line])
        lines(out, [f"{i}. {step}" for i, step in enumerate(view.steps, 1)])
        out.print()
        lines(out, [f"{text} Likely now: {chance}." for chance, text in view.sees])
        lines(out, view.notes)


def _made(given: Given, found: Sitting, asked: dict[str, float | None], *, as_json: bool) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415

    def write(_: BookFile, desk: Desk) -> int:
        return desk.make_dark_test(
            found.id, open_s=asked["open_s"], times=asked["times"], card=asked["card"]
        )

    after, number = written(given, write)
    if as_json:
        print_document(after)
        return
    wrapped(f"Sheet {number} of sitting {found.id} is a dark test, not read yet.")
    if given.store is None:
        wrapped(AS_IT_WAS)


def _read(given: Given, found: Sitting, sheet: int | None, sees: str, *, as_json: bool) -> None:
    from stillroom.errors import NotPossible  # noqa: PLC0415
    from stillroom.services.chair import card_reflectance  # noqa: PLC0415

    tests = [s.number for s in found.sheets if card_reflectance(s) is not None]
    if sheet is None and not tests:
        raise NotPossible(
            f"Sitting {found.id} has no dark test yet: write one down with --made first."
        )
    number = max(tests) if sheet is None else sheet
    verdict, density = _seen(sees)

    def write(_: BookFile, desk: Desk) -> DarkTestRead:
        return desk.read_dark_test(found.id, number, verdict=verdict, density=density)

    after, answer = written(given, write)
    if as_json:
        if given.store is None:
            print_document(after)
        else:
            print_answer(answer)
        return
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.ghost_told import dark_read_told  # noqa: PLC0415

    view = dark_read_told(answer)
    with page() as out:
        lines(out, [view.line])
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
        for what, figure in view.rows:
            table.add_row(Text(f"  {what}"), Text(figure))
        out.print(table)
        if given.store is None:
            lines(out, [AS_IT_WAS])


def _seen(text: str) -> tuple[Verdict | None, float | None]:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.documents.book import Verdict  # noqa: PLC0415

    word = text.strip().lower().replace(" ", "_").replace("-", "_")
    word = "bare_paper" if word == "bare" else word
    for verdict in get_args(Verdict):
        if word == verdict:
            return verdict, None
    return None, number("--sees", text)
