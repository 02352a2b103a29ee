"""A sheet leaves the house, as a browser without script sends it; everything is invented."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Reading, RegionReading, Sheet
from stillroom.documents.sitter_card import SitterCard
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import sitting_desk  # type: ignore[import-not-found]

PAGE = "/sitting/OM/3"
Of = Callable[[str], str]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def sheet(desk: Desk) -> Sheet:
    return next(s for s in desk.book().sittings[0].sheets if s.number == 3)


def send(client: TestClient, form_id: str, state: str, *seen_to: str) -> int:
    data = {"form_id": form_id, "state": state, "seen_to": list(seen_to)}
    return client.post(f"{PAGE}/handed", data=data).status_code


def test_four_ticks_and_a_state(client: TestClient, desk: Desk, form_id: Of) -> None:
    page = unescape(client.get(PAGE).text)
    assert "Nothing is written down yet: it is still here." in page
    assert page.count('name="seen_to"') == 4
    assert 'value="dry_scan" checked' not in page
    assert send(client, form_id(PAGE), "given", "scan_turned", "dry_scan") == 303
    handed = sheet(desk).hand_over
    assert handed is not None
    assert (handed.state, handed.seen_to) == ("given", ("dry_scan", "scan_turned"))
    page = unescape(client.get(PAGE).text)
    assert "Given, Saturday 14 November." in page
    assert "It was given without fixing, or a word to keep it from light and the line" in page
    assert "in the box, given" in client.get("/sitting/OM").text.replace("In the", "in the")


def test_a_later_word_stands_and_teaches_nothing(
    client: TestClient, desk: Desk, form_id: Of
) -> None:
    before = desk.forecast("OM").regions
    send(client, form_id(PAGE), "promised")
    owed = '<b>Promised:</b> <a href="/sitting/OM/3#hand-over">OM 3</a>'
    assert owed in client.get("/sitting/OM").text
    send(client, form_id(PAGE), "here", "back_copied")
    handed = sheet(desk).hand_over
    assert handed is not None
    assert (handed.state, handed.seen_to) == ("here", ("back_copied",))
    assert "Promised:" not in client.get("/sitting/OM").text
    assert desk.forecast("OM").regions == before
    assert 'value="back_copied" checked' in client.get(PAGE).text


def test_a_dry_scan_that_was_read_is_ticked_already(client: TestClient, desk: Desk) -> None:
    scan = Reading(state="dry", by="scan", regions={"key": RegionReading(density=0.6)})
    desk.read_sheet("OM", 3, scan)
    assert 'value="dry_scan" checked' in client.get(PAGE).text


def test_the_line_for_the_back_says_what_it_is_and_no_name(client: TestClient) -> None:
    page = unescape(client.get(PAGE).text)
    line = page.split('class="tocopy"', 1)[1].split(">", 1)[1].split("<", 1)[0]
    assert line.startswith("OM 3. O. M., Saturday 14 November 2026. Sorrel No. 2")
    assert "the only one" in line
    assert "strong light" in line


def test_what_was_not_agreed_to_is_told_before_it_leaves(client: TestClient, desk: Desk) -> None:
    assert "O. M. has not said yes to keeping a scan or showing it." in client.get(PAGE).text
    desk.write_sitter_card("OM", SitterCard(said_yes_to=("scan_kept",)))
    assert "O. M. has not said yes to showing it." in client.get(PAGE).text
    desk.write_sitter_card("OM", SitterCard(said_yes_to=("scan_kept", "may_be_shown")))
    assert "has not said yes" not in client.get(PAGE).text


def test_what_nobody_offered_is_refused(client: TestClient, desk: Desk, form_id: Of) -> None:
    assert send(client, form_id(PAGE), "lost") == 404
    assert send(client, form_id(PAGE), "given", "framed") == 404
    assert sheet(desk).hand_over is None


def test_a_double_tap_is_written_once(client: TestClient, form_id: Of, desk: Desk) -> None:
    same = form_id(PAGE)
    before = desk._store.revision()
    assert [send(client, same, "given") for _ in range(2)] == [303, 303]
    assert desk._store.revision() == before + 1
