"""The day as its page shows it: what was asked, and a lane for each sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from starlette.datastructures import QueryParams

from stillroom.documents.book import Book
from stillroom.documents.day import Day, SheetPlanned
from stillroom.errors import StillroomError
from stillroom.services.day import DayAsked
from stillroom.services.day.hours import begins_on, date_typed, hour_typed
from stillroom.services.day.words import clock_text
from stillroom.services.processes import processes
from stillroom.telling.day_told import DayTold, told
from stillroom.web.forms import Field, Form, Posted

MOST_LANES = 40
"""More sheets are not drawn, only listed."""

FIELDS = (
    Field("sitters", "Sitters", "whole", low=1, high=60, hint="left out: as many as fit"),
    Field("sheets", "Or sheets exposed before", "whole", low=1, high=400),
    Field("from", "First sitter", start="10:00"),
    Field("to", "Through by", hint="such as 17:00"),
    Field("on", "Which day", hint="left out: today; such as 2026-12-05"),
    Field("each", "Sheets for each", "whole", low=1, high=8, hint="left out: by the odds"),
    Field("every", "Sitters come every", "number", "min", low=5, high=480),
    Field("hands", "Pairs of hands", "choice", start="1", choices=(
        ("1", "one"), ("2", "two"), ("3", "three"),
    )),
    Field("trays", "Trays of developer", "choice", start="1", choices=(
        ("1", "one, used twice"), ("2", "two"),
    )),
    Field("tanks", "Tanks or drums", "choice", start="1", choices=(
        ("1", "one"), ("2", "two"), ("3", "three"), ("4", "four"),
    )),
    Field("turns", "Sitters at once", "choice", start="1", choices=(
        ("1", "one"), ("2", "two, by turns"), ("3", "three"),
    )),
    Field("together", "Sheets before reading", "choice", start="1", choices=(
        ("1", "one"), ("2", "a pair"),
    )),
    Field("holders", "Holder sides", "whole", low=1, high=200, hint="left out: as the kit has"),
    Field("paper", "Sheets of paper at hand", "whole", low=1, high=10_000),
    Field("litres", "Litres of each bath at hand", "number", "L", low=0.1, high=100),
    Field("temperature", "Line", "number", "°C", low=5, high=40, hint="left out: as the process"),
)  # fmt: skip
FEW = ("sitters", "from", "to")
"""What is asked first; the rest is folded away."""


@dataclass(frozen=True, slots=True)
class DayForm:
    """What was asked.

    Parameters
    ----------
    form : Form
        What stands in the fields.
    few, rest : tuple of Field
        Those asked first, and those folded away.
    processes : tuple of (str, str)
        Ids and names of processes.
    process : str
        The one that was chosen; empty: as the book says.
    asked : DayAsked or None
        None where something has to be put right.
    problem : str
        What.
    query : str
        What the address asks, for the bag.
    is_open : bool
        Whether something that is folded away was asked.
    """

    form: Form
    few: tuple[Field, ...]
    rest: tuple[Field, ...]
    processes: tuple[tuple[str, str], ...]
    process: str
    asked: DayAsked | None
    problem: str
    query: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Lane:
    """One sheet on the time line, in percent of its length."""

    name: str
    spoken: str
    chair: tuple[float, float] | None
    wet: tuple[float, float]


@dataclass(frozen=True, slots=True)
class DayView:
    """The day as it is drawn."""

    told: DayTold
    lanes: tuple[Lane, ...]
    hours: tuple[tuple[str, float], ...]
    finish: tuple[float, float, float]
    """Middle and nine in ten of the finish on the time line [percent]."""


def day_form(book: Book, query: QueryParams, now: datetime, asked_query: str) -> DayForm:
    """Read what the address asks.

    Parameters
    ----------
    book : Book
        For its processes.
    query : QueryParams
        The address.
    now : datetime
        The moment.
    asked_query : str
        The address again, as it stands.
    """
    given = {name: tuple(query.getlist(name)) for name in query}
    starts = {f.name: (f.start,) for f in FIELDS if f.name not in given}
    form, values = Form.read(FIELDS, Posted("", {**starts, **given}))
    process = query.get("process", "")
    asked: DayAsked | None = None
    problem = form.summary
    if form.ok:
        try:
            asked = _asked(values, process, now)
        except StillroomError as error:
            problem = str(error)
    is_asked = any(
        form.one(f.name) not in ("", f.start) for f in FIELDS if f.name not in FEW
    ) or bool(process)
    return DayForm(
        form=form,
        few=tuple(f for f in FIELDS if f.name in FEW),
        rest=tuple(f for f in FIELDS if f.name not in FEW),
        processes=tuple((p.id, p.name or p.id) for p in processes(book)),
        process=process,
        asked=asked,
        problem=problem,
        query=asked_query,
        is_open=is_asked,
    )


def _asked(values: dict[str, object], process: str, now: datetime) -> DayAsked:
    def whole(name: str) -> int | None:
        value = values.get(name)
        return int(value) if isinstance(value, int | str) else None

    def number(name: str) -> float | None:
        value = values.get(name)
        return float(value) if isinstance(value, int | float) else None

    def text(name: str) -> str:
        return str(values.get(name) or "")

    on = date_typed("Which day", text("on"), now)
    sheets = whole("sheets")
    return DayAsked(
        sitters=whole("sitters"),
        exposed=sheets,
        each=whole("each"),
        begins=begins_on(hour_typed("First sitter", text("from"), on, now), on, now),
        ends=hour_typed("Through by", text("to"), on, now),
        process=process or None,
        temperature_c=number("temperature"),
        tanks=whole("tanks") or 1,
        developer_trays=whole("trays") or 1,
        hands=whole("hands") or 1,
        holder_sides=whole("holders"),
        paper=whole("paper"),
        litres=number("litres"),
        together=whole("together") or 1,
        by_turns=whole("turns") or 1,
        every_min=number("every"),
    )


def day_view(answer: Day) -> DayView:
    """Lay a day out on a time line.

    Parameters
    ----------
    answer : Day
        The day.
    """
    begins = answer.begins
    last = max([answer.finish.q95, *(sheet.washed for sheet in answer.planned)])
    hour = timedelta(hours=1)
    first = begins.replace(minute=0, second=0, microsecond=0)
    end = last.replace(minute=0, second=0, microsecond=0) + hour
    length_s = (end - first).total_seconds()

    def at(moment: datetime) -> float:
        return round(100 * (moment - first).total_seconds() / length_s, 2)

    count = round(length_s / 3600)
    apart = max(1, -(-count // 6))
    lanes = () if len(answer.planned) > MOST_LANES else answer.planned
    return DayView(
        told=told(answer),
        lanes=tuple(_lane(sheet, begins, at) for sheet in lanes),
        hours=tuple(
            (f"{first + n * hour:%H}", at(first + n * hour)) for n in range(0, count, apart)
        ),
        finish=(at(answer.finish.q50), at(answer.finish.q05), at(answer.finish.q95)),
    )


def _lane(sheet: SheetPlanned, begins: datetime, at: Callable[[datetime], float]) -> Lane:
    name = f"{sheet.sitter}.{sheet.sheet}" if sheet.sitter else f"{sheet.sheet}"
    said = f"into the line {clock_text(sheet.into_line, begins)}, washed "
    said += clock_text(sheet.washed, begins)
    chair = None
    if sheet.exposed_from is not None:
        said = f"sits down {clock_text(sheet.exposed_from, begins)}, {said}"
        chair = (at(sheet.exposed_from), at(sheet.into_line))
    return Lane(name, said, chair, (at(sheet.into_line), at(sheet.washed)))
