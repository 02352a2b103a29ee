"""A sheet that went through the line: told on its page, a row of its own in its ledger."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import sitting_desk  # type: ignore[import-not-found]

SHEET, LEDGER = "/sitting/OM/3", "/sitting/OM/3/ledger"
NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def through(desk: Desk, seconds: float, temperature_c: float = 20.0) -> None:
    """Send sheet 3 through the line, its first development so long."""

    def event(kind: str, at_s: float, **said: Any) -> dict[str, Any]:
        at = (NOON + timedelta(seconds=at_s)).isoformat()
        return {"id": f"{kind}-{at_s}", "run": "run-3", "kind": kind, "at": at, **said}

    begin = {"sitting": "OM", "sheet": 3, "process": "rc-trays/permanganate"}
    answer = desk.bench_events(
        [
            event("begin", 0, **begin, temperature_c=temperature_c),
            event("black", 14, seconds=14),
            event("longer", 60, step="first_development", seconds=10),
            event("step", seconds, step="first_wash"),
            event("through", 900),
        ]
    )
    assert answer.refused == ()


def page_of(client: TestClient, path: str) -> str:
    return " ".join(unescape(client.get(path).text).split())


def test_what_it_went_through_stands_on_its_page(client: TestClient, desk: Desk) -> None:
    through(desk, 90, 19)
    page = page_of(client, SHEET)
    for said in (
        "In the line",
        "RC paper in trays, permanganate bleach, at 19 °C: through in 15 minutes.",
        "By hand: first development ten seconds longer.",
        "First sign of black after fourteen seconds.",
        "First development a minute thirty at 19 °C instead of two minutes at 20 °C",
        "stop darker, give or take",
        "An estimate from habits of the trade; measured sheets overrule it.",
    ):
        assert said in page


def test_its_ledger_has_a_row_of_its_own(client: TestClient, desk: Desk) -> None:
    assert "First development, sheet" not in page_of(client, LEDGER)
    through(desk, 90)
    assert "First development, sheet OM 3 (estimate)" in page_of(client, LEDGER)
    assert "First development, sheet" not in page_of(client, "/sitting/OM/2/ledger")


def test_a_sheet_by_the_book_has_none(client: TestClient, desk: Desk) -> None:
    through(desk, 120)
    assert "First development, sheet" not in page_of(client, LEDGER)
    page = page_of(client, SHEET)
    assert "through in 15 minutes" in page
    assert "instead of" not in page.partition("In the line")[2].partition("</ul>")[0]


def test_a_sheet_that_was_in_no_line_says_nothing_of_it(client: TestClient) -> None:
    assert "In the line" not in page_of(client, SHEET)
