"""How far the time a sheet was open may be off: what it teaches, and that others stay the same."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.quantity import Constants
from stillroom.services import remembered
from stillroom.services.open_time import spread_stops
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import worktable

sys.path.insert(0, str(Path(__file__).parents[2] / "doors"))
from sitting_book import sitting_book  # type: ignore[import-not-found]


def book_with(number: int = 3, **said: Any) -> Book:
    """The example with a window beside its heads, and more said of one sheet."""
    told = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    sitting = told["sittings"][0]
    sitting["lights"].append({"role": "sky", "kind": "window", "metered_lx": 400})
    sheet = next(s for s in sitting["sheets"] if s["number"] == number)
    sheet.update(said)
    return read_book(json.dumps(told))


def moves(book: Book, number: int) -> dict[str, float]:
    """Unknowns of the open time in a sheet's own layout, with their spreads [stops]."""
    table = worktable(book, "OM")
    layout = table.layout(book.sittings[0].sheets[number - 1].settings, number=number)
    return {t.name: t.sd for t in layout.terms if t.name.endswith("open time")}


def key(book: Book) -> str:
    return remembered.keys(book, in_order_of_time(book), Constants())[-1]


def test_a_sheet_with_a_spread_has_an_unknown_of_its_own_and_others_have_none() -> None:
    book = book_with(open_sd_s=0.2, made={"open_s": 1.0})
    assert moves(book, 3) == {"moved/OM/3/open time": pytest.approx(0.2 / np.log(2))}
    assert moves(book, 2) == {}


def test_it_is_on_steady_light_alone() -> None:
    book = book_with(open_sd_s=0.2, made={"open_s": 1.0})
    layout = worktable(book, "OM").layout(book.sittings[0].sheets[2].settings, number=3)
    at = layout.index["moved/OM/3/open time"]
    by_role = dict(zip(layout.roles, layout.still_rows().a[0, :, at], strict=True))
    assert by_role["sky"] == 1
    assert by_role["key"] == 0


def test_a_sheet_by_the_window_alone_says_less_of_it_the_less_its_time_is_known() -> None:
    off = {role: {"on": False} for role in ("key", "rim")}
    made = {"open_s": 1.0, "lights": off}

    def level_sd(**said: Any) -> float:
        posterior = worktable(book_with(made=made, **said), "OM").posterior()
        name = next(t.name for t in posterior.layout.terms if t.name.startswith("level/"))
        return float(posterior.states().theta[:, posterior.layout.index[name]].std())

    known, hand, wild = level_sd(), level_sd(open_sd_s=0.2), level_sd(open_sd_s=0.7)
    assert known < wild
    assert hand < wild


@pytest.mark.parametrize("said", [{}, {"open_sd_s": None}, {"open_sd_s": 0}])
def test_without_one_everything_is_the_same_to_the_last_digit(said: dict[str, Any]) -> None:
    plain, book = book_with(), book_with(**said)
    assert moves(book, 3) == {}
    assert key(book) == key(plain)
    one, other = (worktable(b, "OM").posterior().states() for b in (plain, book))
    assert np.array_equal(one.theta, other.theta)


def test_a_spread_changes_the_key_of_what_is_remembered() -> None:
    assert key(book_with(open_sd_s=0.2)) != key(book_with())
    assert key(book_with(open_sd_s=0.2)) != key(book_with(open_sd_s=0.3))


def test_holders_teach_nothing_so_what_is_remembered_stays() -> None:
    plain = book_with()
    holder = {"id": "2", "format_mm": [130, 180], "holds": {"A": {"state": "loaded"}}}
    told = json.loads(plain.model_dump_json(exclude_unset=True))
    told["kit"]["holders"] = [holder]
    assert key(read_book(json.dumps(told))) == key(plain)


def test_stops_of_a_spread_are_its_share_of_the_time_over_the_logarithm_of_two() -> None:
    for open_s in (0.5, 1.0, 8.0):
        step = 1e-6
        slope = (np.log2(open_s + step) - np.log2(open_s - step)) / (2 * step)
        assert spread_stops(open_s, 0.2) == pytest.approx(0.2 * slope, rel=1e-6)
