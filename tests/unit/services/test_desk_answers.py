"""Answers of the desk: worked out once for all who ask, and never stale. All invented."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.documents.book import Book, Made
from stillroom.services import plan
from stillroom.services.desk import Desk
from stillroom.services.firing import firing
from stillroom.services.focus_asked import focus_asked
from stillroom.services.focusing import focus
from stillroom.services.ghost_answers import ghost
from stillroom.services.stillness import stillness
from stillroom.store import open_book
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with open_book(tmp_path / "book.db", clock=lambda: NOON) as store:
        store.import_document(
            book_of(head_and_shoulders(sheets=[scanned(1, 0.9, 1.5), scanned(2, 0.8, 1.45)]))
        )
        yield Desk(store, lambda: NOON)


def test_two_who_ask_the_same_at_once_share_one_answer(desk: Desk) -> None:
    asked = []

    def slow(_: Book) -> str:
        asked.append(1)
        time.sleep(0.2)
        return "worked out"

    found: list[str] = []
    both = [
        threading.Thread(target=lambda: found.append(desk._answer("same", slow))) for _ in "ab"
    ]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert found == ["worked out"] * 2
    assert len(asked) == 1


def test_one_that_fails_leaves_nothing_behind(desk: Desk) -> None:
    def fails(_: Book) -> str:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        desk._answer("odd", fails)
    assert desk._answer("odd", lambda _: "now it goes") == "now it goes"


def test_after_a_write_every_answer_of_the_page_is_of_the_book_as_it_is(desk: Desk) -> None:
    """Each against the engine on a copy it never saw, without a memory; and it has changed."""
    before = answers(desk)
    desk.set_locks_efforts("S1", ["key", "fill", "stop", "pops"], {})
    locked = answers(desk)
    assert locked == afresh(desk.book())
    assert locked["advice"] != before["advice"]
    desk.set_holding("S1", support="standing", fires="cap_in_light")
    held = answers(desk)
    assert held == afresh(desk.book())
    assert held["stillness"] != locked["stillness"]
    assert held["firing"] != locked["firing"]
    desk.correct_made("S1", 2, Made(pops=2))
    corrected = answers(desk)
    assert corrected == afresh(desk.book())
    assert corrected["taught"] != held["taught"]


def answers(desk: Desk) -> dict[str, object]:
    """What the Sitting page asks."""
    return {
        "advice": desk.advice("S1"),
        "taught": desk.taught("S1"),
        "focus": desk.focus("S1"),
        "stillness": desk.stillness("S1"),
        "ghost": desk.ghost("S1"),
        "firing": desk.firing("S1"),
        "several": desk.several("S1"),
        "paper": desk.paper_belief("sorrel/7"),
    }


def afresh(book: Book) -> dict[str, object]:
    """The same of a copy of the book."""
    copy = book_of(book.model_dump(mode="json", exclude_unset=True))
    advice = plan.advise(copy, "S1")
    set_so = advice.settings
    return {
        "advice": advice,
        "taught": plan.taught(copy, "S1"),
        "focus": focus(focus_asked(copy, "S1", f_number=set_so.f_number)),
        "stillness": stillness(copy, "S1", set_so),
        "ghost": ghost(copy, "S1", set_so),
        "firing": firing(copy, "S1", set_so),
        "several": plan.advise_several(copy, "S1", 2),
        "paper": plan.paper_belief(copy, "sorrel/7"),
    }
