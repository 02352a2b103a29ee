"""One sheet: how it was made, what was expected of it, what it showed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.documents.answers import SheetTaught
from stillroom.documents.book import Book, Expected, Paper, RegionReading, Settings, Sheet, Sitting
from stillroom.documents.making import as_made
from stillroom.quantity import range_text
from stillroom.services.moved import state_of
from stillroom.services.moved_told import widened
from stillroom.sitter import region_name
from stillroom.telling.figures import stops_figure
from stillroom.telling.names import initials, openings, paper_of, slug
from stillroom.telling.odds import odds
from stillroom.telling.set_list import SetList, set_list
from stillroom.telling.set_rows import Lengths
from stillroom.telling.sheets_view import (
    SheetLine,
    seen_figure,
    sheet_lines,
    standing_regions,
    standing_strips,
)
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.strip import Axis, Row, Strip, tone_strip
from stillroom.telling.tones import Curve, stops_at
from stillroom.telling.words import clock, day

_MARGIN_STOPS = 0.5
_WIDEST = (-6.0, 5.0)

Wanted = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class SheetView:
    """What the template shows."""

    line: SheetLine
    when: str
    back: str
    made_href: str
    ledger_href: str
    planned: Settings
    set_list: SetList
    odds: str
    strip: Strip
    regions: tuple[tuple[str, Row], ...]
    strips: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Of a stepped sheet: each strip with what its regions showed."""
    moved: tuple[str, ...]
    """What each answer to what else moved leaves open, a sentence each."""


def sheet_view(
    book: Book,
    sitting: Sitting,
    sheet: Sheet,
    taught: Sequence[SheetTaught],
    curve: Curve,
    *,
    wanted: Wanted,
    lengths: Lengths = "metric",
) -> SheetView:
    """Put the page together.

    Parameters
    ----------
    book, sitting, sheet : Book, Sitting, Sheet
        What is shown.
    taught : sequence of SheetTaught
        What each read sheet taught.
    curve : sequence of CurvePoint
        Tone curve of the paper as believed.
    wanted : mapping
        Region to the ends of its brackets [stops from the mid-tone].
    lengths : {"metric", "imperial"}
        How lengths are printed.
    """
    paper: Paper = paper_of(book, sitting)
    lines = sheet_lines(sitting, taught, paper, curve)
    line = next(one for one in lines if one.number == sheet.number)
    seen = standing_regions(sheet)
    rows = _rows(sheet, seen, curve, wanted)
    axis = rows[0] if rows else Axis()
    made = as_made(sheet.settings, sheet.made)
    href = sitting_href(sitting.id)
    return SheetView(
        line=line,
        when=_when(book, sitting, sheet),
        back=href,
        made_href=f"{href}/{sheet.number}/made",
        ledger_href=f"/sitting/{slug(sitting.id)}/{sheet.number}/ledger",
        planned=sheet.settings,
        set_list=set_list(
            book,
            sitting.model_copy(
                update={
                    "room_state": state_of(sitting, sheet),
                    "sky": sheet.sky or sitting.sky,
                }
            ),
            planned=sheet.settings,
            actual=made,
            before=None,
            lengths=lengths,
            is_made=True,
        ),
        moved=widened(sitting, sheet),
        odds=_odds(sheet),
        strip=tone_strip(curve, paper.comparison_strip, axis=axis),
        regions=rows[1] if rows else (),
        strips=_strips(sitting, sheet, curve),
    )


def _when(book: Book, sitting: Sitting, sheet: Sheet) -> str:
    at = sheet.when or sitting.when
    who = initials(book, sitting)
    said = f"{day(at)}, {clock(at)}" if sheet.when else day(at)
    return f"{who}, {said}." if who else f"{said}."


def _odds(sheet: Sheet) -> str:
    if sheet.p_tones_land is None:
        return ""
    return f"Before it was made: tones land, {odds(sheet.p_tones_land)}."


def _rows(
    sheet: Sheet, seen: Mapping[str, RegionReading], curve: Curve, wanted: Wanted
) -> tuple[Axis, tuple[tuple[str, Row], ...]] | None:
    names = list(dict.fromkeys([*sheet.expected, *seen]))
    if not names or sheet.settings.steps_pops is not None:
        return None
    placed = {
        name: stops_at(curve, reading.density)
        for name, reading in seen.items()
        if reading.density is not None
    }
    known = [u for u in placed.values() if u is not None]
    ends_seen = {"black": -math.inf, "bare_paper": math.inf}
    placed |= {n: ends_seen[r.verdict] for n, r in seen.items() if r.verdict in ends_seen}
    ends = [u for e in sheet.expected.values() for u in (e.q05, e.q95)] + known
    low = min([Axis().low, *(u - _MARGIN_STOPS for u in ends)])
    high = max([Axis().high, *(u + _MARGIN_STOPS for u in ends)])
    axis = Axis(max(_WIDEST[0], low), min(_WIDEST[1], high))
    return axis, tuple(
        (
            name,
            _row(
                name,
                sheet.expected.get(name),
                seen_figure(seen.get(name), curve),
                placed.get(name),
                axis=axis,
                brackets=wanted.get(name),
            ),
        )
        for name in names
    )


def _row(
    name: str,
    expected: Expected | None,
    shown: str,
    at: float | None,
    *,
    axis: Axis,
    brackets: tuple[float, float] | None,
) -> Row:
    said = [region_name(name)]
    if expected is not None:
        said.append(
            f"expected {stops_figure(expected.q50)}, {stops_figure(expected.q05)} to "
            f"{stops_figure(expected.q95)}"
        )
    if brackets is not None:
        said.append(f"wanted {stops_figure(brackets[0])} to {stops_figure(brackets[1])}")
    said.append(f"seen {shown}" if shown else "not read")
    spindle = axis.spindle(expected.q05, expected.q50, expected.q95) if expected else None
    return Row(
        name=region_name(name),
        says=shown or "·",
        range=f"of {stops_figure(expected.q50)} {range_text((expected.q95 - expected.q05) / 2)}"
        if expected
        else "",
        spoken=f"{'; '.join(said)}.",
        spindle=spindle,
        wanted=(axis.at(brackets[0]), axis.at(brackets[1])) if brackets else None,
        seen=axis.at(at) if at is not None else None,
        lines=(axis.at(0.0),),
    )


def _strips(
    sitting: Sitting, sheet: Sheet, curve: Curve
) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    return tuple(
        (
            f"{step} {openings(sitting, step)}",
            tuple((region_name(r), seen_figure(seen, curve)) for r, seen in regions.items()),
        )
        for step, regions in standing_strips(sheet).items()
    )
