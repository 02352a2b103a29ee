"""Putting a backup in the place of the book."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
from pathlib import Path

from stillroom.errors import BookError
from stillroom.store.failures import in_words
from stillroom.store.opening import beside, connect, copy_to

_COMPANIONS = ("", "-wal", "-shm")


def restore_book(backup: Path, path: Path) -> Path | None:
    """Put a backup in the place of the book, which is kept beside it.

    Parameters
    ----------
    backup : Path
        A copy made by `BookFile.backup`, of this or an older form; it is not changed.
    path : Path
        The book's file, there or not, whole or damaged.

    Returns
    -------
    Path or None
        Where the earlier book is kept, if there was one.

    Raises
    ------
    BookError
        If the backup is no book or the file cannot be written.
    """
    if not backup.is_file():
        raise BookError(f"There is no file {backup} to restore from.")
    if path.exists() and backup.samefile(path):
        raise BookError(f"{backup} is the book itself: name a backup.")
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, "backup.db")
        shutil.copyfile(backup, copy)
        try:
            source = connect(copy)
        except BookError as error:
            raise BookError(str(error).replace(str(copy), str(backup))) from error
        with contextlib.closing(source):
            return _put_in_place(source, path)


def _put_in_place(source: sqlite3.Connection, path: Path) -> Path | None:
    kept = None
    was_there = path.exists() and path.stat().st_size > 0
    try:
        target = connect(path)
    except BookError:
        if not was_there or path.is_dir():
            raise
        kept = _set_aside(path)  # damaged, or no book at all
        was_there = False
        target = connect(path)
    with contextlib.closing(target), in_words(path):
        if was_there:
            kept = beside(path, "before-restore")
            copy_to(target, kept)
        revision = "SELECT revision FROM state"
        latest = max(db.execute(revision).fetchone()[0] for db in (source, target))
        source.backup(target)
        # Who has the book open must see that it is another one now.
        target.execute("UPDATE state SET revision = ?", (latest + 1,))
    return kept


def _set_aside(path: Path) -> Path:
    kept = beside(path, "before-restore")
    for ending in _COMPANIONS:
        companion = path.with_name(path.name + ending)
        if companion.exists():
            companion.rename(kept.with_name(kept.name + ending))
    return kept
