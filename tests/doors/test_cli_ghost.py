"""Second edges, firing and the dark test from the command line. Everything here is invented."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from stillroom.documents.firing import Firing
from stillroom.documents.ghost import DarkTest, Ghost
from stillroom.documents.read import read_book
from tests.unit.book_cases import book_of, head_and_shoulders

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    """A key in a softbox beside a room with its curtains closed."""
    data = head_and_shoulders(
        lights=[
            {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.9},
            {"role": "room", "kind": "room", "metered_lx": 40},
        ],
        aims={"key": {"placement_stops": 0.3}},
        room_state="curtains closed",
    )
    data["kit"]["rooms"] = [{"id": "hall"}]
    path = tmp_path / "sitting.json"
    path.write_text(book_of(data).model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


def plain(text: str) -> str:
    return " ".join(text.split())


def test_a_sitting_is_told_in_a_line_and_a_table(cli: Cli, document: Path) -> None:
    said = cli("ghost", document, "--open-s", "4", "--odds", "9/10")
    assert said.code == 0
    assert said.out.startswith("Second edge, key cheek: ")
    assert "9 in 10 shows none up to" in said.out
    for part in ("Key cheek", "by steady light", "What helps", "stops darker", "curtains open"):
        assert part in said.out
    assert "%" not in said.out


def test_the_answer_as_json_is_the_document(cli: Cli, document: Path) -> None:
    answer = Ghost.model_validate_json(cli("ghost", document, "--open-s", "4s", "--json").out)
    assert (answer.sitting, answer.open_s) == ("S1", 4.0)
    other = cli("ghost", document, "--open-s", "4", "--room-state", "curtains open", "--json")
    assert Ghost.model_validate_json(other.out).p_shows > answer.p_shows


def test_odds_are_written_in_three_ways(cli: Cli, document: Path) -> None:
    longest = {
        json.loads(cli("ghost", document, "--odds", odds, "--json").out)["longest_s"]
        for odds in ("0.8", "4/5", "8 in 10")
    }
    assert len(longest) == 1


def test_bare_numbers_ask_no_book(cli: Cli) -> None:
    """2667 lx·s of flash and 150 lx for 2 s: by hand 300 of 2967 is about a tenth, a little less
    past one second."""
    said = cli("ghost", "--steady-lx", "150", "--flash-lxs", "2667", "--open-s", "2", "--json")
    answer = Ghost.model_validate_json(said.out)
    assert answer.regions[0].steady.mean == pytest.approx(280 / 2947, rel=0.01)
    same = cli("ghost", "--share", str(answer.regions[0].steady.mean), "--open-s", "2", "--json")
    assert Ghost.model_validate_json(same.out).p_shows == pytest.approx(answer.p_shows)
    assert "Second edge" in cli("ghost", "--share", "1/10", "--mix", "1/2").out


def test_how_it_fires_is_told_in_the_same_command(cli: Cli, document: Path) -> None:
    said = plain(cli("ghost", document, "--firing", "--fires", "cap in dark").out)
    assert "Opened by the cap, in a dark room" in said
    assert "All charged?" in said
    assert "never open one" in said
    found = cli("ghost", document, "--firing", "--json")
    assert Firing.model_validate_json(found.out).heads[0].head == "A"


def test_a_dark_test_is_planned_made_and_read(cli: Cli, document: Path) -> None:
    plan = DarkTest.model_validate_json(cli("dark-test", document, "--open-s", "2", "--json").out)
    assert plan.open_s == 32.0
    told = plain(cli("dark-test", document, "--open-s", "2").out)
    assert "Cap off for 32 s, 16 times as long as planned, and no pop." in told
    before = json.loads(cli("ghost", document, "--open-s", "2", "--json").out)["p_shows"]
    made = cli("dark-test", document, "--open-s", "2", "--made", "--json")
    assert not read_book(made.out).sittings[0].sheets[0].settings.lights["key"].on
    document.write_text(made.out, encoding="utf-8")
    said = plain(cli("dark-test", document, "--sees", "black").out)
    assert said.startswith("The card stayed black: open 2 s, the room light on the face")
    read = cli("dark-test", document, "--sees", "black", "--json")
    document.write_text(read.out, encoding="utf-8")
    after = json.loads(cli("ghost", document, "--open-s", "2", "--json").out)["p_shows"]
    assert after < before


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--open-s", "0"), "open time is 0: give a number from 0.00001 to 600 s; no second edge"),
        (("--open-s", "3600"), "no second edge shows 9 in 10 up to"),
        (("--open-s", "soon"), "--open-s is 'soon': write it as a number"),
        (("--odds", "2"), "--odds is 2.0: give a number from 0.05 to 0.99"),
        (("--mix", "1"), "--mix is 1.0"),
        (("--fires", "drone"), "choose one of sync_shutter"),
        (("--support", "rope"), "choose one of standing"),
        (("--away-s", "9999"), "time away is 9999.0"),
        (("--sitting", "S9"), "There is no sitting called 'S9'"),
    ],
)
def test_bad_input_is_one_sentence(
    cli: Cli, document: Path, arguments: tuple[str, ...], sentence: str
) -> None:
    assert sentence in cli.refused("ghost", document, *arguments)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--share", "2"), "share of steady light is 2.0: give a number from 0 to 1"),
        (("--steady-lx", "5"), "--flash-lxs is 'not given'"),
        (("--share", "0.1", "--flash-lxs", "9"), "leave one out"),
        (("--share", "0.1", "--sitting", "S1"), "no book; leave one out"),
        (("--share", "0.1", "--open-s", "0"), "open time is 0"),
        (("--share", "0.1", "--magnification", "0"), "magnification is 0"),
        (("--light", "1"), "--steady-lx is 'not given': give --share"),
    ],
)
def test_bad_numbers_are_one_sentence(cli: Cli, arguments: tuple[str, ...], sentence: str) -> None:
    assert sentence in cli.refused("ghost", *arguments)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--times", "1"), "times as long is 1.0: give a number from 2 to 256"),
        (("--card", "0"), "reflectance of the card is 0.0"),
        (("--open-s", "600"), "the dark test would take 9600 s"),
        (("--sees", "black"), "has no dark test yet: write one down with --made first"),
        (("--sheet", "1"), "say what the card looks like"),
        (("--sees", "black", "--made"), "the test is made already"),
    ],
)
def test_a_dark_test_without_sense_is_one_sentence(
    cli: Cli, document: Path, arguments: tuple[str, ...], sentence: str
) -> None:
    assert sentence in cli.refused("dark-test", document, *arguments)


def test_an_unread_or_misread_test_is_said(cli: Cli, document: Path) -> None:
    document.write_text(cli("dark-test", document, "--made", "--json").out, encoding="utf-8")
    assert "black or bare_paper" in cli.refused("dark-test", document, "--sees", "as wanted")
    assert "write it as a number" in cli.refused("dark-test", document, "--sees", "greyish")
    wrong = cli.refused("dark-test", document, "--sheet", "7", "--sees", "black")
    assert "There is no sheet of sitting" in wrong
