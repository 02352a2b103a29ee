"""Bottles, amounts and forms: there and back again, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.wetline import chemistry as chem
from stillroom.wetline.chemistry import Bottle

LIQUIDS = sorted(chem.HIGHEST_PERCENT)
liquids = st.sampled_from(LIQUIDS)
shares = st.floats(0.01, 1.0)


def strong(name: str, share: float) -> Bottle:
    return Bottle(name, share * chem.HIGHEST_PERCENT[name])


@given(liquids, shares, shares, st.floats(0.1, 1000))
def test_the_other_bottle_holds_the_same_grams(
    name: str, one: float, other: float, volume: float
) -> None:
    written, at_hand = strong(name, one), strong(name, other)
    ml = chem.equal_by_mass_ml(volume, written, at_hand)
    grams = volume * written.g_per_ml
    assert ml * at_hand.percent_ww / 100 * at_hand.density == pytest.approx(grams, rel=1e-9)
    assert chem.equal_by_mass_ml(ml, at_hand, written) == pytest.approx(volume, rel=1e-9)
    assert chem.bottle_for_ml(grams, at_hand) == pytest.approx(ml, rel=1e-9)


@given(liquids, shares)
def test_a_strength_is_the_same_by_mass_and_by_volume(name: str, share: float) -> None:
    by_mass = strong(name, share)
    by_volume = Bottle(name, 100 * by_mass.g_per_ml, "w/v") if by_mass.g_per_ml <= 1 else None
    assert chem.percent_ww_of(name, by_mass.g_per_ml) == pytest.approx(by_mass.percent, rel=1e-6)
    if by_volume is not None:
        assert by_volume.g_per_ml == pytest.approx(by_mass.g_per_ml, rel=1e-9)
        assert by_volume.density == pytest.approx(by_mass.density, abs=1e-6)


@given(st.sampled_from(["sulfuric acid", "nitric acid", "hydrogen peroxide"]), shares)
def test_a_density_gives_back_its_strength(name: str, share: float) -> None:
    percent = share * min(90.0, chem.HIGHEST_PERCENT[name])
    density = chem.density_g_ml(name, percent)
    assert chem.percent_of_density(name, density) == pytest.approx(percent, abs=1e-6)


@given(liquids, shares, shares, st.floats(1, 5000))
def test_a_dilution_holds_what_was_wanted(
    name: str, one: float, other: float, volume: float
) -> None:
    stock, weak = strong(name, max(one, other)), strong(name, min(one, other))
    percent = 100 * weak.g_per_ml
    if percent > 100:
        return
    ml = chem.diluted_ml(volume, stock, percent, "w/v")
    assert ml * stock.g_per_ml == pytest.approx(volume * percent / 100, rel=1e-9)
    assert ml <= volume * (1 + 1e-9)


@given(st.floats(1, 200_000), st.floats(0.1, 10), st.floats(0, 100))
def test_parts_make_the_whole(volume: float, stock: float, water: float) -> None:
    one, other = chem.parts_ml(volume, stock, water)
    assert one + other == pytest.approx(volume)
    assert one * water == pytest.approx(other * stock, abs=1e-6)


@given(st.sampled_from([s.id for s in chem.SUBSTANCES.values() if s.group]), st.floats(0.01, 1000))
def test_another_form_and_back(name: str, grams: float) -> None:
    for form in chem.forms_of(name):
        there = chem.in_form_g(grams, name, form)
        assert chem.in_form_g(there, form, name) == pytest.approx(grams)


def test_crystals_weigh_as_much_more_as_their_water() -> None:
    dry, wet = chem.mass_g_mol("sodium carbonate"), chem.mass_g_mol("sodium carbonate decahydrate")
    assert wet - dry == pytest.approx(10 * chem.molar_mass_g_mol("H2O"))
    assert chem.in_form_g(10, "sodium carbonate", "sodium carbonate decahydrate") == pytest.approx(
        10 * wet / dry
    )


def test_metabisulfite_counts_twice() -> None:
    grams = chem.in_form_g(2 * 104.06, "sodium bisulfite", "sodium metabisulfite")
    assert grams == pytest.approx(190.1, rel=1e-3)


def test_percentages_are_kept_apart() -> None:
    w_w = Bottle("hydrogen peroxide", 30)
    w_v = Bottle("hydrogen peroxide", 30, "w/v")
    assert w_w.g_per_ml == pytest.approx(0.333, abs=1e-3)
    assert w_v.g_per_ml == pytest.approx(0.300)
    v_v = Bottle("acetic acid", 10, "v/v")
    assert v_v.g_per_ml == pytest.approx(0.105)
    assert chem.solute_g(500, 2) == pytest.approx(10)
    assert chem.solute_g(500, 2, "w/w", 1.01) == pytest.approx(10.1)
    volumes = Bottle("hydrogen peroxide", 10, "volumes")
    assert volumes.g_per_ml * 100 == pytest.approx(3.03, abs=0.01)


def test_water_that_comes_along() -> None:
    battery = Bottle("sulfuric acid", 37)
    grams_of_water = 100 * battery.density - 100 * battery.g_per_ml
    assert chem.water_in_bottle_ml(100, battery) * 0.998 == pytest.approx(grams_of_water)


@pytest.mark.parametrize(
    ("text", "name", "percent", "basis"),
    [
        ("37", "sulfuric acid", 37, "w/w"),
        ("37 %", "sulfuric acid", 37, "w/w"),
        ("37,5%", "sulfuric acid", 37.5, "w/w"),
        ("sulphuric acid 37 % w/w", "sulfuric acid", 37, "w/w"),
        ("Battery acid, 37 %", "sulfuric acid", 37, "w/w"),
        ("nitric acid 65%", "nitric acid", 65, "w/w"),
        ("3 % w/v", "sulfuric acid", 3, "w/v"),
        ("10% v / v", "sulfuric acid", 10, "v/v"),
        ("hydrogen peroxide 20 volumes", "hydrogen peroxide", 20, "volumes"),
        ("hydrogen peroxide 20 vol", "hydrogen peroxide", 20, "volumes"),
    ],
)
def test_labels_are_read(text: str, name: str, percent: float, basis: str) -> None:
    bottle = chem.parse_bottle(text, "sulfuric acid")
    assert (bottle.name, bottle.percent, bottle.basis) == (name, percent, basis)


def test_a_bottle_has_a_name() -> None:
    assert chem.bottle_named(Bottle("sulfuric acid", 37)) == "sulfuric acid, 37 % w/w"
    assert Bottle("sulfuric acid", 37).text == "37 % w/w, 1.277 g/ml"
    assert chem.substance("Sulphuric  acid").id == "sulfuric acid"
    assert chem.parse_parts(" 1+9 ") == chem.parse_parts("1:10") == (1, 9)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Bottle("hydrochloric acid", 98), "water holds at most 40 %"),
        (lambda: Bottle("nitric acid", 98), "stronger than 70 % w/w it fumes"),
        (lambda: Bottle("hydrogen peroxide", 90), "no thing for a darkroom"),
        (lambda: Bottle("hydrochloric acid", 60, "w/v"), "water holds at most 40 %"),
        (lambda: Bottle("hydrogen peroxide", 300, "volumes"), "no thing for a darkroom"),
        (lambda: Bottle("sulfuric acid", 37, density_g_ml=1.84), "weighs 1.277 g/ml"),
        (lambda: Bottle("sulfuric acid", 98, density_g_ml=1.28), "is about 37 % w/w"),
        (lambda: Bottle("hydrochloric acid", 37, density_g_ml=1.84), "no strength of it weighs"),
        (lambda: Bottle("sulfuric acid", 0), "that is water"),
        (lambda: Bottle("sulfuric acid", 20, "volumes"), "only peroxide is sold by volumes"),
        (lambda: Bottle("citric acid", 20), "its strengths are not known here"),
        (lambda: chem.parse_bottle("strong", "sulfuric acid"), "write it like 37 %"),
        (lambda: chem.parse_parts("one to nine"), "write it like 1+9"),
        (lambda: chem.parse_parts("2:1"), "write it like 1+9"),
        (lambda: chem.solute_g(100, 10, "v/v"), "a solid is weighed"),
        (lambda: chem.solute_g(100, 10, "w/w"), "the density of the solution is needed"),
        (
            lambda: chem.diluted_ml(100, Bottle("acetic acid", 5), 20),
            "the bottle is weaker than that",
        ),
        (
            lambda: chem.equal_by_mass_ml(
                5, Bottle("sulfuric acid", 98), Bottle("hydrochloric acid", 37)
            ),
            "the recipe wants sulfuric acid",
        ),
        (
            lambda: chem.in_form_g(5, "sodium sulfite", "sodium carbonate"),
            "that is another substance",
        ),
        (lambda: chem.molar_mass_g_mol("K2Xx"), "no element known here"),
        (lambda: chem.molar_mass_g_mol("water!"), "write it like K2Cr2O7"),
        (lambda: chem.mass_g_mol("paper developer"), "sold ready-made"),
        (lambda: chem.density_g_ml("milk", 3), "densities are known of"),
        (lambda: chem.percent_ww_of("hydrogen peroxide", 2.0), "no bottle holds so much"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(make: object, said: str) -> None:
    assert callable(make)
    with pytest.raises(BadValue) as caught:
        make()
    sentence = str(caught.value)
    assert said in sentence
    assert sentence.count(". ") == 0
    assert sentence.endswith(".")


@pytest.mark.parametrize("volume", [-1.0, float("nan"), float("inf")])
def test_no_volume_below_nothing(volume: float) -> None:
    with pytest.raises(OutOfRange):
        chem.parts_ml(volume, 1, 9)
    with pytest.raises(OutOfRange):
        chem.equal_by_mass_ml(volume, Bottle("acetic acid", 80), Bottle("acetic acid", 60))
    with pytest.raises(OutOfRange):
        chem.solute_g(volume, 10)


def test_an_unknown_thing_is_named() -> None:
    with pytest.raises(UnknownName, match="potion"):
        Bottle("potion", 10)


def test_battery_acid_is_sulfuric_and_computed() -> None:
    battery = chem.parse_bottle("sulfuric acid 37 %", "sulfuric acid", 1.28)
    assert chem.equal_by_mass_ml(12, Bottle("sulfuric acid", 98), battery) == pytest.approx(
        12 * 0.98 * 1.836 / (0.37 * 1.28)
    )
