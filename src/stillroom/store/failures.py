"""What the database says when something is wrong, in a sentence."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from stillroom.errors import BookError

BUSY_S = 5.0

_SENTENCES = {
    sqlite3.SQLITE_BUSY: (
        "another program has been writing to it for five seconds; close that and try again"
    ),
    sqlite3.SQLITE_LOCKED: "another program holds it; close that and try again",
    sqlite3.SQLITE_FULL: "the disk is full; make room and try again",
    sqlite3.SQLITE_READONLY: (
        "the file or its folder may not be written to; allow it or choose another place"
    ),
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened there; check the folder and who may write to it",
    sqlite3.SQLITE_PERM: "it may not be opened by you; allow it or choose another place",
    sqlite3.SQLITE_IOERR: "the disk failed while reading or writing; restore it from a backup",
    sqlite3.SQLITE_CORRUPT: "the file is damaged; restore it from a backup",
    sqlite3.SQLITE_NOTADB: "this is not a Stillroom book; name another file",
}
_PRIMARY = 0xFF  # an extended code carries its primary code in the low byte


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn an error of the database into a `BookError` that says what to do."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        sentence = _SENTENCES.get(code & _PRIMARY) if isinstance(code, int) else None
        why = sentence or f"the database says {str(error)!r}; restore it from a backup"
        raise BookError(f"The book {path}: {why}.") from error
