"""Writing down from the command line, into a document and into the book."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.documents.read import read_book
from stillroom.reading import matched
from stillroom.services.demo import demo_book, demo_document
from stillroom.services.plan import advise

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


@pytest.fixture
def book(cli: Cli, document: Path, tmp_path: Path) -> Path:
    path = tmp_path / "book.db"
    assert cli("import", document, "--book", path).code == 0
    return path


def series(book: Book) -> Sitting:
    return next(s for s in book.sittings if s.id == "OM")


def written(cli: Cli, document: Path, *arguments: object) -> Sitting:
    """The sitting of the new document after an entry into `document`."""
    said = cli("record", document, *arguments, "--json")
    assert said.code == 0, said.err
    return series(read_book(said.out))


def new_sheet(cli: Cli, document: Path, *arguments: object) -> Sheet:
    sheets = written(cli, document, *arguments).sheets
    assert len(sheets) == 4
    return sheets[-1]


# ---- a sheet as made -----------------------------------------------------------------------


def test_as_advised_is_what_advise_says(cli: Cli, document: Path) -> None:
    sheet = new_sheet(cli, document, "--as-advised")
    advice = advise(demo_book(), "OM")
    assert (sheet.number, sheet.mark, sheet.clip) == (4, "OM 4", 4)
    assert sheet.settings == advice.settings
    assert sheet.made is None
    assert sheet.p_tones_land == advice.forecast.p_keeper
    assert sheet.when is not None
    for region, said in sheet.expected.items():
        assert said.q50 == advice.forecast.regions[region].placement_stops.q50


def test_only_what_differs_from_the_advice_is_kept_as_made(cli: Cli, document: Path) -> None:
    planned = advise(demo_book(), "OM").settings
    sheet = new_sheet(
        cli, document, "--dial", "key=-1.2", "--dial", f"rim={planned.lights['rim'].dial}",
        "--f", "f/8", "--pops", planned.pops, "--open", "1/8", "--distance", "fill=4 ft",
    )  # fmt: skip
    assert sheet.settings == planned
    assert sheet.made is not None
    assert sheet.made.model_dump(exclude_unset=True) == {
        "lights": {"key": {"dial": -1.2}, "fill": {"distance_m": pytest.approx(4 * 0.3048)}},
        "f_number": 8.0,
    }


def test_a_light_off_and_another_front(cli: Cli, document: Path) -> None:
    sheet = new_sheet(
        cli, document, "--off", "fill", "--front", "rim=strip", "--front", "key=bare"
    )
    assert sheet.made is not None
    assert not sheet.made.lights["fill"].on
    assert sheet.made.lights["rim"].modifiers == ("strip",)
    assert sheet.made.lights["key"].modifiers == ()


def test_what_was_made_is_put_right(cli: Cli, document: Path) -> None:
    before = series(demo_book()).sheets[2].made
    assert before is not None
    sheets = written(cli, document, "--sheet", 3, "--f", 8).sheets
    assert len(sheets) == 3
    made = sheets[2].made
    assert made is not None
    assert made.f_number == 8
    assert made.lights == before.lights
    assert sheets[2].readings == series(demo_book()).sheets[2].readings


def test_the_document_given_stays_as_it_is(cli: Cli, document: Path) -> None:
    said = cli("record", document, "--as-advised", "--saw", "key=as_wanted")
    assert said.code == 0
    assert "OM 4 is written down" in said.out
    assert "--json prints the new one" in said.out
    assert document.read_text(encoding="utf-8") == demo_document()


def test_everything_else_is_carried_over(cli: Cli, document: Path) -> None:
    after = read_book(cli("record", document, "--as-advised", "--json").out)
    before = demo_book()
    assert after.kit == before.kit
    assert after.papers == before.papers
    assert after.sitters == before.sitters
    assert after.sittings[0] == before.sittings[0]
    assert series(after).sheets[:3] == series(before).sheets


# ---- what it shows -------------------------------------------------------------------------


def test_words_are_wet_and_densities_dry_unless_said(cli: Cli, document: Path) -> None:
    (sheet,) = [new_sheet(cli, document, "--as-advised", "--saw", "key=too-dark",
                          "--saw", "rim=bare paper", "--density", "shadow=1,62")]  # fmt: skip
    words, density = sheet.readings
    assert (words.by, words.state) == ("words", "wet")
    assert words.regions["key"].verdict == "too_dark"
    assert words.regions["rim"].verdict == "bare_paper"
    assert (density.by, density.state) == ("densitometer", "dry")
    assert density.regions["shadow"].density == 1.62
    scanned = new_sheet(cli, document, "--as-advised", "--density", "key=0.7", "--by", "scan",
                        "--wet")  # fmt: skip
    assert [(r.by, r.state) for r in scanned.readings] == [("scan", "wet")]


def test_a_step_of_the_strip_is_its_density(cli: Cli, document: Path) -> None:
    paper = demo_book().papers[0]
    densities = [s.density for s in sorted(paper.comparison_strip, key=lambda s: -s.density)]
    sheet = new_sheet(cli, document, "--as-advised", "--strip", "key=5-6", "--strip", "shadow=2",
                      "--strip", "rim=bare", "--strip", "bg=black")  # fmt: skip
    (reading,) = sheet.readings
    assert reading.by == "strip"
    between = reading.regions["key"]
    assert between.density == pytest.approx((densities[4] + densities[5]) / 2, abs=1e-3)
    assert between.steps == (5, 6)
    one = matched([paper.dmax, *densities, paper.dmin], [2])
    assert reading.regions["shadow"].density == densities[1]
    assert reading.regions["shadow"].density_sd == pytest.approx(one.density_sd, abs=1e-3)
    assert reading.regions["rim"].verdict == "bare_paper"
    assert reading.regions["bg"].verdict == "black"
    unsure = new_sheet(cli, document, "--as-advised", "--strip", "key=5-6?").readings[0]
    sd = unsure.regions["key"].density_sd
    assert sd is not None
    assert between.density_sd is not None
    assert sd == pytest.approx(2 * between.density_sd, abs=1e-3)


def test_strips_of_a_stepped_sheet_are_read_one_by_one(cli: Cli, document: Path) -> None:
    sheet = new_sheet(cli, document, "--steps", "1,2,4", "--density", "1:key=1.2",
                      "--density", "4:key=0.4")  # fmt: skip
    assert sheet.settings.steps_pops == (1, 2, 4)
    assert sheet.p_tones_land is None
    (reading,) = sheet.readings
    assert {s.step: s.regions["key"].density for s in reading.strips} == {1: 1.2, 4: 0.4}
    said = cli.refused("record", document, "--steps", "1,2,4", "--density", "8:key=0.4")
    assert "the strips are 1, 2, 4" in said


def test_a_second_look_keeps_what_became_of_the_sheet(cli: Cli, document: Path) -> None:
    before = series(demo_book()).sheets[2]
    after = written(cli, document, "--density", "key=1.1").sheets[2]
    assert after.readings[:-1] == before.readings
    assert (after.kept, after.not_kept_because) == (before.kept, before.not_kept_because)
    changed = written(cli, document, "--not-kept", "focus, face", "--moved", "curtain",
                      "--note", "she laughed").sheets[2]  # fmt: skip
    assert changed.kept is False
    assert changed.not_kept_because == ("face", "focus")
    assert changed.what_else_moved == ("curtain",)
    assert changed.note == "she laughed"
    assert written(cli, document, "--sheet", 1, "--kept").sheets[0].kept is True


# ---- the meter -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "shows", "lit"),
    [
        ("key=f/22@25", {"f_number": 22, "iso": 25}, "key"),
        ("key=22@iso 25", {"f_number": 22, "iso": 25}, "key"),
        ("key=640 lx", {"lx": 640}, "room"),  # lux and EV tell of steady light
        ("key=EV 9,3", {"ev100": 9.3}, "room"),
    ],
)
def test_a_meter_reading_as_it_is_shown(
    cli: Cli, document: Path, typed: str, shows: dict[str, Any], lit: str
) -> None:
    others = () if lit == "key" else ("--lit", lit)
    sitting = written(cli, document, "--meter", typed, *others)
    assert len(sitting.sheets) == 3
    taken = sitting.meter_readings[-1]
    assert taken.shows.model_dump(exclude_none=True) == shows
    assert (taken.region, taken.lights_on, taken.meter) == ("key", (lit,), "flat")
    assert taken.before_sheet == 4
    assert taken.settings is not None
    assert (taken.settings.pops, taken.settings.steps_pops) == (1, None)


def test_settings_beside_a_meter_reading_are_how_the_set_stood(cli: Cli, document: Path) -> None:
    planned = advise(demo_book(), "OM").settings
    sitting = written(cli, document, "--meter", "shadow=f/5.6@100", "--lit", "key,fill",
                      "--dial", "fill=200")  # fmt: skip
    taken = sitting.meter_readings[-1]
    assert taken.lights_on == ("key", "fill")
    assert taken.settings is not None
    assert taken.settings.lights["fill"].dial == 200
    assert taken.settings.lights["key"] == planned.lights["key"]


# ---- refused -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "Nothing was said of a sheet"),
        (["--dial", "key"], "write it like key=-1.2"),
        (["--dial", "=1"], "write it like"),
        (["--dial", "key=-1", "--dial", "key=-2"], "give it once"),
        (["--dial", "kay=-1"], "known here: key, fill, rim, room"),
        (["--dial", "key=-9"], "from -6 to 0"),
        (["--dial", "key=nan"], "write it as a number"),
        (["--f", "9"], "choose a mark"),
        (["--off", "key", "--on", "key"], "one or the other"),
        (["--sheet", "9", "--saw", "key=black"], "4 (the next)"),
        (["--sheet", "3", "--as-advised"], "made already"),
        (["--saw", "key=blackish"], "choose black, too_dark"),
        (["--saw", "nose=black"], "nose"),
        (["--strip", "key=5-9"], "two side by side"),
        (["--strip", "key=40"], "give one of black"),
        (["--density", "key=5"], "from -0.1 to 4"),
        (["--density", "key=2.2"], "read it again"),
        (["--density", "2:key=0.5"], "not a stepped sheet"),
        (["--density", "x:key=0.5"], "2:key=0.61"),
        (["--density", "key=0.5", "--by", "words"], "read by densitometer"),
        (["--density", "key=0.5", "--by", "nose"], "choose words"),
        (["--kept", "--not-kept", "face"], "give one of the two"),
        (["--not-kept", "light"], "choose from tones, face, focus, blemish"),
        (["--steps", "1"], "steps_pops"),
        (["--meter", "key=22"], "f/22@25"),
        (["--meter", "hair=f/8@100"], "--lit"),
        (["--meter", "key=f/8@100", "--lit", "sun"], "sun"),
        (["--meter", "key=f/8@100", "--with-meter", "dome"], "known here: flat"),
        (["--lit", "key"], "it goes with --meter"),
    ],
)
def test_bad_input_is_one_line_and_nothing_is_changed(
    cli: Cli, book: Path, arguments: list[str], said: str
) -> None:
    before = cli("export", "--book", book).out
    refused = cli.refused("record", "--book", book, *arguments)
    assert said in refused
    assert cli("export", "--book", book).out == before


def test_a_sheet_with_a_bad_reading_is_not_written_at_all(cli: Cli, book: Path) -> None:
    """The sheet alone would be fine: all of an entry or nothing."""
    before = cli("export", "--book", book).out
    cli.refused("record", "--book", book, "--as-advised", "--density", "key=2.2")
    cli.refused(
        "record", "--book", book, "--as-advised", "--meter", "key=f/8@100", "--saw", "x=black"
    )
    assert cli("export", "--book", book).out == before


def test_a_sitting_without_a_sheet_asks_how_it_was_made(cli: Cli) -> None:
    data = json.loads(demo_document())
    data["sittings"][-1]["sheets"] = []
    said = cli.refused("record", "-", "--kept", given=json.dumps(data))
    assert "has no sheet yet" in said


# ---- into the book -------------------------------------------------------------------------


def test_the_book_says_what_the_sheet_taught(cli: Cli, book: Path) -> None:
    said = cli("record", "--book", book, "--as-advised", "--strip", "key=6", "--kept")
    assert said.code == 0
    assert said.out.startswith("OM 4 is written down, in the box.\n")
    assert "What it taught: " in said.out
    assert "--json" not in said.out
    document = read_book(cli("export", "--book", book).out)
    assert series(document).sheets[-1].kept is True
    assert cli("check", "--book", book).code == 0


def test_a_sheet_far_off_is_called_odd(cli: Cli, book: Path) -> None:
    said = cli("record", "--book", book, "--as-advised", "--density", "key=1.75",
               "--density", "shadow=1.84", "--density", "rim=1.6")  # fmt: skip
    told = " ".join(said.out.split())
    assert "Odd, OM 4: " in told
    assert "darker than everything else says" in told
    assert "--slip something-else" in told


def test_with_json_the_book_prints_itself(cli: Cli, book: Path) -> None:
    said = cli("record", "--book", book, "--as-advised", "--json")
    assert read_book(said.out) == read_book(cli("export", "--book", book).out)
