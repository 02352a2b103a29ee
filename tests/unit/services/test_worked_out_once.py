"""What a page has worked out is used again, and is the same as worked out anew. All invented."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from stillroom.belief import Belief
from stillroom.documents.book import Aim, Book, Settings
from stillroom.services.folding import fold_book
from stillroom.services.plan import advise, advise_several, predict
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


# ---- from one state of the book to the next -----------------------------------------------


def changed(old: Book, **more: Any) -> Book:
    """The book after something was written into its sitting."""
    sitting = old.sittings[0].model_copy(update=more)
    return old.model_copy(update={"sittings": (sitting,)})


def test_a_lock_changes_advice_and_no_belief(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = book()
    free = advise(asked, "S1")
    formed = formed_in(monkeypatch)
    locked = changed(asked, locks=("key", "fill", "stop", "pops"))
    bound = advise(locked, "S1")
    assert formed == []
    monkeypatch.undo()
    assert bound == advise(changed(book(), locks=locked.sittings[0].locks), "S1")
    assert bound.settings != free.settings


@pytest.mark.parametrize("what", ["sheet", "aim", "room", "kit", "paper"])
def test_what_teaches_something_is_believed_at_once(
    what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same answer as from a book that was never asked before, and another one than it was."""
    asked = book()
    before = predict(asked, "S1")
    formed = formed_in(monkeypatch)
    predict(written(asked, what), "S1")
    assert formed == ["S1"]
    fresh = predict(written(book(), what), "S1")
    assert predict(written(asked, what), "S1") == fresh
    assert fresh.regions != before.regions


def written(old: Book, what: str) -> Book:
    """The book with something more or otherwise in it."""
    (sitting,) = old.sittings
    if what == "sheet":
        sheets = (*sitting.sheets, sitting.sheets[0].model_copy(update={"number": 3}))
        return changed(old, sheets=sheets)
    if what == "aim":
        return changed(old, aims={**sitting.aims, "key": Aim(placement_stops=-1.5, tol_stops=0.3)})
    if what == "room":
        return changed(old, stands=sitting.stands or Settings(f_number=5.6), stands_after=2)
    if what == "paper":
        papers = tuple(p.model_copy(update={"ei": 2 * p.ei}) for p in old.papers)
        return old.model_copy(update={"papers": papers})
    heads = tuple(h.model_copy(update={"energy_ws": 2 * h.energy_ws}) for h in old.kit.heads)
    return old.model_copy(update={"kit": old.kit.model_copy(update={"heads": heads})})
