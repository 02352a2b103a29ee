"""What would change the seconds of a daylight sheet, and to what."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import Literal, get_args

import numpy as np

from stillroom.documents import book as doc
from stillroom.documents.daylight import DaylightWay
from stillroom.documents.seats import Seat, SkySeen, SkyWord
from stillroom.documents.to_daylight import sky_of
from stillroom.documents.to_domain import named
from stillroom.light.daylight import PlaneLight
from stillroom.quantity import FloatArray
from stillroom.services.daylight_asked import Asked
from stillroom.services.daylight_need import Need, need
from stillroom.services.daylit import seat_of, sky_name
from stillroom.services.ledger_names import paper_name
from stillroom.services.remembered import BeliefMemo
from stillroom.services.worktable import Worktable

What = Literal["hour", "stop", "chair", "glass", "pop", "paper", "lens", "sky"]
WORTH_STOPS = 1 / 6
"""What brings less is not spoken of; ours."""
CHAIR_STEP_M = 0.5
NEAREST_CHAIR_M = 0.4
WALL_CLEAR_M = 0.1
MOST_PAPERS = 4


def ways_of(
    book: doc.Book,
    asked: Asked,
    found: Need,
    later: tuple[FloatArray, PlaneLight],
    memo: BeliefMemo | None = None,
) -> tuple[DaylightWay, ...]:
    """What moving the chair, opening a stop, other glass and the like would make of the seconds.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    found : Need
        What it needs now.
    later : tuple of FloatArray, PlaneLight
        The rest of the day's moments, the first of them now, and their light.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    tuple of DaylightWay
        The shortest first; what brings less than a sixth of a stop is left out.
    """
    lx = later[1].actinic_lx[0]
    now = float(found.log2_seconds(lx[:1])[0])
    sitter = next((s for s in book.sitters if s.id == asked.sitter), None)
    holds = (sitter.holds_still_s if sitter else None) or math.inf
    at = datetime.fromtimestamp(float(later[0][0]), found.there.place.tz)
    ways = []
    for what, text, log2_s in (
        *_later(found, *later),
        *_others(book, asked, at, memo),
    ):
        if abs(now - log2_s) >= WORTH_STOPS:
            seconds = 2.0**log2_s
            ways.append(
                DaylightWay(
                    what=what,
                    text=text,
                    seconds=seconds,
                    stops=now - log2_s,
                    within=seconds <= holds,
                )
            )
    return tuple(sorted(ways, key=lambda way: way.seconds))


Found = tuple[What, str, float]
"""What kind of way, its phrase, and the open time it asks for [log2 s]."""


def _later(found: Need, posix_s: FloatArray, light: PlaneLight) -> Iterator[Found]:
    """The day's best moment that is still to come."""
    log2_s = found.log2_seconds(light.actinic_lx[0])
    best = int(np.argmin(log2_s))
    if best > 0:
        when = datetime.fromtimestamp(float(posix_s[best]), found.there.place.tz)
        yield "hour", f"at {when:%H:%M}", float(log2_s[best])


def _others(
    book: doc.Book, asked: Asked, at: datetime, memo: BeliefMemo | None
) -> Iterator[Found]:
    def needed(changed: Asked, within: doc.Book = book) -> float:
        other = need(within, changed, at, memo)
        return float(other.log2_seconds(np.array([other.actinic_lx]))[0])

    for what, text, changed in _by_asking(book, asked):
        yield what, text, needed(changed)
    for what, text, within in _by_moving(book, asked):
        yield what, text, needed(asked, within)


def _by_asking(book: doc.Book, asked: Asked) -> Iterator[tuple[What, str, Asked]]:
    """The same seat through another stop or lens, on other paper, under another sky."""
    lens = named("lens", asked.lens, book.kit.lenses)
    wider = [mark for mark in lens.f_numbers if mark < asked.f_number]
    if wider:
        yield "stop", f"the lens at f/{max(wider):g}", replace(asked, f_number=max(wider))
    for paper in [p for p in book.papers if p.id != asked.paper and not p.retired][:MOST_PAPERS]:
        yield "paper", f"on {paper_name(paper)}", replace(asked, paper=paper.id)
    for other in [x for x in book.kit.lenses if x.id != asked.lens and not x.retired]:
        widest = min(other.f_numbers)
        text = f"with the {other.name or other.id} at f/{widest:g}"
        yield "lens", text, replace(asked, lens=other.id, f_number=widest)
    for word in get_args(SkyWord):
        if sky_name(sky_of(asked.sky)) != word:
            yield "sky", f"under a {word} sky", replace(asked, sky=SkySeen(word=word))


def _by_moving(book: doc.Book, asked: Asked) -> Iterator[tuple[What, str, doc.Book]]:
    """The chair nearer the window, the window open, a pop more of the heads."""
    seat = seat_of(book, asked.seat)[0]
    if seat.window is not None:
        near = seat.window.distance_m - CHAIR_STEP_M
        if near >= max(NEAREST_CHAIR_M, seat.window.inner_reveal_m + WALL_CLEAR_M):
            text = f"the chair {CHAIR_STEP_M:g} m nearer the window"
            yield "chair", text, _with_window(book, seat.id, {"distance_m": near})
        if seat.window.glass != "none":
            yield "glass", "the window open", _with_window(book, seat.id, {"glass": "none"})
    with_pop = _with_a_pop_more(book, asked)
    if with_pop is not None:
        yield "pop", "one pop more", with_pop


def _with_a_pop_more(book: doc.Book, asked: Asked) -> doc.Book | None:
    """The book with one pop more in the sitting asked about; None where no head is lit there."""
    sitting = next((s for s in book.sittings if s.id == asked.sitting_id), None)
    if sitting is None or not any(light.kind == "head" for light in sitting.lights):
        return None
    stands = Worktable(book, sitting.id).standing()
    last = max((sheet.number for sheet in sitting.sheets), default=0)
    more = {"stands": stands.model_copy(update={"pops": stands.pops + 1}), "stands_after": last}
    changed = sitting.model_copy(update=more)
    sittings = tuple(changed if s.id == sitting.id else s for s in book.sittings)
    return book.model_copy(update={"sittings": sittings})


def _with_window(book: doc.Book, seat_id: str, changes: dict[str, object]) -> doc.Book:
    def moved(seat: Seat) -> Seat:
        if seat.id != seat_id or seat.window is None:
            return seat
        return seat.model_copy(update={"window": seat.window.model_copy(update=changes)})

    seats = tuple(moved(seat) for seat in book.kit.seats)
    return book.model_copy(update={"kit": book.kit.model_copy(update={"seats": seats})})
