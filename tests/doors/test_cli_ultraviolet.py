"""A lamp's ultraviolet, as it is typed: what is said, what is not known, what is refused."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

BAND = ("ultraviolet", "--irradiance", "4", "--peak", "365")


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


def told(cli: Cli, *arguments: object) -> Any:
    said = cli("ultraviolet", *arguments, "--json")
    assert said.code == 0, said
    return said.json


def test_the_stricter_rule_for_the_eye_is_told_and_the_other_named(cli: Cli) -> None:
    found = told(cli, *BAND[1:])
    assert found["uva_s"] == pytest.approx(10_000 / 4)
    assert found["uva_by_irradiance_s"] is None  # 4 W/m² may go on by the standard
    shown = cli(*BAND).out
    assert "Eye, 315 to 400 nm        41 min" in shown
    assert "by the other rule       all of eight hours" in shown
    assert "a check, not a clearance" in shown.lower()
    assert "risk group" in shown


def test_further_off_it_falls_by_the_square(cli: Cli) -> None:
    near, far = told(cli, *BAND[1:]), told(cli, *BAND[1:], "--at", "2")
    assert far["uva_w_m2"] == pytest.approx(near["uva_w_m2"] / 4)
    assert far["actinic_s"] == pytest.approx(near["actinic_s"] * 4)


def test_a_planned_time_as_a_share_of_the_day(cli: Cli) -> None:
    found = told(cli, *BAND[1:], "--minutes", "20")
    assert found["share_of_day"] == pytest.approx(20 * 60 / 2500)
    assert "beyond a day's limit" in cli(*BAND, "--minutes", "60").out


def test_a_bare_wire_counts_below_300_nm(cli: Cli) -> None:
    bare = told(cli, "--bare", "3200", "--lux", "2000")
    known = told(cli, "tungsten", "--lux", "2000")
    assert bare["actinic_w_m2"] > 5 * known["actinic_w_m2"]
    assert "--bare" in " ".join(known["notes"])


def test_what_a_table_does_not_know_is_said_and_given_no_figure(cli: Cli) -> None:
    found = told(cli, "LED-B3", "--lux", "1000", "--minutes", "5")
    assert found["is_known"] is False
    assert found["actinic_s"] is found["uva_w_m2"] is found["share_of_day"] is None
    shown = cli("ultraviolet", "LED-B3", "--lux", "1000").out
    assert "not known" in shown
    assert "below 380 nm" in shown
    assert "all of eight hours" not in shown


def test_own_file_and_the_formula(cli: Cli, tmp_path: Path) -> None:
    lamp = tmp_path / "lamp.csv"
    lamp.write_text("nm,power\n300,0.2\n330,1\n400,1\n560,1\n700,1\n", encoding="utf-8")
    table, formula = (
        told(cli, lamp, "--lux", "500", "--weights", which) for which in ("table", "analytic")
    )
    assert table["uva_w_m2"] == formula["uva_w_m2"]
    assert table["actinic_w_m2"] != formula["actinic_w_m2"]
    assert table["actinic_w_m2"] == pytest.approx(formula["actinic_w_m2"], rel=0.2)


def test_blue_light_of_a_face_and_of_a_point(cli: Cli) -> None:
    face = told(cli, "D65", "--lux", "1000", "--face", "0.1")["blue_light"]
    point = told(cli, "D65", "--lux", "1000", "--face", "0.01")["blue_light"]
    assert face["radiance_w_m2_sr"] == pytest.approx(0.9886 * 1000 / 0.00785398 / 1000, rel=1e-3)
    assert point["longest_s"] == pytest.approx(101, abs=1)
    assert point["by_standard_s"] is None


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "give one of"),
        (("D65",), "--lux goes with it"),
        (("D65", "--bare", "3200", "--lux", "10"), "give one of"),
        (("--irradiance", "4"), "--peak goes with it"),
        (("--irradiance", "-4", "--peak", "365"), "from 0 to"),
        (("--irradiance", "4", "--peak", "555"), "from 200 to 420 nm"),
        (("--irradiance", "4", "--peak", "365", "--at", "0"), "from 0.05 to 100 m"),
        (("--irradiance", "four", "--peak", "365"), "write it as a number"),
        (("--irradiance", "4", "--peak", "365", "--face", "0.1"), "needs a light"),
        (("--irradiance", "4", "--peak", "365", "--minutes", "-1"), "from 0 to 1440 min"),
        (("moonlight", "--lux", "10"), "There is no light called"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(
    cli: Cli, arguments: tuple[str, ...], said: str
) -> None:
    assert said in cli.refused("ultraviolet", *arguments)
