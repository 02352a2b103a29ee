"""The form of the book's file, one step after another.

Each step runs in a transaction of its own together with the number it leads to. A step that has
been released is never edited: a change of form is a new step, tested on a frozen older file.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable


def m0001_first_form(db: sqlite3.Connection) -> None:
    """Things with their versions, sheets, readings, forms, preferences, cached beliefs."""
    for statement in _FIRST_FORM:
        db.execute(statement)


_RECORDED = "at_utc TEXT NOT NULL, zone TEXT NOT NULL, data TEXT NOT NULL"

_FIRST_FORM = (
    # What there is: kit, papers, sitters, sittings. Its versions are only ever added.
    """CREATE TABLE item (
        item_id INTEGER PRIMARY KEY AUTOINCREMENT,
        kind TEXT NOT NULL,
        id TEXT NOT NULL,
        UNIQUE (kind, id)
    ) STRICT""",
    f"""CREATE TABLE item_version (
        version_id INTEGER PRIMARY KEY AUTOINCREMENT,
        item_id INTEGER NOT NULL REFERENCES item (item_id),
        {_RECORDED}
    ) STRICT""",
    "CREATE INDEX item_version_of_item ON item_version (item_id)",
    """CREATE TABLE sheet (
        sheet_id INTEGER PRIMARY KEY AUTOINCREMENT,
        sitting_item_id INTEGER NOT NULL REFERENCES item (item_id),
        number INTEGER NOT NULL CHECK (number >= 1),
        UNIQUE (sitting_item_id, number)
    ) STRICT""",
    f"""CREATE TABLE sheet_version (
        version_id INTEGER PRIMARY KEY AUTOINCREMENT,
        sheet_id INTEGER NOT NULL REFERENCES sheet (sheet_id),
        {_RECORDED}
    ) STRICT""",
    "CREATE INDEX sheet_version_of_sheet ON sheet_version (sheet_id)",
    f"""CREATE TABLE reading (
        reading_id INTEGER PRIMARY KEY AUTOINCREMENT,
        sheet_id INTEGER NOT NULL REFERENCES sheet (sheet_id),
        {_RECORDED}
    ) STRICT""",
    "CREATE INDEX reading_of_sheet ON reading (sheet_id)",
    # A reading taken back stays where it is; that it was taken back is a row too.
    """CREATE TABLE reading_withdrawn (
        reading_id INTEGER PRIMARY KEY REFERENCES reading (reading_id),
        at_utc TEXT NOT NULL,
        zone TEXT NOT NULL
    ) STRICT""",
    f"""CREATE TABLE meter_reading (
        meter_reading_id INTEGER PRIMARY KEY AUTOINCREMENT,
        sitting_item_id INTEGER NOT NULL REFERENCES item (item_id),
        {_RECORDED}
    ) STRICT""",
    "CREATE INDEX meter_reading_of_sitting ON meter_reading (sitting_item_id)",
    # A form that was sent twice is answered from here.
    """CREATE TABLE form (
        form_id TEXT PRIMARY KEY,
        verb TEXT NOT NULL,
        result TEXT NOT NULL,
        at_utc TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE preference (
        name TEXT PRIMARY KEY,
        value TEXT NOT NULL
    ) STRICT""",
    # Recomputed whenever it is missing; may be emptied at any time.
    """CREATE TABLE belief (
        key TEXT PRIMARY KEY,
        value BLOB NOT NULL,
        checksum BLOB NOT NULL,
        used_at_utc TEXT NOT NULL
    ) STRICT""",
    # Counts the writes, so that an unchanged book need not be read again.
    """CREATE TABLE state (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        revision INTEGER NOT NULL,
        written_at_utc TEXT
    ) STRICT""",
    "INSERT INTO state (one, revision) VALUES (1, 0)",
)


def m0002_choices(db: sqlite3.Connection) -> None:
    """What is said of single terms: held, forgotten, learned again."""
    db.execute(
        f"""CREATE TABLE choice (
            choice_id INTEGER PRIMARY KEY AUTOINCREMENT,
            {_RECORDED}
        ) STRICT"""
    )


def m0003_meter_readings_put_right(db: sqlite3.Connection) -> None:
    """Meter readings that were put right; the row of the reading stays as it was."""
    db.execute(
        f"""CREATE TABLE meter_reading_version (
            version_id INTEGER PRIMARY KEY AUTOINCREMENT,
            meter_reading_id INTEGER NOT NULL REFERENCES meter_reading (meter_reading_id),
            {_RECORDED}
        ) STRICT"""
    )
    db.execute(
        "CREATE INDEX meter_reading_version_of_reading ON meter_reading_version (meter_reading_id)"
    )


def m0004_bench_events(db: sqlite3.Connection) -> None:
    """What the bench told of sheets in the wet line, each fact once by its own id."""
    db.execute(
        f"""CREATE TABLE bench_event (
            bench_event_id INTEGER PRIMARY KEY AUTOINCREMENT,
            event_id TEXT NOT NULL UNIQUE,
            run TEXT NOT NULL,
            sheet_id INTEGER NOT NULL REFERENCES sheet (sheet_id),
            {_RECORDED}
        ) STRICT"""
    )
    db.execute("CREATE INDEX bench_event_of_sheet ON bench_event (sheet_id)")


MIGRATIONS: tuple[Callable[[sqlite3.Connection], None], ...] = (
    m0001_first_form,
    m0002_choices,
    m0003_meter_readings_put_right,
    m0004_bench_events,
)
"""Step n leads from form n - 1 to form n."""

NEWEST_FORM = len(MIGRATIONS)
