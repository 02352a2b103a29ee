"""Killed at any moment, the last confirmed reading is there; many may write at once."""

from __future__ import annotations

import itertools
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.documents.book import Reading, Settings, Sheet
from stillroom.documents.read import read_book
from stillroom.store import BookFile, open_book

DATA = Path(__file__).parents[1] / "data"
SMALL = read_book((DATA / "quarry_lane_small.json").read_bytes())
ROUNDS = 3

WRITER = """
import datetime, pathlib, sys
from stillroom.documents.book import Reading
from stillroom.store import open_book
noon = datetime.datetime(2026, 11, 14, 12, tzinfo=datetime.UTC)
book = open_book(pathlib.Path(sys.argv[1]), clock=lambda: noon)
for i in range(int(sys.argv[2]), 1000):
    density = round(0.1 + i / 1000, 3)
    book.once(f"form-{i}", "read", lambda: book.add_reading(
        "OM", 2, Reading.model_validate({"regions": {"key": {"density": density}}})))
    print(density, flush=True)
"""

SHOOTER = """
import datetime, pathlib, sys
from stillroom.documents.book import Settings, Sheet
from stillroom.store import open_book
noon = datetime.datetime(2026, 11, 14, 12, tzinfo=datetime.UTC)
sys.stdin.readline()
with open_book(pathlib.Path(sys.argv[1]), clock=lambda: noon) as book:
    for i in range(20):
        def shoot():
            number = len(book.load().sittings[0].sheets) + 1
            sheet = Sheet(number=number, mark=sys.argv[2], settings=Settings(f_number=8))
            book.add_sheet("OM", sheet)
            return number
        book.once(f"{sys.argv[2]}-{i}", "shoot", shoot)
"""


def noon() -> datetime:
    return datetime(2026, 11, 14, 12, tzinfo=UTC)


@contextmanager
def child(script: str, *arguments: object) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-c", script, *map(str, arguments)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            yield process
        finally:
            process.kill()


@pytest.mark.slow
def test_a_confirmed_reading_outlives_a_kill(tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    with open_book(path, clock=noon) as book:
        book.import_document(SMALL)
    confirmed: list[float] = []
    for round_ in range(ROUNDS):
        with child(WRITER, path, 100 * round_) as process:
            assert process.stdout is not None
            some = itertools.islice(process.stdout, 3 + 4 * round_)
            confirmed += [float(line) for line in some]
            process.kill()  # SIGKILL: no handler runs, whatever it was in the middle of
            # What it had time to say before the kill was confirmed too.
            confirmed += [float(line) for line in process.stdout if line.endswith("\n")]
        with open_book(path, clock=noon) as book:
            readings = book.load().sittings[0].sheets[1].readings[2:]
            found = [r.regions["key"].density for r in readings]
            assert [d for d in found if d in confirmed] == confirmed
            assert len(found) - len(confirmed) <= round_ + 1  # one a round may lack its word
            assert book.damage() == ()


@pytest.mark.slow
def test_two_programs_number_their_sheets_without_a_clash(tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    with open_book(path, clock=noon) as book:
        book.import_document(SMALL)
        with child(SHOOTER, path, "one") as one, child(SHOOTER, path, "two") as two:
            for process in (one, two):
                assert process.stdin is not None
                process.stdin.write("go\n")
                process.stdin.flush()
            assert [one.wait(60), two.wait(60)] == [0, 0]
        sheets = book.load().sittings[0].sheets
    assert [s.number for s in sheets] == list(range(1, 43))
    assert sorted(s.mark for s in sheets[2:]) == ["one"] * 20 + ["two"] * 20


def test_many_threads_write_and_read_at_once(tmp_path: Path) -> None:
    with open_book(tmp_path / "book.db", clock=noon) as book:
        book.import_document(SMALL)
        failures: list[BaseException] = []
        seen: list[int] = []

        def work(name: int) -> None:
            try:
                for i in range(5):
                    _shoot(book, f"{name}-{i}")
                    _shoot(book, f"{name}-{i}")  # the double tap
                    seen.append(len(book.load().sittings[0].sheets))
            except BaseException as error:  # noqa: BLE001 - handed to the test
                failures.append(error)

        threads = [threading.Thread(target=work, args=(n,)) for n in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failures == []
        assert [s.number for s in book.load().sittings[0].sheets] == list(range(1, 43))
        assert max(seen) == 42


def _shoot(book: BookFile, form_id: str) -> None:
    def write() -> int:
        number = len(book.load().sittings[0].sheets) + 1
        book.add_sheet("OM", Sheet(number=number, settings=Settings(f_number=8)))
        return number

    book.once(form_id, "shoot", write)


def test_another_process_sees_what_was_written(tmp_path: Path) -> None:
    with (
        open_book(tmp_path / "book.db", clock=noon) as one,
        open_book(tmp_path / "book.db", clock=noon) as two,
    ):
        one.import_document(SMALL)
        assert two.load() == SMALL
        reading = Reading.model_validate({"regions": {"key": {"verdict": "black"}}})
        two.add_reading("OM", 2, reading)
        assert one.load().sittings[0].sheets[1].readings[-1] == reading
