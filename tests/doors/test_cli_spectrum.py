"""The colour of light, as it is typed: names, files, what is shown, and what is refused."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from stillroom.quantity.spectra import GRADED, LIGHT_NAMES, VARIABLE_CONTRAST

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def pane(tmp_path: Path) -> Path:
    path = tmp_path / "pane.csv"
    path.write_text("nm;passes\n340;1\n380;62,5\n420;88\n780;91\n", encoding="utf-8")
    return path


def told(cli: Cli, *arguments: object) -> Any:
    said = cli("spectrum", *arguments, "--json")
    assert said.code == 0, said
    return said.json


# ---- what is said ----------------------------------------------------------------------------


def test_a_table_light_on_graded_paper(cli: Cli) -> None:
    # The shift through the old lens stands in the notes' table: -1.278, and -0.901.
    graded = told(cli, "LED-B3", "--lens", "old330", "--lux", "500")
    assert graded["shift"]["value_stops"] == pytest.approx(-1.278, abs=0.03)
    assert graded["actinic_lux"] == pytest.approx(500 * 2 ** graded["shift"]["value_stops"])
    assert graded["shift"]["sd_stops"] > 0.3
    variable = told(cli, "led-b3", "--lens", "old330", "--paper", "variable contrast")
    assert variable["shift"]["value_stops"] == pytest.approx(-0.901, abs=0.03)
    assert variable["paper"] == "variable contrast"


def test_a_colour_temperature(cli: Cli) -> None:
    assert told(cli, "5500K")["shift"]["value_stops"] == pytest.approx(0, abs=0.01)
    assert told(cli, "3200K")["light"] == "full radiator of 3200 K"


def test_every_light_is_answered(cli: Cli) -> None:
    for name in LIGHT_NAMES:
        said = cli("spectrum", name)
        assert said.code == 0
        assert "Shift" in said.out


def test_a_window_stands_before_the_meter_and_a_lens_behind_it(cli: Cli) -> None:
    grey_before = told(cli, "D65", "--glass", "float")["shift"]["value_stops"]
    assert grey_before == pytest.approx(told(cli, "D65")["shift"]["value_stops"], abs=0.06)
    filtered = told(cli, "D65", "--filter", "yellow")["shift"]["value_stops"]
    assert filtered < -3
    assert told(cli, "D65", "--filter", "yellow")["through"] == ["yellow filter"]
    both = told(cli, "tungsten", "--gel", "blue", "--gel", "half-blue")
    assert both["light"] == "tungsten, blue gel, half blue gel"


def test_the_ei_goes_from_one_light_to_another(cli: Cli) -> None:
    by_led = told(cli, "LED-B3", "--lens", "old330", "--ei", "6")["ei"]
    assert by_led["set"] == pytest.approx(6 * 2 ** (-1.278 + 0.035), rel=0.01)
    low, high = by_led["nine_in_ten"]
    assert low < by_led["set"] < high
    same = told(cli, "flash", "--ei", "6", "--ei-under", "flash", "--lens", "iso")["ei"]
    assert same["set"] == pytest.approx(6)
    assert same["nine_in_ten"] == [pytest.approx(6), pytest.approx(6)]
    filtered = told(cli, "flash", "--ei", "6", "--ei-under", "flash", "--filter", "uv")["ei"]
    assert filtered["set"] < 6


def test_what_the_meter_should_show(cli: Cli) -> None:
    said = told(cli, "D55", "--ei", "6", "--f", "f/8", "--open", "2s")["ei"]["meter_should_show"]
    # ISO 2720: N**2 C / (S t), C = 250.
    assert said["lux"] == pytest.approx(64 * 250 / (6 * 2))
    assert said["ev100"] == pytest.approx(9.06, abs=0.01)


def test_skin_lips_and_denim_come_out_each_in_its_way(cli: Cli) -> None:
    stops = {one["surface"]: one["rendered_stops"] for one in told(cli, "D55")["surfaces"]}
    assert stops["denim"] > 0 > stops["skin"] > stops["dark-skin"]
    assert stops["lips"] < 0
    only = told(cli, "D55", "--surface", "brick")["surfaces"]
    assert [one["surface"] for one in only] == ["brick"]


def test_people_read_stops_and_what_is_invented(cli: Cli) -> None:
    said = cli("spectrum", "FL2", "--ei", "6", "--lens", "uvcut370").out
    assert "\n  Shift             −0.8 " in said
    assert "less than the meter says" in said
    assert "Nothing is known of this light below 380 nm; a tenth of a stop is counted" in said
    assert "Invented or from memory: graded, uvcut370, lips, denim, white-cloth." in said
    assert max(map(len, said.splitlines())) <= 80
    assert "as much as the meter says" in cli("spectrum", "D55").out
    assert "more than the meter says" in cli("spectrum", "shade").out


def test_without_a_light_it_tells_the_names(cli: Cli) -> None:
    said = cli("spectrum")
    assert said.code == 0
    assert "laminated" in said.out
    assert "freckle" in said.out
    assert max(map(len, said.out.splitlines())) <= 80
    assert cli("spectrum", "--json").json["light"] == list(LIGHT_NAMES)


# ---- files -----------------------------------------------------------------------------------


def test_a_pane_of_one_s_own(cli: Cli, pane: Path) -> None:
    said = told(cli, "shade", "--glass", pane, "--percent")
    assert said["light"] == "shade, pane.csv"
    assert said["shift"]["value_stops"] < told(cli, "shade")["shift"]["value_stops"] - 0.3
    assert said["cautions"] == []


def test_what_a_file_leaves_out_is_said(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "filter.csv"
    path.write_text("400,0.9\n500,0.9\n", encoding="utf-8")
    said = told(cli, "D55", "--filter", path)
    assert said["cautions"] == ["filter.csv counts as passing nothing beyond 400 to 500 nm."]


def test_a_light_and_a_paper_of_one_s_own(cli: Cli, tmp_path: Path) -> None:
    lamp, paper = tmp_path / "lamp.TXT", tmp_path / "paper.tsv"
    lamp.write_bytes(
        "Wellenl\xe4nge\tLeistung\r\n440\t0\r\n450\t1\r\n640\t1\r\n".encode("latin-1")
    )
    for response in (GRADED, VARIABLE_CONTRAST):
        rows = zip(response.spectrum.wavelength_nm, response.spectrum.values, strict=True)
        paper.write_text("\n".join(f"{nm}\t{value}" for nm, value in rows), encoding="utf-8")
        mine = told(cli, lamp, "--paper", paper)
        theirs = told(cli, lamp, "--paper", response.name)
        assert mine["kind"] == "measured"
        assert mine["shift"]["value_stops"] == pytest.approx(theirs["shift"]["value_stops"])
        assert mine["shift"]["sd_stops"] < theirs["shift"]["sd_stops"]


def test_a_surface_of_one_s_own_keeps_its_ends(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "scarf.csv"
    path.write_text("450,0.3\n600,0.3\n", encoding="utf-8")
    (said,) = told(cli, "D65", "--surface", path)["surfaces"]
    assert said["rendered_stops"] == pytest.approx(0, abs=1e-9)


# ---- what cannot be used ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["sun"], "There is no light called 'sun'; known here: a colour temperature such as"),
        (["D55", "--lens", "fast"], "no lens called 'fast'; known here: old330"),
        (["D55", "--glass", "crystal"], "no glass called 'crystal'"),
        (["D55", "--gel", "pink"], "no gel called 'pink'"),
        (["D55", "--filter", "red"], "no filter called 'red'"),
        (["D55", "--surface", "fur"], "no surface called 'fur'"),
        (["D55", "--paper", "fast"], "no paper response called 'fast'; known here: graded"),
        (["D55", "--ei", "6", "--ei-under", "sun"], "no light called 'sun'"),
        (["300K"], "from 1000 to 100000 K"),
        (["30000K"], "from 4000 to 25000 K"),
        (["D55", "--lens", "340/380"], "wavelength at 5 is 380.0: give a number from 250 to 339"),
        (["D55", "--lux", "bright"], "--lux is 'bright': write it as a number"),
        (["D55", "--lux", "0"], "illuminance is 0.0: give a number from 1e-06 to 1e+06 lx"),
        (["D55", "--ei", "0"], "EI is 0.0: give a number from 0.01 to 3200"),
        (["D55", "--ei", "nan"], "--ei is 'nan': write it as a number"),
        (["D55", "--f", "8"], "--ei, --f and --open go together"),
        (["D55", "--ei", "6", "--open", "2"], "--ei, --f and --open go together"),
        (["D55", "--ei", "6", "--f", "0", "--open", "2"], "from 0.5 to 512"),
        (["missing.csv"], "missing.csv cannot be read: No such file"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(cli: Cli, arguments: list[str], said: str) -> None:
    assert said in cli.refused("spectrum", *arguments)


@pytest.mark.parametrize(
    ("content", "arguments", "said"),
    [
        (b"400,0.5\n500,92\n", [], "value in line 2 of mine.csv is 92.0: give a number from 0 to"),
        (b"400,0.5\n500,0.9\n", ["--percent"], "that looks like shares from 0 to 1"),
        (b"400,0.5\n400,0.9\n", [], "line 2 of mine.csv is '400 nm': line 1 has it too"),
        (b"", [], "mine.csv holds no lines of figures"),
        (b"\x00\x01\x02", [], "mine.csv is no plain text"),
        (b"1," * 1_000_001, [], "mine.csv has 2.0 MB: at most 2 MB can be read"),
        (b"\xff\xfe\xfd,1\n", [], "mine.csv"),
    ],
)
def test_a_file_that_cannot_be_used(
    *,
    cli: Cli,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    content: bytes,
    arguments: list[str],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.csv").write_bytes(content)
    assert said in cli.refused("spectrum", "D55", "--lens", "mine.csv", *arguments)


def test_a_folder_is_no_file(cli: Cli, tmp_path: Path) -> None:
    (tmp_path / "folder.csv").mkdir()
    assert "cannot be read" in cli.refused("spectrum", tmp_path / "folder.csv")


def test_light_that_no_eye_or_no_paper_sees(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "lamp.csv"
    path.write_text("310,0\n320,1\n330,0\n", encoding="utf-8")
    assert "it gives the eye nothing" in cli.refused("spectrum", path)
    path.write_text("640,0\n650,1\n660,0\n", encoding="utf-8")
    assert "nothing of it reaches graded paper" in cli.refused("spectrum", path)
