"""The wet line from the command line."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from stillroom.documents.timetable import Timetable

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]
from sitting_book import sitting_book  # type: ignore[import-not-found]

TRAYS = ("bench", "--process", "rc-trays/permanganate")


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture(autouse=True)
def _nobody_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STILLROOM_BOOK", str(tmp_path / "none" / "book.db"))


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "quarry-lane.json"
    path.write_text(sitting_book().model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


def answered(cli: Cli, *arguments: object) -> Timetable:
    return Timetable.model_validate(cli(*arguments, "--json").json)


def test_the_line_is_told_without_any_book(cli: Cli) -> None:
    said = " ".join(cli(*TRAYS).out.split())
    assert said.startswith("RC paper in trays, permanganate bleach, 20 °C, one sheet")
    for part in (
        "First development 2:00 1:30 to 3:00 red practice",
        "Bleach by eye, about 1:30",
        "White light may come on.",
        "How the figures are known",
        "common practice, no source",
        "published, from memory",
    ):
        assert part in said


def test_colder_takes_longer_and_says_that_it_was_computed(cli: Cli) -> None:
    usual, cold = answered(cli, *TRAYS), answered(cli, *TRAYS, "--temperature", "18 °C")
    assert (usual.steps[0].seconds, cold.steps[0].seconds) == (120, 138)
    assert cold.one_sheet_s > usual.one_sheet_s
    assert "computed" in {basis.status for basis in cold.steps[0].statuses}


def test_the_light_changes_with_the_whole_bench(cli: Cli) -> None:
    found = answered(cli, *TRAYS, "--sheets", "3")
    assert [change.light for change in found.lights] == ["red", "white"]
    through = max(c.until_s or 0 for c in found.calls if c.step == "second_wash")
    assert found.lights[-1].at_s == pytest.approx(through)


def test_sheets_that_wait_are_named_by_their_marks(cli: Cli, document: Path) -> None:
    found = answered(cli, "bench", document)
    assert found.sheets == ("OM 4",)
    assert "Graded paper" not in found.safelight


def test_one_tank_as_it_was_worked_out(cli: Cli) -> None:
    """Worked by hand: 15.3 minutes of chemistry, eleven fillings, two of loading: 23.9."""
    found = answered(cli, "bench", "--process", "rc-tank/permanganate")
    assert found.one_sheet_s / 60 == pytest.approx(23.9, abs=0.05)


def test_lamp_and_first_sign_are_told(cli: Cli) -> None:
    said = (*TRAYS, "--lamp-lm", "1500", "--lamp-at", "0.5 m", "--first-sign", "10 s")
    found = answered(cli, *said)
    assert found.lamp is not None
    assert found.lamp.seconds == pytest.approx(10.5, abs=0.05)
    assert found.by_sign is not None
    assert (found.by_sign.least_s, found.by_sign.most_s) == (195, 225)


def test_every_process_is_listed(cli: Cli, document: Path) -> None:
    listed = cli("bench", document, "--list", "--json").json["processes"]
    assert len(listed) == 12
    assert "fibre-trays/peroxide" in cli("bench", document, "--list").out


def test_a_process_of_ones_own_is_used_and_listed(cli: Cli, document: Path) -> None:
    told = json.loads(document.read_text())
    own = {
        "id": "mine",
        "name": "My line",
        "based_on": "rc-trays/permanganate",
        "steps": [
            {"id": "first_development", "seconds": 150, "pace": "developer"},
            {"id": "first_wash", "seconds": 60},
            {"id": "bleach", "seconds": 100, "ends": "eye"},
            {"id": "lights", "seconds": 30},
            {"id": "second_development", "seconds": 90},
        ],
    }
    told["kit"]["processes"] = [own]
    told["papers"][0]["process"] = "mine"
    document.write_text(json.dumps(told), encoding="utf-8")
    found = answered(cli, "bench", document)
    assert found.process.name == "My line"
    assert found.steps[0].seconds == 150
    assert "your own" in cli("bench", document, "--list").out


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--temperature", "45"), "above 27 gelatin softens"),
        (("--temperature", "warm"), "give degrees Celsius"),
        (("--temperature", "nan"), "temperature_c is nan"),
        (("--sheets", "0"), "sheets is 0"),
        (("--sheets", "41"), "from 1 to 40"),
        (("--lamp-lm", "1500"), "give both --lamp-lm and --lamp-at"),
        (("--lamp-lm", "-3", "--lamp-at", "1m"), "flux_lm is -3"),
        (("--first-sign", "0"), "first_sign_s is 0"),
        (("--first-sign", "9", "--developer", "tea"), "no developer called 'tea'"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    cli: Cli, more: tuple[str, ...], said: str
) -> None:
    assert said in cli.refused(*TRAYS, *more)


def test_a_process_nobody_knows(cli: Cli) -> None:
    assert "no process called 'tea'" in cli.refused("bench", "--process", "tea")


def test_a_paper_that_names_a_process_that_is_gone(cli: Cli, document: Path) -> None:
    told = json.loads(document.read_text())
    told["papers"][0]["process"] = "tea"
    document.write_text(json.dumps(told), encoding="utf-8")
    assert "no process called 'tea'" in cli.refused("bench", document)
    assert cli("bench", document, "--process", "rc-drum/peroxide").code == 0


@pytest.mark.parametrize("seconds", [0, -1])
def test_a_step_of_no_seconds_is_refused(cli: Cli, document: Path, seconds: int) -> None:
    told = json.loads(document.read_text())
    step = {"id": "first_development", "seconds": seconds}
    told["kit"]["processes"] = [{"id": "mine", "steps": [step]}]
    document.write_text(json.dumps(told), encoding="utf-8")
    refused = cli.refused("bench", document, "--process", "mine")
    assert f"is {seconds}: give a number above 0" in refused
    assert "mine" in refused
