"""Control strips from the command line, into a document and into the book."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from stillroom.documents.read import read_book
from stillroom.services.demo import demo_document

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

READ = ("--density", "1=0.62", "--density", "2=1.10")
WEAKER = ("--density", "1=0.84", "--density", "2=1.34")


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "quarry-lane.json"
    path.write_text(demo_document(), encoding="utf-8")
    return path


@pytest.fixture
def book(cli: Cli, document: Path, tmp_path: Path) -> Path:
    path = tmp_path / "book.db"
    assert cli("import", document, "--book", path).code == 0
    return path


def test_without_a_strip_the_bath_was_not_checked(cli: Cli, book: Path) -> None:
    said = cli("bath", "--book", book)
    assert said.code == 0
    assert "Bath not checked today, ±¼." in said.out
    assert "local rules go first" in " ".join(said.out.split())


def test_the_first_is_the_reference_and_the_next_is_held_against_it(cli: Cli, book: Path) -> None:
    assert "The reference" in cli("bath", "--book", book, *READ).out
    said = " ".join(cli("bath", "--book", book, *WEAKER).out.split())
    assert "Control strip no. 2 of sitting OM is written down." in said
    assert "The bath is ⅓ weaker than at the reference: fresh developer" in said
    listed = cli("bath", "--book", book, "--json").json
    assert [run["reference"] for run in listed["runs"]] == [True, False]
    assert listed["runs"][1]["value_stops"] == pytest.approx(-0.366, abs=0.01)
    assert listed["says"] == listed["runs"][1]["says"]


def test_a_reading_by_her_strip_carries_its_spread(cli: Cli, document: Path) -> None:
    said = cli("bath", document, "--strip", "1=6-7", "--strip", "2=4", "--json")
    assert said.code == 0, said.err
    sitting = next(s for s in read_book(said.out).sittings if s.id == "OM")
    (strip,) = sitting.control_strips
    own = {s.step: s.density for p in read_book(said.out).papers[:1] for s in p.comparison_strip}
    assert strip.steps == {
        "1": pytest.approx((own[6] + own[7]) / 2),
        "2": pytest.approx(own[4]),
    }
    assert strip.density_sd is not None
    assert strip.density_sd > 0.03


def test_the_last_one_is_marked_by_itself_and_another_with_its_reading(
    cli: Cli, book: Path
) -> None:
    cli("bath", "--book", book, *READ)
    cli("bath", "--book", book, *WEAKER)
    assert cli("bath", "--book", book, "--reference").code == 0
    cli("bath", "--book", book, *WEAKER, "--reference")
    listed = cli("bath", "--book", book, "--json").json
    assert [run["reference"] for run in listed["runs"]] == [True, True, True]


def test_a_document_stays_as_it_was(cli: Cli, document: Path) -> None:
    before = document.read_text(encoding="utf-8")
    said = cli("bath", document, *READ)
    assert "--json prints the new one" in " ".join(said.out.split())
    assert document.read_text(encoding="utf-8") == before
    after = cli("bath", document, *READ, "--json")
    assert cli("bath", "-", "--json", given=after.out).json["runs"][0]["reference"] is True


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--density", "1"), "write it like 1=0.62"),
        (("--density", "1=much"), "much"),
        (("--density", "1=3.4"), "held to read"),
        (("--strip", "1=black"), "an end of the strip"),
        (("--strip", "1=77"), "two side by side"),
        (("--density", "1=0.6", "--strip", "1=5"), "has a density already"),
        (("--reference",), "no control strip yet"),
        (("--sitting", "nobody", *READ), "nobody"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_writes_nothing(
    cli: Cli, book: Path, arguments: tuple[str, ...], says: str
) -> None:
    assert says in cli.refused("bath", "--book", book, *arguments)
    assert json.loads(cli("bath", "--book", book, "--json").out)["runs"] == []
