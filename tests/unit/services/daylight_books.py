"""Invented books with a seat by a window, and sheets that a hidden truth made."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np

from stillroom.documents.book import (
    Aim,
    Book,
    Framing,
    Light,
    Reading,
    RegionReading,
    Settings,
    Sheet,
    Sitting,
)
from stillroom.documents.seats import SkySeen
from stillroom.paper import density
from stillroom.services.daylight_asked import Asked
from stillroom.services.daylight_need import need
from stillroom.services.demo_scene import bare_book

SEAT, SHADE = "north-east window", "north wall"
DECEMBER = datetime(2025, 12, 14, 11, 30, tzinfo=UTC)
JUNE = datetime(2026, 6, 14, 10, 30, tzinfo=UTC)
DULL = SkySeen(word="dull")


def asked(**other: object) -> Asked:
    """The seat by the window on the batch that the example has left over."""
    said: dict[str, object] = {
        "seat": SEAT,
        "paper": "sorrel-2/6",
        "lens": "tele300",
        "camera": "field",
        "f_number": 5.6,
        "sitter": "KS",
        "sky": DULL,
    }
    return Asked(**(said | other))  # type: ignore[arg-type]


def by_the_window(sitting_id: str, when: datetime, sheets: tuple[Sheet, ...] = ()) -> Sitting:
    """A sitting at the seat under a dull sky, with one aim."""
    return Sitting(
        id=sitting_id,
        when=when,
        paper="sorrel-2/6",
        camera="field",
        lens="tele300",
        sitters=("KS",),
        sky=DULL,
        framing=Framing(magnification=0.3),
        lights=(Light(role="key", kind="window", kit_id=SEAT),),
        aims={"key": Aim(placement_stops=0.0)},
        sheets=sheets,
        finished=bool(sheets),
    )


def sheet(number: int, when: datetime, open_s: float, tone: float) -> Sheet:
    """A sheet that was scanned."""
    read = Reading(state="dry", by="scan", regions={"key": RegionReading(density=tone)})
    return Sheet(
        number=number,
        mark=f"{when:%b} {number}",
        when=when,
        settings=Settings(f_number=5.6, open_s=open_s),
        readings=(read,),
        kept=None,
    )


def with_sittings(*sittings: Sitting) -> Book:
    """Quarry Lane with these sittings."""
    return bare_book().model_copy(update={"sittings": sittings})


def made_by_truth(
    sitting_id: str, when: datetime, open_times_s: tuple[float, ...], off_stops: float
) -> Sitting:
    """Sheets whose tones follow the tool's first figures, all brighter by so many stops.

    The paper's curve is the one that was entered, so the brightness is the only surprise.
    """
    book = bare_book()
    paper = next(p for p in book.papers if p.id == "sorrel-2/6")
    sheets = []
    for n, open_s in enumerate(open_times_s, start=1):
        moment = when + timedelta(minutes=30 * n)
        book = with_sittings(by_the_window("T", moment))
        found = need(book, asked(sitting_id="T"), moment)
        needed = float(np.median(found.log2_s))
        effective = math.log2(open_s) - found.lost * max(0.0, math.log2(open_s))
        placed = effective - needed + off_stops
        tone = density(placed, paper.contrast_per_stop, 1.0, paper.dmin, paper.dmax)
        sheets.append(sheet(n, moment, open_s, round(float(tone), 2)))
    return by_the_window(sitting_id, when, tuple(sheets))
