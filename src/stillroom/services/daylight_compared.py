"""Two daylight sheets of one book, and why the second is lighter or darker."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from stillroom.belief import Belief, curves_of
from stillroom.documents import book as doc
from stillroom.documents.daylight import ComparedLine, DaylightCompared
from stillroom.documents.making import as_made
from stillroom.documents.to_daylight import sky_of
from stillroom.errors import NotPossible, UnknownName
from stillroom.exposure import Layout, Line
from stillroom.paper import placement
from stillroom.quantity import FloatArray
from stillroom.services.daylight_asked import region_asked
from stillroom.services.daylit import seat_of, sky_name
from stillroom.services.marks import sheet_marked
from stillroom.services.readings import best_regions
from stillroom.services.remembered import BeliefMemo
from stillroom.services.seats import has_seat, is_seat
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import Worktable

TOLD_STOPS = 0.05
"""A cause that makes and may make less than this is left out of the table; ours."""
BLAMED_STOPS = 0.05


@dataclass(frozen=True, slots=True)
class _Made:
    """One sheet as it was made, with the chain of the light of its seat."""

    table: Worktable
    sheet: doc.Sheet
    layout: Layout
    lines: tuple[Line, ...]
    causes: dict[str, str]

    @property
    def name(self) -> str:
        sitting = self.table.sitting
        when = (self.sheet.when or sitting.when).date()
        return f"{self.sheet.mark or self.sheet.number}, {when:%d %B %Y}".replace(", 0", ", ")


def compared(
    book: doc.Book, first: str, second: str, memo: BeliefMemo | None = None
) -> DaylightCompared:
    """Why the second of two daylight sheets is lighter or darker than the first.

    Parameters
    ----------
    book : Book
        The book.
    first, second : str
        Marks of the sheets, or ``sitting/number``.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    DaylightCompared
        Every cause with what it makes of the difference; what was expected before the later one
        was read, what was seen, and what took up the surprise.

    Raises
    ------
    UnknownName
        If there is no such sheet.
    NotPossible
        If one of them was not lit by the light of a seat.
    """
    found = [_sheet(book, mark) for mark in (first, second)]
    region = region_asked(found[1][0])
    one, other = (_made(book, sitting, sheet, region, memo) for sitting, sheet in found)
    later = max((one, other), key=lambda m: m.sheet.when or m.table.sitting.when)
    earlier = one if later is other else other
    then = earlier.table.posterior().belief
    before, after = (
        _knowing(known, (one.layout, other.layout), then)
        for known in (
            later.table.posterior(later.sheet.number).belief,
            later.table.posterior().belief,
        )
    )
    slopes = _slopes(before, other) - _slopes(before, one)
    expected = _fixed(other) - _fixed(one) + float(slopes @ before.mean)
    own = math.sqrt(2) * other.layout.scatter.sheet_sd_stops
    sd = math.hypot(math.sqrt(max(float(slopes @ before.covariance @ slopes), 0.0)), own)
    seen = _seen(one, other, region, after)
    return DaylightCompared(
        first=one.name,
        second=other.name,
        region=region,
        lines=_lines(one, other, before),
        expected_stops=expected,
        expected_sd_stops=sd,
        seen_stops=seen,
        surprise_sd=None if seen is None else (seen - expected) / sd,
        blamed=_blamed(one, other, before, after),
    )


def _sheet(book: doc.Book, mark: str) -> tuple[doc.Sitting, doc.Sheet]:
    for sitting in book.sittings:
        for sheet in sitting.sheets:
            if mark == f"{sitting.id}/{sheet.number}":
                return sitting, sheet
    ordered = in_order_of_time(book)
    if not ordered:
        raise UnknownName("sheet", mark, ())
    return sheet_marked(book, mark, ordered[-1])


def _made(
    book: doc.Book, sitting: doc.Sitting, sheet: doc.Sheet, region: str, memo: BeliefMemo | None
) -> _Made:
    if not has_seat(sitting):
        raise NotPossible(
            f"{sheet.mark or sheet.number} was not made by the light of a seat: compare two that "
            "were."
        )
    table = Worktable(book, sitting.id, memo=memo)
    settings = as_made(sheet.settings, sheet.made)
    layout = table.layout(settings, sheet.room_state or None, number=sheet.number)
    role = next(light.role for light in sitting.lights if is_seat(light))
    bare = table.bare_settings(settings)
    seat = next(light.kit_id or "" for light in sitting.lights if is_seat(light))
    when = (sheet.when or sitting.when).astimezone(seat_of(book, seat)[2].place.tz)
    sky = sky_name(sky_of(sheet.sky or sitting.sky))
    causes = {
        "sun and sky": f"{when:%H:%M}, {sky}",
        "f-stop": f"f/{settings.f_number:g}",
        "open time": f"{settings.open_s:g} s",
    }
    return _Made(table, sheet, layout, layout.lines(bare, region, role), causes)


def _knowing(belief: Belief, layouts: tuple[Layout, ...], then: Belief) -> Belief:
    """A belief with every term of both sheets; what is not carried on stands as it ended then."""
    kept = set(belief.names)
    for layout in layouts:
        belief = belief.extended(layout.terms)
    ended = [name for name in then.names if name in belief.names and name not in kept]
    here, there = belief.positions(ended), then.positions(ended)
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    mean[here] = then.mean[there]
    covariance[np.ix_(here, here)] = then.covariance[np.ix_(there, there)]
    return replace(belief, mean=mean, covariance=covariance)


def _fixed(made: _Made) -> float:
    return math.fsum(line.stops for line in made.lines if line.term is None)


def _slopes(belief: Belief, made: _Made) -> FloatArray:
    slopes = np.zeros(len(belief.names))
    for line in made.lines:
        if line.term is not None:
            slopes[belief.positions([line.term])[0]] += line.coefficient
    return slopes


def _lines(one: _Made, other: _Made, belief: Belief) -> tuple[ComparedLine, ...]:
    """Causes, the largest first; what is the same on both sheets is left out."""
    found = []
    labels = dict.fromkeys(line.label for made in (one, other) for line in made.lines)
    for label in labels:
        stops, slopes = 0.0, np.zeros(len(belief.names))
        for sign, made in ((-1.0, one), (1.0, other)):
            for line in made.lines:
                if line.label != label:
                    continue
                stops += sign * line.stops
                if line.term is not None:
                    slopes[belief.positions([line.term])[0]] += sign * line.coefficient
        stops += float(slopes @ belief.mean)
        sd = math.sqrt(max(float(slopes @ belief.covariance @ slopes), 0.0))
        if max(abs(stops), sd) >= TOLD_STOPS:
            found.append(
                ComparedLine(
                    cause=label,
                    first=_said(one, label),
                    second=_said(other, label),
                    stops=stops,
                    sd_stops=sd,
                )
            )
    return tuple(sorted(found, key=lambda line: -abs(line.stops)))


def _said(made: _Made, label: str) -> str:
    return next((said for cause, said in made.causes.items() if label.startswith(cause)), "")


def _seen(one: _Made, other: _Made, region: str, belief: Belief) -> float | None:
    placed = [_placed(made, region, belief) for made in (one, other)]
    return None if None in placed else float(placed[1] or 0.0) - float(placed[0] or 0.0)


def _placed(made: _Made, region: str, belief: Belief) -> float | None:
    """Where a read density lies on the curve as it is believed now [stops]."""
    read = next(
        (
            regions[region].density
            for _, regions in best_regions(made.sheet.readings)
            if region in regions and regions[region].density is not None
        ),
        None,
    )
    if read is None:
        return None
    layout = made.layout
    c = curves_of(layout, belief.mean[None, belief.positions(t.name for t in layout.terms)])
    contrast, asymmetry, low, high = (
        float(x[0, 0]) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax)
    )
    inside = min(max(read, low + 0.02), high - 0.02)
    return float(placement(inside, contrast, asymmetry, low, high))


def _blamed(one: _Made, other: _Made, before: Belief, after: Belief) -> tuple[str, ...]:
    """The terms whose change makes the difference another one than was expected."""
    slopes = _slopes(before, other) - _slopes(before, one)
    labels = {line.term: line.label for made in (one, other) for line in made.lines if line.term}
    shifts = []
    for name, label in labels.items():
        slope = slopes[before.positions([name])[0]]
        was, now = (float(b.mean[b.positions([name])[0]]) for b in (before, after))
        shifts.append((float(slope) * (now - was), label))
    told = sorted((s for s in shifts if abs(s[0]) >= BLAMED_STOPS), key=lambda s: -abs(s[0]))
    return tuple(f"{label}: {stops:+.2f}" for stops, label in told)
