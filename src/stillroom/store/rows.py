"""Transactions and rows of the book's file: rows are added, never changed."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from stillroom.documents.base import Strict
from stillroom.documents.wet import BenchEvent
from stillroom.errors import UnknownName, shown
from stillroom.store.failures import in_words
from stillroom.store.parts import (
    ONE_OF,
    SITTINGS,
    as_said,
    model_of,
    parsed,
    utc_text,
    zone_text,
)

RECORDS = (
    "choice",
    "bench_event",
    "reading_withdrawn",
    "reading",
    "meter_reading_version",
    "meter_reading",
    "sheet_version",
    "sheet",
    "item_version",
    "item",
    "form",
)
"""Tables of what was written down, in an order in which they can be emptied."""


class Rows:
    """One connection for all threads, one thread at a time.

    Parameters
    ----------
    path : Path
        The file, for messages.
    db : sqlite3.Connection
        Its connection, in autocommit mode.
    clock : callable
        The moment now, with its zone.
    """

    def __init__(self, path: Path, db: sqlite3.Connection, clock: Callable[[], datetime]) -> None:
        self.path = path
        self.db = db
        self.clock = clock
        self.lock = threading.RLock()
        self.undone = 0  # how often something was rolled back: row numbers may come again
        self._depth = 0

    @property
    def writing(self) -> bool:
        """Whether a transaction is open (in this thread, for it holds the lock)."""
        return self._depth > 0

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Several reads of one state, whatever another process writes meanwhile."""
        with self.lock, in_words(self.path):
            if self.writing or self.db.in_transaction:
                yield
                return
            self.db.execute("BEGIN")
            try:
                yield
            finally:
                self.db.execute("COMMIT")

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Everything written inside is written together, or not at all; may be nested."""
        with self.lock, in_words(self.path):
            begin, end, undo = (
                (
                    f"SAVEPOINT s{self._depth}",
                    f"RELEASE s{self._depth}",
                    f"ROLLBACK TO s{self._depth}",
                )
                if self._depth
                else ("BEGIN IMMEDIATE", "COMMIT", "ROLLBACK")
            )
            self.db.execute(begin)
            self._depth += 1
            try:
                yield
                self.db.execute(end)
            except BaseException:
                self.undone += 1
                if self.db.in_transaction:  # a full disk may have rolled it back already
                    self.db.execute(undo)
                raise
            finally:
                self._depth -= 1

    def one(self, sql: str, *values: object) -> tuple[Any, ...] | None:
        """The first row of a query, or None."""
        row: tuple[Any, ...] | None = self.db.execute(sql, values).fetchone()
        return row

    def all(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        """Every row of a query."""
        return self.db.execute(sql, values).fetchall()

    def revision(self) -> int:
        """How many writes there were, by whatever process."""
        return int(self.all("SELECT revision FROM state")[0][0])

    def written(self) -> None:
        """Count a write and keep its moment."""
        self.db.execute(
            "UPDATE state SET revision = revision + 1, written_at_utc = ?",
            (utc_text(self.clock()),),
        )

    def add(self, table: str, owner: str, owner_id: int, part: Strict) -> None:
        """Add a row with a part to `table`, belonging to row `owner_id` of its owner."""
        now = self.clock()
        self.db.execute(
            f"INSERT INTO {table} ({owner}, at_utc, zone, data) VALUES (?, ?, ?, ?)",  # noqa: S608
            (owner_id, utc_text(now), zone_text(now), as_said(part)),
        )
        self.written()

    def add_bench_event(self, sheet: int, event: BenchEvent) -> None:
        """Add what the bench told of the sheet in row `sheet`, once by its id."""
        now = self.clock()
        added = self.db.execute(
            """INSERT OR IGNORE INTO bench_event (event_id, run, sheet_id, at_utc, zone, data)
            VALUES (?, ?, ?, ?, ?, ?)""",
            (event.id, event.run, sheet, utc_text(now), zone_text(now), as_said(event)),
        )
        if added.rowcount:
            self.written()

    def add_choice(self, choice: Strict) -> None:
        """Add a row with what was said of a term; it belongs to the whole book."""
        now = self.clock()
        self.db.execute(
            "INSERT INTO choice (at_utc, zone, data) VALUES (?, ?, ?)",
            (utc_text(now), zone_text(now), as_said(choice)),
        )
        self.written()

    def put(self, kind: str, name: str, part: Strict) -> None:
        """Add a version of an item, the first if it is new; what is the same is not repeated."""
        model_of(kind)
        self.db.execute("INSERT OR IGNORE INTO item (kind, id) VALUES (?, ?)", (kind, name))
        item = self.item(kind, name)
        latest = self.one(
            "SELECT data FROM item_version WHERE item_id = ? ORDER BY version_id DESC LIMIT 1",
            item,
        )
        if latest is None or parsed(type(part), latest[0], f"{kind} {name}") != part:
            self.add("item_version", "item_id", item, part)

    def add_sheet(self, sitting: int, number: int) -> int:
        """Add the row of a sheet and return its own number."""
        cursor = self.db.execute(
            "INSERT INTO sheet (sitting_item_id, number) VALUES (?, ?) RETURNING sheet_id",
            (sitting, number),
        )
        return int(cursor.fetchone()[0])

    def item(self, kind: str, name: str) -> int:
        """The row of an item, or raise `UnknownName`."""
        model_of(kind)
        row = self.one("SELECT item_id FROM item WHERE kind = ? AND id = ?", kind, name)
        if row is None:
            known = [str(r[0]) for r in self.all("SELECT id FROM item WHERE kind = ?", kind)]
            raise UnknownName(ONE_OF[kind], name, known)
        return int(row[0])

    def sheet_or_none(self, sitting: int, number: int) -> int | None:
        """The row of a sheet of the sitting in row `sitting`, or None."""
        row = self.one(
            "SELECT sheet_id FROM sheet WHERE sitting_item_id = ? AND number = ?", sitting, number
        )
        return None if row is None else int(row[0])

    def sheet(self, sitting_id: str, number: int) -> int:
        """The row of a sheet, or raise `UnknownName`."""
        sitting = self.item(SITTINGS, sitting_id)
        found = self.sheet_or_none(sitting, number)
        if found is None:
            sql = "SELECT number FROM sheet WHERE sitting_item_id = ? ORDER BY number"
            known = [str(row[0]) for row in self.all(sql, sitting)]
            raise UnknownName(f"sheet of sitting {shown(sitting_id)}", str(number), known)
        return found
