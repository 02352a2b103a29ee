"""Check, export, import, schema and paths, as they are typed."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from stillroom.documents.bare_ledger import OPS
from stillroom.documents.read import read_book
from stillroom.services.demo import demo_book, demo_document

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


def test_a_book_goes_in_and_comes_out_the_same(cli: Cli, document: Path, tmp_path: Path) -> None:
    book, out = tmp_path / "deep" / "book.db", tmp_path / "out.json"
    assert cli("import", document, "--book", book).code == 0
    assert cli("export", "--book", book, "--out", out).code == 0
    assert read_book(out.read_text(encoding="utf-8")) == demo_book()
    assert read_book(cli("export", "--book", book).out) == demo_book()
    assert "is there already" in cli.refused("export", "--book", book, "--out", out)


def test_the_same_again_changes_nothing(cli: Cli, document: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.db"
    cli("import", document, "--book", book)
    before = cli("export", "--book", book).out
    assert cli("import", document, "--book", book).code == 0
    assert cli("export", "--book", book).out == before


def test_a_document_that_says_otherwise_is_refused_whole(
    cli: Cli, document: Path, tmp_path: Path
) -> None:
    book = tmp_path / "book.db"
    cli("import", document, "--book", book)
    before = cli("export", "--book", book).out
    other = json.loads(demo_document())
    other["papers"][0]["ei"] = 9
    other["papers"].append({"id": "new/1", "ei": 3})
    said = cli.refused("import", "-", "--book", book, given=json.dumps(other))
    assert "sorrel-2/7" in said
    assert cli("export", "--book", book).out == before
    replaced = cli("import", "-", "--book", book, "--replace", given=json.dumps(other))
    assert "copied to" in replaced.out
    assert json.loads(cli("export", "--book", book).out)["papers"][0]["ei"] == 9
    copies = [p for p in tmp_path.iterdir() if "before-import" in p.name]
    assert len(copies) == 1
    assert cli("check", copies[0]).out.startswith("Nothing wrong found.")


def test_check_finds_nothing_wrong_with_the_example(cli: Cli, document: Path) -> None:
    said = cli("check", document)
    assert (said.code, said.out) == (0, "Nothing wrong found. Sittings: 4, sheets: 11.\n")


@pytest.mark.parametrize(
    ("break_it", "said"),
    [
        (lambda d: d["sittings"][0].update(paper="none"), "There is no paper"),
        (lambda d: d["kit"]["heads"].append(d["kit"]["heads"][0]), "called 'A'"),
        (lambda d: d["sittings"][1]["sheets"][0]["settings"].update(f_number=9), "choose a mark"),
        (lambda d: d["papers"][0].update(ei=-1), "ei"),
        (lambda d: d.update(colour="red"), "colour"),
    ],
)
def test_check_says_what_is_wrong(cli: Cli, break_it: object, said: str) -> None:
    data = json.loads(demo_document())
    break_it(data)  # type: ignore[operator]
    assert said in cli.refused("check", "-", given=json.dumps(data))


def test_check_looks_at_the_file_of_a_book(cli: Cli, document: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.db"
    cli("import", document, "--book", book)
    assert cli("check", "--book", book).code == 0
    whole = book.read_bytes()
    book.write_bytes(whole[: len(whole) // 2] + b"\x00" * (len(whole) - len(whole) // 2))
    for other in tmp_path.glob("book.db-*"):
        other.unlink()
    assert cli.refused("check", "--book", book)


@pytest.mark.parametrize("name", ["missing.json", "."])
def test_a_file_that_cannot_be_read(cli: Cli, tmp_path: Path, name: str) -> None:
    assert "cannot be read" in cli.refused("check", tmp_path / name)


def test_a_file_too_large_is_not_read(cli: Cli, tmp_path: Path) -> None:
    large = tmp_path / "large.json"
    with large.open("wb") as file:
        file.truncate(9_000_000)
    assert "at most 8 MB" in cli.refused("check", large)
    assert "at most 8 MB" in cli.refused("check", "-", given=" " * 8_000_001)


# ---- schema and paths ----------------------------------------------------------------------


def test_every_document_has_its_schema(cli: Cli) -> None:
    found = cli("schema").json
    answers = {"forecast/1", "advice/1", "several/1", "odd/1", "known/1", "contrast/1"}
    answers |= {"focus/1", "stillness/1", "ghost/1", "firing/1", "dark-test/1"}
    answers |= {"dark-test-read/1", "ways/1"}
    answers |= {"recipes/1", "mix/1", "baths/1", "label/1", "solution/1", "wash/1"}
    answers |= {"bench/1", "timetable/1", "day/1"}
    answers |= {f"daylight_{verb}/1" for verb in ("now", "day", "year", "when", "compared")}
    answers |= {"ways/1"}
    documents = {"book/1", "ledger/1", "settings", *answers}
    assert set(found) == documents | {f"loop/{op}" for op in OPS}
    for name, schema in found.items():
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["type"] == "object"
        assert schema["additionalProperties"] is False
        assert cli("schema", name).json == schema
    assert found["book/1"]["properties"]["stillroom"]["const"] == "book/1"


def test_an_unknown_schema_is_refused(cli: Cli) -> None:
    assert "known here: book/1" in cli.refused("schema", "book/2")


def test_paths_tell_each_place_and_why(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STILLROOM_DATA", str(tmp_path / "data"))
    found = cli("paths", "--json").json
    assert found["data"] == {"path": str(tmp_path / "data"), "origin": "STILLROOM_DATA"}
    assert found["book"]["path"] == str(tmp_path / "data" / "book.db")
    assert "STILLROOM_DATA" in found["book"]["origin"]
    assert found["log"]["path"] == str(tmp_path / "data" / "stillroom.log")
    flag = cli("paths", "--book", tmp_path / "x.db", "--json").json
    assert flag["book"] == {"path": str(tmp_path / "x.db"), "origin": "--book"}
    plain = cli("paths").out.splitlines()
    assert [line.split()[0] for line in plain] == ["config", "data", "book", "log"]
    assert not (tmp_path / "data").exists()
