"""`record` with documents and books that cannot be used: one sentence, exit code 2, all kept."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stillroom.services.demo import demo_document

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

SOUND = demo_document()
SAW = ("--saw", "key=as_wanted")
HEADER = b"SQLite format 3\x00"  # sqlite.org/fileformat2.html, 1.3.1

Change = Callable[[dict[str, Any]], object]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def book(cli: Cli, tmp_path: Path) -> Path:
    path = tmp_path / "book.db"
    assert cli("import", "-", "--book", path, given=SOUND).code == 0
    return path


def with_text(old: str, new: str) -> bytes:
    assert old in SOUND
    return SOUND.replace(old, new, 1).encode()


def changed(change: Change) -> bytes:
    data = json.loads(SOUND)
    change(data)
    return json.dumps(data).encode()


def last(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = data["sittings"][-1]
    return found


def number(where: str) -> Change:
    """A whole number that no integer of 64 bits can hold."""
    value = 10**30

    def change(data: dict[str, Any]) -> None:
        sheet = last(data)["sheets"][0]
        {
            "sheet": lambda: sheet.update(number=value),
            "pops": lambda: sheet["settings"].update(pops=value),
            "steps": lambda: sheet["settings"].update(steps_pops=[1, value]),
            "energy": lambda: data["kit"]["heads"][0].update(energy_ws=value),
            "before": lambda: last(data)["meter_readings"][0].update(before_sheet=value),
        }[where]()

    return change


DOCUMENTS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is not JSON: expecting value in line 1, column 1"),
    "blank": (b" \n\n", "is not JSON"),
    "half": (SOUND.encode()[: len(SOUND) // 2], "is not JSON"),
    "comma": (with_text('"kit":', ',"kit":'), "is not JSON"),
    "tail": (SOUND.encode() + b"{}", "is not JSON: extra data"),
    "null": (b"null", "it must be one JSON object"),
    "list": (b"[]", "is a list: it must be one JSON object"),
    "number": (b"3", "is a number: it must be one JSON object"),
    "nothing_in_it": (b"{}", "does not say what it is"),
    "later_form": (changed(lambda d: d.update(stillroom="book/9")), "says stillroom 'book/9'"),
    "other_form": (changed(lambda d: d.update(stillroom="sitting/1")), "'book/1' is understood"),
    "form_is_a_number": (changed(lambda d: d.update(stillroom=1)), "'book/1' is understood"),
    "latin_1": (b'{"stillroom": "book/1", "note": "caf\xe9"}', "not UTF-8 text (byte 37)"),
    "utf_16": (SOUND.encode("utf-16"), "save it as UTF-8"),
    "utf_16_le": (SOUND.encode("utf-16-le"), "UTF-8"),
    "bytes": (bytes(range(256)), "save it as UTF-8"),
    "zeros": (b"\x00" * 100, "is not JSON"),
    "half_a_character": (
        changed(lambda d: last(d).update(note="\ud800")),
        "half a character",
    ),
    "deep": (b"[" * 100_000, "nested deeper than 40"),
    "nan": (
        changed(lambda d: last(d)["sheets"][0]["settings"].update(open_s=float("nan"))),
        "holds NaN",
    ),
    "infinity": (changed(lambda d: d["papers"][0].update(ei=float("inf"))), "holds Infinity"),
    "beyond_floats": (with_text('"ei": ', '"ei": 1e999, "x": '), "too large to be a number"),
    "400_digits": (
        with_text('"ei": ', '"ei": 1' + "0" * 400 + ', "x": '),
        "too large to be a number",
    ),
    "5000_digits": (
        with_text('"ei": ', '"ei": 1' + "0" * 5000 + ', "x": '),
        "too large to be a number",
    ),
    **{
        f"large_{where}": (changed(number(where)), of)
        for where, of in (
            ("sheet", "number of"),
            ("pops", "pops of"),
            ("steps", "steps_pops of"),
            ("energy", "energy_ws of"),
            ("before", "before_sheet of"),
        )
    },
    "same_head": (
        changed(lambda d: d["kit"]["heads"].append(d["kit"]["heads"][0])),
        "Two of the heads are called 'A'",
    ),
    "same_sitter": (
        changed(lambda d: d["sitters"].append(d["sitters"][0])),
        "Two of the sitters are called",
    ),
    "same_sitting": (
        changed(lambda d: d["sittings"].append(d["sittings"][0])),
        "Two of the sittings are called 'KS December'",
    ),
    "same_sheet": (
        changed(lambda d: last(d)["sheets"].append(last(d)["sheets"][0])),
        "Two of the sheets of sitting 'OM' are called '1'",
    ),
    "same_name": (with_text('"kit":', '"papers": [], "kit":'), "names 'papers' twice"),
    "unlisted_field": (changed(lambda d: d.update(colour="red")), "colour"),
    "no_sitting": (changed(lambda d: d.update(sittings=[])), "There is no sitting yet"),
    "sitting_is_text": (changed(lambda d: d.update(sittings="OM")), "sittings"),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_bad_document_is_refused_and_left_alone(cli: Cli, tmp_path: Path, name: str) -> None:
    text, said = DOCUMENTS[name]
    path = tmp_path / "given.json"
    path.write_bytes(text)
    for out in ((), ("--json",)):
        refused = cli.refused("record", path, *SAW, *out)
        assert said in refused
        assert len(refused) < 600
    assert path.read_bytes() == text
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", sorted({*DOCUMENTS} - {"no_sitting"}))  # empty, yet a book
def test_a_bad_document_takes_nothing_from_a_book(
    cli: Cli, book: Path, tmp_path: Path, name: str
) -> None:
    path = tmp_path / "given.json"
    path.write_bytes(DOCUMENTS[name][0])
    before = cli("export", "--book", book).out
    for how in ((), ("--replace",)):
        assert DOCUMENTS[name][1] in cli.refused("import", path, "--book", book, *how)
    assert cli("export", "--book", book).out == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--sitting", "ZZ"], "There is no sitting called 'ZZ'; known here: KS December, KS June"),
        (["--sitting", ""], "There is no sitting called ''"),
        (["--sitting", "OM\x1b[2J"], "There is no sitting called"),
        (["--sitting", "x" * 5000], "There is no sitting called"),
        (["--sitting", "OM", "--sheet", "9"], "There is no sheet called '9'"),
        (["--sitting", "OM", "--sheet", "0"], "There is no sheet called '0'"),
        (["--sitting", "OM", "--sheet", "-1"], "There is no sheet called '-1'"),
        (["--sitting", "OM", "--sheet", str(10**30)], "There is no sheet called"),
        (["--sitting", "OM", "--sheet", "1.5"], "write a whole number"),
        (["--sitting", "OM", "--sheet", "nan"], "write a whole number"),
        (["--sitting", "OM", "--sheet", ""], "write a whole number"),
    ],
)
@pytest.mark.parametrize("given", ["document", "book"])
def test_what_is_not_there_is_named(
    cli: Cli, book: Path, given: str, arguments: list[str], said: str
) -> None:
    before = cli("export", "--book", book).out
    where = ["--book", book] if given == "book" else ["-"]
    refused = cli.refused("record", *where, *arguments, *SAW, given=SOUND)
    assert said in refused
    assert len(refused) < 600
    assert cli("export", "--book", book).out == before


NO_BOOK: dict[str, bytes | None] = {
    "folder": None,
    "empty": b"",
    "text": b"not a book",
    "header": HEADER,
    "header_and_zeros": HEADER + b"\x00" * 4096,
    "document": SOUND.encode(),
}


@pytest.mark.parametrize(
    ("by", "name"),
    [("option", name) for name in NO_BOOK]
    + [("argument", name) for name in sorted({*NO_BOOK} - {"document"})],
)
def test_what_is_no_book_is_refused_and_left_alone(
    cli: Cli, tmp_path: Path, by: str, name: str
) -> None:
    path, content = tmp_path / "given", NO_BOOK[name]
    if content is None:
        path.mkdir()
    else:
        path.write_bytes(content)
    where = ("--book", path) if by == "option" else (path,)
    assert str(path) in cli.refused("record", *where, *SAW)
    assert list(tmp_path.iterdir()) == [path]
    if content is not None:
        assert path.read_bytes() == content


@pytest.mark.parametrize("by", ["option", "argument"])
def test_what_is_missing_is_not_made(cli: Cli, tmp_path: Path, by: str) -> None:
    path = tmp_path / "given"
    where = ("--book", path) if by == "option" else (path,)
    assert str(path) in cli.refused("record", *where, *SAW)
    assert not path.exists()
