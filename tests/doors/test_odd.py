"""An odd sheet at the doors: asked about on the Sitting page and its own, and on the command line.

The book is the invented example with one tone of one sheet read otherwise.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Sheet
from stillroom.documents.odd import OddSheets
from stillroom.documents.read import read_book
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "unit" / "services"))
from cli_case import Cli  # type: ignore[import-not-found]
from odd_book import odd_book, sheet_of  # type: ignore[import-not-found]
from sitting_book import Forms, press, sitting_desk  # type: ignore[import-not-found]

pytestmark = pytest.mark.slow
BOOK = odd_book(2, rim=0.95, bg=1.84)
CAUSE = "the rim dial stood 2 lower than written"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, BOOK) as opened:
        yield opened


def sheet(desk: Desk) -> Sheet:
    found: Sheet = sheet_of(desk.book())
    return found


# ---- pages ---------------------------------------------------------------------------------


def test_the_sitting_page_asks_what_happened(client: TestClient) -> None:
    page = client.get("/sitting/OM").text
    assert '<b class="odd-mark">Odd</b> <a href="#odd-2">OM 2 contradicts the rest' in page
    assert "Rim edge came out 1⅔ darker than everything else says." in page
    assert "The rim dial stood 2 lower than written: rim edge would be 2 darker" in page
    alike = "One sheet cannot tell it from this: the rim head was not charged, "
    assert any(f"{alike}{short} short." in page for short in ("2", "1⅔"))  # the last digits decide
    assert page.count('type="radio" name="slip"') >= 3
    assert "It was my slip" in page
    assert "It is real" in page


def test_the_likeliest_slip_stands_chosen_and_one_press_writes_it(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, "/sitting/OM", ("answer", "slip"), at="/2/odd")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sitting/OM")
    assert sheet(desk).odd_cause == CAUSE
    assert sheet(desk).made is not None
    page = client.get("/sitting/OM").text
    assert f"Written down of OM 2: {CAUSE}." in page
    assert 'id="odd-2"' not in page


def test_another_slip_can_be_chosen(client: TestClient, desk: Desk) -> None:
    press(client, "/sitting/OM", ("answer", "slip"), at="/2/odd", slip="something-else")
    assert sheet(desk).odd_is == "slip"


def test_it_is_real_and_its_own_page_says_so_and_asks_again(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, "/sitting/OM/2", ("answer", "real"), at="/2/odd")
    assert answer.headers["location"] == "/sitting/OM/2"
    assert sheet(desk).odd_is == "real"
    assert "you said that it is real: it counts in full" in client.get("/sitting/OM/2").text
    press(client, "/sitting/OM/2", ("answer", "again"), at="/2/odd")
    assert sheet(desk).odd_is is None
    assert "It was my slip" in client.get("/sitting/OM/2").text


def test_a_form_sent_twice_is_one_answer(client: TestClient, desk: Desk) -> None:
    form = Forms(client.get("/sitting/OM").text).fields["/sitting/OM/2/odd"]
    said = {**form, "answer": "slip"}
    first, second = (client.post("/sitting/OM/2/odd", data=said) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert len(desk._store.sheet_history("OM", 2)) == 2


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"answer": "slip", "slip": "the cat"}, "There is no slip called"),
        ({"answer": "slip", "slip": ""}, "tap the slip it was"),
        ({"answer": "perhaps"}, "tap one of the buttons"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(
    client: TestClient, desk: Desk, said: dict[str, str], sentence: str
) -> None:
    before = desk.book()
    form = Forms(client.get("/sitting/OM").text).fields["/sitting/OM/2/odd"]
    answer = client.post("/sitting/OM/2/odd", data={**form, **said})
    assert 400 <= answer.status_code < 500
    assert sentence in answer.text.replace("&#39;", "'")
    assert desk.book() == before


def test_it_is_asked_in_the_dark_too_and_without_a_text_field(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    page = client.get("/sitting/OM").text
    assert "It was my slip" in page
    assert '<a href="/sitting/OM/2"' not in page


# ---- command line --------------------------------------------------------------------------


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "odd.json"
    path.write_text(BOOK.model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


@pytest.fixture
def file(cli: Cli, document: Path, tmp_path: Path) -> Path:
    path = tmp_path / "odd.db"
    assert cli("import", document, "--book", path).code == 0
    return path


def plain(text: str) -> str:
    return " ".join(text.split())


def test_odd_tells_the_slips_and_how_to_answer(cli: Cli, file: Path) -> None:
    said = plain(cli("odd", "--book", file).out)
    assert said.startswith("Odd, OM 2: Rim edge came out 1⅔ darker than everything else says.")
    assert re.search(r"--slip dial-rim, [3-6] in 10: The rim dial", said)
    assert "--slip something-else if nobody knows and --real if nothing went wrong" in said


def test_record_answers_and_says_what_it_wrote(cli: Cli, file: Path) -> None:
    said = plain(cli("record", "--book", file, "--sheet", "2", "--slip", "dial-rim").out)
    assert f"You said of OM 2: {CAUSE}. It is written so and teaches in full." in said
    said = plain(cli("record", "--book", file, "--sheet", "2", "--real").out)
    assert "you said that it is real" in said
    said = plain(cli("record", "--book", file, "--sheet", "2", "--ask-again").out)
    assert "--slip dial-rim" in said


def test_json_is_the_document_of_the_answer(cli: Cli, document: Path) -> None:
    told = OddSheets.model_validate_json(cli("odd", document, "--json").out)
    assert told.stillroom == "odd/1"
    assert [s.number for s in told.sheets] == [2]
    written = cli("record", document, "--sheet", "2", "--slip", "dial-rim", "--json")
    assert sheet_of(read_book(written.out)).odd_cause == CAUSE


def test_one_answer_at_a_time(cli: Cli, document: Path) -> None:
    said = cli.refused("record", document, "--sheet", "2", "--slip", "dial-rim", "--real")
    assert "give one answer" in said
    said = cli.refused("record", document, "--sheet", "1", "--slip", "dial-rim")
    assert "Sheet 1 does not contradict the others now" in said


def test_a_book_without_odd_sheets_says_so(cli: Cli, document: Path) -> None:
    said = plain(cli("odd", document, "--sitting", "JB").out)
    assert said == "No sheet of sitting JB contradicts the rest."
