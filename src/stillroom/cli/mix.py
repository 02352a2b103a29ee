"""The command for chemistry: mixing lists, baths that stand, labels."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stillroom.cli.given import BookOption, JsonOption, now, opened
from stillroom.cli.writing import AS_IT_WAS, Many, print_answer, print_document, written

if TYPE_CHECKING:
    from datetime import datetime

    from stillroom.cli.given import Given
    from stillroom.documents.book import Book
    from stillroom.documents.mixing import Label, Mix
    from stillroom.services.desk import Desk
    from stillroom.services.mixing import Asked
    from stillroom.store import BookFile
    from stillroom.wetline.chemistry import Bottle

_STEPS = "first_development, bleach, clear, second_development, fix, wash_aid"


def mix(
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
            help="The acid or peroxide there is, by the percentage on its label: 37, '3 w/v', "
            "'20 volumes', 'sulfuric acid 96'.",
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
            help="A percent solution instead: 'citric acid 10'.",
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
    wash: Annotated[
        str | None,
        typer.Option(
            metavar="PAPER",
            help="How often water is changed: rc or fibre, with --volume of each change.",
            show_default=False,
        ),
    ] = None,
    made: Annotated[
        bool, typer.Option("--made", help="Write it down: it was mixed just now.")
    ] = False,
    step: Annotated[
        Many, typer.Option("--for", metavar="STEP", help=f"Where it stands: {_STEPS}.")
    ] = None,
    ago: Annotated[
        str | None,
        typer.Option(
            metavar="MINUTES", help="How long ago it was mixed, with --made.", show_default=False
        ),
    ] = None,
    label: Annotated[bool, typer.Option("--label", help="Print its label instead.")] = False,
    baths: Annotated[
        bool, typer.Option("--baths", help="The baths that stand, and how long each is good.")
    ] = False,
    bath: Annotated[
        str | None,
        typer.Option(
            metavar="ID", help="A bath that was mixed, for the next ones.", show_default=False
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
    put_back: Annotated[
        bool, typer.Option("--put-back", help="It was taken out by mistake, and stands there.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """List what goes into a bath, in order; write it down; tell how long each bath is good.

    With a document that was given, --made, --took and --thrown-out with --json print the document
    with the entry.
    """
    from stillroom.errors import BadValue  # noqa: PLC0415

    if together is not None or solution is not None or wash is not None:
        _aside(
            together=together,
            solution=solution,
            wash=wash,
            volume=volume,
            stock=stock,
            density=density,
            as_json=as_json,
        )
        return
    if bath is not None:
        _of_bath(
            document,
            book,
            bath,
            took,
            thrown_out=thrown_out,
            put_back=put_back,
            label=label,
            as_json=as_json,
        )
        return
    if took is not None or thrown_out or put_back:
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
        when = _when(ago)
        _made(document, book, recipe, size, asked, step or [], when, label=label, as_json=as_json)
        return
    if ago is not None:
        raise BadValue("--ago", ago, "it goes with --made; say that it was mixed")
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


def _when(ago: str | None) -> datetime | None:
    from datetime import timedelta  # noqa: PLC0415

    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import in_range  # noqa: PLC0415

    if ago is None:
        return None
    minutes = in_range("--ago", number("--ago", ago), 0, 525_600, "minutes")
    return now() - timedelta(minutes=minutes)


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


def _aside(
    *,
    together: str | None,
    solution: str | None,
    wash: str | None,
    volume: str | None,
    stock: str | None,
    density: str | None,
    as_json: bool,
) -> None:
    if together is not None:
        _together(together)
    if wash is not None:
        _wash(wash, _volume(volume), as_json=as_json)
    if solution is not None:
        _solution(solution, _volume(volume), _bottle(stock, density, solution), as_json=as_json)


def _wash(paper: str, volume: float, *, as_json: bool) -> None:
    from stillroom.services.wash import wash_of  # noqa: PLC0415

    answer = wash_of(paper, volume)
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.shown import wrapped  # noqa: PLC0415

    wrapped(answer.sentence)


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
    from stillroom.cli.shown_mixing import recipes_shown  # noqa: PLC0415

    recipes_shown(recipes())


def _list(recipe: str, volume: float, asked: Asked, *, as_json: bool) -> None:
    from stillroom.services.mixing import mixing_list  # noqa: PLC0415

    answer = mixing_list(recipe, volume, asked)
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.shown_mixing import list_shown  # noqa: PLC0415

    list_shown(answer)


def _solution(asked: str, volume: float, stock: Bottle | None, *, as_json: bool) -> None:
    from stillroom.services.solutions import percent_solution  # noqa: PLC0415

    answer = percent_solution(asked, volume, stock)
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.shown_mixing import solution_shown  # noqa: PLC0415

    solution_shown(answer)


def _made(  # noqa: PLR0917 - what was typed
    document: str | None,
    book: Path | None,
    recipe: str,
    volume: float,
    asked: Asked,
    steps: list[str],
    when: datetime | None,
    *,
    label: bool,
    as_json: bool,
) -> None:
    with opened(document, book) as given:

        def write(_: BookFile, desk: Desk) -> str:
            return desk.mix_written(recipe, volume, asked=asked, steps=steps, when=when)

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
            _label(label_of(mixed), as_json=False)
        if given.store is None:
            wrapped(AS_IT_WAS)


def _of_bath(
    document: str | None,
    book: Path | None,
    bath: str,
    took: str | None,
    *,
    thrown_out: bool,
    put_back: bool,
    label: bool,
    as_json: bool,
) -> None:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue, UnknownName  # noqa: PLC0415

    seconds = None if took is None else number("--took", took.rstrip("s "))
    if seconds is None and not (thrown_out or put_back or label):
        raise BadValue("--bath", bath, "say --label, --took, --thrown-out or --put-back too")
    with opened(document, book) as given:
        by_id = {mix.id: mix for mix in given.book.mixes}
        if bath not in by_id:
            raise UnknownName("bath", bath, by_id)
        if label:
            _tell_label(by_id[bath], as_json=as_json)
            return

        def write(_: BookFile, desk: Desk) -> None:
            if seconds is not None:
                desk.mix_timed(bath, seconds)
            if thrown_out:
                desk.mix_thrown_out(bath)
            if put_back:
                desk.mix_put_back(bath)

        after, _ = written(given, write)
        if as_json and given.store is None:
            print_document(after)
            return
        _tell_baths(after, as_json=as_json)
        _as_it_was(given, as_json=as_json)


def _as_it_was(given: Given, *, as_json: bool) -> None:
    from stillroom.cli.shown import wrapped  # noqa: PLC0415

    if given.store is None and not as_json:
        wrapped(AS_IT_WAS)


def _tell_label(mixed: Mix, *, as_json: bool) -> None:
    from stillroom.services.labels import label_of  # noqa: PLC0415

    _label(label_of(mixed), as_json=as_json)


def _baths(document: str | None, book: Path | None, *, as_json: bool) -> None:
    with opened(document, book) as given:
        _tell_baths(given.book, as_json=as_json)


def _tell_baths(whole: Book, *, as_json: bool) -> None:
    from stillroom.documents.mixing import Baths  # noqa: PLC0415
    from stillroom.services.baths import baths_of  # noqa: PLC0415

    answer = Baths(baths=baths_of(whole, now()))
    if as_json:
        print_answer(answer)
        return
    from stillroom.cli.shown_mixing import baths_shown  # noqa: PLC0415

    baths_shown(answer.baths)


def _planned_label(recipe: str, volume: float, asked: Asked, *, as_json: bool) -> None:
    from stillroom.services.labels import planned_label  # noqa: PLC0415

    _label(planned_label(recipe, volume, asked, now()), as_json=as_json)


def _label(found: Label, *, as_json: bool) -> None:
    if as_json:
        print_answer(found)
        return
    from stillroom.cli.shown_mixing import label_shown  # noqa: PLC0415

    label_shown(found, now())
