"""A test piece through both doors: offered, planned, made, and shown for what it is.

The book is invented: a batch that nobody knows, read by the strip, paper dear.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.read import read_book
from stillroom.services.desk import Desk
from tests.unit.book_cases import head_and_shoulders

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]


def new_batch() -> dict[str, Any]:
    data = head_and_shoulders(dear="paper")
    data["sittings"][0]["sheets"] = []
    return data


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, read_book(json.dumps(new_batch()))) as opened:
        yield opened


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


def test_the_page_offers_it_and_what_is_shot_is_a_piece(client: TestClient, desk: Desk) -> None:
    page = client.get("/sitting/S1").text
    assert "First a test piece?" in page
    assert "where the key cheek falls" in page
    planned = client.get("/sitting/S1?plan=piece").text
    assert "First a test piece." in planned
    press(client, "/sitting/S1?plan=piece", at="/shoot")
    (sheet,) = desk.book().sittings[0].sheets
    assert sheet.piece is not None
    assert sheet.piece.region == "key"
    assert sheet.settings.steps_pops is None
    read = client.get("/read/S1/1").text
    assert "Key cheek" in read
    assert "Shadow cheek" not in read


def test_the_command_writes_it_down_and_refuses_what_no_piece_is(cli: Cli, tmp_path: Path) -> None:
    path = str(tmp_path / "new.book")
    assert cli("import", "-", "--book", path, given=json.dumps(new_batch())).code == 0
    record = ("record", "--book", path, "--sitting", "S1", "--piece")
    stepped = cli(*record, "--steps", "1,2,4,8")
    assert stepped.code == 2
    assert "a test piece shows one exposure" in stepped.err
    kept = cli(*record, "--kept")
    assert kept.code == 2
    assert "a test piece never goes in the box" in kept.err
    made = cli(*record, "--saw", "key=too_dark")
    assert made.code == 0
    assert "a test piece at the key cheek" in made.out
