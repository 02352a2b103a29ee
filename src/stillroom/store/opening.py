"""Opening the book's file: whose it is, how old it is, and bringing it up to date."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from stillroom.errors import BookError
from stillroom.store.failures import BUSY_S, in_words
from stillroom.store.migrations import MIGRATIONS

APPLICATION_ID = 0x53544C52  # "STLR" in the file's header says that it is a Stillroom book


def connect(path: Path) -> sqlite3.Connection:
    """Open a book's file, made or brought up to date where needed.

    Parameters
    ----------
    path : Path
        The file; its folder is made if it is not there.

    Returns
    -------
    sqlite3.Connection
        In autocommit mode: transactions are begun and ended by `BookFile` alone.

    Raises
    ------
    BookError
        If the file is no book, was made by a newer Stillroom, or cannot be opened or written.
    """
    if path.is_dir():
        raise BookError(f"The book {path}: this is a folder; name a file.")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookError(
            f"The book {path}: its folder cannot be made ({error.strerror}); choose another place."
        ) from error
    with in_words(path):
        db = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
        try:
            _bring_up_to_date(db, path)
        except BaseException:
            db.close()
            raise
    return db


def _bring_up_to_date(db: sqlite3.Connection, path: Path, steps: int | None = None) -> None:
    migrations = MIGRATIONS[:steps]
    form = _form_of(db, path, len(migrations))
    # Both are ignored or refused inside a transaction, so they stand before the first one.
    if db.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA foreign_keys = ON")
    db.execute("PRAGMA synchronous = FULL")  # what was confirmed is on the disk
    if 0 < form < len(migrations):
        copy_to(db, beside(path, f"before-form-{form + 1}"))
    for number, step in enumerate(migrations, 1):
        if number <= form:
            continue
        db.execute("BEGIN IMMEDIATE")
        try:
            if _pragma(db, "user_version") < number:  # else another process was quicker
                step(db)
                db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                db.execute(f"PRAGMA user_version = {number}")
            db.execute("COMMIT")
        except BaseException:
            db.execute("ROLLBACK")
            raise


def _form_of(db: sqlite3.Connection, path: Path, newest: int) -> int:
    form, owner = _pragma(db, "user_version"), _pragma(db, "application_id")
    if owner != APPLICATION_ID:
        tables = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if owner or form or tables:
            raise BookError(f"The book {path}: this is not a Stillroom book; name another file.")
    if form > newest:
        raise BookError(
            f"The book {path} was written by a newer Stillroom (form {form}; this one knows "
            f"forms up to {newest}): install the newer one. Nothing was changed."
        )
    return form


def _pragma(db: sqlite3.Connection, name: str) -> int:
    return int(db.execute(f"PRAGMA {name}").fetchone()[0])


def beside(path: Path, what: str) -> Path:
    """A name beside `path` that nothing has yet, such as ``book.before-form-2.db``."""
    names = (
        f"{path.stem}.{what}{n}{path.suffix}" for n in ("", *(f"-{i}" for i in range(2, 999)))
    )
    return next(p for name in names if not (p := path.with_name(name)).exists())


def copy_to(db: sqlite3.Connection, target: Path) -> None:
    """Copy a whole book, as it stands, into a new single file.

    Raises
    ------
    BookError
        If something is there already or it cannot be written.
    """
    if target.exists():
        raise BookError(f"{target} is there already: choose another name for the copy.")
    unfinished = target.with_name(target.name + ".part")
    unfinished.unlink(missing_ok=True)
    with in_words(target):
        copy = sqlite3.connect(unfinished, isolation_level=None)
        try:
            db.backup(copy)
            copy.execute("DELETE FROM belief")  # recomputed when missing
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, no companions
            copy.execute("VACUUM")
        finally:
            copy.close()
    unfinished.replace(target)
