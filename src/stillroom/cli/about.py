"""Commands about the tool itself: the shape of what is exchanged, and where things lie."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from stillroom.cli.given import BookOption, JsonOption


def schema(
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="NAME", help="Such as book/1 or loop/plan; left out: all, by name."
        ),
    ] = None,
) -> None:
    """Print the JSON Schema of a document, an answer, or a line of the loop."""
    from stillroom.errors import UnknownName  # noqa: PLC0415

    models = _models()
    if name is None:
        found: Any = {each: _schema(each, model) for each, model in models.items()}
    elif name in models:
        found = _schema(name, models[name])
    else:
        raise UnknownName("document", name, models)
    typer.echo(json.dumps(found, indent=1, ensure_ascii=False).encode())


def paths(
    book: BookOption = None,
    data: Annotated[
        Path | None, typer.Option("--data", metavar="FOLDER", help="The folder for data.")
    ] = None,
    config: Annotated[
        Path | None, typer.Option("--config", metavar="FILE", help="The config file.")
    ] = None,
    *,
    as_json: JsonOption = False,
) -> None:
    """Tell where the book and everything else lies, and why there."""
    from stillroom.cli.log import NAME  # noqa: PLC0415
    from stillroom.services.paths import Place, paths_report  # noqa: PLC0415

    places = list(paths_report(book=book, data=data, config=config))
    folder = next(p.path for p in places if p.name == "data")
    places.append(Place("log", folder / NAME, "in data"))
    if as_json:
        found = {p.name: {"path": str(p.path), "origin": p.origin} for p in places}
        typer.echo(json.dumps(found, ensure_ascii=False).encode())
        return
    for place in places:
        typer.echo(f"{place.name:<8}{place.path}  ({place.origin})")


def _models() -> dict[str, Any]:
    from stillroom.documents import daylight  # noqa: PLC0415
    from stillroom.documents.answers import Advice, Forecast  # noqa: PLC0415
    from stillroom.documents.bare_ledger import OPS, LedgerDocument  # noqa: PLC0415
    from stillroom.documents.book import Book, Settings  # noqa: PLC0415
    from stillroom.documents.contrast import Contrast  # noqa: PLC0415
    from stillroom.documents.day import Day  # noqa: PLC0415
    from stillroom.documents.firing import Firing  # noqa: PLC0415
    from stillroom.documents.focus import Focus  # noqa: PLC0415
    from stillroom.documents.ghost import DarkTest, DarkTestRead, Ghost  # noqa: PLC0415
    from stillroom.documents.known import Known  # noqa: PLC0415
    from stillroom.documents.mixing import Baths, Label, MixingList, Solution, Wash  # noqa: PLC0415
    from stillroom.documents.odd import OddSheets  # noqa: PLC0415
    from stillroom.documents.recipes import Recipes  # noqa: PLC0415
    from stillroom.documents.several import SeveralSheets  # noqa: PLC0415
    from stillroom.documents.stillness import Stillness  # noqa: PLC0415
    from stillroom.documents.timetable import Timetable  # noqa: PLC0415
    from stillroom.documents.ways import Ways  # noqa: PLC0415
    from stillroom.documents.wet import Bench  # noqa: PLC0415

    documents = (
        Book, Forecast, Advice, SeveralSheets, OddSheets, Known, Contrast, LedgerDocument,
        daylight.DaylightNow, daylight.DaylightDay, daylight.DaylightYear,
        daylight.DaylightWhen, daylight.DaylightCompared,
        Ways, Stillness, Focus, Ghost, DarkTest, DarkTestRead, Firing,
        Timetable, Bench, Day, Recipes, MixingList, Baths, Label, Solution, Wash,
    )  # fmt: skip
    named = {model.model_fields["stillroom"].default: model for model in documents}
    return {**named, "settings": Settings, **{f"loop/{op}": model for op, model in OPS.items()}}


def _schema(name: str, model: Any) -> dict[str, Any]:
    schema_of = model.model_json_schema()
    draft = "https://json-schema.org/draft/2020-12/schema"
    return {"$schema": draft, "$id": f"stillroom:{name}", **schema_of}
