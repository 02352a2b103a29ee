"""Beliefs that were worked out before: a cache that may be emptied at any time."""

from __future__ import annotations

import hashlib
import sqlite3
from datetime import UTC, datetime, timedelta

from stillroom.store.parts import utc_text
from stillroom.store.rows import Rows

MOST_ENTRIES = 400
MOST_BYTES = 64_000_000
_TOUCH_AFTER = timedelta(hours=1)  # reading alone need not write each time


class Memo:
    """Belief by the hash of everything it rests on.

    A value that is damaged, or a database that will not answer, counts as not known: the caller
    works it out again.

    Parameters
    ----------
    rows : Rows
        The book's connection, its lock and clock; entries not used for longest go first.
    """

    def __init__(self, rows: Rows) -> None:
        self._db = rows.db
        self._lock = rows.lock
        self._clock = rows.clock

    def get(self, key: str) -> bytes | None:
        """The value kept under `key`, or None."""
        with self._lock:
            try:
                row = self._db.execute(
                    "SELECT value, checksum, used_at_utc FROM belief WHERE key = ?", (key,)
                ).fetchone()
                if row is None:
                    return None
                value = bytes(row[0])
                if _checksum(value) != bytes(row[1]):
                    self._db.execute("DELETE FROM belief WHERE key = ?", (key,))
                    return None
                now = self._clock().astimezone(UTC)
                if now - _moment(row[2], now) > _TOUCH_AFTER:
                    self._db.execute(
                        "UPDATE belief SET used_at_utc = ? WHERE key = ?", (utc_text(now), key)
                    )
            except sqlite3.Error:
                return None
            return value

    def put(self, key: str, value: bytes) -> None:
        """Keep `value` under `key`; what has not been used for longest gives way."""
        with self._lock:
            try:
                self._db.execute(
                    "INSERT OR REPLACE INTO belief VALUES (?, ?, ?, ?)",
                    (key, value, _checksum(value), utc_text(self._clock())),
                )
                self._prune()
            except sqlite3.Error:
                return

    def clear(self) -> None:
        """Forget everything; it is worked out again when asked for."""
        with self._lock:
            self._db.execute("DELETE FROM belief")

    def _prune(self) -> None:
        self._db.execute(
            """DELETE FROM belief WHERE key IN (
                SELECT key FROM (
                    SELECT key, row_number() OVER newest AS place,
                           sum(length(value)) OVER newest AS bytes_so_far
                    FROM belief WINDOW newest AS (ORDER BY used_at_utc DESC, rowid DESC)
                ) WHERE place > ? OR (bytes_so_far > ? AND place > 1)
            )""",
            (MOST_ENTRIES, MOST_BYTES),
        )


def _checksum(value: bytes) -> bytes:
    return hashlib.sha256(value).digest()


def _moment(text: str, otherwise: datetime) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return otherwise
