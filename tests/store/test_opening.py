"""Whose file it is, how old it is, and what happens when it cannot be used."""

from __future__ import annotations

import os
import shutil
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.errors import BookError
from stillroom.store import migrations, open_book, opening

DATA = Path(__file__).parent / "data"
SMALL = (Path(__file__).parents[1] / "data/quarry_lane_small.json").read_bytes()


def noon() -> datetime:
    return datetime(2026, 11, 14, 12, tzinfo=UTC)


def pragma(path: Path, name: str) -> object:
    db = sqlite3.connect(path)
    try:
        return db.execute(f"PRAGMA {name}").fetchone()[0]
    finally:
        db.close()


def test_a_new_file_says_whose_it_is_and_how_old(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "book.db"
    open_book(path, clock=noon).close()
    assert pragma(path, "application_id") == 0x53544C52
    assert pragma(path, "user_version") == migrations.NEWEST_FORM
    assert pragma(path, "journal_mode") == "wal"


def test_an_open_book_waits_for_the_disk_and_minds_what_belongs_together(tmp_path: Path) -> None:
    with open_book(tmp_path / "book.db", clock=noon) as book:
        db = book._rows.db
        names = ("synchronous", "foreign_keys", "busy_timeout", "journal_mode")
        assert [db.execute(f"PRAGMA {n}").fetchone()[0] for n in names] == [2, 1, 5000, "wal"]
        with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
            db.execute("INSERT INTO reading (sheet_id, at_utc, zone, data) VALUES (9, '', '', '')")
        with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT"):
            db.execute("INSERT INTO sheet (sitting_item_id, number) VALUES (1, 'two')")


def test_every_table_is_strict(tmp_path: Path) -> None:
    with open_book(tmp_path / "book.db", clock=noon) as book:
        rows = book._rows.db.execute("PRAGMA table_list").fetchall()
    assert all(row[5] for row in rows if not row[1].startswith("sqlite_"))


def test_an_empty_file_becomes_a_book(tmp_path: Path) -> None:
    (tmp_path / "book.db").touch()
    with open_book(tmp_path / "book.db", clock=noon) as book:
        assert book.load() == Book()


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "recipes.db"
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE jam (fruit TEXT)")
    db.close()
    before = path.read_bytes()
    with pytest.raises(
        BookError, match=r"recipes\.db: this is not a Stillroom book; name another"
    ):
        open_book(path, clock=noon)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear Sir, " * 500, encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(BookError, match="this is not a Stillroom book"):
        open_book(path, clock=noon)
    assert path.read_bytes() == before


def test_a_newer_book_is_refused_politely_and_not_changed(tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    open_book(path, clock=noon).close()
    db = sqlite3.connect(path)
    db.execute("PRAGMA user_version = 99")
    db.close()
    before = path.read_bytes()
    with pytest.raises(BookError, match=r"newer Stillroom \(form 99; this one knows forms up to"):
        open_book(path, clock=noon)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["book.db"]


def test_a_folder_is_no_book(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="this is a folder; name a file"):
        open_book(tmp_path, clock=noon)


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(BookError, match="its folder cannot be made"):
        open_book(tmp_path / "file" / "book.db", clock=noon)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written_to(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(BookError, match="check the folder and who may write to it"):
        open_book(tmp_path / "book.db", clock=noon)


def test_a_book_another_program_keeps_busy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "BUSY_S", 0.05)
    with open_book(tmp_path / "book.db", clock=noon) as book:
        other = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookError, match="another program has been writing to it"):
            book.set_preference("dim", "1")
        other.execute("ROLLBACK")
        other.close()
        book.set_preference("dim", "1")
        assert book.preference("dim") == "1"


def test_a_row_that_cannot_be_read_is_told_by_name(tmp_path: Path) -> None:
    with open_book(tmp_path / "book.db", clock=noon) as book:
        book.import_document(read_book(SMALL))
        book._rows.db.execute('UPDATE item_version SET data = \'{"id": "A"}\' WHERE item_id = 3')
        book._rows.written()
        with (
            open_book(book.path, clock=noon) as fresh,
            pytest.raises(BookError, match=r"row 3 of item_version: energy_ws is missing.*backup"),
        ):
            fresh.load()


# ── Older forms ──────────────────────────────────────────────────────────────────────────────


def without_runs(book: Book) -> Book:
    sittings = tuple(
        sitting.model_copy(
            update={"sheets": tuple(s.model_copy(update={"wet": None}) for s in sitting.sheets)}
        )
        for sitting in book.sittings
    )
    return book.model_copy(update={"sittings": sittings})


@pytest.mark.parametrize("form", range(1, migrations.NEWEST_FORM + 1))
def test_every_older_book_opens(tmp_path: Path, form: int) -> None:
    """A book of each form, frozen when it was the newest, holds the same small book."""
    path = tmp_path / "book.db"
    shutil.copyfile(DATA / f"form_{form}.db", path)
    with open_book(path, clock=noon) as book:
        held = [(c.term, c.choice, c.figure) for c in book.load().choices]
        assert held == ([("head/A/output", "hold", 0.25)] if form >= 2 else [])
        runs = [sheet.wet for sheet in book.load().sittings[0].sheets if sheet.wet is not None]
        assert [(run.temperature_c, len(run.steps)) for run in runs] == [(19.0, 2)] * (form >= 4)
        assert without_runs(book.load()).model_copy(update={"choices": ()}) == read_book(SMALL)
        assert [v.withdrawn for v in book.reading_history("OM", 2)] == [False, False, True]
        assert len(book.history("papers", "sorrel-2/7")) == 3
        assert book.preference("length unit") == "imperial"
        assert book.once("frozen", "shoot", lambda: 0) == 2
        assert book.damage() == ()


def m0002_shelf(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE shelf (name TEXT) STRICT")


def m0003_breaks(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE half (name TEXT) STRICT")
    db.execute("CREATE TABLE shelf (name TEXT) STRICT")  # is there already


def test_a_step_forward_copies_the_file_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "book.db"
    with open_book(path, clock=noon) as book:
        book.import_document(read_book(SMALL))
    newest = migrations.NEWEST_FORM
    monkeypatch.setattr(opening, "MIGRATIONS", (*migrations.MIGRATIONS, m0002_shelf))
    with open_book(path, clock=noon) as book:
        assert book.load() == read_book(SMALL)
        assert book._rows.all("SELECT count(*) FROM shelf") == [(0,)]
    assert pragma(path, "user_version") == newest + 1
    copy = tmp_path / f"book.before-form-{newest + 1}.db"
    assert pragma(copy, "user_version") == newest
    monkeypatch.undo()
    with open_book(copy, clock=noon) as earlier:
        assert earlier.load() == read_book(SMALL)


def test_a_step_that_breaks_is_taken_back_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "book.db"
    open_book(path, clock=noon).close()
    newest = migrations.NEWEST_FORM
    steps = (*migrations.MIGRATIONS, m0002_shelf, m0003_breaks)
    monkeypatch.setattr(opening, "MIGRATIONS", steps)
    with pytest.raises(BookError, match="already exists"):
        open_book(path, clock=noon)
    assert pragma(path, "user_version") == newest + 1  # the good step stands, number and all
    db = sqlite3.connect(path)
    names = {row[0] for row in db.execute("SELECT name FROM sqlite_master")}
    db.close()
    assert "shelf" in names
    assert "half" not in names
