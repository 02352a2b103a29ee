"""What else moved, and early looks: what is said may leave more open, never less."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.documents.answers import Forecast
from stillroom.documents.book import Book
from stillroom.exposure import Layout
from stillroom.quantity import FloatArray
from stillroom.services.moved import ANSWERS, NOT_FIRED, moves_on
from stillroom.services.plan import predict
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

FROM_CHANCE = 1.1
"""Two clouds of 800 states: their spreads differ by some hundredths by chance alone."""
WHAT = [*sorted({a.what for a in ANSWERS}), "a stand was knocked: key", "the cat"]


def book_with(*sheets: dict[str, Any], room_lx: float = 60.0) -> Book:
    """A sitting with these sheets; a bright room carries much of the tone."""
    data = head_and_shoulders(room_state="curtains open")
    data["sittings"][0]["lights"][2]["metered_lx"] = room_lx
    data["sittings"][0]["sheets"] = list(sheets)
    return book_of(data)


def spread(layout: Layout) -> FloatArray:
    """Spread of what every light gives every region, before anything is seen [stops]."""
    made = Worktable(book_with(), "S1")
    rows = layout.rows(made.bare_settings(made.standing()))
    sds = np.array([t.sd for t in layout.terms])
    return np.asarray(np.sqrt(((rows.a[0] * sds) ** 2).sum(axis=-1)))


@given(st.lists(st.sampled_from(WHAT), max_size=6), st.integers(1, 3))
@settings(max_examples=60, deadline=None)
def test_no_answer_makes_any_light_surer(moved: list[str], number: int) -> None:
    sheets = [scanned(n, 1.0, 1.5) for n in (1, 2, 3)]
    sheets[number - 1]["what_else_moved"] = moved
    table = Worktable(book_with(*sheets), "S1")
    plain = Worktable(book_with(*[scanned(n, 1.0, 1.5) for n in (1, 2, 3)]), "S1")
    for sheet in (1, 2, 3, None):
        before = plain.layout(plain.standing(), number=sheet)
        after = table.layout(table.standing(), number=sheet)
        assert after.regions == before.regions
        assert (spread(after) >= spread(before) - 1e-12).all()
        moves = moves_on(table.sitting, sheet, after.roles)
        assert sheet is None or sheet >= number or not moves
        added = {t.name for t in after.terms} - {t.name for t in before.terms}
        assert added == {f"moved/{m.name}" for m in moves}


def forecast(*sheets: dict[str, Any], room_lx: float = 60.0) -> Forecast:
    return predict(book_with(*sheets, room_lx=room_lx), "S1", None)


def sds(said: Forecast) -> dict[str, float]:
    return {region: said.regions[region].placement_stops.sd for region in ("key", "shadow")}


@pytest.mark.parametrize("what", [a.what for a in ANSWERS])
def test_an_answer_never_narrows_what_is_expected_of_the_next_sheet(what: str) -> None:
    first = scanned(1, 1.05, 1.5)
    plain = sds(forecast(first, scanned(2, 1.0, 1.45)))
    said = sds(forecast(first, scanned(2, 1.0, 1.45, what_else_moved=[what])))
    assert all(said[region] > plain[region] / FROM_CHANCE for region in plain)


@pytest.mark.parametrize(
    ("what", "room_lx", "region"),
    [
        ("curtain", 6000.0, "key"),  # of which the room carries most
        ("a stand was knocked", 60.0, "key"),
        ("card", 60.0, "shadow"),
        ("sitter", 60.0, "key"),
        (NOT_FIRED, 60.0, "key"),
        ("a head was not charged", 60.0, "key"),
    ],
)
def test_where_it_matters_an_answer_widens(what: str, room_lx: float, region: str) -> None:
    """After a first sheet that said little, the second, in doubt, says less."""
    first = scanned(1, None, None)
    plain = sds(forecast(first, scanned(2, 1.0, 1.45), room_lx=room_lx))
    doubtful = scanned(2, 1.0, 1.45, what_else_moved=[what])
    later = scanned(2, 1.0, 1.45), scanned(3, None, None, what_else_moved=[what])
    said = sds(forecast(first, doubtful, room_lx=room_lx))
    lasting = sds(forecast(first, *later, room_lx=room_lx))
    widest = max(said[region], lasting[region])
    assert widest > 1.08 * plain[region]


def looked(state: str, by: str, word: str | float) -> dict[str, Any]:
    kind = "verdict" if isinstance(word, str) else "density"
    return {"state": state, "by": by, "regions": {r: {kind: word} for r in ("key", "shadow")}}


@pytest.mark.parametrize("word", ["too_dark", "too_light"])
def test_an_early_look_says_something_and_less_than_words(word: str) -> None:
    unread, early, words = (
        sds(forecast(scanned(1, None, None, readings=readings)))
        for readings in (
            [],
            [looked("negative", "early_look", word)],
            [looked("dry", "words", word)],
        )
    )
    for region in ("key", "shadow"):
        assert words[region] < FROM_CHANCE * early[region]
        assert early[region] < unread[region]
    assert sum(words.values()) < sum(early.values()) < 0.95 * sum(unread.values())


def test_a_later_dry_reading_takes_the_place_of_an_early_look() -> None:
    early, dry = looked("pale", "early_look", "too_light"), looked("dry", "scan", 1.05)
    both = forecast(scanned(1, None, None, readings=[early, dry]))
    alone = forecast(scanned(1, None, None, readings=[dry]))
    assert both == alone
