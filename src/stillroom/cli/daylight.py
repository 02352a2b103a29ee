"""The commands about daylight: now, a day, a year, when, and two sheets compared."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stillroom.cli.given import BookOption, Document, Given, JsonOption, SittingOption, now, opened
from stillroom.cli.writing import print_answer
from stillroom.errors import BadValue, NotPossible

if TYPE_CHECKING:
    from stillroom.documents.seats import SkySeen
    from stillroom.services.daylight_asked import Asked

app = typer.Typer(
    name="daylight",
    help="Say how long the lens has to be open in daylight: now, over a day, over a year.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def _option(name: str, metavar: str, text: str) -> Any:
    return typer.Option(name, metavar=metavar, help=text, show_default=False)


Seat = Annotated[str | None, _option("--seat", "ID", "Where one sits; left out: the sitting's.")]
Paper = Annotated[str | None, _option("--paper", "ID", "On which paper.")]
Lens = Annotated[str | None, _option("--lens", "ID", "Through which lens.")]
CameraId = Annotated[str | None, _option("--camera", "ID", "In which camera.")]
SitterId = Annotated[str | None, _option("--sitter", "ID", "Who sits.")]
FMark = Annotated[float | None, _option("--f", "N", "At which f-number, as marked.")]
SkyText = Annotated[
    str | None,
    _option("--sky", "WORD", "clear, veiled, middling or dull; or eighths of cloud such as 5/8."),
]
SunWord = Annotated[
    str | None,
    _option("--sun", "WORD", "With eighths of cloud: yes, no, veiled, or comes and goes."),
]
At = Annotated[
    str | None,
    _option("--at", "TIME", 'By the clock there, such as "2026-06-21 11:30"; left out: now.'),
]
Within = Annotated[
    float | None,
    _option("--within", "S", "The limit in seconds; left out: what the sitter can hold, or 2."),
]


def _asked(
    given: Given,
    sitting: str | None,
    sky: SkySeen | None,
    **named: Any,
) -> Asked:
    """What is asked about: the sitting's own question, with what was typed laid over it."""
    from dataclasses import replace  # noqa: PLC0415

    from stillroom.services.daylight_asked import asked_by_default  # noqa: PLC0415

    current = given.sitting(sitting).id if given.book.sittings or sitting else None
    asked = asked_by_default(given.book, current)
    if asked is None:
        raise NotPossible(
            "There is no seat to sit on yet: write a place and a seat into the kit first."
        )
    said = {name: value for name, value in named.items() if value is not None}
    if sky is not None:
        said["sky"] = sky
    return replace(asked, **said)


def _sky(text: str | None, sun: str | None) -> SkySeen | None:
    from stillroom.documents.read import validated  # noqa: PLC0415
    from stillroom.documents.seats import SkySeen  # noqa: PLC0415

    if text is None:
        if sun is not None:
            raise BadValue("--sun", sun, "it goes with eighths of cloud; give --sky 5/8 with it")
        return None
    if "/" not in text:
        if sun is not None:
            raise BadValue("--sun", sun, "a word for the sky says it already; leave it out")
        return validated(SkySeen, {"word": text})
    eighths, _, of = text.partition("/")
    if of.strip() != "8" or not eighths.strip().isdigit():
        raise BadValue("--sky", text, "give eighths of cloud from 0/8 to 8/8, or a word")
    if sun is None:
        raise BadValue("--sky", text, "say with --sun whether the sun is out: yes, no or veiled")
    return validated(SkySeen, {"okta": int(eighths), "sun": sun})


def _moment(given: Given, asked: Asked, text: str | None) -> datetime:
    """A moment by the clock of the place; its zone may be written after it."""
    from stillroom.services.daylit import seat_of  # noqa: PLC0415

    if text is None:
        return now()
    place = seat_of(given.book, asked.seat)[2].place
    try:
        shown = datetime.fromisoformat(text)
    except ValueError:
        raise BadValue("--at", text, 'give day and time, such as "2026-06-21 11:30"') from None
    return place.moment(shown) if shown.tzinfo is None else shown


def _noon(given: Given, asked: Asked, text: str | None) -> datetime:
    """A moment of a day there: noon by the clock, or now for today."""
    from stillroom.services.daylit import seat_of  # noqa: PLC0415

    if text is None:
        return now()
    place = seat_of(given.book, asked.seat)[2].place
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadValue("--date", text, "give a day, such as 2026-06-21") from None
    return place.at(place.clock(day, 12))


@app.command("now")
def now_(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    seat: Seat = None,
    paper: Paper = None,
    lens: Lens = None,
    camera: CameraId = None,
    sitter: SitterId = None,
    f: FMark = None,
    sky: SkyText = None,
    sun: SunWord = None,
    at: At = None,
    as_json: JsonOption = False,
) -> None:
    """Say how long to open the lens now, how long that is good, and what would change it."""
    with opened(document, book) as given:
        asked = _asked(
            given, sitting, _sky(sky, sun),
            seat=seat, paper=paper, lens=lens, camera=camera, sitter=sitter, f_number=f,
        )  # fmt: skip
        from stillroom.services.daylight_answers import daylight_day, daylight_now  # noqa: PLC0415

        moment = _moment(given, asked, at)
        answer = daylight_now(given.book, asked, moment, given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown_daylight import show_now  # noqa: PLC0415

        show_now(answer, daylight_day(given.book, asked, moment, memo=given.memo))


@app.command()
def day(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    seat: Seat = None,
    paper: Paper = None,
    lens: Lens = None,
    camera: CameraId = None,
    sitter: SitterId = None,
    f: FMark = None,
    sky: SkyText = None,
    sun: SunWord = None,
    date_: Annotated[
        str | None,
        _option("--date", "DAY", "Which day there, such as 2026-06-21; or today."),
    ] = None,
    within: Within = None,
    as_json: JsonOption = False,
) -> None:
    """Show the seconds a day asks for, hour by hour."""
    with opened(document, book) as given:
        asked = _asked(
            given, sitting, _sky(sky, sun),
            seat=seat, paper=paper, lens=lens, camera=camera, sitter=sitter, f_number=f,
        )  # fmt: skip
        from stillroom.services.daylight_answers import daylight_day  # noqa: PLC0415

        moment = _noon(given, asked, date_)
        answer = daylight_day(given.book, asked, moment, within, given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown_daylight import show_day  # noqa: PLC0415

        show_day(answer)


@app.command()
def year(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    seat: Seat = None,
    paper: Paper = None,
    lens: Lens = None,
    camera: CameraId = None,
    sitter: SitterId = None,
    f: FMark = None,
    sky: SkyText = None,
    sun: SunWord = None,
    year_: Annotated[
        int | None, _option("--year", "YEAR", "Which year, 1900 to 2199; left out: this one.")
    ] = None,
    within: Within = None,
    as_json: JsonOption = False,
) -> None:
    """Show the seconds a year asks for, month by month, and when a limit can be kept."""
    with opened(document, book) as given:
        asked = _asked(
            given, sitting, _sky(sky, sun),
            seat=seat, paper=paper, lens=lens, camera=camera, sitter=sitter, f_number=f,
        )  # fmt: skip
        from stillroom.services.daylight_answers import daylight_year  # noqa: PLC0415

        which = now().year if year_ is None else year_
        answer = daylight_year(given.book, asked, which, within, given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown_daylight import show_year  # noqa: PLC0415

        show_year(answer)


@app.command()
def when(
    document: Document = None,
    book: BookOption = None,
    sitting: SittingOption = None,
    *,
    seat: Seat = None,
    paper: Paper = None,
    lens: Lens = None,
    camera: CameraId = None,
    sitter: SitterId = None,
    f: FMark = None,
    at: At = None,
    days: Annotated[
        int, typer.Option("--days", metavar="N", help="How many days from then on, 1 to 92.")
    ] = 14,
    within: Within = None,
    calendar: Annotated[
        Path | None,
        _option("--calendar", "FILE", "Write the hours of one sky into a calendar (iCalendar)."),
    ] = None,
    calendar_sky: Annotated[
        str,
        typer.Option(
            "--calendar-sky", metavar="WORD", help="Of which sky: clear, middling or dull."
        ),
    ] = "middling",
    as_json: JsonOption = False,
) -> None:
    """Say on which of the next days, and when, it can be done within a limit."""
    with opened(document, book) as given:
        asked = _asked(
            given, sitting, None,
            seat=seat, paper=paper, lens=lens, camera=camera, sitter=sitter, f_number=f,
        )  # fmt: skip
        from stillroom.services.daylight_answers import daylight_when  # noqa: PLC0415

        moment = _moment(given, asked, at)
        answer = daylight_when(
            given.book, asked, moment, days=days, within_s=within, memo=given.memo
        )
        if calendar is not None:
            from stillroom.services.daylight_calendar import calendar_of  # noqa: PLC0415

            made = calendar_of(answer, calendar_sky, written=now())
            _write(calendar, made)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown_daylight import show_when  # noqa: PLC0415

        show_when(answer)


def _write(path: Path, made: bytes) -> None:
    try:
        path.write_bytes(made)
    except OSError as error:
        raise BadValue(
            "--calendar", str(path), f"{error.strerror or error}; give another"
        ) from None


@app.command()
def compare(
    first: Annotated[
        str, typer.Argument(metavar="FIRST", help="A sheet by its mark, or as SITTING/NUMBER.")
    ],
    second: Annotated[str, typer.Argument(metavar="SECOND", help="Another, later or earlier.")],
    document: Document = None,
    book: BookOption = None,
    *,
    as_json: JsonOption = False,
) -> None:
    """Say why one daylight sheet is lighter than another, cause by cause."""
    with opened(document, book) as given:
        from stillroom.services.daylight_compared import compared  # noqa: PLC0415

        answer = compared(given.book, first, second, given.memo)
        if as_json:
            print_answer(answer)
            return
        from stillroom.cli.shown_daylight import show_compared  # noqa: PLC0415

        show_compared(answer)
