"""Mixing lists: any volume, another bottle, another form, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, NotPossible, OutOfRange, StillroomError, UnknownName
from stillroom.services.mixing import Asked, liquid_of, mixing_list
from stillroom.services.recipes import KINDS, recipe_called, recipes, sheets_per_litre
from stillroom.wetline import chemistry as chem
from stillroom.wetline.chemistry import Bottle

IDS = [recipe.id for recipe in recipes()]
BATTERY = Bottle("sulfuric acid", 37)


def amounts(made: object) -> dict[str, float]:
    parts = getattr(made, "parts")  # noqa: B009 - any list
    return {line.substance: line.amount for part in parts for line in part.lines}


def test_recipes_name_substances_that_are_known() -> None:
    for recipe in recipes():
        assert recipe.kind in KINDS
        for name in recipe.substances:
            assert chem.substance(name).id == name
        chem.check_apart(*recipe.substances)  # no recipe brings together what must not meet
    assert len(set(IDS)) == len(IDS)


def test_every_figure_of_a_recipe_says_where_it_is_from() -> None:
    for recipe in recipes():
        for part in recipe.parts:
            for each in part.ingredients:
                if each.status.startswith("published"):
                    assert each.source, (recipe.id, each.substance)


# Amounts per litre as the reference prints them: substance, grams or ml of concentrated acid.
@pytest.mark.parametrize(
    ("recipe", "grams", "acid_ml"),
    [
        ("dichromate-strong", {"potassium dichromate": 9.5}, 12),
        ("dichromate-mild", {"potassium dichromate": 5}, 5),
        ("dichromate-nitric", {"potassium dichromate": 17}, 9.4),
        ("permanganate", {"potassium permanganate": 2}, 10),
        ("permanganate-weak", {"potassium permanganate": 1.1}, 2),
        ("clear-peroxide", {"sodium sulfite": 20}, None),
        ("mq", {"sodium sulfite": 45, "hydroquinone": 12, "potassium bromide": 2}, None),
        ("pq", {"sodium carbonate": 60, "benzotriazole": 0.2}, None),
        ("amidol", {"amidol": 5, "sodium sulfite": 15}, None),
        ("wash-aid", {"sodium sulfite": 20, "sodium bisulfite": 5}, None),
    ],
)
def test_a_litre_is_as_printed(
    recipe: str, grams: dict[str, float], acid_ml: float | None
) -> None:
    liquid = liquid_of(recipe_called(recipe))
    stock = None
    if liquid is not None and liquid.bottle is not None:
        stock = Bottle(liquid.substance, liquid.bottle.percent, liquid.bottle.basis)
    found = amounts(mixing_list(recipe, 1000, Asked(stock=stock)))
    for name, amount in grams.items():
        assert found[name] == pytest.approx(amount)
    if acid_ml is not None and stock is not None:
        assert found[stock.name] == pytest.approx(acid_ml)


def test_battery_acid_goes_by_mass() -> None:
    made = mixing_list("dichromate-strong", 1000, Asked(stock=BATTERY))
    assert amounts(made)["sulfuric acid"] == pytest.approx(45.7, abs=0.05)  # as the notes print it
    said = " ".join(made.notes)
    assert "33.7 ml less water" in said
    assert "percentages alone would say 31.8 ml: wrong" in said
    assert "about 4 °C" in said


def test_nobody_is_held_to_have_concentrated_acid() -> None:
    made = mixing_list("dichromate-strong", 1000)
    acid = made.parts[0].lines[1]
    assert acid.unit == "g"
    assert acid.amount == pytest.approx(12 * 1.799, rel=1e-3)
    by_label = {each.stock: each.amount for each in acid.alternatives}
    assert by_label["98 % w/w"] == pytest.approx(12, abs=0.01)
    assert by_label["37 % w/w"] == pytest.approx(45.7, abs=0.05)
    assert "How strong is your bottle?" in acid.note


@given(st.sampled_from(IDS), st.floats(10, 200_000))
def test_a_list_grows_with_the_volume(recipe: str, volume: float) -> None:
    one, other = mixing_list(recipe, 1000), mixing_list(recipe, volume)
    for name, amount in amounts(one).items():
        assert amounts(other)[name] == pytest.approx(amount * volume / 1000, rel=1e-9)
    for part in other.parts:
        liquid = sum(line.amount for line in part.lines if line.unit == "ml")
        assert 0 <= part.water_first_ml + liquid <= part.volume_ml + 1
    assert sum(part.volume_ml for part in other.parts) == pytest.approx(volume)


@given(st.floats(15, 98), st.floats(100, 5000))
def test_whatever_the_bottle_the_bath_is_as_strong(percent: float, volume: float) -> None:
    made = mixing_list("dichromate-strong", volume, Asked(stock=Bottle("sulfuric acid", percent)))
    acid = made.parts[0].lines[1]
    grams = acid.amount * percent / 100 * chem.density_g_ml("sulfuric acid", percent)
    assert grams == pytest.approx(12 * volume / 1000 * 0.98 * 1.836, rel=1e-9)


def test_crystals_in_the_place_of_dry_salt() -> None:
    asked = Asked(forms={"sodium sulfite": "sodium sulfite heptahydrate"})
    made = mixing_list("clear-peroxide", 1000, asked)
    assert made.parts[0].lines[0].amount == pytest.approx(20 * 252.15 / 126.04, rel=1e-3)
    assert "hold as much as 20 g" in made.notes[0]


def test_bisulfate_in_the_place_of_acid() -> None:
    made = mixing_list("dichromate-strong", 1000, Asked(bisulfate=True))
    assert amounts(made)["sodium bisulfate"] == pytest.approx(53, abs=0.5)
    assert "pH 1.2 in the place of 0.6" in " ".join(made.notes)
    wet = Asked(bisulfate=True, forms={"sodium bisulfate": "sodium bisulfate monohydrate"})
    grams = amounts(mixing_list("dichromate-strong", 1000, wet))["sodium bisulfate monohydrate"]
    assert grams == pytest.approx(53 * 138.07 / 120.06, abs=0.6)


def test_a_dilution_of_a_bottle_and_of_a_stock() -> None:
    bought = mixing_list("developer-second", 1000, Asked(dilution="1+9"))
    assert bought.parts[0].lines[0].amount == pytest.approx(100)
    assert bought.parts[0].water_first_ml == pytest.approx(900)
    own = mixing_list("mq", 1000, Asked(dilution="1+1"))
    assert amounts(own)["hydroquinone"] == pytest.approx(6)
    assert "500 ml with 500 ml of water" in own.notes[0]


def test_acid_goes_into_the_solution_after_the_salt_and_peroxide_last() -> None:
    steps = mixing_list("dichromate-strong", 1000, Asked(stock=BATTERY)).steps
    dissolve = next(i for i, step in enumerate(steps) if step.startswith("Dissolve"))
    pour = next(i for i, step in enumerate(steps) if step.startswith("Pour"))
    assert steps[0].startswith("Goggles, gloves and apron")
    assert "data sheets" in steps[0]
    assert 0 < dissolve < pour
    assert "into the solution, never the other way" in steps[pour]
    assert "Collect it" in steps[-1]
    peroxide = mixing_list("peroxide-citric", 500, Asked(stock=Bottle("hydrogen peroxide", 12)))
    assert [line.substance for line in peroxide.parts[0].lines][-1] == "hydrogen peroxide"


@pytest.mark.parametrize("recipe", IDS)
def test_every_list_warns_and_never_speaks_of_the_drain(recipe: str) -> None:
    made = mixing_list(recipe, 500)
    text = made.model_dump_json()
    assert "Collect it" in text
    assert "local rules" in text
    assert "drain" not in text.lower()
    assert "safe" not in text.lower()
    assert "Goggles, gloves and apron" in made.steps[0]
    assert made.not_checked
    if made.kind == "bleach":
        assert made.hazard.signal
    if "dichromate" in recipe and made.kind == "bleach":
        assert any("hromium" in caution for caution in made.cautions)


@pytest.mark.parametrize(
    ("recipe", "volume", "asked", "said"),
    [
        ("dichromate-strong", -500, None, "give a number from 10 to 200000 ml"),
        ("dichromate-strong", 0, None, "give a number from 10 to 200000 ml"),
        ("dichromate-strong", float("nan"), None, "give a number"),
        (
            "permanganate",
            500,
            Asked(stock=Bottle("hydrochloric acid", 37)),
            "chlorine gas comes off",
        ),
        (
            "dichromate-strong",
            500,
            Asked(stock=Bottle("hydrochloric acid", 30)),
            "chlorine gas comes off",
        ),
        (
            "peroxide-citric",
            500,
            Asked(stock=Bottle("sulfuric acid", 98)),
            "react violently",
        ),
        ("dichromate-nitric", 500, Asked(stock=BATTERY), "takes nitric acid"),
        ("clear-dichromate", 500, Asked(stock=BATTERY), "sulfur dioxide|takes no acid"),
        ("mq", 500, Asked(stock=Bottle("hydrogen peroxide", 3)), "spoiled"),
        ("dichromate-strong", 500, Asked(stock=Bottle("sulfuric acid", 1)), "use a stronger"),
        ("peroxide-citric", 500, Asked(stock=Bottle("hydrogen peroxide", 3)), "use a stronger"),
        ("clear-dichromate", 500, Asked(dilution="1+1"), "used as it is mixed"),
        ("dichromate-strong", 500, Asked(bisulfate=True, stock=BATTERY), "not both"),
        ("clear-dichromate", 500, Asked(bisulfate=True), "takes no sulfuric acid"),
        ("permanganate", 500, Asked(forms={"sodium sulfite": "x"}), "holds no sodium sulfite"),
        ("fixer", 500, Asked(dilution="thin"), "write it like 1"),
    ],
)
def test_what_cannot_be_mixed_is_refused(
    recipe: str, volume: float, asked: Asked | None, said: str
) -> None:
    with pytest.raises((BadValue, NotPossible, OutOfRange), match=said) as caught:
        mixing_list(recipe, volume, asked)
    assert isinstance(caught.value, StillroomError)
    assert str(caught.value).endswith(".")


def test_an_unknown_recipe_names_the_known_ones() -> None:
    with pytest.raises(UnknownName, match="permanganate"):
        mixing_list("ferricyanide", 500)


def test_sheets_a_litre_is_good_for_are_as_the_notes_have_them() -> None:
    per_litre = {
        recipe: sheets_per_litre(recipe_called(recipe), "rc")
        for recipe in ("dichromate-strong", "permanganate", "peroxide-citric", "fixer")
    }
    assert per_litre == {
        "dichromate-strong": 20,
        "permanganate": 12,
        "peroxide-citric": 6,
        "fixer": 80,
    }
    # 50 passes of resin-coated, 25 of fibre; a sheet through both developments counts 2.5.
    assert sheets_per_litre(recipe_called("mq"), "rc", 2) == 20
    assert sheets_per_litre(recipe_called("mq"), "fibre", 2) == 10
    assert sheets_per_litre(recipe_called("amidol"), "rc") is None


def test_what_silver_alone_would_allow_is_as_the_notes_reckon() -> None:
    from stillroom.services.silver import limits_8x10

    def limits(recipe: str, percent: float) -> dict[str, float]:
        asked = Asked(stock=Bottle("sulfuric acid", percent))
        return limits_8x10(mixing_list(recipe, 1000, asked).parts, 1000)

    strong = limits("dichromate-strong", 98)
    assert strong["oxidant"] == pytest.approx(623, abs=1)
    assert strong["silver sulfate"] == pytest.approx(171, abs=1)
    weak = limits("permanganate-weak", 37)
    assert weak["acid"] == pytest.approx(144 * 1.799 / 1.762, rel=0.01)  # 2 ml, of 98 %
    assert limits("dichromate-mild", 37)["acid"] == pytest.approx(247 * 1.799 / 1.762, rel=0.01)
    said = mixing_list("dichromate-strong", 1000).from_silver
    assert "would do 620 sheets" in said
    assert "No bath gets near that" in said
    assert mixing_list("mq", 1000).from_silver == ""
    nitric = limits_8x10(mixing_list("dichromate-nitric", 1000).parts, 1000)
    assert set(nitric) == {"oxidant", "acid"}
    half = limits_8x10(mixing_list("dichromate-strong", 500).parts, 500)
    assert half["oxidant"] == pytest.approx(strong["oxidant"] / 2)
