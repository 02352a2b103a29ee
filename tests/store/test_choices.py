"""What is said of single terms lasts: through a kill, through a document and back."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.documents.book import Book, Choice
from stillroom.documents.read import read_book
from stillroom.errors import BookError
from stillroom.store import BookFile, open_book
from stillroom.store.rows import RECORDS

SMALL = read_book((Path(__file__).parents[1] / "data/quarry_lane_small.json").read_bytes())
HOLD = Choice(
    term="head/A/output", choice="hold", when=datetime(2026, 11, 14, 13, tzinfo=UTC), figure=0.25
)
LEARN = Choice(term="head/A/output", choice="learn", when=datetime(2026, 11, 15, 9, tzinfo=UTC))

HOLDER = """
import datetime, pathlib, sys
from stillroom.documents.book import Choice
from stillroom.store import open_book
noon = datetime.datetime(2026, 11, 14, 12, tzinfo=datetime.UTC)
book = open_book(pathlib.Path(sys.argv[1]), clock=lambda: noon)
for i in range(1000):
    choice = Choice(term=f"head/{i}/output", choice="hold", when=noon, figure=i / 100)
    book.once(f"form-{i}", "hold", lambda: book.add_choice(choice))
    print(choice.term, flush=True)
"""


def noon() -> datetime:
    return datetime(2026, 11, 14, 12, tzinfo=UTC)


@pytest.fixture
def small(tmp_path: Path) -> BookFile:
    book = open_book(tmp_path / "book.db", clock=noon)
    book.import_document(SMALL)
    return book


def test_nothing_said_is_overwritten(small: BookFile) -> None:
    small.add_choice(HOLD)
    small.add_choice(LEARN)
    assert small.load().choices == (HOLD, LEARN)
    rows = small._rows.all("SELECT at_utc, zone FROM choice ORDER BY choice_id")
    assert rows == [("2026-11-14T12:00:00.000000Z", "+00:00")] * 2


def test_a_book_without_choices_does_not_mention_them(small: BookFile) -> None:
    assert "choices" not in small.export_document()


def test_choices_go_out_and_come_in_with_the_document(small: BookFile, tmp_path: Path) -> None:
    small.add_choice(HOLD)
    document = read_book(small.export_document().encode())
    assert document.choices == (HOLD,)
    with open_book(tmp_path / "other.db", clock=noon) as other:
        other.import_document(document)
        assert other.load() == document
        other.add_choice(LEARN)
        other.import_document(document)  # again: what is there is not said twice
        assert other.load().choices == (HOLD, LEARN)
        other.import_document(SMALL, replace=True)
        assert other.load() == SMALL


def test_choices_are_among_the_records(small: BookFile) -> None:
    assert "choice" in RECORDS
    small.add_choice(HOLD)
    with pytest.raises(BookError), small.transaction():
        _said_and_failed(small)
    assert small.load().choices == (HOLD,)


def _said_and_failed(book: BookFile) -> None:
    book.add_choice(LEARN)
    raise BookError("The disk is full.")


@pytest.mark.slow
def test_a_confirmed_choice_outlives_a_kill(tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(path)], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        confirmed = [process.stdout.readline().strip() for _ in range(5)]
        process.kill()  # SIGKILL: no handler runs
        confirmed += [line.strip() for line in process.stdout if line.endswith("\n")]
    with open_book(path, clock=noon) as book:
        found = [c.term for c in book.load().choices]
        assert found[: len(confirmed)] == confirmed
        assert len(found) - len(confirmed) <= 1  # the last may lack its word
        assert book.damage() == ()


def test_an_empty_book_has_none(tmp_path: Path) -> None:
    with open_book(tmp_path / "book.db", clock=noon) as book:
        assert book.load() == Book()
