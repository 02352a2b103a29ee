"""Belief after one sitting after the other."""

from __future__ import annotations

from stillroom.belief import Belief, close
from stillroom.documents import book as doc
from stillroom.quantity import Constants
from stillroom.services import remembered
from stillroom.services.remembered import BeliefMemo
from stillroom.services.sittings import tells
from stillroom.services.worktable import Worktable, drawn_already


def fold_book(
    book: doc.Book,
    sittings: list[doc.Sitting],
    memo: BeliefMemo | None = None,
    constants: Constants | None = None,
) -> Belief:
    """Belief after the given sittings, in order; remembered ones are not computed again."""
    constants = constants or Constants()
    keys = remembered.keys(book, sittings, constants)
    belief, start, since = Belief.empty(), 0, None
    if memo is not None:
        for n in range(len(sittings), 0, -1):
            found = remembered.unpacked(memo.get(keys[n - 1]))
            if found is not None:
                belief, start = found, n
                since = next((s.when for s in reversed(sittings[:n]) if tells(s)), None)
                break
    for sitting, key in zip(sittings[start:], keys[start:], strict=True):
        if not tells(sitting):
            continue
        # What was said after a sitting counts for its next sheet, not for what it leaves behind.
        formed = None if book.choices else drawn_already(book, sitting.id, memo, constants)
        if formed is None:
            table = Worktable(book, sitting.id, constants=constants)
            formed = table.formed(belief, since, sitting.when)
        belief, since = close(formed), sitting.when
        if memo is not None:
            memo.put(key, remembered.packed(belief))
    return belief
