"""Advise and predict, as they are typed."""

from __future__ import annotations

import json
import math
import re
import sys
from pathlib import Path

import pytest

from stillroom.documents.answers import Advice, Forecast
from stillroom.documents.bare_ledger import LedgerDocument
from stillroom.documents.several import SeveralSheets
from stillroom.services.demo import demo_book, demo_document
from stillroom.services.loop import LoopSession
from stillroom.services.plan import advise, predict

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


@pytest.fixture(scope="module")
def advice() -> Advice:
    return advise(demo_book(), "OM")


# ---- where it comes from -------------------------------------------------------------------


def test_a_file_a_pipe_and_the_book_are_answered_alike(
    cli: Cli, document: Path, tmp_path: Path, advice: Advice
) -> None:
    book = tmp_path / "book.db"
    assert cli("import", document, "--book", book).code == 0
    answers = [
        cli("advise", document, "--json"),
        cli("advise", "-", "--json", given=demo_document()),
        cli("advise", "--book", book, "--json"),
        cli("advise", book, "--json"),
    ]
    for answer in answers:
        assert answer.code == 0
        assert answer.err == ""
        assert answer.out.count("\n") == 1
        assert Advice.model_validate_json(answer.out) == advice


def test_the_latest_unfinished_sitting_is_meant(cli: Cli, document: Path) -> None:
    assert cli("predict", document, "--json").json["sitting"] == "OM"
    assert cli("predict", document, "--sitting", "JB", "--json").json["sitting"] == "JB"
    known = cli.refused("predict", document, "--sitting", "XY")
    assert known == "There is no sitting called 'XY'; known here: KS December, KS June, JB, OM."


def test_without_a_book_it_says_how_to_begin(cli: Cli, tmp_path: Path) -> None:
    said = cli.refused("advise", "--book", tmp_path / "none.db")
    assert "There is no book at" in said
    assert "stillroom serve" in said
    assert not (tmp_path / "none.db").exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is not JSON"),
        ("{", "is not JSON"),
        ("[]", "must be one JSON object"),
        ('{"stillroom": "book/9"}', "'book/9'"),
        ('{"stillroom": "book/1", "stillroom": "book/1"}', "twice"),
        ('{"stillroom": "book/1", "papers": [{"id": "x", "ei": NaN}]}', "finite"),
        ('{"stillroom": "book/1"}', "There is no sitting yet"),
    ],
)
def test_a_document_that_cannot_be_used_is_one_sentence(cli: Cli, text: str, said: str) -> None:
    assert said in cli.refused("advise", "-", given=text)


def test_a_document_and_a_book_are_one_too_many(cli: Cli, document: Path) -> None:
    assert "give one of them" in cli.refused("advise", document, "--book", document)


# ---- what it says --------------------------------------------------------------------------


def test_the_answer_reads_like_the_trade(cli: Cli, document: Path, advice: Advice) -> None:
    text = cli("advise", document).out
    assert text.startswith("OM 4; clip 4, bottom left\n")
    assert re.search(r"^Tones land, \d+ in \d+$", text, re.MULTILINE)
    assert re.search(r"What would spoil them: .* 1 in \d+", text)
    assert "Ranges are nine in ten." in text
    for change in advice.changes:
        name = (change.role or change.knob).capitalize()
        assert re.search(rf"^\* {name}", text, re.MULTILINE), change
    unchanged = {light.role for light in demo_book().sittings[-1].lights} - {
        change.role for change in advice.changes
    }
    for role in unchanged & {"key", "fill", "rim"}:
        assert re.search(rf"^  {role.capitalize()}, .*as before", text, re.MULTILINE)


@pytest.mark.parametrize(
    "arguments",
    [
        ("advise",),
        ("advise", "--sheets", "2"),
        ("advise", "--ledger", "shadow"),
        ("predict",),
        ("predict", "--ledger", "rim"),
    ],
)
def test_it_fits_eighty_columns_without_colour_or_percentages(
    cli: Cli, document: Path, arguments: tuple[str, ...]
) -> None:
    verb, *rest = arguments
    text = cli(verb, document, *rest).out
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "%" not in text
    assert "\x1b" not in text
    assert not any(line.endswith(" ") for line in text.splitlines())
    assert not re.search(r"\b(optimi[sz]e|smart|safe|overexpos|underexpos)", text)


def test_the_ledger_adds_up(cli: Cli, document: Path, advice: Advice) -> None:
    text = cli("advise", document, "--ledger", "key").out
    assert not re.search(r"-\d", text), "a minus is a minus, not a hyphen"
    numbers = r"([+−]\d+\.\d\d|0\.00)"
    chain = text.split("\n\n")[1]
    total = 0.0
    rows = 0
    for found in re.finditer(rf"{numbers} +(?:±\d+\.\d\d +)?{numbers}$", chain, re.MULTILINE):
        stops, so_far = (float(x.replace("−", "-")) for x in found.groups())
        total += stops
        rows += 1
        assert math.isclose(total, so_far, abs_tol=0.005 * rows + 0.006)
    assert rows > 12
    landed = re.search(rf"Where the chain lands .*?{numbers}", chain)
    assert landed
    key = next(x for x in advice.forecast.regions["key"].landings if x.source == "key")
    assert math.isclose(float(landed[1].replace("−", "-")), key.stops, abs_tol=0.006)
    assert "on this sheet" in text


def test_an_unknown_region_of_the_ledger_is_named(cli: Cli, document: Path) -> None:
    assert "known here: key, shadow, rim, bg" in cli.refused("advise", document, "--ledger", "x")


def test_names_from_a_document_cannot_steer_the_terminal(cli: Cli) -> None:
    data = json.loads(demo_document())
    data["sittings"][-1]["place"] = "pump\x1b[2Jhouse"
    text = cli("predict", "-", given=json.dumps(data)).out
    assert "\x1b" not in text
    assert "pump?[2Jhouse" in text


# ---- several sheets ------------------------------------------------------------------------


def test_several_sheets_are_a_list(cli: Cli, document: Path, advice: Advice) -> None:
    answer = SeveralSheets.model_validate(cli("advise", document, "--sheets", 3, "--json").json)
    assert len(answer.settings) == len(answer.forecast.sheets) == 3
    assert answer.marks == ("OM 4", "OM 5", "OM 6")
    odds = [f.p_keeper for f in answer.forecast.sheets if f.p_keeper is not None]
    assert len(odds) == 3
    assert max(odds) < answer.forecast.p_any <= 1
    assert answer.forecast.p_any <= sum(odds)  # of any of several, at most their sum
    assert answer.stepped_sheet == advice.stepped_sheet
    assert (answer.not_yet_read, answer.reachable) == (advice.not_yet_read, advice.reachable)
    assert isinstance(cli("advise", document, "--json").json["settings"], dict)


@pytest.mark.parametrize("count", [0, 9, -1])
def test_other_numbers_of_sheets_are_refused(cli: Cli, document: Path, count: int) -> None:
    assert "from 1 to 4" in cli.refused("advise", document, "--sheets", count)


# ---- predict -------------------------------------------------------------------------------


def test_settings_typed_and_settings_given_are_one(cli: Cli, document: Path) -> None:
    said = cli(
        "predict", document, "--dial", "key=−1,2", "--dial", "fill=90", "--distance", "rim=2 ft 6",
        "--f", "f/8", "--pops", 2, "--open", "1/4", "--json",
    )  # fmt: skip
    forecast = Forecast.model_validate_json(said.out)
    settings = forecast.settings
    assert settings.f_number == 8
    assert settings.pops == 2
    assert settings.open_s == 0.25
    assert settings.lights["key"].dial == -1.2
    assert settings.lights["fill"].dial == 90
    # 1 ft = 0.3048 m and 1 in = 0.0254 m, by definition
    assert settings.lights["rim"].distance_m == pytest.approx(2 * 0.3048 + 6 * 0.0254)
    again = cli(
        "predict", document, "--settings", settings.model_dump_json(exclude_none=True), "--json"
    )
    assert again.json == said.json
    assert predict(demo_book(), "OM", settings) == forecast


def test_as_things_stand_is_the_last_sheet_as_made(cli: Cli, document: Path) -> None:
    last = demo_book().sittings[-1].sheets[-1]
    forecast = Forecast.model_validate_json(cli("predict", document, "--json").out)
    assert last.made is not None
    assert forecast.settings.lights["key"].dial == last.made.lights["key"].dial
    assert forecast.settings.lights["fill"].dial == last.settings.lights["fill"].dial
    assert forecast.sheet_number == last.number + 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--dial", "key=-9"], "from -6 to 0"),
        (["--dial", "kay=-1"], "known here: key, fill, rim, room"),
        (["--dial", "room=-1"], "only a head has a dial"),
        (["--f", "9"], "choose a mark"),
        (["--f", "nine"], "write it as a number"),
        (["--pops", "0"], "from 1 to 64"),
        (["--pops", "two"], "write a whole number"),
        (["--open", "1/0"], "nothing is divided by 0"),
        (["--distance", "key=3 cubits"], "3 cubits"),
        (["--front", "key=veil"], "known here: octa, strip, grid, card"),
        (["--settings", "{}"], "f_number"),
        (["--settings", '{"f_number": 8, "popz": 1}'], "popz"),
        (["--settings", '{"f_number": NaN}'], "finite"),
    ],
)
def test_settings_that_no_hand_can_make(
    cli: Cli, document: Path, arguments: list[str], said: str
) -> None:
    assert said in cli.refused("predict", document, *arguments)


def test_a_sitting_as_a_bare_ledger_is_spoken_by_the_loop(cli: Cli, document: Path) -> None:
    bare = LedgerDocument.model_validate(cli("predict", document, "--bare").json)
    begin = {"op": "begin", **bare.model_dump(mode="json", exclude={"stillroom"})}
    begin["mode"] = "scan"
    assert LoopSession().answer(json.dumps(begin)) == {"ok": True}
