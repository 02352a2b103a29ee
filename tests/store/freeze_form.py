"""Freeze the newest form of the book's file, for the day it is no longer the newest.

Run once when a form is released, never again for that form::

    python tests/store/freeze_form.py
"""

from __future__ import annotations

import sqlite3
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from stillroom.documents.book import Choice, Reading
from stillroom.documents.read import read_book
from stillroom.documents.wet import BenchEvent
from stillroom.store import open_book
from stillroom.store.migrations import NEWEST_FORM

HERE = Path(__file__).parent
SMALL = read_book((HERE.parent / "data/quarry_lane_small.json").read_bytes())


def noon() -> datetime:
    return datetime(2026, 11, 14, 12, tzinfo=UTC)


def in_the_line() -> tuple[BenchEvent, BenchEvent]:
    """A sheet that began, and was longer in its first developer than planned."""
    begin = {
        "id": "frozen-1",
        "run": "frozen",
        "kind": "begin",
        "at": noon(),
        "sitting": "OM",
        "sheet": 2,
        "process": "rc-trays/permanganate",
        "temperature_c": 19.0,
    }
    later = noon() + timedelta(seconds=150)
    step = {"id": "frozen-2", "run": "frozen", "kind": "step", "at": later, "step": "first_wash"}
    return BenchEvent.model_validate(begin), BenchEvent.model_validate(step)


def main() -> None:
    frozen = HERE / "data" / f"form_{NEWEST_FORM}.db"
    with (
        tempfile.TemporaryDirectory() as folder,
        open_book(Path(folder, "book.db"), clock=noon) as book,
    ):
        book.import_document(SMALL)
        book.put_paper(SMALL.papers[0].model_copy(update={"ei": 2.0}))
        book.put_paper(SMALL.papers[0])
        reading = Reading.model_validate({"regions": {"key": {"verdict": "too_light"}}})
        book.add_reading("OM", 2, reading)
        book.withdraw_last_reading("OM")
        book.add_choice(Choice(term="head/A/output", choice="hold", when=noon(), figure=0.25))
        (metered,) = SMALL.sittings[0].meter_readings
        book.correct_meter_reading("OM", 1, metered.model_copy(update={"room_state": "evening"}))
        book.correct_meter_reading("OM", 1, metered)
        for event in in_the_line():
            book.add_bench_event("OM", 2, event)
        book.set_preference("length unit", "imperial")
        book.once("frozen", "shoot", lambda: 2)
        book.backup(frozen)
    db = sqlite3.connect(frozen, isolation_level=None)
    db.execute("PRAGMA page_size = 1024")  # a smaller file; the form is the same
    db.execute("VACUUM")
    db.close()


if __name__ == "__main__":
    main()
