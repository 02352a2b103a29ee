"""The example book with one tone of one sheet read otherwise. Invented, like the example."""

from __future__ import annotations

from stillroom.documents.book import Book, RegionReading, Sheet
from stillroom.services.demo import demo_book


def odd_book(number: int = 2, **tones: float) -> Book:
    """The example, sheet `number` of its portrait sitting read so, dry, by a scanner."""
    book = demo_book()

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
