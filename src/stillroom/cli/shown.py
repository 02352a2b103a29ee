"""Answers set for a terminal: eighty columns are enough, colour only where there is one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from stillroom.cli.failures import plain
from stillroom.cli.terminal import lines, page
from stillroom.quantity import NINE_IN_TEN, range_text, stops_text
from stillroom.telling.figures import listed, spread_range, stops_figure
from stillroom.telling.ledger_view import ledger_view
from stillroom.telling.names import initials, paper_of, paper_title, sheet_size, thing
from stillroom.telling.odds import odds
from stillroom.telling.set_list import SetList, set_list
from stillroom.telling.sitting_view import sitting_view
from stillroom.telling.strip import CurvePoint
from stillroom.telling.turned import differences
from stillroom.telling.words import day, figure

if TYPE_CHECKING:
    from stillroom.documents.answers import Advice, Forecast, PieceAdvice
    from stillroom.documents.book import Book, Settings, Sitting
    from stillroom.documents.several import SeveralSheets
    from stillroom.telling.ledger_view import Chain, Entry
    from stillroom.telling.set_rows import Row, Value

CHANGED = "*"
_ACCENT = "bold yellow"
"""The amber of the pages: this is what you act on now."""
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def show_advice(book: Book, sitting: Sitting, advice: Advice) -> None:
    """What to set for the next sheet, why, and the odds."""
    view = sitting_view(
        book,
        sitting,
        advice,
        (),
        _level(advice.forecast),
        planned=advice.settings,
        actual=advice.settings,
        before=_before(book, sitting),
        forecast=advice.forecast,
    )
    with page() as out:
        _head(out, book, sitting, view.pencil)
        if view.meter_first:
            lines(
                out, ["One pop into the meter before any paper: it would tell more than a sheet."]
            )
        _set_list(out, view.set_list, since=view.changed_title.removeprefix("Changed "))
        if view.steps:
            lines(out, [f"Strips: {', '.join(step.title for step in view.steps)}."])
        _meter(out, advice.forecast)
        out.print()
        out.print(Text(plain(view.heading), style="bold"))
        lines(out, [view.odds_line, view.missing, view.spoilers, view.note])
        _regions(out, advice.forecast)
        if view.can_step and advice.stepped_sheet is not None:
            _stepped(out, book, sitting, advice.settings, advice.stepped_sheet)
        if advice.piece is not None:
            _piece(out, book, sitting, advice.settings, advice.piece)
        if view.changes:
            out.print()
            out.print(Text(plain(view.changed_title), style="bold"))
            for title, why in view.changes:
                lines(out, [f"{title} {why}"])
        lines(out, [view.nothing_else])
        if view.instead:
            out.print()
            out.print(Text("If you would rather", style="bold"))
            for other in view.instead:
                lines(out, [f"{other.text} Tones land, {other.odds}."])
        if view.waiting:
            lines(out, [f"Not yet read: {listed([mark for mark, _ in view.waiting])}."])
        _foot(out, advice.forecast)


def show_forecast(book: Book, sitting: Sitting, forecast: Forecast) -> None:
    """What a sheet set so would show."""
    with page() as out:
        _head(out, book, sitting, forecast.mark)
        before = _before(book, sitting)
        set_so = set_list(
            book, sitting, planned=forecast.settings, actual=forecast.settings, before=before
        )
        _set_list(out, set_so, since="since the last sheet")
        _meter(out, forecast)
        out.print()
        if forecast.p_keeper is None:
            out.print(Text("A stepped sheet", style="bold"))
        else:
            out.print(Text(f"Tones land, {odds(forecast.p_keeper)}", style="bold"))
        _regions(out, forecast)
        _foot(out, forecast)


def show_several(book: Book, sitting: Sitting, several: SeveralSheets) -> None:
    """What to set for several sheets before any is seen."""
    with page() as out:
        _head(out, book, sitting, listed(several.marks))
        first = several.settings[0]
        before = _before(book, sitting)
        _set_list(
            out,
            set_list(book, sitting, planned=first, actual=first, before=before),
            since="since the last sheet",
        )
        lines(out, list(_turns(sitting, several)))
        out.print()
        count = len(several.settings)
        said = _COUNTS[count] if count < len(_COUNTS) else str(count)
        expected = several.forecast
        out.print(Text(f"One of the {said} lands, {odds(expected.p_any)}", style="bold"))
        for mark, forecast in zip(several.marks, expected.sheets, strict=True):
            if forecast.p_keeper is not None:
                lines(out, [f"{mark} alone: {odds(forecast.p_keeper)}."])
        lines(out, [several.missing, several.note])
        _together(out, several)
        waiting = [_mark_of(sitting, number) for number in several.not_yet_read]
        lines(out, [f"Not yet read: {listed(waiting)}." if waiting else ""])
        _foot(out, expected.sheets[0])


def show_ledger(book: Book, sitting: Sitting, forecast: Forecast, region: str) -> None:
    """The ledger of stops of one region, from lamp to paper."""
    view = ledger_view(book, sitting, forecast, region)
    with page() as out:
        _head(out, book, sitting, f"{forecast.mark}, {view.name.lower()}: the ledger of stops")
        for chain in view.chains:
            _chain(out, chain)
        out.print()
        table = _ledger_table()
        for entry in view.ends:
            _entry(table, entry, bold=True)
        out.print(table)
        out.print()
        lines(out, ["Stops above (+) or below (−) the paper’s mid-tone. Ranges are nine in ten."])


def wrapped(text: str) -> None:
    """One paragraph."""
    with page() as out:
        lines(out, [text])


# ---- parts ----------------------------------------------------------------------------------


def _head(out: Console, book: Book, sitting: Sitting, mark: str) -> None:
    out.print(Text(plain(mark), style="bold"))
    who = (initials(book, sitting), day(sitting.when), sitting.place)
    camera = thing(book.kit.cameras, sitting.camera)
    size = sheet_size(camera.format_mm) if camera else ""
    on = (paper_title(paper_of(book, sitting)), size)
    lines(out, [", ".join(part for part in parts if part) for parts in (who, on)])


def _set_list(out: Console, found: SetList, *, since: str) -> None:
    out.print()
    out.print(Text("What to set, in the order you walk round", style="bold"))
    _rows(out, found.rows)
    if any(row.state == "changed" for row in found.rows):
        lines(out, [f"{CHANGED} changed {since}".rstrip()])


def _stepped(
    out: Console, book: Book, sitting: Sitting, plan: Settings, stepped: Settings
) -> None:
    """The stepped sheet that is offered beside a plain one, where it differs from it."""
    steps = listed([str(pops) for pops in stepped.steps_pops or ()])
    out.print()
    out.print(Text(f"For a stepped sheet, strips of {steps}, set besides", style="bold"))
    other = set_list(book, sitting, planned=stepped, actual=stepped, before=plan)
    _rows(out, [row for row in other.rows if row.state == "changed"])


def _piece(out: Console, book: Book, sitting: Sitting, plan: Settings, piece: PieceAdvice) -> None:
    """The test piece that comes first or is offered, and where it is set otherwise."""
    out.print()
    if piece.first:
        lines(out, [piece.text])
    else:
        out.print(Text("First a test piece?", style="bold"))
        lines(out, [piece.text])
        if piece.settings != plan:
            lines(out, ["Set for it besides"])
            other = set_list(
                book, sitting, planned=piece.settings, actual=piece.settings, before=plan
            )
            _rows(out, [row for row in other.rows if row.state == "changed"])
    lines(out, [piece.worth, "Write it down with record --piece."])


def _rows(out: Console, rows: Iterable[Row]) -> None:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(max_width=24)
    table.add_column(max_width=38)
    table.add_column()
    for row in rows:
        _row(table, row)
    out.print(table)


def _row(table: Table, row: Row) -> None:
    changed = row.state == "changed"
    title = Text(f"{CHANGED if changed else ' '} {plain(row.title)}")
    values = Text("\n").join(_value(value) for value in row.values)
    table.add_row(title, values, Text(plain(row.why)))


def _value(value: Value) -> Text:
    text = f"f/{value.figure}" if value.is_f else value.figure
    if value.caption:
        text = f"{text} {value.caption}"
    return Text(plain(text), style=_ACCENT if value.state == "changed" else "")


def _meter(out: Console, forecast: Forecast) -> None:
    if not forecast.meter_shows:
        return
    out.print()
    out.print(Text("The meter should show, one pop", style="bold"))
    table = Table.grid(padding=(0, 2, 0, 0))
    for shows in forecast.meter_shows:
        name = forecast.regions[shows.region].name if shows.region in forecast.regions else ""
        table.add_row(
            Text(f"  {plain(name or shows.region)}"),
            Text(f"f/{figure(shows.f_number)} at ISO {figure(shows.iso)}"),
            Text(range_text(NINE_IN_TEN * shows.sd_stops)),
            Text(plain(f"{listed(shows.lights_on)} alone")),
        )
    out.print(table)


def _regions(out: Console, forecast: Forecast) -> None:
    out.print()
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    where = "Where it lands" if forecast.settings.steps_pops is None else "The first strip"
    for name in (where, "stops", "range", "wanted", "density", "lands"):
        table.add_column(name, header_style="bold")
    for region in forecast.regions.values():
        aim = region.aim
        wanted = "" if aim is None else "as it falls"
        if aim is not None and aim.tol_stops is not None:
            low, high = (aim.placement_stops + s * aim.tol_stops for s in (-1, 1))
            wanted = f"{stops_text(low)} to {stops_text(high)}"
        table.add_row(
            Text(f"  {plain(region.name)}"),
            stops_figure(region.placement_stops.q50),
            spread_range(region.placement_stops),
            wanted,
            f"{region.density.q50:.2f}",
            "" if region.p_lands is None else odds(region.p_lands),
        )
    out.print(table)


def _foot(out: Console, forecast: Forecast) -> None:
    out.print()
    lines(out, list(forecast.cautions))
    lines(out, ["Ranges are nine in ten."])


def _together(out: Console, several: SeveralSheets) -> None:
    """One to four sheets a round, compared; what cannot land has no such figures."""
    if not several.reachable:
        return
    out.print()
    out.print(Text(f"Until one lands, {several.dear} being dear", style="bold"))
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for name in ("  a round", "one lands", "sheets", "rounds", ""):
        table.add_column(name, header_style="bold")
    for one in several.together:
        least = "costs least" if one.sheets == several.cheapest else ""
        sheets, rounds = f"{one.expected_sheets:.1f}", f"{one.expected_rounds:.1f}"
        table.add_row(f"  {_COUNTS[one.sheets]}", odds(one.p_any), sheets, rounds, least)
    out.print(table)


def _mark_of(sitting: Sitting, number: int) -> str:
    return next((s.mark for s in sitting.sheets if s.number == number), "") or f"sheet {number}"


def _turns(sitting: Sitting, several: SeveralSheets) -> Iterable[str]:
    first = several.settings[0]
    for mark, settings in list(zip(several.marks, several.settings, strict=True))[1:]:
        other = differences(sitting, first, settings)
        told = ", ".join(f"{knob.replace('.', ' ')} {text}" for knob, text in other.items())
        told = told.replace("-", "−")
        yield f"{mark}: {told}; the rest the same." if told else f"{mark}: the same."


def _chain(out: Console, chain: Chain) -> None:
    out.print()
    out.print(Text(plain(f"{chain.source}: {chain.share}"), style="bold"))
    table = _ledger_table()
    for entry in chain.lines:
        _entry(table, entry)
    table.add_section()
    _entry(table, chain.landing, bold=True)
    out.print(table)
    if chain.note:
        out.print(Padding(Text(plain(chain.note)), (0, 0, 0, 2)))


def _ledger_table() -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, expand=False)
    table.add_column("", width=0)
    table.add_column("what", width=34, header_style="dim")
    table.add_column("known from", width=18, header_style="dim")
    for name, width in (("stops", 6), ("±", 5), ("sum", 6)):
        table.add_column(name, justify="right", no_wrap=True, min_width=width, header_style="dim")
    return table


def _entry(table: Table, entry: Entry, *, bold: bool = False) -> None:
    style = "bold" if bold else ""
    cells = ("", entry.term, entry.known_from, entry.stops, entry.range, entry.so_far)
    table.add_row(*(Text(plain(cell), style=style) for cell in cells))


# ---- what the views need besides ------------------------------------------------------------


def _before(book: Book, sitting: Sitting) -> Settings | None:
    """How things stand; nothing counts as changed before the first sheet of a set."""
    from stillroom.services.worktable import Worktable  # noqa: PLC0415

    if not sitting.sheets and sitting.stands is None:
        return None
    return Worktable(book, sitting.id).standing()


def _level(forecast: Forecast) -> tuple[CurvePoint, ...]:
    """A curve for the view's pictures, which a terminal does not draw."""
    tones = [r.density for r in forecast.regions.values()]
    darkest = max((t.q95 for t in tones), default=2.0)
    lightest = min((t.q05 for t in tones), default=0.0)
    return (CurvePoint(-6.0, darkest), CurvePoint(6.0, lightest))
