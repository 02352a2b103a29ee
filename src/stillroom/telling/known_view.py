"""What is known of one term over time: spindles sitting by sitting, and what moved it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents.known import Known, KnownChain, KnownPoint, KnownTerm, MovedBy
from stillroom.quantity import NINE_IN_TEN, range_text, stops_decimal_text, stops_text, stops_words
from stillroom.telling.names import slug
from stillroom.telling.words import day

MOST_DRAWN = 60
_ROOM = 1.08
"""How much further than the widest spindle the drawing reaches."""
_WIDEST = 1.4
_TICKS = 5


@dataclass(frozen=True, slots=True)
class Drawn:
    """One spindle, standing upright, in hundredths of the drawing."""

    shape: str
    is_entered: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """Spindles over time: as entered at the left, then one a sitting.

    Attributes
    ----------
    spindles : tuple of Drawn
    line : str
        Path through the best values.
    ticks : tuple of (float, str)
        Height and words of each line across.
    days : tuple of (float, str)
        Place and words under the drawing.
    rows : tuple of (str, str, str)
        The same as a table: when, how far from what was entered, range.
    described : str
        The same as a sentence.
    """

    spindles: tuple[Drawn, ...]
    line: str
    ticks: tuple[tuple[float, str], ...]
    days: tuple[tuple[float, str], ...]
    rows: tuple[tuple[str, str, str], ...]
    described: str


@dataclass(frozen=True, slots=True)
class Mover:
    """One sheet, or a sitting's meter readings, that moved a term."""

    title: str
    address: str
    on: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class TermView:
    """One term with its history, what moved it, and what may be said of it."""

    name: str
    anchor: str
    title: str
    range: str
    sentence: str
    entered: str
    history: History | None
    movers: tuple[Mover, ...]
    address: str
    can_hold: bool
    can_forget: bool
    can_learn: bool


@dataclass(frozen=True, slots=True)
class ChainView:
    """One chain with its history."""

    title: str
    sentence: str
    range: str
    history: History | None


@dataclass(frozen=True, slots=True)
class Section:
    """What a page shows of one thing: its first term, its others, its chains."""

    terms: tuple[TermView, ...]
    others: tuple[TermView, ...]
    chains: tuple[ChainView, ...]
    back: str


def term_view(term: KnownTerm) -> TermView:
    """Lay one term out; `moved_by` is shown where it was asked for."""
    has_spread = term.entered_sd > 0
    return TermView(
        name=term.term,
        anchor=re.sub(r"[^A-Za-z0-9]+", "-", term.term),
        title=f"{term.label[:1].upper()}{term.label[1:]}",
        range=_range(term.sd, term.unit),
        sentence=f"{term.sentence[:1].upper()}{term.sentence[1:]}.",
        entered=f"Entered to {_range(term.entered_sd, term.unit)}.",
        history=history_of(term.history, term.entered_sd, term.unit),
        movers=tuple(_mover(m, term.unit) for m in term.moved_by or ()),
        address=f"/known/{slug(term.term)}",
        can_hold=term.standing != "held",
        can_forget=has_spread and term.standing not in ("entered", "forgotten"),
        can_learn=term.standing in ("held", "forgotten"),
    )


def chain_view(chain: KnownChain) -> ChainView:
    """Lay one chain out."""
    return ChainView(
        title=chain.title,
        sentence=f"{chain.sentence[:1].upper()}{chain.sentence[1:]}.",
        range=_range(chain.sd, "stops"),
        history=history_of(chain.history, chain.entered_sd, "stops"),
    )


def terms_of(known: Known, beginning: str) -> tuple[KnownTerm, ...]:
    """The terms of one thing, such as ``head/A/``."""
    return tuple(t for t in known.terms if t.term.startswith(beginning))


def chains_with(known: Known, part: str, most: int) -> tuple[ChainView, ...]:
    """The surest chains that one thing is part of."""
    found = [c for c in known.chains if any(p.startswith(part) for p in c.parts)]
    return tuple(chain_view(c) for c in found[:most])


def history_of(points: Sequence[KnownPoint], entered_sd: float, unit: str) -> History | None:
    """Spindles over time; None where no sitting has to do with it.

    Of more than `MOST_DRAWN` sittings the latest are drawn; the table has them all.
    """
    if not points:
        return None
    laws = [(0.0, entered_sd), *((p.shift, p.sd) for p in points[-MOST_DRAWN:])]
    low, high = _ends(laws)

    def y(value: float) -> float:
        return round(100 * (high - value) / (high - low), 2)

    step = 100 / len(laws)
    half = min(_WIDEST, 0.42 * step)
    places = [round(step * (i + 0.5), 2) for i in range(len(laws))]
    spindles = tuple(
        Drawn(_upright(x, half, y(m), y(m + NINE_IN_TEN * sd), y(m - NINE_IN_TEN * sd)), i == 0)
        for i, (x, (m, sd)) in enumerate(zip(places, laws, strict=True))
    )
    line = "M" + "L".join(f"{x} {y(m)}" for x, (m, _) in zip(places, laws, strict=True))
    last = points[-1]
    return History(
        spindles=spindles,
        line=line,
        ticks=tuple((y(v), _tick(v, unit)) for v in _ticks(low, high)),
        days=_days(places, points[-MOST_DRAWN:]),
        rows=(
            ("as entered", "0", _range(entered_sd, unit)),
            *((_when(p), _shift(p.shift, unit), _range(p.sd, unit)) for p in points),
        ),
        described=(
            f"From {_spoken_range(entered_sd, unit)} as entered to "
            f"{_spoken_range(last.sd, unit)} after {len(points)} "
            f"{'sitting' if len(points) == 1 else 'sittings'}"
        ),
    )


def _ends(laws: Sequence[tuple[float, float]]) -> tuple[float, float]:
    low = min(m - NINE_IN_TEN * sd for m, sd in laws)
    high = max(m + NINE_IN_TEN * sd for m, sd in laws)
    middle, half = (low + high) / 2, max((high - low) / 2, 1e-6) * _ROOM
    return middle - half, middle + half


def _upright(x: float, half: float, best: float, top: float, foot: float) -> str:
    return f"M{x} {top}L{x + half:.2f} {best}L{x} {foot}L{x - half:.2f} {best}Z"


def _ticks(low: float, high: float) -> list[float]:
    """Round values with what was entered (0) among them."""
    steps = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
    step = next((s for s in steps if (high - low) / s <= _TICKS), steps[-1])
    first, last = math.ceil(low / step), math.floor(high / step)
    return [i * step for i in range(first, last + 1)]


def _tick(value: float, unit: str) -> str:
    if value == 0:
        return "as entered"
    if unit == "stops" and value == round(value):
        return stops_text(value)
    return stops_decimal_text(value)


def _days(places: Sequence[float], points: Sequence[KnownPoint]) -> tuple[tuple[float, str], ...]:
    """Words under the first, the middle and the last sitting that is drawn."""
    wanted = sorted({0, len(points) // 2, len(points) - 1})
    return tuple((places[i + 1], f"{points[i].when.day} {points[i].when:%b}") for i in wanted)


def _when(point: KnownPoint) -> str:
    return f"{day(point.when)}, {point.sitting}"


def _shift(value: float, unit: str) -> str:
    return stops_decimal_text(value) if unit == "stops" else stops_decimal_text(value, 3)


def _range(sd: float, unit: str) -> str:
    half = NINE_IN_TEN * sd
    if half == 0:
        return "held"
    return f"{range_text(half)} stops" if unit == "stops" else f"±{half:.3f}"


def _spoken_range(sd: float, unit: str) -> str:
    half = NINE_IN_TEN * sd
    if unit == "stops" and half >= 1 / 3:
        return f"{stops_words(half)} either way"
    return f"{half:.2f} either way"


def _mover(by: MovedBy, unit: str) -> Mover:
    is_sheet = by.sheet is not None
    count = "1 reading" if by.readings == 1 else f"{by.readings} readings"
    title = by.mark if is_sheet else f"Meter, {count}"
    address = f"/sitting/{slug(by.sitting)}"
    return Mover(
        title=title,
        address=f"{address}/{by.sheet}" if is_sheet else address,
        on=day(by.when),
        before=_finely(by.shift_before, by.sd_before, unit),
        after=_finely(by.shift_after, by.sd_after, unit),
    )


def _finely(shift: float, sd: float, unit: str) -> str:
    """Decimals, not thirds: one sheet seldom moves a term that far."""
    places = 2 if unit == "stops" else 3
    return f"{stops_decimal_text(shift, places)} ±{NINE_IN_TEN * sd:.{places}f}"
