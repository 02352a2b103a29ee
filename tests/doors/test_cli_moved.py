"""Early looks, what else moved and the room, from the command line."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from stillroom.documents.book import Sitting
from stillroom.documents.read import read_book
from stillroom.services.demo import demo_document
from stillroom.services.moved import NOT_FIRED

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "quarry-lane.json"
    path.write_text(demo_document(), encoding="utf-8")
    return path


def written(cli: Cli, document: Path, *arguments: object) -> Sitting:
    """The sitting of the new document after an entry into `document`."""
    said = cli("record", document, *arguments, "--json")
    assert said.code == 0, said.err
    found = next(s for s in read_book(said.out).sittings if s.id == "OM")
    assert isinstance(found, Sitting)
    return found


def test_an_early_look_has_a_word_a_region_or_one_for_the_face(cli: Cli, document: Path) -> None:
    sheet = written(cli, document, "--as-advised", "--early", "key=too-dark").sheets[-1]
    (reading,) = sheet.readings
    assert (reading.state, reading.by) == ("negative", "early_look")
    assert reading.regions["key"].verdict == "too_dark"
    face = written(cli, document, "--as-advised", "--early", "face=as wanted", "--pale")
    assert face.sheets[-1].readings[0].state == "pale"
    assert face.sheets[-1].readings[0].regions["face"].verdict == "as_wanted"


def test_an_early_look_says_what_it_is_worth(cli: Cli, document: Path) -> None:
    said = cli("record", document, "--as-advised", "--early", "face=too_dark")
    assert "Red light makes everything look darker than it is." in " ".join(said.out.split())


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--early", "key=black"], "choose too_dark, as_wanted, too_light"),
        (["--saw", "key=black", "--pale"], "it goes with --early"),
        (["--density", "key=0.5", "--by", "early_look"], "an early look is told by --early"),
        (["--saw", "face=black"], "no region"),
        (["--kept", "--moved", "a stand was knocked: sun"], "no light called 'sun'"),
    ],
)
def test_what_cannot_be_is_refused(
    cli: Cli, document: Path, arguments: list[str], sentence: str
) -> None:
    assert sentence in cli.refused("record", document, *arguments)


def test_each_answer_is_told_with_what_it_leaves_open(cli: Cli, document: Path) -> None:
    said = cli(
        "record", document, "--sheet", 3, "--moved", "a stand was knocked: key", "--moved", "a cat"
    )
    assert "A stand was knocked: the key light may have changed by ±¾, from this" in said.out
    assert "A cat: noted, and it changes nothing in what is expected." in said.out


def test_a_head_that_is_named_later_takes_the_place_of_one_nobody_knew(
    cli: Cli, document: Path, tmp_path: Path
) -> None:
    once = cli("record", document, "--sheet", 3, "--pops", 1, "--moved", NOT_FIRED, "--json")
    later = tmp_path / "later.json"
    later.write_text(once.out, encoding="utf-8")
    sheet = written(cli, later, "--sheet", 3, "--moved", f"{NOT_FIRED}: rim").sheets[2]
    assert sheet.what_else_moved == (f"{NOT_FIRED}: rim",)
    assert sheet.made is not None
    assert not sheet.made.lights["rim"].on


def test_the_state_of_the_room_goes_with_the_sheet_or_the_meter(cli: Cli, document: Path) -> None:
    made = written(cli, document, "--as-advised", "--room", "evening")
    assert made.sheets[-1].room_state == "evening"
    assert made.room_state != "evening"
    right = written(cli, document, "--sheet", 2, "--room", "evening")
    assert [s.room_state == "evening" for s in right.sheets] == [False, True, False]
    metered = ("--meter", "key=f/11@100", "--lit", "key")
    taken = written(cli, document, *metered, "--room", "evening")
    assert taken.meter_readings[-1].room_state == "evening"
    plain = written(cli, document, *metered)
    assert plain.meter_readings[-1].room_state == plain.room_state
