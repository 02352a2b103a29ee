"""A book on Quarry Lane with one tone of one sheet read otherwise. Invented, like the example.

It was the example once; it stays as it is, so that what is odd in it does not hang on how the
example is made today.
"""

from __future__ import annotations

from pathlib import Path

from stillroom.documents.book import Book, RegionReading, Sheet
from stillroom.documents.read import read_book

FROZEN = Path(__file__).parents[2] / "data" / "quarry_lane_before_odd.json"


def before_odd() -> Book:
    """The book before anything is odd in it."""
    return read_book(FROZEN.read_text(encoding="utf-8"))


def odd_book(number: int = 2, **tones: float) -> Book:
    """The book, sheet `number` of its portrait sitting read so, dry, by a scanner."""
    book = before_odd()

    def read(sheet: Sheet) -> Sheet:
        if sheet.number != number:
            return sheet
        reading = sheet.readings[-1]
        regions = reading.regions | {r: RegionReading(density=d) for r, d in tones.items()}
        again = reading.model_copy(update={"regions": regions, "by": "scan", "state": "dry"})
        return sheet.model_copy(update={"readings": (again,)})

    sittings = tuple(
        s.model_copy(update={"sheets": tuple(read(x) for x in s.sheets)}) if s.id == "OM" else s
        for s in book.sittings
    )
    return book.model_copy(update={"sittings": sittings})


def sheet_of(book: Book, number: int = 2) -> Sheet:
    """One sheet of the portrait sitting."""
    sitting = next(s for s in book.sittings if s.id == "OM")
    return next(s for s in sitting.sheets if s.number == number)
