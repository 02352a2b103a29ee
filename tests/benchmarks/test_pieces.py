"""What test pieces save: how paper and rounds are counted, and what a piece tells."""

from __future__ import annotations

from typing import get_args

import pytest

from benchmarks.pieces import Makes, Played, Sitting, only, rows, sittings
from benchmarks.world.scenario import build
from benchmarks.world.truth import WORLDS
from stillroom.advice import PieceCost


def test_a_piece_is_a_fifth_of_a_sheet_and_a_round() -> None:
    """By hand: two pieces and three sheets, a round weighing 0.3 of a sheet or 3."""
    made = Sitting(seed=0, pieces=2, sheets=3, keeper=True)
    assert made.paper == pytest.approx(3.4)
    assert made.rounds == 5
    assert made.cost("paper") == pytest.approx(3.4 + 1.5)
    assert made.cost("time") == pytest.approx(3.4 + 15)


def test_a_piece_tells_of_its_region_alone() -> None:
    seen = {"regions": {"key": {"density": 0.6}, "shadow": {"density": 1.4}}}
    assert only(seen, "shadow") == {"regions": {"shadow": {"density": 1.4}}}  # type: ignore[arg-type]


def test_without_pieces_none_is_made_and_with_them_one_before_each_sheet() -> None:
    """On one new batch: what is offered is made, and never two running."""
    found = next(sittings("A", "scan", "rough", "paper", range(1)))
    assert list(found) == list(get_args(Makes))
    assert found["none"].pieces == 0
    assert found["alone"].pieces <= found["alone"].sheets
    assert found["offered"].pieces >= found["first"].pieces
    again = Played(build("A", 0, "scan", WORLDS["rough"]), PieceCost(), "none").to_a_keeper(0)
    assert again == found["none"]


def test_the_table_compares_with_none() -> None:
    some = [
        {"none": Sitting(n, 0, 3, keeper=True), "alone": Sitting(n, 1, 2 + n % 2, keeper=True)}
        for n in range(4)
    ]
    none, alone = rows("A, scan", some, "paper")  # type: ignore[arg-type]
    assert "| none | 4 | 0 | 3.00 | +0.00 (0.00) |" in none
    assert "| alone | 4 | 4 | 2.70 | -0.30 (0.29) | 3.50 | +0.50 (0.29) |" in alone
