"""What cannot be meant, typed or in a document: one sentence, exit code 2, and nothing changed."""

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

Change = Callable[[dict[str, Any]], object]
FIFTY_MB = 50_000_000

NUMBERS: dict[str, tuple[tuple[str | int, ...], float, str]] = {
    # what it is: where it stands, an absurd value, the range that is named
    "energy_ws": (("kit", "heads", 0), 1e9, "from 1 to 100000"),
    "distance_m": (("sittings", -1, "lights", 0), 0.001, "from 0.05 to 100"),
    "f_number": (("sittings", 1, "sheets", 0, "settings"), 0.1, "from 0.5 to 512"),
    "ei": (("papers", 0), 10_000, "from 0.01 to 3200"),
    "open_s": (("sittings", 1, "sheets", 0, "settings"), 1e9, "from 1e-05 to 86400"),
}


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


def changed(change: Change) -> str:
    data = json.loads(demo_document())
    change(data)
    return json.dumps(data)


def with_number(name: str, value: object) -> str:
    def change(data: dict[str, Any]) -> None:
        part: Any = data
        for step in NUMBERS[name][0]:
            part = part[step]
        assert name in part, "the example has it, so that it is changed and not added"
        part[name] = value

    return changed(change)


# ---- numbers in a document -------------------------------------------------------------------


@pytest.mark.parametrize("name", NUMBERS)
@pytest.mark.parametrize("value", [0, -1, "text", True, [], "absurd"])
def test_a_number_out_of_its_range_is_named_with_the_range(
    cli: Cli, name: str, value: object
) -> None:
    _, absurd, limits = NUMBERS[name]
    refused = cli.refused(
        "advise", "-", given=with_number(name, absurd if value == "absurd" else value)
    )
    assert refused.startswith(f"{name} of ")
    assert limits in refused


@pytest.mark.parametrize("name", NUMBERS)
@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_a_number_that_is_none_is_refused(cli: Cli, name: str, value: float) -> None:
    assert "every number must be finite" in cli.refused(
        "advise", "-", given=with_number(name, value)
    )


# ---- numbers as they are typed ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("option", "typed"),
    [
        ("--distance", "key={}"),
        ("--f", "{}"),
        ("--open", "{}"),
        ("--dial", "fill={}"),
        ("--density", "key={}"),
        ("--meter", "key=f/{}@25"),
        ("--meter", "key=f/8@{}"),
    ],
)
@pytest.mark.parametrize("value", ["-1", "nan", "inf", "text", "", "1e9"])
def test_a_number_that_cannot_be_is_refused_at_every_option(
    cli: Cli, book: Path, option: str, typed: str, value: str
) -> None:
    before = cli("export", "--book", book).out
    cli.refused("record", "--book", book, option, typed.format(value))
    assert cli("export", "--book", book).out == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--distance", "key=0"], "length is 0"),
        (["--distance", "key=1 mm"], "from 0.05 to 100"),
        (["--f", "0"], "from 0.5 to 512"),
        (["--f", "0.1"], "from 0.5 to 512"),
        (["--open", "0"], "from 1e-05 to 86400"),
        (["--dial", "fill=0"], "from 10 to 300 W·s"),
        (["--pops", "1000000000"], "from 1 to 64"),
        (["--pops", "1.5"], "write a whole number"),
    ],
)
@pytest.mark.parametrize("verb", ["predict", "record"])
def test_nothing_and_the_absurd_are_refused_by_both_verbs(
    cli: Cli, document: Path, verb: str, arguments: list[str], said: str
) -> None:
    assert said in cli.refused(verb, document, *arguments)


# ---- names -----------------------------------------------------------------------------------


def sitting(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = data["sittings"][-1]
    return found


def read_at(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = sitting(data)["sheets"][0]["readings"][0]["regions"]
    return found


def twice(things: list[Any]) -> None:
    things.append(things[0])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: twice(d["kit"]["heads"]), "Two of the heads are called 'A'"),
        (lambda d: twice(d["papers"]), "Two of the papers are called 'sorrel-2/7'"),
        (lambda d: twice(d["sittings"]), "Two of the sittings are called"),
        (
            lambda d: twice(sitting(d)["sheets"]),
            "Two of the sheets of sitting 'OM' are called '1'",
        ),
        (lambda d: twice(sitting(d)["lights"]), "Two of the lights of sitting 'OM'"),
        (lambda d: d["kit"]["heads"].clear(), "There is no head (for light 'key' of"),
        (lambda d: d["papers"].clear(), "There is no paper (for sitting 'KS December')"),
        (lambda d: sitting(d).pop("paper"), "paper of sitting 'OM' is missing"),
        (lambda d: read_at(d).update(elbow={"density": 1}), "no region (for reading no. 1"),
        (lambda d: read_at(d).update(key={"density": 2.6}), "read it again, or correct"),
        (lambda d: read_at(d).update(key={"density": -0.1}), "read it again, or correct"),
        (lambda d: sitting(d)["aims"].update(key={"density": 3.0}), "aim within it"),
        (lambda d: sitting(d)["aims"].update(key={"density": 0.0}), "aim within it"),
        (lambda d: sitting(d)["aims"].update(key={"placement_stops": 20}), "from -8 to 8"),
        (lambda d: sitting(d)["aims"].update(key={"from_sheet": "OM 9"}), "OM 1, OM 2, OM 3"),
        (lambda d: sitting(d)["aims"].update(key={}), "exactly one of"),
        (lambda d: d.update(stillroom="book/2"), "'book/1' is understood here"),
        (lambda d: d.pop("stillroom"), "must be 'book/1'"),
    ],
)
@pytest.mark.parametrize("verb", ["check", "advise"])
def test_a_document_that_does_not_hold_together(
    cli: Cli, verb: str, change: Change, said: str
) -> None:
    assert said in cli.refused(verb, "-", given=changed(change))


def lights_off(sheet: dict[str, Any], data: dict[str, Any]) -> None:
    off = {light["role"]: {"on": False} for light in sitting(data)["lights"]}
    sheet["made"] = {**(sheet.get("made") or {}), "lights": off}


@pytest.mark.parametrize("verb", ["check", "advise", "import"])
@pytest.mark.parametrize("at", [0, 2])
def test_a_sheet_with_every_light_off_is_named(cli: Cli, book: Path, verb: str, at: int) -> None:
    """Found through the doors: a book that is there stays as it was."""
    text = changed(lambda d: lights_off(sitting(d)["sheets"][at], d))
    before = cli("export", "--book", book).out
    where = ("--book", book) if verb == "import" else ()
    refused = cli.refused(verb, "-", *where, given=text)
    assert refused.startswith(f"lights of sheet {at + 1} of sitting 'OM' is 'all off':")
    assert cli("export", "--book", book).out == before


def test_a_sheet_with_every_light_off_is_not_written_down(cli: Cli, book: Path) -> None:
    before = cli("export", "--book", book).out
    roles = [light["role"] for light in sitting(json.loads(before))["lights"]]
    off = [word for role in roles for word in ("--off", role)]
    said = cli.refused("record", "--book", book, "--sitting", "OM", *off)
    assert said.startswith("lights of sheet 4 of sitting 'OM' is 'all off':")
    assert cli("export", "--book", book).out == before


def test_a_name_given_twice_in_one_place(cli: Cli) -> None:
    text = demo_document().replace('"kit": {', '"kit": {"heads": [], ', 1)
    assert "names 'heads' twice" in cli.refused("check", "-", given=text)


def test_a_region_named_twice_by_one_option(cli: Cli, document: Path) -> None:
    said = cli.refused("record", document, "--saw", "key=black", "--saw", "key=too_dark")
    assert "give it once" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ["--dial", "moon=full"],
        ["--dial", "moon=-1"],
        ["--on", "moon"],
        ["--off", "moon"],
        ["--distance", "moon=1m"],
        ["--front", "moon=bare"],
    ],
)
@pytest.mark.parametrize("verb", ["predict", "record"])
def test_a_light_that_is_not_there_is_never_passed_over(
    cli: Cli, document: Path, verb: str, arguments: list[str]
) -> None:
    said = cli.refused(verb, document, *arguments)
    assert "'moon'; known here: key, fill, rim, room" in said


# ---- readings --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--density", "key=2.3"], "read it again"),  # Dmax is 1.9, with 0.15 for a slip
        (["--density", "key=-0.1"], "read it again"),  # Dmin is 0.08
        (["--sheet", "7", "--density", "key=1"], "4 (the next)"),
        (["--sheet", "0", "--density", "key=1"], "There is no sheet called '0'"),
        (["--density", "nose=0.6"], "known here: key, shadow"),
        (["--meter", "nose=f/22@25", "--lit", "key"], "known here: key, shadow"),
        (["--meter", "key=f/22@10000000"], "from 0.1 to 102400"),
        (["--meter", "key=f/22@25", "--lit", "key,key"], "Two of the lights on"),
        (["--note", "x" * 5000], "at most 4000 characters"),
        (["--moved", "x" * 500], "at most 200 characters"),
    ],
)
def test_a_reading_that_cannot_be_leaves_the_book_as_it_was(
    cli: Cli, book: Path, arguments: list[str], said: str
) -> None:
    before = cli("export", "--book", book).out
    refused = cli.refused("record", "--book", book, *arguments)
    assert said in refused
    assert len(refused) < 400, "a sentence, also of what is very long"
    assert cli("export", "--book", book).out == before


# ---- size ------------------------------------------------------------------------------------


@pytest.mark.parametrize("verb", ["check", "advise", "predict", "import"])
def test_a_document_of_fifty_megabytes_is_not_read(cli: Cli, tmp_path: Path, verb: str) -> None:
    large = tmp_path / "large.json"
    with large.open("wb") as file:
        file.truncate(FIFTY_MB)
    assert "50.0 MB and at most 8 MB can be read" in cli.refused(verb, large)


def test_what_is_too_large_from_a_pipe_is_not_said_to_be_as_large_as_allowed(cli: Cli) -> None:
    said = cli.refused("check", "-", given=" " * 9_000_000)
    assert "at most 8 MB can be read" in said
    assert "is 8.0 MB" not in said


@pytest.mark.parametrize("text", ["[" * 100_000, '{"a":' * 100_000])
def test_a_document_nested_without_end_is_refused(cli: Cli, text: str) -> None:
    assert "nested deeper than 40" in cli.refused("check", "-", given=text)


def test_a_bad_document_leaves_the_book_as_it_was(cli: Cli, book: Path) -> None:
    before = cli("export", "--book", book).out
    for text in (with_number("ei", -1), changed(lambda d: d.update(stillroom="book/2")), "{"):
        cli.refused("import", "-", "--book", book, given=text)
        cli.refused("import", "-", "--book", book, "--replace", given=text)
    assert cli("export", "--book", book).out == before
    assert [path.name for path in book.parent.glob("*before-import*")] == []


# ---- full on the dial ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("role", "top"),
    [("key", 0.0), ("fill", 300.0)],  # a dial in stops, one in watt-seconds, at its own top
)
def test_full_is_the_top_of_the_head_s_own_dial(
    cli: Cli, document: Path, role: str, top: float
) -> None:
    shown = cli("predict", document, "--dial", f"{role}=full")
    assert shown.code == 0, shown.err
    full = cli("predict", document, "--dial", f"{role}=full", "--json").json
    assert full == cli("predict", document, "--dial", f"{role}={top}", "--json").json
    assert full["settings"]["lights"][role]["dial"] == top
    made = cli("record", document, "--dial", f"{role}=full", "--json").json
    assert made["sittings"][-1]["sheets"][-1]["made"] == {"lights": {role: {"dial": top}}}


def test_only_a_head_has_a_full(cli: Cli, document: Path) -> None:
    for verb in ("predict", "record"):
        said = cli.refused(verb, document, "--dial", "room=full")
        assert "only a head has a dial" in said


def test_settings_that_leave_dials_out_are_at_full(cli: Cli, document: Path) -> None:
    few = '{"f_number": 8, "lights": {"rim": {"dial": -1}}}'
    assert cli("predict", document, "--settings", few).code == 0
    lights = cli("predict", document, "--settings", few, "--json").json["settings"]["lights"]
    assert {role: lights[role]["dial"] for role in ("key", "fill", "rim")} == {
        "key": 0.0,
        "fill": 300.0,
        "rim": -1,
    }


# ---- lessons ---------------------------------------------------------------------------------


def test_a_sheet_that_taught_nothing_announces_no_lesson(cli: Cli, document: Path) -> None:
    for seen in ((), ("--saw", "key=cant_tell")):
        said = cli("record", document, "--as-advised", *seen)
        assert said.code == 0
        assert "is written down" in said.out
        assert not any(line.strip() == "What it taught:" for line in said.out.splitlines())
