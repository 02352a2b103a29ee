"""Answers about daylight set for a terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from rich.console import Console
from rich.table import Table
from rich.text import Text

from stillroom.cli.failures import plain
from stillroom.cli.terminal import indented, lines, page
from stillroom.documents.daylight import (
    AskedOf,
    DaylightCompared,
    DaylightDay,
    DaylightNow,
    DaylightWhen,
    DaylightYear,
    Moment,
)
from stillroom.light.daylight import SKY_WORDS
from stillroom.quantity import stops_decimal_text, stops_text
from stillroom.sitter import region_name
from stillroom.telling.daylight_today import (
    holds_sentence,
    lands_sentence,
    meter_sentence,
    stale_sentence,
    way_text,
)
from stillroom.telling.daylight_words import (
    about_seconds,
    clock_there,
    day_text,
    range_sentence,
    skies_sentence,
    stops_size,
    stretch_text,
    stretches_text,
    year_phrase,
)
from stillroom.telling.words import range_of_sd, seconds

LIMITS_SHOWN_S = ("2", "4", "8")
BAR = 24
"""Columns of the longest bar of a day."""


def show_now(now: DaylightNow, day: DaylightDay) -> None:
    """Seconds now, how long they are good, what would change them."""
    region = region_name(now.about.region).lower()
    with page() as out:
        _head(out, now.about)
        out.print()
        answer = stale_sentence(now, day)
        out.print(Text(plain(answer), style="bold"))
        if now.now.seconds is not None:
            needed = now.now.seconds
            low, high = about_seconds(needed.q05), about_seconds(needed.q95)
            middle = about_seconds(needed.q50)
            lines(out, [f"Needed now: {middle}, nine in ten from {low} to {high}."])
        told = [lands_sentence(now, region), holds_sentence(now), meter_sentence(now)]
        lines(out, [sentence for sentence in told if sentence])
        if now.ways:
            out.print()
            out.print(Text("It would be", style="bold"))
            table = _table(("", "seconds", "light", ""))
            for way in now.ways:
                what, needed_s, light = way_text(way)
                held = "" if way.within else "longer than the sitter holds"
                table.add_row(*(plain(cell) for cell in (what, needed_s, light, held)))
            out.print(indented(table))
        _cautions(out, now.cautions)


def show_day(day: DaylightDay) -> None:
    """A day, every hour it is light."""
    zone = day.about.zone
    with page() as out:
        _head(out, day.about)
        out.print()
        out.print(Text(plain(f"{day_text(day.date)} {day.date.year}"), style="bold"))
        lines(out, [_sun_line(day)])
        lines(out, [f"In {seconds(day.within_s)}: {stretches_text(day.within, zone)}."])
        if day.best is not None and day.best.seconds is not None:
            best = about_seconds(day.best.seconds.q50)
            lines(out, [f"The best is {best}, at {clock_there(day.best.when, zone)}."])
        lit = [m for m in day.moments if m.seconds is not None and m.when.minute == 0]
        if lit:
            out.print()
            out.print(indented(_hours(lit, zone)))
        _cautions(out, day.cautions)


def _sun_line(day: DaylightDay) -> str:
    zone = day.about.zone
    if day.always is not None:
        return "The sun stays up all day." if day.always == "up" else "The sun does not rise."
    parts = [f"highest {clock_there(day.noon, zone)}"]
    if day.rises is not None:
        parts.insert(0, f"up {clock_there(day.rises, zone)}")
    if day.sets is not None:
        parts.append(f"down {clock_there(day.sets, zone)}")
    return f"Sun {', '.join(parts)}."


def _hours(moments: Sequence[Moment], zone: str) -> Table:
    table = _table(("clock", "seconds", "nine in ten", "sun", "light"))
    brightest = max(m.paper_lx for m in moments)
    for m in moments:
        if m.seconds is None:
            continue
        low, high = about_seconds(m.seconds.q05), about_seconds(m.seconds.q95)
        # A bar of stops: each column is a third of a stop below the day's brightest.
        columns = max(1, BAR + round(3 * math.log2(m.paper_lx / brightest)))
        table.add_row(
            clock_there(m.when, zone),
            about_seconds(m.seconds.q50),
            f"{low} to {high}",
            f"{m.sun_elevation_deg:.0f}°",
            "▪" * columns,
        )
    return table


def show_year(year: DaylightYear) -> None:
    """A year, a line a month."""
    zone = year.about.zone
    with page() as out:
        _head(out, year.about)
        out.print()
        limit = year.within_s
        phrase = f"In {seconds(limit)}, {year.year}: {year_phrase(year, limit)}."
        out.print(Text(plain(phrase), style="bold"))
        out.print()
        table = _table(("15th of", "shortest", "at", *(f"{s} s or less" for s in LIMITS_SHOWN_S)))
        for row in year.months:
            shortest = "dark" if row.shortest_s is None else about_seconds(row.shortest_s)
            at = "" if row.at is None else clock_there(row.at, zone)
            kept = (row.within.get(s) for s in LIMITS_SHOWN_S)
            cells = ("never" if one is None else stretch_text(one, zone) for one in kept)
            table.add_row(f"{row.date:%b}", shortest, at, *cells)
        out.print(indented(table))
        out.print()
        lines(out, [range_sentence(year, limit), skies_sentence(year)])
        _cautions(out, year.cautions)


def show_when(when: DaylightWhen) -> None:
    """The next days under each planned sky."""
    zone = when.about.zone
    with page() as out:
        _head(out, when.about, with_sky=False)
        out.print()
        out.print(Text(plain(f"In {seconds(when.within_s)} or less"), style="bold"))
        skies = tuple(when.days[0].by_sky)
        table = _table(("day", *(f"{sky} sky" for sky in skies)))
        for day in when.days:
            cells = (stretches_text(day.by_sky[sky], zone) for sky in skies)
            table.add_row(_weekday(day.date), *cells)
        out.print(indented(table))
        _cautions(out, when.cautions)


def _weekday(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def show_compared(answer: DaylightCompared) -> None:
    """Two sheets, cause by cause."""
    region = region_name(answer.region).lower()
    with page() as out:
        title = f"{answer.second} against {answer.first}: {region}"
        out.print(Text(plain(title), style="bold"))
        out.print()
        table = _table(("what", "first", "second", "stops", "±"))
        for line in answer.lines:
            table.add_row(
                plain(line.cause),
                plain(line.first),
                plain(line.second),
                stops_decimal_text(line.stops),
                f"{line.sd_stops:.2f}" if line.sd_stops else "",
            )
        out.print(indented(table))
        out.print()
        lines(out, compared_sentences(answer))


def compared_sentences(answer: DaylightCompared) -> list[str]:
    """What was expected, what was seen, and what took up the difference."""
    range_ = range_of_sd(answer.expected_sd_stops)
    said = [f"Expected: {_lighter(answer.expected_stops)}, nine in ten within {range_} stop."]
    if answer.seen_stops is None:
        said.append("One of them was not read as a density there: what was seen cannot be told.")
        return said
    said.append(f"Seen: {_lighter(answer.seen_stops)}.")
    if answer.blamed:
        said.append(f"What took it up: {'; '.join(answer.blamed)}.")
    return said


def _lighter(stops: float) -> str:
    if stops_text(stops) == "0":
        return "alike"
    return f"{stops_size(stops)} {'lighter' if stops > 0 else 'darker'}"


def _head(out: Console, about: AskedOf, *, with_sky: bool = True) -> None:
    place = "" if about.place_name in about.seat_name else f", {about.place_name}"
    sky = f", under a {about.sky} sky" if with_sky and about.sky in SKY_WORDS else ""
    counted = f", {about.sky}" if with_sky and not sky else ""
    title = f"{about.seat_name}{place}"
    out.print(Text(plain(title), style="bold"))
    on = f"{about.sitter}, {about.paper_name}, f/{about.f_number:g}{sky}{counted}"
    lines(out, [on])


def _table(columns: Sequence[str]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for n, name in enumerate(columns):
        table.add_column(name, header_style="dim", no_wrap=n > 0)
    return table


def _cautions(out: Console, cautions: Sequence[str]) -> None:
    if cautions:
        out.print()
        lines(out, list(cautions))
