"""Beliefs kept: never trusted when damaged, never in the way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.store import BookFile, memo, open_book


class Clock:
    now = datetime(2026, 11, 14, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[BookFile]:
    with open_book(tmp_path / "book.db", clock=clock) as opened:
        yield opened


def test_what_was_put_is_got(book: BookFile) -> None:
    assert book.memo.get("k") is None
    book.memo.put("k", b"\x00\xff")
    book.memo.put("k", b"later")
    assert book.memo.get("k") == b"later"
    book.memo.clear()
    assert book.memo.get("k") is None


def test_keeping_a_belief_is_no_write_of_the_book(book: BookFile) -> None:
    before = book.revision()
    book.memo.put("k", b"v")
    assert book.revision() == before


def test_a_damaged_value_is_not_known(book: BookFile) -> None:
    book.memo.put("k", b"value")
    book._rows.db.execute("UPDATE belief SET value = x'00' WHERE key = 'k'")
    assert book.memo.get("k") is None
    book.memo.put("k", b"value")
    assert book.memo.get("k") == b"value"


def test_a_lost_table_is_only_a_cache_lost(book: BookFile) -> None:
    book._rows.db.execute("DROP TABLE belief")
    book.memo.put("k", b"v")
    assert book.memo.get("k") is None


def test_what_was_not_used_for_longest_gives_way(
    book: BookFile, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memo, "MOST_ENTRIES", 3)
    for key in "abc":
        clock.now += timedelta(hours=2)
        book.memo.put(key, key.encode())
    clock.now += timedelta(hours=2)
    assert book.memo.get("a") == b"a"  # used again
    book.memo.put("d", b"d")
    assert [book.memo.get(key) for key in "abcd"] == [b"a", None, b"c", b"d"]


def test_large_values_give_way_earlier(
    book: BookFile, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memo, "MOST_BYTES", 100)
    for key in "abc":
        clock.now += timedelta(hours=2)
        book.memo.put(key, key.encode() * 40)
    assert [book.memo.get(key) is not None for key in "abc"] == [False, True, True]
    clock.now += timedelta(hours=2)
    book.memo.put("big", b"x" * 500)  # larger than everything allowed, yet it is the newest
    assert [book.memo.get(key) is not None for key in ("b", "c", "big")] == [False, False, True]
