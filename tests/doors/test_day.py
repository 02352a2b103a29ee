"""The day from the command line and as a browser without script meets it. All is invented."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.day import Day
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]
from sitting_book import sitting_book, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "book.json"
    path.write_text(sitting_book().model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, sitting_book()) as opened:
        yield opened


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_command_prints_the_answer_of_its_schema(cli: Cli, document: Path) -> None:
    said = cli("day", document, "--sitters", 3, "--on", "2026-12-05", "--from", "9:30", "--json")
    assert said.code == 0
    answer = Day.model_validate(said.json)
    assert answer.stillroom == "day/1"
    assert (answer.sitters, f"{answer.begins:%Y-%m-%d %H:%M}") == (3, "2026-12-05 09:30")
    assert (
        said.json
        == cli(
            "day", document, "--sitters", 3, "--on", "2026-12-05", "--from", "9:30", "--json"
        ).json
    )


def test_the_command_prints_lines_and_the_bag(cli: Cli, document: Path) -> None:
    said = cli("day", document, "--sheets", 5, "--process", "rc-tank/permanganate")
    assert said.code == 0
    assert "The tank holds the day up" in " ".join(said.out.split())
    assert "One more tank: through" in said.out
    bag = cli("day", document, "--sitters", 2, "--bag")
    assert "Acid permanganate bleach" in bag.out
    assert "Waste containers" in bag.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--sitters", "0"), "sitters is 0: give a whole number from 1 to 60."),
        (("--trays", "-1"), "developer trays is -1: give a whole number from 1 to 8."),
        (
            ("--from", "14:00", "--to", "13:00"),
            "finish is '13:00': it has to come after the beginning at 14:00.",
        ),
        (("--sheets", "50000"), "exposed is 50000: give a whole number from 1 to 400."),
        (("--from", "25:00"), "--from is '25:00': give a time such as 10:00."),
        (("--on", "yesterday"), "--on is 'yesterday': give a date such as 2026-12-05."),
        (("--chance", "0"), "odds that a sheet lands is 0.0: give a number from 0.01 to 1."),
    ],
)
def test_the_command_refuses_in_one_sentence(
    cli: Cli, document: Path, arguments: tuple[str, ...], said: str
) -> None:
    assert cli.refused("day", document, *arguments) == said


def test_the_page_answers_without_script(client: TestClient) -> None:
    page = client.get("/day?sitters=3&from=10:00")
    assert page.status_code == 200
    text = text_of(page.text)
    assert "3 sitters, through about" in text
    assert "nine days in ten" in text
    assert "hold the day up" in text
    assert "Ask them for" in text
    assert 'href="/day/bag?sitters=3&amp;from=10:00"' in page.text


def test_the_page_without_a_question_says_how_many_fit(client: TestClient) -> None:
    text = text_of(client.get("/day").text)
    assert re.search(r"Fits by 17:00 \d+ sitters", text)


def test_the_bag_lists_paper_baths_and_plugs(client: TestClient) -> None:
    text = text_of(client.get("/day/bag?sitters=3").text)
    for word in ("Paper", "Holders", "Waste containers", "Acid permanganate bleach", "tape"):
        assert word in text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("sitters=0", "Sitters is 0.0: give a number from 1 to 60."),
        ("sitters=none", "Sitters is &#39;none&#39;: not a number"),
        ("from=14:00&to=13:00", "finish is &#39;13:00&#39;: it has to come after"),
        ("from=soon", "First sitter is &#39;soon&#39;: give a time such as 10:00."),
        ("sitters=2&sheets=3", "sitters is 2: sheets exposed before have no sitters."),
        ("process=x", "There is no process called &#39;x&#39;"),
        ("tanks=3", "runs in trays, not in 3 tanks"),
        ("temperature=39", "39"),
    ],
)
@pytest.mark.parametrize("path", ["/day", "/day/bag"])
def test_the_page_says_in_a_sentence_what_is_to_be_put_right(
    client: TestClient, path: str, query: str, said: str
) -> None:
    page = client.get(f"{path}?{query}")
    assert page.status_code == 422
    assert said in page.text


def test_in_safelight_it_needs_the_lights_on(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    for path in ("/day", "/day/bag"):
        assert "This needs the lights on" in client.get(path).text


def test_the_foot_of_a_sitting_and_the_start_lead_there(client: TestClient, desk: Desk) -> None:
    current = desk.current_sitting_id()
    assert current is not None
    assert 'href="/day"' in client.get(f"/sitting/{current}", follow_redirects=True).text
    assert 'href="/day"' in client.get("/start").text


def test_an_answer_is_not_stale_after_a_write(desk: Desk) -> None:
    from stillroom.services.day import DayAsked

    before = desk.day(DayAsked(sitters=2))
    assert desk.day(DayAsked(sitters=2)) is before
    camera = desk.book().kit.cameras[0]
    desk.set_preference("lengths", "imperial")
    after = desk.day(DayAsked(sitters=2))
    assert after == before
    assert camera.format_mm
