"""What a page has worked out is used again, and is the same as worked out anew. All invented."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief
from stillroom.documents.book import Book
from stillroom.services.folding import fold_book
from stillroom.services.plan import advise, advise_several
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import Worktable, worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

AFTER = "2026-11-21T10:00:00+00:00"


def book(**more: Any) -> Book:
    """One sitting of two sheets that were read, read afresh: another object every time."""
    data = head_and_shoulders(sheets=[scanned(1, 0.9, 1.5), scanned(2, 0.8, 1.45)])
    return book_of(data | more)


def formed_in(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Sittings of which what is believed was formed since."""
    found: list[str] = []
    plainly = Worktable.formed

    def noted(self: Worktable, *of: Any) -> Any:
        found.append(self.sitting.id)
        return plainly(self, *of)

    monkeypatch.setattr(Worktable, "formed", noted)
    return found


def test_what_a_sitting_leaves_is_what_was_drawn_in_it(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, fresh = book(), book()
    alone = fold_book(fresh, in_order_of_time(fresh))
    worktable(asked, "S1").posterior()
    formed = formed_in(monkeypatch)
    after = fold_book(asked, in_order_of_time(asked))
    assert formed == []
    assert after.names == alone.names
    assert np.array_equal(after.mean, alone.mean)
    assert np.array_equal(after.covariance, alone.covariance)


def test_what_was_said_later_counts_for_the_next_sheet_alone() -> None:
    """A term that is held after the sitting was not yet held when it was left."""
    head = {"term": "head/A/output", "choice": "hold", "when": AFTER}
    plain, said = book(), book(choices=[head])
    now = worktable(said, "S1").posterior().belief
    after, without = (fold_book(b, in_order_of_time(b)) for b in (said, plain))
    assert np.array_equal(after.covariance, without.covariance)
    was, is_now = (float(b.covariance[i, i]) for b in (after, now) for i in [_at(b)])
    assert is_now < 0.1 * was


def _at(belief: Belief) -> int:
    return belief.names.index("head/A/output")


def test_sheets_in_hand_are_alike_with_and_without_what_was_planned_for_one() -> None:
    asked, fresh = book(), book()
    first = advise(asked, "S1")
    assert worktable(asked, "S1").planned is not None
    assert worktable(fresh, "S1").planned is None
    assert advise_several(asked, "S1", 2, first) == advise_several(fresh, "S1", 2, first)
