"""The count of one sheet: what to tick off, how it fires, what is called and when."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args
from urllib.parse import urlencode

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.documents.count import Count
from stillroom.documents.holding import Fires
from stillroom.documents.making import as_made
from stillroom.errors import BadValue, UnknownName
from stillroom.services.counting import DELAYS_S
from stillroom.services.holders import sides_of
from stillroom.telling.firing_told import WAYS_TO_FIRE
from stillroom.telling.names import clip_code
from stillroom.telling.set_list import set_list
from stillroom.telling.set_rows import Lengths, Row, Value
from stillroom.telling.sheets_view import mark_of, sheet_href
from stillroom.telling.sitting_view import header_line, sitting_href
from stillroom.telling.words import figure, seconds

FIRES: tuple[str, ...] = get_args(Fires)


@dataclass(frozen=True, slots=True)
class Tick:
    """One line of the checklist."""

    key: str
    number: int
    """The key that ticks it."""
    title: str
    told: str


@dataclass(frozen=True, slots=True)
class Choice:
    """Another way of counting, by its address."""

    label: str
    href: str
    is_now: bool


@dataclass(frozen=True, slots=True)
class CountView:
    """What the template shows."""

    href: str
    back: str
    sheet: str
    mark: str
    line: str
    pencil: str
    ticks: tuple[Tick, ...]
    plan: str
    """The count as a document, for the page's own clock."""
    count: Count
    calls: tuple[tuple[str, str], ...]
    """When, and what is called."""
    ways: tuple[Choice, ...]
    delays: tuple[Choice, ...]
    how: str
    """How it fires, and the delay where there is one."""
    gap: str
    before: str
    """What was written down of an earlier count of the sheet."""


def fires_called(word: str) -> Fires | None:
    """The way to fire by its word; none said where it is empty.

    Raises
    ------
    UnknownName
        If there is no such way.
    """
    found: Fires
    for found in get_args(Fires):
        if word == found:
            return found
    if word:
        raise UnknownName("way to fire", word, FIRES)
    return None


def delay_called(word: str) -> float | None:
    """The delay in seconds; none said where it is empty.

    Raises
    ------
    BadValue
        If it is no number.
    """
    if not word:
        return None
    try:
        return float(word)
    except ValueError:
        raise BadValue("delay", word, "give seconds, such as 10") from None


def count_href(sitting: Sitting, number: int) -> str:
    """Address of the count of a sheet."""
    return f"{sheet_href(sitting, number)}/count"


def last_count(sitting: Sitting) -> tuple[str, str] | None:
    """Mark and address of the count of the sheet that was shot last, while it is unread."""
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    if last is None or last.readings:
        return None
    return mark_of(last), count_href(sitting, last.number)


def count_view(
    book: Book,
    sitting: Sitting,
    sheet: Sheet,
    made: Count,
    *,
    lengths: Lengths = "metric",
    chair: Row | None = None,
) -> CountView:
    """Put the page together.

    Parameters
    ----------
    book, sitting, sheet : Book, Sitting, Sheet
        The sheet that is exposed.
    made : Count
        How it is counted.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    chair : Row, optional
        Where the chair stands for focus, if that can be told.
    """
    href = count_href(sitting, sheet.number)
    return CountView(
        href=href,
        back=sitting_href(sitting.id),
        sheet=sheet_href(sitting, sheet.number),
        mark=mark_of(sheet),
        line=header_line(book, sitting),
        pencil=f"{mark_of(sheet)}; clip {clip_code(sheet.number)}",
        ticks=_ticks(book, sitting, sheet, lengths, chair),
        plan=made.model_dump_json(),
        count=made,
        calls=_calls(made),
        ways=_ways(href, made),
        delays=_delays(href, made),
        how=_how(made),
        gap=seconds(float(f"{made.gap_s:.2g}")) if made.gap_s else "",
        before=_before(sheet),
    )


def _ticks(
    book: Book, sitting: Sitting, sheet: Sheet, lengths: Lengths, chair: Row | None
) -> tuple[Tick, ...]:
    settings = as_made(sheet.settings, sheet.made)
    rows = set_list(
        book,
        sitting,
        planned=settings,
        actual=settings,
        before=None,
        lengths=lengths,
        is_made=True,
        chair=chair,
    ).rows
    told = [(row.title, ", ".join([*map(_told, row.values), *_why(row)])) for row in rows]
    if sheet.holder_side:
        titles = {side.key: side.title for side in sides_of(book)}
        told.append(("Holder", titles.get(sheet.holder_side, sheet.holder_side)))
    return tuple(Tick(f"{n} {title}", n, title, said) for n, (title, said) in enumerate(told, 1))


def _told(value: Value) -> str:
    if value.is_wide:
        return value.figure
    shown = f"f/{value.figure}" if value.is_f else value.figure
    return f"{shown} {value.caption}"


def _why(row: Row) -> tuple[str, ...]:
    return (row.why,) if row.why else ()


def _calls(made: Count) -> tuple[tuple[str, str], ...]:
    at_s, rows = 0.0, []
    for call in made.calls:
        at_s += call.after_s
        rows.append((f"{figure(round(at_s, 1))} s", call.word))
    return tuple(rows)


def _asked(href: str, fires: str | None, delay_s: float) -> str:
    asked = {"fires": fires} if fires else {}
    return f"{href}?{urlencode(asked | {'delay': f'{delay_s:g}'})}"


def _ways(href: str, made: Count) -> tuple[Choice, ...]:
    return tuple(
        Choice(label, _asked(href, way, made.delay_s), way == made.fires)
        for way, label in WAYS_TO_FIRE
    )


def _delays(href: str, made: Count) -> tuple[Choice, ...]:
    offered = sorted({*DELAYS_S, made.delay_s})
    return tuple(
        Choice(
            seconds(delay) if delay else "none",
            _asked(href, made.fires, delay),
            delay == made.delay_s,
        )
        for delay in offered
    )


def _how(made: Count) -> str:
    way = dict(WAYS_TO_FIRE).get(made.fires or "", "nobody said how it fires")
    return f"{way}, {seconds(made.delay_s)} to sit" if made.delay_s else way


def _before(sheet: Sheet) -> str:
    if sheet.open_sd_s is None:
        return ""
    open_s = as_made(sheet.settings, sheet.made).open_s
    return (
        f"It was counted before: open {figure(open_s)} s ± {figure(sheet.open_sd_s, 2)} s. "
        "Another count takes its place."
    )
