"""What the first development does to one sheet: a term of its own where it was another."""

from __future__ import annotations

import json
import math
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.quantity import Constants
from stillroom.services import remembered
from stillroom.services.first_term import first_development
from stillroom.services.forecasts import forecast_of
from stillroom.services.sittings import in_order_of_time
from stillroom.services.worktable import worktable

sys.path.insert(0, str(Path(__file__).parents[2] / "doors"))
from sitting_book import sitting_book  # type: ignore[import-not-found]

NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
PROCESS = "rc-trays/permanganate"


def run(
    number: int = 3,
    seconds: float = 120.0,
    temperature_c: float = 20.0,
    process: str = PROCESS,
    **said: Any,
) -> dict[str, Any]:
    """A sheet through the line, its first development so long and so warm."""
    out = NOON + timedelta(seconds=seconds)
    end = out + timedelta(minutes=12)
    return {
        "id": f"run-{number}",
        "sitting": "OM",
        "sheet": number,
        "process": process,
        "temperature_c": temperature_c,
        "began_at": NOON.isoformat(),
        "ended_at": end.isoformat(),
        "outcome": "through",
        "steps": [
            {
                "step": "first_development",
                "began_at": NOON.isoformat(),
                "ended_at": out.isoformat(),
            },
            {"step": "first_wash", "began_at": out.isoformat(), "ended_at": end.isoformat()},
        ],
        **said,
    }


def book_with(*runs: dict[str, Any], **said: Any) -> Book:
    told = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    sitting = told["sittings"][0]
    sitting.update(said)
    for one in runs:
        next(s for s in sitting["sheets"] if s["number"] == one["sheet"])["wet"] = one
    return read_book(json.dumps(told))


def term(book: Book, number: int = 3) -> tuple[float, float] | None:
    """Mean and spread of the first development in a sheet's own ledger [stops]."""
    sheet = book.sittings[0].sheets[number - 1]
    layout = worktable(book, "OM").layout(sheet.settings, number=number)
    found = [t for t in layout.terms if t.name.endswith("first development")]
    return (found[0].mean, found[0].sd) if found else None


def key(book: Book) -> str:
    return remembered.keys(book, in_order_of_time(book), Constants())[-1]


def test_a_sheet_as_its_process_asks_has_no_term_and_the_same_key() -> None:
    plain, by_the_book = book_with(), book_with(run())
    assert term(plain) is None
    assert term(by_the_book) is None
    assert key(by_the_book) == key(plain)


def test_a_cold_sheet_whose_time_made_up_for_it_has_none() -> None:
    assert term(book_with(run(seconds=137.8, temperature_c=18))) is None


def test_shorter_and_colder_is_darker_longer_and_warmer_lighter() -> None:
    for seconds, temperature_c, sign in ((100, 20, -1), (120, 18, -1), (160, 20, 1), (120, 23, 1)):
        found = term(book_with(run(seconds=seconds, temperature_c=temperature_c)))
        assert found is not None
        assert math.copysign(1, found[0]) == sign
        assert 0 < found[1] < 0.3


def test_only_that_sheet_is_moved() -> None:
    book = book_with(run(seconds=100))
    assert term(book, 3) is not None
    assert term(book, 2) is None
    assert key(book) != key(book_with())


def test_beliefs_without_a_run_are_the_same_to_the_last_digit() -> None:
    plain = worktable(book_with(), "OM").posterior().belief
    by_the_book = worktable(book_with(run()), "OM").posterior().belief
    assert plain.names == by_the_book.names
    assert (plain.mean == by_the_book.mean).all()
    assert (plain.covariance == by_the_book.covariance).all()


def test_a_short_development_explains_a_dark_sheet_so_the_next_is_expected_lighter() -> None:
    def expected(book: Book) -> tuple[float, float]:
        table = worktable(book, "OM")
        regions = forecast_of(table, table.posterior(), table.standing()).regions
        key, shadow = (regions[name].placement_stops.mean for name in ("key", "shadow"))
        return key, shadow

    plain, short = expected(book_with()), expected(book_with(run(seconds=90)))
    for before, after in zip(plain, short, strict=True):
        # Never by more than the whole estimate, a third of a stop for half a minute too little.
        assert 0.04 < after - before < 0.31


def test_it_moves_every_light_and_no_meter() -> None:
    book = book_with(run(seconds=100))
    layout = worktable(book, "OM").layout(book.sittings[0].sheets[2].settings, number=3)
    at = layout.index["moved/OM/3/first development"]
    assert (layout.still_rows().a[:, :, at] == 1).all()
    _, a = layout.incident_rows(
        worktable(book, "OM").bare_settings(book.sittings[0].sheets[2].settings),
        "key",
        layout.roles,
    )
    assert (a[:, at] == 0).all()


def test_the_ledger_of_that_sheet_has_a_row_of_its_own() -> None:
    book = book_with(run(seconds=100))
    table = worktable(book, "OM")
    sheet = book.sittings[0].sheets[2]
    made = forecast_of(table, table.posterior(), sheet.settings, made=sheet)
    rows = [line for line in made.regions["key"].ledger if "first development" in line.term]
    assert rows
    assert all("(estimate)" in line.term for line in rows)
    nxt = forecast_of(table, table.posterior(), sheet.settings)
    assert not any("first development" in line.term for line in nxt.regions["key"].ledger)


@pytest.mark.parametrize("outcome", ["in_work", "stopped"])
def test_a_sheet_that_is_not_through_its_first_developer_has_none(outcome: str) -> None:
    told = run(seconds=60, outcome=outcome)
    told["steps"] = told["steps"][:1]
    if outcome == "in_work":
        told["ended_at"] = None
        told["steps"][0]["ended_at"] = None
    else:
        told["ended_at"] = told["steps"][0]["ended_at"]
    assert term(book_with(told)) is None


def test_a_process_that_is_not_there_tells_nothing() -> None:
    assert term(book_with(run(seconds=60, process="gone"))) is None


def test_filling_a_tank_is_no_development() -> None:
    assert term(book_with(run(seconds=156, process="rc-tank/permanganate"))) is None


# ── A control strip of the day ──────────────────────────────────────────────────────────────

STRIP = {"when": NOON.isoformat(), "steps": {"1": 0.4, "2": 1.0}, "reference": True}


def test_what_the_days_sheets_have_in_common_is_in_the_strip_already() -> None:
    cold = [run(n, seconds=120, temperature_c=18) for n in (1, 2, 3)]
    without, with_strip = book_with(*cold), book_with(*cold, control_strips=[STRIP])
    alone, found = term(without), term(with_strip)
    assert alone is not None
    assert found is not None
    assert alone[0] < -0.05
    assert found[0] == pytest.approx(0, abs=1e-12)
    assert found[1] == pytest.approx(math.hypot(alone[1], alone[0] / 2))


def test_how_a_sheet_differs_from_the_days_others_still_counts() -> None:
    runs = [run(1, temperature_c=18), run(2, temperature_c=18), run(3, 100, temperature_c=18)]
    alone, found = term(book_with(*runs)), term(book_with(*runs, control_strips=[STRIP]))
    common = first_development(
        book := book_with(*runs), book.sittings[0], book.sittings[0].sheets[0]
    )
    assert alone is not None
    assert found is not None
    assert common is not None
    assert found[0] == pytest.approx(alone[0] - common.shift.stops)


def test_a_strip_changes_nothing_where_all_went_by_the_book() -> None:
    assert term(book_with(run(1), run(2), run(3), control_strips=[STRIP])) is None
