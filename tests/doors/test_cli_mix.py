"""Chemistry from the command line. Everything here is invented."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from stillroom.documents.mixing import Baths, Label, MixingList, Solution, Wash
from stillroom.documents.recipes import Recipes
from stillroom.store import open_book

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

SMALL = Path(__file__).parents[1] / "data" / "quarry_lane_small.json"


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


def test_recipes_are_listed_by_kind(cli: Cli) -> None:
    said = cli("mix")
    assert said.code == 0
    assert "Bleaches" in said.out
    assert "peroxide-citric" in said.out
    found = Recipes.model_validate(cli("mix", "--json").json)
    assert len(found.recipes) == 19


def test_battery_acid_as_the_notes_work_it_out(cli: Cli) -> None:
    made = MixingList.model_validate(
        cli("mix", "dichromate-strong", "--volume", "1L", "--bottle", "37 %", "--json").json
    )
    acid = made.parts[0].lines[1]
    assert acid.amount == pytest.approx(45.7, abs=0.05)
    text = cli("mix", "dichromate-strong", "--volume", "1L", "--bottle", "37 %").out
    assert "45.7 ml" in text
    assert "33.7 ml less" in text
    assert "Danger" in text
    assert "Collect it" in text
    assert "from memory" in text


@pytest.mark.parametrize(
    ("typed", "ml"),
    [("800ml", 800), ("0.8 L", 800), ("0,8l", 800), ("800", 800), ("1 litre", 1000)],
)
def test_volumes_are_read_as_people_write_them(cli: Cli, typed: str, ml: float) -> None:
    found = cli("mix", "stop", "--volume", typed, "--json").json
    assert found["volume_ml"] == pytest.approx(ml)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("stop", "--volume", "-500ml"), "volume is -500"),
        (("stop", "--volume", "0"), "from 10 to 200000 ml"),
        (("stop", "--volume", "some"), "write it like 800ml"),
        (("dichromate-mild", "--bottle", "98 %", "--density", "1.28"), "is about 37 % w/w"),
        (("dichromate-mild", "--bottle", "37 %", "--density", "1.84"), "weighs 1.277 g/ml"),
        (("permanganate", "--bottle", "hydrochloric acid 37 %"), "chlorine gas comes off"),
        (("dichromate-mild", "--bottle", "hydrochloric acid 37 %"), "chlorine gas comes off"),
        (("permanganate", "--bottle", "hydrochloric acid 98 %"), "water holds at most 40 %"),
        (("dichromate-mild", "--bottle", "101 %"), "from 0 to 100 %"),
        (("dichromate-mild", "--bottle", "0.5 %"), "use a stronger bottle"),
        (("dichromate-mild", "--density", "1.28"), "goes with the strength of a bottle"),
        (("clear-dichromate", "--bottle", "37 %"), "takes no acid or peroxide"),
        (("mq", "--dilution", "thin"), "write it like 1+9"),
        (("mq", "--form", "sodium sulfite=potion"), "no substance"),
        (("mq", "--for", "bleach"), "goes with --made"),
        (("nothing",), "no recipe"),
        (("mq", "--ago", "5"), "goes with --made"),
        (("mq", "--ago", "-5", "--made"), "from 0 to 525600 minutes"),
        (("--took", "40"), "say which bath"),
        (("--bath", "x"), "say --label, --took, --thrown-out or --put-back"),
        (("--solution", "acetic acid 2 %"), "how strong is your acetic acid"),
        (("--solution", "citric acid 10 % v/v"), "is weighed"),
        (("--solution", "citric acid"), "write it like citric acid 10 %"),
        (("--solution", "acetic acid 90 %", "--bottle", "60 %"), "the bottle is weaker"),
        (("--together", "permanganate"), "a plus between them"),
        (("--wash", "film"), "no paper"),
        (("--wash", "rc", "--volume", "-1"), "from 10 to 200000 ml"),
    ],
)
def test_what_cannot_be_is_one_sentence(cli: Cli, arguments: tuple[str, ...], said: str) -> None:
    assert said in cli.refused("mix", *arguments)


def test_two_things_that_must_not_meet(cli: Cli) -> None:
    assert "chlorine" in cli("mix", "--together", "permanganate + hydrochloric acid").out
    assert "no promise" in cli("mix", "--together", "water + citric acid").out


def test_percent_solutions_of_a_solid_and_of_a_bottle(cli: Cli) -> None:
    solid = Solution.model_validate(
        cli("mix", "--solution", "citric acid 10 %", "--volume", "250ml", "--json").json
    )
    assert solid.amount == pytest.approx(25)
    assert solid.amount_unit == "g"
    by_mass = Solution.model_validate(
        cli("mix", "--solution", "citric acid 10 % w/w", "--volume", "200g", "--json").json
    )
    assert by_mass.amount == pytest.approx(20)
    assert by_mass.unit == "g"
    liquid = Solution.model_validate(
        cli("mix", "--solution", "acetic acid 2 %", "--bottle", "80%", "--json").json
    )
    assert liquid.amount == pytest.approx(1000 * 0.02 / (0.8 * 1.07), rel=1e-3)
    text = cli("mix", "--solution", "acetic acid 2 %", "--bottle", "80%").out
    assert "into the water, never the other way" in " ".join(text.split())


def test_washing_by_changes_of_water(cli: Cli) -> None:
    # (c / (V + c))^N, as washing theory has it, for the least and the most that is carried.
    found = Wash.model_validate(cli("mix", "--wash", "fibre", "--volume", "500ml", "--json").json)
    for row in found.rows:
        share = row.carry_ml / (500 + row.carry_ml)
        assert share**row.changes <= found.left < share ** (row.changes - 1)
    assert 9 < found.least_min < found.longest_min < 24
    said = " ".join(cli("mix", "--wash", "rc", "--volume", "500ml").out.split())
    assert "2 full changes of 500 ml" in said
    assert "minutes" not in said


def test_a_label_of_what_is_planned(cli: Cli) -> None:
    arguments = ("mix", "dichromate-mild", "--bottle", "37 %", "--label")
    label = Label.model_validate(cli(*arguments, "--json").json)
    assert label.hazard.signal == "Danger"
    text = cli(*arguments).out
    assert "DANGER" in text
    assert "Collect it" in text
    assert "drain" not in text.lower()


def test_a_bath_in_a_document_and_out_again(cli: Cli, tmp_path: Path) -> None:
    given = SMALL.read_text()
    made = cli("mix", "permanganate", "--document", "-", "--made", "--json", given=given)
    assert made.code == 0, made.err
    (mix,) = made.json["mixes"]
    assert mix["recipe"] == "permanganate"
    assert "stock" not in mix  # nothing was said of it
    path = tmp_path / "mixed.json"
    path.write_text(made.out)
    (bath,) = Baths.model_validate(cli("mix", "--baths", "--document", path, "--json").json).baths
    assert bath.life == "good"
    assert bath.sheets_used == 0
    assert bath.told in " ".join(cli("mix", "--baths", "--document", path).out.split())
    out = cli("mix", "--bath", mix["id"], "--took", "45s", "--document", path, "--json").json
    assert out["mixes"][0]["timed"][0]["seconds"] == 45
    out = cli("mix", "--bath", mix["id"], "--thrown-out", "--document", path, "--json").json
    assert out["mixes"][0]["thrown_out"]
    assert path.read_text() == made.out
    assert "no bath" in cli.refused("mix", "--bath", "other", "--thrown-out", "--document", path)


def test_a_bath_in_the_book(cli: Cli, tmp_path: Path) -> None:
    from datetime import UTC, datetime

    place = tmp_path / "book.db"
    with open_book(place, clock=lambda: datetime(2026, 11, 14, 12, tzinfo=UTC)) as book:
        from stillroom.documents.read import read_book

        book.import_document(read_book(SMALL.read_bytes()))
    mixed = json.loads(
        cli("mix", "mq", "--for", "first_development", "--book", place, "--made", "--json").out
    )
    assert mixed["dilution"] == "1+1"
    assert "MQ" in cli("mix", "--bath", mixed["id"], "--label", "--book", place).out
    refused = cli.refused(
        "mix", "permanganate", "--for", "first_development", "--book", place, "--made"
    )
    assert "Never a bleach into a developer" in refused
    gone = cli("mix", "--bath", mixed["id"], "--thrown-out", "--book", place)
    assert "No bath is written down" in gone.out
    again = cli.refused("mix", "--bath", mixed["id"], "--took", "30", "--book", place)
    assert "thrown out already" in again
    back = cli("mix", "--bath", mixed["id"], "--put-back", "--book", place)
    assert mixed["id"] in back.out
    assert "stands in the line" in cli.refused(
        "mix", "--bath", mixed["id"], "--put-back", "--book", place
    )
    cli("mix", "permanganate", "--book", place, "--made", "--ago", "300")
    assert "past its life: mixed 5 h ago" in " ".join(
        cli("mix", "--baths", "--book", place).out.split()
    )
