"""Filters, pre-flash and contrast from the command line. Everything here is invented."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.book import Sheet
from stillroom.documents.contrast import Contrast
from stillroom.documents.read import read_book
from tests.unit.book_cases import book_of, head_and_shoulders

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    """By a key and a dim room on hard paper of variable contrast, with two filters at hand."""
    data: dict[str, Any] = head_and_shoulders(
        lights=[
            {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.9},
            {"role": "room", "kind": "room", "metered_lx": 5},
        ],
        aims={"key": {"density": 0.5}, "shadow": {"density": 1.6}},
    )
    data["kit"]["filters"] = [{"id": "00", "grade": 0}, {"id": "hard", "grade": 5}]
    data["papers"][0] |= {
        "response": "variable_contrast", "ei": 24, "ei_sd_stops": 0.3, "contrast_per_stop": 2.4,
        "contrast_log_sd": 0.1,
    }  # fmt: skip
    path = tmp_path / "hard.json"
    path.write_text(book_of(data).model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


def newest(cli: Cli, document: Path, *arguments: object) -> Sheet:
    """The last sheet of the document that an entry makes of it; it is kept for the next."""
    said = cli("record", document, *arguments, "--json")
    assert said.code == 0, said.err
    document.write_text(said.out, encoding="utf-8")
    return read_book(said.out).sittings[0].sheets[-1]


# ---- how far apart, and what helps ----------------------------------------------------------


def test_cheek_and_shadow_are_too_far_apart_and_what_helps(cli: Cli, document: Path) -> None:
    said = " ".join(cli("contrast", document).out.split())
    assert said.startswith(
        "By the light key cheek and shadow cheek are 3 stops apart, this paper takes 2⅔ (±¾)."
    )
    for way in ("A card or lamp that adds 2 less", "A pre-flash 4", "Filter 00 on the lens"):
        assert way in said
    assert "hard on the lens" not in said
    assert said.count("Tones land, ") == 3
    assert "As it is, tones land fewer than 1 in 100." in said


def test_the_answer_as_json_is_the_document_of_it(cli: Cli, document: Path) -> None:
    found = Contrast.model_validate(cli("contrast", document, "--json").json)
    assert [way.kind for way in found.ways] == ["card", "preflash", "filter"]
    assert found.ways[-1].settings is not None
    asked = found.ways[-1].settings.model_dump_json()
    told = cli("predict", document, "--settings", asked, "--json").json
    assert told["p_keeper"] == pytest.approx(found.ways[-1].p_keeper, abs=1e-3)


def test_with_the_filter_on_they_fit(cli: Cli, document: Path) -> None:
    said = " ".join(cli("contrast", document, "--filter", "00").out.split())
    assert "this paper takes 4" in said
    assert said.split(". ")[0].endswith("they fit")
    assert "What helps" not in said


def test_one_aim_is_not_enough(cli: Cli, document: Path) -> None:
    data = json.loads(document.read_text(encoding="utf-8"))
    del data["sittings"][0]["aims"]["shadow"]
    refused = cli.refused("contrast", "-", given=json.dumps(data))
    assert refused == (
        "Sitting S1 has fewer than two aims, so none lies apart from another: aim a second region."
    )


# ---- what is set ----------------------------------------------------------------------------


def test_a_forecast_behind_a_filter_with_a_pre_flash(cli: Cli, document: Path) -> None:
    said = cli("predict", document, "--filter", "00", "--pre-flash", "3,5").out
    assert "Filter       00 on the lens" in said
    assert "Pre-flash    3.5 below the mid-tone" in said
    assert "Filter" not in cli("predict", document).out
    ledger = cli("predict", document, "--filter", "00", "--pre-flash", 3, "--ledger", "key").out
    assert "Filter 00 " in ledger
    assert "\nPre-flash: " in ledger
    assert "test on this paper" in ledger


def test_advice_for_a_set_with_a_filter_is_behind_it(cli: Cli, document: Path) -> None:
    bare = cli("advise", document, "--json").json
    behind = cli("advise", document, "--filter", "00", "--json").json
    assert (bare["settings"]["filter"], behind["settings"]["filter"]) == (None, "00")
    assert behind["forecast"]["p_keeper"] > bare["forecast"]["p_keeper"]


@pytest.mark.parametrize(
    ("option", "value", "part"),
    [
        ("--filter", "xx", "called 'xx'; known here: 00, hard."),
        ("--pre-flash", "dark", "--pre-flash is 'dark': write it as a number."),
        ("--pre-flash", "-1", "pre_flash_stops is -1"),
    ],
)
def test_what_cannot_be_is_refused(
    cli: Cli, document: Path, option: str, value: str, part: str
) -> None:
    for command in ("predict", "advise", "contrast", "record"):
        assert part in cli.refused(command, document, option, value)


def test_graded_paper_refuses_a_contrast_filter(cli: Cli, document: Path) -> None:
    data = json.loads(document.read_text(encoding="utf-8"))
    data["papers"][0]["response"] = "graded"
    refused = cli.refused("predict", "-", "--filter", "00", given=json.dumps(data))
    assert refused == (
        "filter of what is set is '00': graded paper such as 'sorrel/7' does not change contrast, "
        "it would only lose light; leave it off."
    )


# ---- what is written down -------------------------------------------------------------------


def test_a_sheet_behind_a_filter_is_written_down_and_the_next_is_advised_so(
    cli: Cli, document: Path
) -> None:
    first = newest(cli, document, "--filter", "00", "--pre-flash", 3)
    assert first.made is not None
    assert (first.made.filter, first.made.pre_flash_stops) == ("00", 3)
    second = newest(cli, document, "--as-advised")
    assert (second.settings.filter, second.settings.pre_flash_stops) == ("00", 3)
    assert second.made is None


def test_none_is_written_down_too_and_can_be_put_right(cli: Cli, document: Path) -> None:
    newest(cli, document, "--filter", "00", "--pre-flash", 3)
    second = newest(cli, document, "--filter", "none", "--f", 8)
    assert second.made is not None
    assert (second.made.filter, second.made.f_number) == (None, 8.0)
    assert "filter" in second.made.model_fields_set
    assert "pre_flash_stops" not in second.made.model_fields_set
    put_right = newest(cli, document, "--sheet", 2, "--pre-flash", "none")
    assert put_right.made is not None
    assert (put_right.made.filter, put_right.made.pre_flash_stops) == (None, None)
    assert {"filter", "pre_flash_stops", "f_number"} <= put_right.made.model_fields_set
    third = newest(cli, document, "--as-advised")
    assert (third.settings.filter, third.settings.pre_flash_stops) == (None, None)
