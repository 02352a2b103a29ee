"""Another camera from the command line. Everything here is invented."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import pytest

from stillroom.documents.ways import Ways
from tests.unit.services.other_camera_books import book, data

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "small.json"
    path.write_text(book().model_dump_json(exclude_unset=True), encoding="utf-8")
    return path


def test_the_price_the_ways_and_what_carries_are_told(cli: Cli, document: Path) -> None:
    said = cli("ways", document, "--camera", "8x10", "--viewing", "wall")
    assert said.code == 0, said.err
    out = " ".join(said.out.split())
    assert out.startswith("8x10, 360, on Sorrel, batch 7 On the wall it asks for 2 stops more")
    assert "In the hand it asks for 4 stops more than the 4 × 5 in." in out
    assert "1 A and B in the softbox, f/5.6" in out
    for name in ("Tones land", "Eye sharp", "To hold", "Second edge", "Why here"):
        assert name in out
    assert "First a test piece" in out
    assert "The chain of the key light with this paper at the key cheek" in out
    assert "What does not" in out
    assert not re.search(r"\d ?%|\bunder\b|\boverexp", out)


def test_as_json_it_is_the_document(cli: Cli, document: Path) -> None:
    said = cli("ways", document, "--camera", "8x10", "--json")
    found = Ways.model_validate_json(said.out)
    assert found.stillroom == "ways/1"
    assert (found.sitting, found.other.camera, found.other.lens) == ("S1", "8x10", "360")
    assert found == Ways.model_validate(cli("ways", document, "--camera", "8x10", "--json").json)


def test_what_is_typed_counts(cli: Cli, document: Path) -> None:
    def asked(*options: object) -> Ways:
        return Ways.model_validate_json(
            cli("ways", document, "--camera", "8x10", *options, "--json").out
        )

    assert asked("--from", "1.5 m").other.subject_distance_m == pytest.approx(1.5)
    assert asked("--magnification", 0.3).other.magnification == 0.3
    assert {way.settings.f_number for way in asked("--f", "f/8").ways} == {8}
    assert {way.pops for way in asked("--pops-most", 1).ways} == {1}
    assert asked("--lens", 210, "--magnification", 0.4).other.lens == "210"
    assert any(head.is_hired for head in asked("--buy-ws", 1000).hired) or not any(
        way.buy_ws for way in asked("--buy-ws", 1000).ways
    )
    assert asked("--viewing", "wall").viewing == "on_the_wall"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ("--camera", "none"),
            "There is no camera called 'none'; known here: 4x5, 8x10.",
        ),
        (
            ("--camera", "8x10", "--magnification", 2),
            "magnification is 2.0: that takes a draw of 1080 mm, and camera '8x10' draws 50",
        ),
        (
            ("--camera", "8x10", "--f", 7),
            "f-number is 7.0: lens '360' is marked 5.6, 8, 11, 16, 22, 32; choose a mark.",
        ),
        (
            ("--camera", "8x10", "--viewing", "floor"),
            "There is no viewing called 'floor'; known here: hand, wall.",
        ),
        (
            ("--camera", "8x10", "--at", "loft"),
            "There is no seat called 'loft'; known here: none yet.",
        ),
        (("--camera", "8x10", "--pops-most", 99), "most pops is 99: give a number from 1 to 64."),
        (("--camera", "8x10", "--sitting", "S9"), "There is no sitting called 'S9'"),
    ],
)
def test_what_cannot_be_is_one_sentence(
    cli: Cli, document: Path, options: tuple[object, ...], said: str
) -> None:
    assert cli.refused("ways", document, *options).startswith(said)


def test_the_nearest_that_fits_is_told(cli: Cli, document: Path) -> None:
    refused = cli.refused("ways", document, "--camera", "8x10", "--magnification", 2)
    assert refused.endswith("to 700 mm; give at most 0.94.")
    assert cli("ways", document, "--camera", "8x10", "--magnification", 0.94).code == 0


def test_in_the_dark_a_window_is_named(cli: Cli) -> None:
    dark = data(stands={"f_number": 5.6, "lights": {"key": {"on": False}}})
    assert "--at" in cli.refused("ways", "-", "--camera", "8x10", given=json.dumps(dark))


def test_a_camera_that_never_focuses_is_refused(cli: Cli) -> None:
    short = data()
    short["kit"]["cameras"][1]["draw_max_mm"] = 150
    said = cli.refused("ways", "-", "--camera", "8x10", given=json.dumps(short))
    assert said.startswith("No lens of the kit comes to focus on camera '8x10'")
