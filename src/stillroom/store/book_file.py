"""One book in one file: what is written stays, what is corrected is written again."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Self

from stillroom.documents.base import Strict
from stillroom.documents.book import (
    Book,
    Choice,
    MeterReading,
    Paper,
    Reading,
    Reason,
    Sheet,
    Sitter,
    Sitting,
)
from stillroom.documents.read import validated
from stillroom.documents.thing import Thing
from stillroom.documents.wet import BenchEvent
from stillroom.documents.wet_fold import events_of
from stillroom.errors import BookError, DuplicateName, NotPossible, UnknownName, shown
from stillroom.store.assembly import Assembly
from stillroom.store.exchange import bare, merge
from stillroom.store.failures import in_words
from stillroom.store.memo import Memo
from stillroom.store.opening import beside, connect, copy_to
from stillroom.store.parts import (
    ITEMS,
    PAPERS,
    SITTERS,
    SITTINGS,
    THINGS,
    Version,
    parsed,
    utc_text,
    version,
    zone_text,
)
from stillroom.store.rows import RECORDS, Rows

FORMS_KEPT_FOR = timedelta(days=60)


def open_book(path: Path, *, clock: Callable[[], datetime]) -> BookFile:
    """Open the book in a file; a new file is made, an older one brought up to date.

    Parameters
    ----------
    path : Path
        The file.
    clock : callable
        The moment now, with its zone; every row is written down with it.

    Returns
    -------
    BookFile
        The open book.

    Raises
    ------
    BookError
        If the file is no book, was made by a newer Stillroom, or cannot be opened or written.

    Examples
    --------
    >>> import datetime, pathlib, tempfile
    >>> noon = datetime.datetime(2026, 11, 14, 12, tzinfo=datetime.UTC)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with open_book(pathlib.Path(folder, "book.db"), clock=lambda: noon) as book:
    ...         book.load().papers
    ()
    """
    return BookFile(path, connect(path), clock)


class BookFile:
    """An open book. Any thread may use it; other processes may have it open too.

    Every method raises `BookError` when the file cannot be read or written.

    Parameters
    ----------
    path : Path
        The file.
    db : sqlite3.Connection
        Its connection, from `connect`.
    clock : callable
        The moment now, with its zone.
    """

    def __init__(self, path: Path, db: sqlite3.Connection, clock: Callable[[], datetime]) -> None:
        self.path = path
        self._rows = Rows(path, db, clock)
        self._assembly = Assembly(self._rows)
        self.memo = Memo(self._rows)

    def close(self) -> None:
        """Close the file."""
        with self._rows.lock:
            self._rows.db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def transaction(self) -> AbstractContextManager[None]:
        """Everything written inside is written together, or not at all; may be nested.

        When the outermost ends without an error, what was written is on the disk.
        """
        return self._rows.transaction()

    def once(self, form_id: str, verb: str, write: Callable[[], Any]) -> Any:
        """Write what a form says, once, however often the form is sent.

        Parameters
        ----------
        form_id : str
            The form's one-time id; empty: there was no form, so it is written each time.
        verb : str
            What the form does.
        write : callable
            Writes and returns a result that JSON can hold.

        Returns
        -------
        object
            What `write` returned, now or the first time.

        Raises
        ------
        NotPossible
            If the id was used for something else.
        """
        rows = self._rows
        with self.transaction():
            if not form_id:
                return write()
            earlier = rows.one("SELECT verb, result FROM form WHERE form_id = ?", form_id)
            if earlier is not None:
                if earlier[0] != verb:
                    raise NotPossible(
                        "This form was used for something else already: load the page again."
                    )
                return json.loads(earlier[1])
            result = write()
            now = rows.clock()
            rows.db.execute("DELETE FROM form WHERE at_utc < ?", (utc_text(now - FORMS_KEPT_FOR),))
            rows.db.execute(
                "INSERT INTO form VALUES (?, ?, ?, ?)",
                (form_id, verb, json.dumps(result), utc_text(now)),
            )
            return result

    # ── Reading ─────────────────────────────────────────────────────────────────────────────

    def revision(self) -> int:
        """A number that grows with every write, by whatever process."""
        with self._rows.reading():
            return self._rows.revision()

    def written_at(self) -> datetime | None:
        """Moment of the last write [UTC], or None while the book is empty."""
        with self._rows.reading():
            row = self._rows.one("SELECT written_at_utc FROM state")
        return datetime.fromisoformat(row[0]) if row and row[0] else None

    def load(self) -> Book:
        """The whole book, everything as it was last corrected.

        Returns
        -------
        Book
            The same object as before while nothing was written.
        """
        with self._rows.reading():
            return self._assembly.book()

    def history(self, kind: str, name: str) -> tuple[Version, ...]:
        """Every version of one thing, oldest first.

        Parameters
        ----------
        kind : str
            ``cameras``, ``lenses`` ... ``papers``, ``sitters``, ``sittings`` or ``mixes``.
        name : str
            Its id.

        Raises
        ------
        UnknownName
            If there is no such kind, or nothing of it has that id.
        """
        sql = "SELECT at_utc, zone, data FROM item_version WHERE item_id = ? ORDER BY version_id"
        with self._rows.reading():
            found = self._rows.all(sql, self._rows.item(kind, name))
        return tuple(version(ITEMS[kind], row, f"{kind} {name}") for row in found)

    def sheet_history(self, sitting_id: str, number: int) -> tuple[Version, ...]:
        """Every version of one sheet without its readings, oldest first."""
        sql = "SELECT at_utc, zone, data FROM sheet_version WHERE sheet_id = ? ORDER BY version_id"
        with self._rows.reading():
            found = self._rows.all(sql, self._rows.sheet(sitting_id, number))
        return tuple(version(Sheet, row, f"sheet {number} of {sitting_id}") for row in found)

    def reading_history(self, sitting_id: str, number: int) -> tuple[Version, ...]:
        """Every reading of one sheet, those taken back too, oldest first."""
        sql = """SELECT at_utc, zone, data,
                reading_id IN (SELECT reading_id FROM reading_withdrawn)
            FROM reading WHERE sheet_id = ? ORDER BY reading_id"""
        with self._rows.reading():
            found = self._rows.all(sql, self._rows.sheet(sitting_id, number))
        return tuple(version(Reading, row, f"a reading of {sitting_id}") for row in found)

    # ── Writing ─────────────────────────────────────────────────────────────────────────────

    def put(self, kind: str, part: Strict) -> None:
        """Write down a thing, paper, sitter or sitting of kind `kind`, new or corrected."""
        with self.transaction():
            self._rows.put(kind, str(getattr(part, "id", "")), bare(part))

    def put_thing(self, kind: str, thing: Thing) -> None:
        """Write down a thing of the kit, new or corrected."""
        if kind not in THINGS:
            raise UnknownName("kind of kit", kind, THINGS)
        self.put(kind, thing)

    def put_paper(self, paper: Paper) -> None:
        """Write down a batch of paper, new or corrected."""
        self.put(PAPERS, paper)

    def put_sitter(self, sitter: Sitter) -> None:
        """Write down a sitter, new or corrected."""
        self.put(SITTERS, sitter)

    def put_sitting(self, sitting: Sitting) -> None:
        """Write down a sitting, new or corrected; its sheets and meter readings stay apart."""
        self.put(SITTINGS, sitting)

    def add_sheet(self, sitting_id: str, sheet: Sheet) -> None:
        """Write down a new sheet, with whatever readings it has.

        Raises
        ------
        DuplicateName
            If the sitting has a sheet of that number.
        """
        rows = self._rows
        with self.transaction():
            sitting = rows.item(SITTINGS, sitting_id)
            if rows.sheet_or_none(sitting, sheet.number) is not None:
                raise DuplicateName(f"sheets of sitting {shown(sitting_id)}", str(sheet.number))
            row = rows.add_sheet(sitting, sheet.number)
            rows.add("sheet_version", "sheet_id", row, bare(sheet))
            for reading in sheet.readings:
                rows.add("reading", "sheet_id", row, reading)
            for event in events_of(sheet.wet) if sheet.wet is not None else ():
                rows.add_bench_event(row, event)

    def correct_sheet(self, sitting_id: str, sheet: Sheet) -> None:
        """Write down a sheet again; the earlier version stays, its readings are not touched."""
        with self.transaction():
            row = self._rows.sheet(sitting_id, sheet.number)
            self._rows.add("sheet_version", "sheet_id", row, bare(sheet))

    def set_kept(
        self,
        sitting_id: str,
        number: int,
        *,
        kept: bool | None,
        reasons: Iterable[Reason] = (),
        what_else_moved: Iterable[str] = (),
        note: str | None = None,
    ) -> None:
        """Write down what became of a sheet; `note` None leaves the note as it is."""
        with self.transaction():
            latest = self.sheet_history(sitting_id, number)[-1].part.model_dump(exclude_unset=True)
            changes: dict[str, object] = {
                "kept": kept,
                "not_kept_because": tuple(reasons),
                "what_else_moved": tuple(what_else_moved),
            }
            if note is not None:
                changes["note"] = note
            self.correct_sheet(sitting_id, validated(Sheet, {**latest, **changes}))

    def add_reading(self, sitting_id: str, number: int, reading: Reading) -> None:
        """Write down a reading of a sheet."""
        with self.transaction():
            self._rows.add("reading", "sheet_id", self._rows.sheet(sitting_id, number), reading)

    def add_bench_event(self, sitting_id: str, number: int, event: BenchEvent) -> None:
        """Write down what the bench told of a sheet; an id that was written is not repeated."""
        with self.transaction():
            self._rows.add_bench_event(self._rows.sheet(sitting_id, number), event)

    def bench_run(self, run_id: str) -> tuple[BenchEvent, ...]:
        """Everything the bench told of one run, in order of arrival; empty of an unknown one."""
        sql = "SELECT data FROM bench_event WHERE run = ? ORDER BY bench_event_id"
        with self._rows.reading():
            found = self._rows.all(sql, run_id)
        return tuple(parsed(BenchEvent, row[0], f"run {run_id}") for row in found)

    def has_bench_event(self, event_id: str) -> bool:
        """Whether the bench told this already."""
        with self._rows.reading():
            sql = "SELECT 1 FROM bench_event WHERE event_id = ?"
            return self._rows.one(sql, event_id) is not None

    def withdraw_last_reading(self, sitting_id: str) -> int:
        """Take back the reading of a sitting that was written down last; its row stays.

        Returns
        -------
        int
            Number of the sheet it belonged to.

        Raises
        ------
        NotPossible
            If no reading of the sitting stands.
        """
        sql = """SELECT reading_id, number FROM reading JOIN sheet USING (sheet_id)
            WHERE sitting_item_id = ?
            AND reading_id NOT IN (SELECT reading_id FROM reading_withdrawn)
            ORDER BY reading_id DESC LIMIT 1"""
        rows = self._rows
        with self.transaction():
            row = rows.one(sql, rows.item(SITTINGS, sitting_id))
            if row is None:
                raise NotPossible(f"Sitting {shown(sitting_id)} has no reading to take back.")
            now = rows.clock()
            rows.db.execute(
                "INSERT INTO reading_withdrawn VALUES (?, ?, ?)",
                (row[0], utc_text(now), zone_text(now)),
            )
            rows.written()
            return int(row[1])

    def add_meter_reading(self, sitting_id: str, reading: MeterReading) -> None:
        """Write down a meter reading."""
        rows = self._rows
        with self.transaction():
            sitting = rows.item(SITTINGS, sitting_id)
            rows.add("meter_reading", "sitting_item_id", sitting, reading)

    def correct_meter_reading(self, sitting_id: str, nth: int, reading: MeterReading) -> None:
        """Write down a meter reading again, the first of the sitting being no. 1.

        Raises
        ------
        UnknownName
            If the sitting has no such reading.
        """
        rows = self._rows
        sql = """SELECT meter_reading_id FROM meter_reading
            WHERE sitting_item_id = ? ORDER BY meter_reading_id"""
        with self.transaction():
            taken = [row[0] for row in rows.all(sql, rows.item(SITTINGS, sitting_id))]
            if not 1 <= nth <= len(taken):
                known = [str(n) for n in range(1, len(taken) + 1)]
                of = f"meter reading of sitting {shown(sitting_id)}"
                raise UnknownName(of, str(nth), known)
            rows.add("meter_reading_version", "meter_reading_id", taken[nth - 1], reading)

    def add_choice(self, choice: Choice) -> None:
        """Write down what is said of a term; what was said of it before stays."""
        with self.transaction():
            self._rows.add_choice(choice)

    # ── Preferences, whole books, copies ────────────────────────────────────────────────────

    def preference(self, name: str, otherwise: str = "") -> str:
        """A preference, such as ``length unit``, or `otherwise` where none was set."""
        with self._rows.reading():
            row = self._rows.one("SELECT value FROM preference WHERE name = ?", name)
        return otherwise if row is None else str(row[0])

    def set_preference(self, name: str, value: str) -> None:
        """Keep a preference."""
        with self.transaction():
            self._rows.db.execute("INSERT OR REPLACE INTO preference VALUES (?, ?)", (name, value))

    def export_document(self) -> str:
        """The whole book as the text of a document ``book/1``."""
        return self.load().model_dump_json(indent=1, exclude_unset=True) + "\n"

    def import_document(self, document: Book, *, replace: bool = False) -> Path | None:
        """Write down a whole document, checked, all of it or nothing.

        Parameters
        ----------
        document : Book
            Read by `read_book`.
        replace : bool
            Put it in the place of what the book holds; that is copied beside the file first.
            Otherwise it is added to it.

        Returns
        -------
        Path or None
            The copy of the earlier book, where one was made.

        Raises
        ------
        DuplicateName
            If something of the same name is different in book and document.
        UnknownName, BadValue
            If names or numbers do not go together.
        """
        copy = None
        with self._rows.lock:
            if replace and self.load() != Book():
                copy = beside(self.path, "before-import")
                self.backup(copy)
            with self.transaction():
                if replace:
                    for table in RECORDS:
                        self._rows.db.execute(f"DELETE FROM {table}")  # noqa: S608 - our names
                    self._rows.written()
                merge(self, document)
        return copy

    def backup(self, path: Path) -> None:
        """Copy the book as it stands into a new file that is a whole book by itself.

        Raises
        ------
        BookError
            If something is there already or it cannot be written.
        """
        with self._rows.lock, in_words(self.path):
            if self._rows.writing:
                raise BookError("A copy is made before or after writing, not in between.")
            copy_to(self._rows.db, path)

    def damage(self) -> tuple[str, ...]:
        """What the database finds wrong with its own file; empty when it is whole."""
        with self._rows.reading():
            found = [str(row[0]) for row in self._rows.all("PRAGMA integrity_check")]
            lost = self._rows.all("PRAGMA foreign_key_check")
        problems = [] if found == ["ok"] else found
        return tuple(problems + [f"a row of {row[0]} belongs to nothing" for row in lost])
