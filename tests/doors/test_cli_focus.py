"""Focus from the command line. Everything here is invented."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.focus import Focus
from tests.unit.book_cases import book_of, head_and_shoulders

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

NUMBERS = ("focus", "--focal", "240", "--f", "5.6")
QUARTER = (*NUMBERS, "--magnification", "1/4")


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    data: dict[str, Any] = head_and_shoulders()
    data["kit"]["cameras"][0] |= {"draw_max_mm": 300, "sheet_behind_glass_mm": 1.0}
    data["sittings"][0]["holding"] = {"support": "head_rest", "focus_on": "head_rest"}
    path = tmp_path / "focus.json"
    path.write_text(book_of(data).model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


def answer(cli: Cli, *arguments: object) -> Focus:
    said = cli(*arguments, "--json")
    assert said.code == 0, said.err
    return Focus.model_validate(json.loads(said.out))


def test_numbers_alone_are_c_16_c_21_and_c_22_of_the_published_checks(cli: Cli) -> None:
    found = answer(cli, *QUARTER, "--shift", "1")
    assert found.sharp[0].before_mm == pytest.approx(11.21, rel=0.01)
    assert found.sharp[0].behind_mm == pytest.approx(11.42, rel=0.01)
    assert found.displaced is not None
    assert found.displaced.nearer_mm == pytest.approx(15.74, rel=0.01)
    assert found.displaced.blur_mm == pytest.approx(0.141, rel=0.01)
    assert found.displaced.stop_down_to == 8
    assert found.draw_mm == pytest.approx(300)


def test_three_framings_are_one(cli: Cli) -> None:
    sizes = [
        answer(cli, *NUMBERS, *framing).magnification
        for framing in (("--magnification", "0.25"), ("--distance", "1.2m"), ("--draw", "300"))
    ]
    assert sizes == pytest.approx([0.25] * 3)


def test_by_the_tape_from_the_board_and_from_the_sheet(cli: Cli) -> None:
    """C-13 of the published checks: a telephoto of 360 mm, 260 mm at infinity focus."""
    tele = ("focus", "--focal", "360", "--flange", "260", "--distance")
    found = answer(cli, *tele, "1.9m", "--from", "board")
    assert found.magnification == pytest.approx(0.25)
    assert found.draw_mm == pytest.approx(350)
    again = answer(cli, *tele, "2250 mm", "--from", "film")
    assert again.magnification == pytest.approx(0.25)
    assert answer(cli, *NUMBERS, "--distance", "1.2").magnification == pytest.approx(0.25)


def test_a_sitting_knows_its_back_and_its_head_rest(cli: Cli, document: Path) -> None:
    found = answer(cli, "focus", document)
    assert found.displaced is not None
    assert found.reminder == "insert in before focusing"
    assert found.stand_in.focus_on == "head_rest"
    taped = answer(cli, "focus", document, "--rest", "18.5 cm").stand_in
    assert taped.rest_to_eye_mm == pytest.approx(185)
    assert taped.eye_sd_mm < found.stand_in.eye_sd_mm
    deeper = answer(cli, "focus", document, "--f", "16")
    assert deeper.stand_in.p_sharp > found.stand_in.p_sharp
    wall = answer(cli, "focus", document, "--viewing", "wall")
    assert wall.viewing == "on_the_wall"
    said = cli("focus", document).out
    assert "The eye is sharp" in said
    assert "insert" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((*NUMBERS, "--distance", "20cm"), "nearest, life size at 48 cm"),
        ((*NUMBERS, "--distance", "-1m"), "nearest, life size at 48 cm"),
        ((*NUMBERS, "--distance", "0"), "nearest, life size at 48 cm"),
        ((*NUMBERS, "--distance", "90cm", "--from", "film"), "nearest, life size at 96 cm"),
        ((*NUMBERS, "--distance", "1.2m", "--from", "moon"), "choose lens, board or film"),
        ((*NUMBERS, "--draw", "240"), "1:4 asks for 300 mm"),
        ((*NUMBERS, "--magnification", "1", "--bellows", "400"), "nearest, 1:1.5"),
        ((*QUARTER, "--rest", "-5cm"), "left out, 18.7 cm"),
        (("focus", "--pupil", "0.6"), "it goes with --focal"),
        ((*QUARTER, "--rest", "90cm"), "head rest to eye"),
        ((*QUARTER, "--draw", "300"), "only one"),
        ((*QUARTER, "--viewing", "moon"), "choose hand or wall"),
        (("focus", "--magnification", "1/4"), "--focal"),
        ((*NUMBERS, "--magnification", "0"), "magnification"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    cli: Cli, arguments: tuple[str, ...], says: str
) -> None:
    said = cli(*arguments)
    assert said.code != 0
    assert says in said.err
    assert "Traceback" not in said.err
    assert said.err.count("\n") <= 1


def test_a_stop_the_lens_lacks_and_bellows_too_short_name_the_nearest(
    cli: Cli, document: Path, tmp_path: Path
) -> None:
    said = cli("focus", document, "--f", "7")
    assert said.code != 0
    assert "nearest of its marks is f/8" in said.err or "nearest it has is f/8" in said.err
    data = json.loads(document.read_text(encoding="utf-8"))
    data["sittings"][0]["framing"] = {"magnification": 1.0}
    near = tmp_path / "near.json"
    near.write_text(json.dumps(data), encoding="utf-8")
    said = cli("focus", near)
    assert said.code != 0
    assert "bellows give 50 to 300 mm" in said.err
    assert "nearest, 1:2.3" in said.err
