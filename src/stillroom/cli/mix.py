"""The command for chemistry: mixing lists, baths that stand, labels."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stillroom.cli.given import BookOption, JsonOption, now, opened
from stillroom.cli.writing import AS_IT_WAS, Many, print_answer, print_document, written

if TYPE_CHECKING:
    from stillroom.documents.mixing import Label
    from stillroom.services.desk import Desk
    from stillroom.services.mixing import Asked
    from stillroom.store import BookFile
    from stillroom.wetline.chemistry import Bottle

_STEPS = "first_development, bleach, clear, second_development, fix, wash_aid"


def mix(  # noqa: PLR0911 - one return for each thing that may be asked
    recipe: Annotated[
        str | None,
        typer.Argument(
            metavar="RECIPE", help="Which bath; left out: all recipes.", show_default=False
        ),
    ] = None,
    document: Annotated[
        str | None,
        typer.Option(
            "--document",
            metavar="DOCUMENT",
            help="A file with a book, or - for standard input.",
            show_default=False,
        ),
    ] = None,
    book: BookOption = None,
    *,
    volume: Annotated[
        str | None,
        typer.Option(metavar="VOLUME", help="How much: 800ml or 1.5L.", show_default=False),
    ] = None,
    stock: Annotated[
        str | None,
        typer.Option(
            "--bottle",
            "--acid",
            metavar="LABEL",
            help="The acid or peroxide there is, as its label says: '37 %', '3 % w/v', "
            "'20 volumes', 'sulfuric acid 96 %'.",
            show_default=False,
        ),
    ] = None,
    density: Annotated[
        str | None,
        typer.Option(
            metavar="G/ML", help="Its density, where the label says it.", show_default=False
        ),
    ] = None,
    bisulfate: Annotated[
        bool, typer.Option("--bisulfate", help="Bisulfate in the place of sulfuric acid.")
    ] = False,
    form: Annotated[
        Many,
        typer.Option(
            metavar="SALT=FORM",
            help="Another form: 'sodium sulfite=sodium sulfite heptahydrate'.",
        ),
    ] = None,
    dilution: Annotated[
        str | None,
        typer.Option(metavar="1+N", help="Parts of stock and water.", show_default=False),
    ] = None,
    solution: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="A percent solution instead: 'citric acid 10 %'.",
            show_default=False,
        ),
    ] = None,
    together: Annotated[
        str | None,
        typer.Option(
            metavar="A+B",
            help="Whether two things may meet: 'permanganate+hydrochloric acid'.",
            show_default=False,
        ),
    ] = None,
    made: Annotated[
        bool, typer.Option("--made", help="Write it down: it was mixed just now.")
    ] = False,
    step: Annotated[
        Many, typer.Option("--for", metavar="STEP", help=f"Where it stands: {_STEPS}.")
    ] = None,
    label: Annotated[bool, typer.Option("--label", help="Print its label instead.")] = False,
    baths: Annotated[
        bool, typer.Option("--baths", help="The baths that stand, and how long each is good.")
    ] = False,
    bath: Annotated[
        str | None,
        typer.Option(
            metavar="ID", help="A bath that was mixed, for the next three.", show_default=False
        ),
    ] = None,
    took: Annotated[
        str | None,
        typer.Option(
            metavar="SECONDS",
            help="How long it took to clear, or to the first black.",
            show_default=False,
        ),
    ] = None,
    thrown_out: Annotated[
        bool, typer.Option("--thrown-out", help="It was taken out of the line.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """List what goes into a bath, in order; write it down; tell how long each bath is good.

    With a document that was given, --made, --took and --thrown-out with --json print the document
    with the entry.
    """
    from stillroom.errors import BadValue  # noqa: PLC0415

    if together is not None:
        _together(together)
        return
    if solution is not None:
        _solution(solution, _volume(volume), _bottle(stock, density, solution), as_json=as_json)
        return
    if bath is not None:
        _of_bath(document, book, bath, took, thrown_out=thrown_out, label=label, as_json=as_json)
        return
    if took is not None or thrown_out:
        raise BadValue("--bath", "", "say which bath; --baths lists them")
    if baths:
        _baths(document, book, as_json=as_json)
        return
    if recipe is None:
        _recipes(as_json=as_json)
        return
    asked = _asked(recipe, stock, density, form, dilution, bisulfate=bisulfate)
    size = _volume(volume)
    if made:
        _made(document, book, recipe, size, asked, step or [], label=label, as_json=as_json)
        return
    if step:
        raise BadValue("--for", step[0], "it goes with --made; say that it was mixed")
    if label:
        _planned_label(recipe, size, asked, as_json=as_json)
        return
    _list(recipe, size, asked, as_json=as_json)


# ── What was typed ──────────────────────────────────────────────────────────────────────────


def _volume(text: str | None) -> float:
    from stillroom.services.mixing_asked import parse_volume_ml  # noqa: PLC0415

    return 1000.0 if text is None else parse_volume_ml(text, "--volume")


def _bottle(text: str | None, density: str | None, otherwise: str) -> Bottle | None:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.wetline.chemistry import parse_bottle  # noqa: PLC0415

    if text is None:
        return None
    weighs = None if density is None else number("--density", density)
    name = re.sub(r"[,\s]*[\d.,]+\s*%?.*$", "", otherwise).strip() or otherwise
    return parse_bottle(text, name, weighs)


def _asked(
    recipe: str,
    stock: str | None,
    density: str | None,
    form: Many,
    dilution: str | None,
    *,
    bisulfate: bool,
) -> Asked:
    from stillroom.cli.typed import number, pairs  # noqa: PLC0415
    from stillroom.services.mixing_asked import asked_for  # noqa: PLC0415

    return asked_for(
        recipe,
        bottle=stock or "",
        density_g_ml=None if density is None else number("--density", density),
        forms=pairs("--form", form or (), "sodium sulfite=sodium sulfite heptahydrate"),
        dilution=dilution or "",
        bisulfate=bisulfate,
    )


# ── Answers ─────────────────────────────────────────────────────────────────────────────────


def _together(text: str) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.wetline.chemistry import meeting, sentence_of  # noqa: PLC0415

    one, plus, other = (part.strip() for part in text.partition("+"))
    if not (one and plus and other):
        raise BadValue("--together", text, "write two things with a plus between them")
    pair = meeting(one, other)
    if pair is None:
        wrapped(
            f"Nothing is known here of {one} and {other}, which is no promise that they may meet: "
            "ask both data sheets."
        )
        return
    wrapped(sentence_of(pair, one, other))


def _recipes(*, as_json: bool) -> None:
    from stillroom.documents.recipes import Recipes  # noqa: PLC0415
    from stillroom.services.recipes import recipes  # noqa: PLC0415

    if as_json:
        print_answer(Recipes(recipes=recipes()))
        return
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.mixing_told import recipe_rows  # noqa: PLC0415

    with page() as out:
        for kind, rows in recipe_rows(recipes()):
            lines(out, [kind])
            out.print(_table(rows))
        lines(out, ["stillroom mix RECIPE --volume 1L lists what goes in."])


def _list(recipe: str, volume: float, asked: Asked, *, as_json: bool) -> None:
    from stillroom.services.mixing import mixing_list  # noqa: PLC0415

    answer = mixing_list(recipe, volume, asked)
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.mixing_told import mix_told  # noqa: PLC0415

    view = mix_told(answer)
    with page() as out:
        lines(out, [f"{view.title}, {view.volume}", *view.cautions])
        out.print()
        for part in view.parts:
            lines(out, [f"{part.name}, {part.volume}:" if part.name else ""])
            rows = [("", part.water)]
            for line in part.lines:
                rows.append((line.amount, f"{line.what}; {line.known}."))
                if line.out_of:
                    bottles = ", ".join(f"{amount} of {bottle}" for bottle, amount in line.out_of)
                    rows.append(("", f"out of your bottle: {bottles}"))
                if line.note:
                    rows.append(("", line.note))
            out.print(_table([*rows, ("", part.fill)]))
        out.print()
        lines(out, [f"{i}. {text}" for i, text in enumerate(view.steps, 1)])
        out.print()
        lines(out, view.notes)
        out.print(_table(view.keeps))
        out.print(_table(view.hazard))
        lines(out, view.never)
        lines(out, [view.foot])


def _solution(asked: str, volume: float, stock: Bottle | None, *, as_json: bool) -> None:
    from stillroom.services.solutions import percent_solution  # noqa: PLC0415

    answer = percent_solution(asked, volume, stock)
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.services.mixing_words import amount_text  # noqa: PLC0415
    from stillroom.telling.mixing_told import hazard_told  # noqa: PLC0415

    with page() as out:
        lines(out, [f"{answer.name}: {amount_text(answer.volume, answer.unit)}"])
        lines(out, [f"{i}. {text}" for i, text in enumerate(answer.steps, 1)])
        lines(out, answer.cautions)
        out.print(_table(hazard_told(answer.hazard)))
        lines(out, [answer.not_checked])


def _made(  # noqa: PLR0917 - what was typed
    document: str | None,
    book: Path | None,
    recipe: str,
    volume: float,
    asked: Asked,
    steps: list[str],
    *,
    label: bool,
    as_json: bool,
) -> None:
    with opened(document, book) as given:

        def write(_: BookFile, desk: Desk) -> str:
            return desk.mix_written(recipe, volume, asked=asked, steps=steps)

        after, name = written(given, write)
        if as_json and given.store is None:
            print_document(after)
            return
        mixed = next(mix for mix in after.mixes if mix.id == name)
        if as_json:
            print_answer(mixed)
            return
        from stillroom.cli.shown import wrapped  # noqa: PLC0415
        from stillroom.services.labels import label_of  # noqa: PLC0415

        wrapped(f"Bath {name} is written down.")
        if label:
            _print_label(label_of(mixed))
        if given.store is None:
            wrapped(AS_IT_WAS)


def _of_bath(
    document: str | None,
    book: Path | None,
    bath: str,
    took: str | None,
    *,
    thrown_out: bool,
    label: bool,
    as_json: bool,
) -> None:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue, UnknownName  # noqa: PLC0415

    seconds = None if took is None else number("--took", took.rstrip("s "))
    if seconds is None and not thrown_out and not label:
        raise BadValue("--bath", bath, "say --label, --took or --thrown-out too")
    with opened(document, book) as given:
        by_id = {mix.id: mix for mix in given.book.mixes}
        if bath not in by_id:
            raise UnknownName("bath", bath, by_id)
        if label:
            from stillroom.services.labels import label_of  # noqa: PLC0415

            found = label_of(by_id[bath])
            if as_json:
                print_answer(found)
            else:
                _print_label(found)
            return

        def write(_: BookFile, desk: Desk) -> None:
            if seconds is not None:
                desk.mix_timed(bath, seconds)
            if thrown_out:
                desk.mix_thrown_out(bath)

        after, _ = written(given, write)
        if as_json and given.store is None:
            print_document(after)
            return
        _tell_baths(after, as_json=as_json)
        if given.store is None and not as_json:
            from stillroom.cli.shown import wrapped  # noqa: PLC0415

            wrapped(AS_IT_WAS)


def _baths(document: str | None, book: Path | None, *, as_json: bool) -> None:
    with opened(document, book) as given:
        _tell_baths(given.book, as_json=as_json)


def _tell_baths(whole: Any, *, as_json: bool) -> None:
    from stillroom.documents.mixing import Baths  # noqa: PLC0415
    from stillroom.services.baths import baths_of  # noqa: PLC0415

    answer = Baths(baths=baths_of(whole, now()))
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.mixing_told import bath_rows  # noqa: PLC0415

    with page() as out:
        if not answer.baths:
            lines(out, ["No bath is written down: stillroom mix RECIPE --made writes one down."])
        for bath in answer.baths:
            lines(out, [f"{bath.id}. {bath.told}"])
            out.print(_table(bath_rows(bath)))


def _planned_label(recipe: str, volume: float, asked: Asked, *, as_json: bool) -> None:
    from stillroom.services.labels import planned_label  # noqa: PLC0415

    found = planned_label(recipe, volume, asked, now())
    if as_json:
        print_answer(found)
        return
    _print_label(found)


def _print_label(label: Label) -> None:
    from stillroom.cli.terminal import lines, page  # noqa: PLC0415
    from stillroom.telling.mixing_told import label_told  # noqa: PLC0415

    view = label_told(label, now())
    with page() as out:
        lines(out, [view.name.upper(), view.signal.upper()])
        out.print(_table(view.rows))
        lines(out, [f"{text}." for text in view.statements])
        lines(out, [*view.never, view.collect, view.supplier])


def _table(rows: Any) -> Any:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    from stillroom.cli.failures import plain  # noqa: PLC0415

    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for what, text in rows:
        table.add_row(Text(f"  {plain(what)}"), Text(plain(text)))
    return table
