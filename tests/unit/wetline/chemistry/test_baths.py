"""Clocks of a bath, washing, hazards in words, and what must never meet."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import NotPossible, OutOfRange
from stillroom.wetline import chemistry as chem
from stillroom.wetline.chemistry import Bottle


def clocks(**said: float | None) -> tuple[chem.BathClock, ...]:
    usual: dict[str, float | None] = {
        "sheets": 0,
        "volume_ml": 1000,
        "sheets_per_l": 12,
        "carry_ml": 4,
        "hours": 0,
        "hours_good": 4,
    }
    return chem.clocks_of_bath(**{**usual, **said})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "life", "by"),
    [
        ({}, "good", "sheets"),
        ({"sheets": 6}, "good", "sheets"),
        ({"sheets": 11}, "last", "sheets"),
        ({"sheets": 12}, "past", "sheets"),
        ({"hours": 3.5}, "last", "hours"),
        ({"hours": 4}, "past", "hours"),
        ({"hours": 100, "hours_good": None}, "good", "sheets"),
        ({"sheets": 19, "sheets_per_l": 20, "carry_ml": 15}, "last", "dilution"),
        ({"sheets": 20, "sheets_per_l": 30, "carry_ml": 15}, "past", "dilution"),
        ({"times_first": 1.0}, "good", "sheets"),
        ({"times_first": 1.9}, "last", "time"),
        ({"times_first": 2.0}, "past", "time"),
        ({"times_first": 0.7}, "good", "sheets"),
        ({"sheets": 500, "sheets_per_l": None, "carry_ml": 0}, "good", "sheets"),
    ],
)
def test_the_first_clock_tells(said: dict[str, float | None], life: str, by: str) -> None:
    found = clocks(**said)
    assert chem.life_of(found) == life
    assert chem.first_clock(found).of == by


def test_a_sheet_that_fills_the_bath_is_its_last() -> None:
    assert chem.life_of(clocks(sheets=9)) == "good"
    assert chem.life_of(clocks(sheets=9), next_sheet=4.0) == "last"


@given(st.floats(50, 20_000), st.floats(1, 50), st.floats(0, 20))
def test_what_a_fresh_bath_is_good_for_is_where_its_clock_stops(
    volume: float, per_l: float, carry: float
) -> None:
    sheets = chem.sheets_until_spent(volume, per_l, carry)
    assert sheets is not None
    found = clocks(sheets=sheets, volume_ml=volume, sheets_per_l=per_l, carry_ml=carry)
    assert chem.first_clock(found).share == pytest.approx(1.0, rel=1e-6)
    assert chem.sheets_until_spent(volume, None, carry) is None


@given(st.floats(0, 100), st.floats(0.1, 20), st.floats(100, 5000), st.floats(0, 50))
def test_more_sheets_thin_a_bath_more(n: float, carry: float, volume: float, more: float) -> None:
    share = chem.diluted_share(n, carry, volume)
    assert 0 <= share <= chem.diluted_share(n + more, carry, volume) <= 1


@given(st.floats(0.5, 50), st.floats(60, 5000), st.floats(1e-9, 0.5))
def test_so_many_changes_and_not_one_less(carry: float, volume: float, share: float) -> None:
    n = chem.changes_for(carry, volume, share)
    assert chem.left_after_changes(carry, volume, n) <= share * (1 + 1e-6)
    if n > 0:
        assert chem.left_after_changes(carry, volume, n - 1) > share * (1 - 1e-6)


@given(st.floats(1e-6, 0.99), st.floats(2, 5))
def test_fibre_gives_up_slowly(share: float, release: float) -> None:
    minutes = chem.minutes_for_fibre(share, release)
    assert chem.left_in_fibre(minutes, release) == pytest.approx(share)


def test_many_small_changes_are_a_flow() -> None:
    n = 100_000  # a tray of 1000 ml, 3000 ml run through in small even steps
    stepped = (1 - 3000 / 1000 / n) ** n
    assert chem.left_after_flow(1000, 3, 1000) == pytest.approx(stepped, rel=1e-4)


def test_nothing_washes_to_nothing() -> None:
    with pytest.raises(NotPossible, match="nothing at all"):
        chem.minutes_for_fibre(0, 5)
    with pytest.raises(OutOfRange):
        chem.left_after_changes(-1, 500, 3)


@pytest.mark.parametrize(
    ("one", "other", "result"),
    [
        ("potassium permanganate", "hydrochloric acid", "chlorine"),
        ("hydrochloric acid", "potassium dichromate", "chlorine"),
        ("table salt", "sulfuric acid", "chlorine"),
        ("potassium permanganate", "concentrated acid", "explodes"),
        ("potassium permanganate", "glycerol", "fire"),
        ("hydrogen peroxide", "potassium permanganate", "violently"),
        ("hydrogen peroxide", "sulfuric acid", "violently"),
        ("acetone", "hydrogen peroxide", "explosive"),
        ("hydrogen peroxide", "vinegar", "peracid"),
        ("hydrogen peroxide", "iron", "bursts"),
        ("ammonium dichromate", "hydrazine", "violently"),
        ("sodium metabisulfite", "citric acid", "sulfur dioxide"),
        ("rapid fixer", "sulfuric acid", "sulfur"),
        ("rapid fixer", "potassium dichromate", "sulfur dioxide"),
        ("ferricyanide", "sulfuric acid", "hydrogen cyanide"),
        ("hypochlorite", "acetic acid", "chlorine"),
        ("hypochlorite", "ammonia", "chloramines"),
        ("zinc", "sodium carbonate", "hydrogen"),
        ("aluminium", "sulfuric acid", "hydrogen"),
        ("hydroquinone", "potassium dichromate", "spoiled"),
        ("paper developer", "hydrogen peroxide", "spoiled"),
    ],
)
def test_pairs_of_the_list_are_known_either_way(one: str, other: str, result: str) -> None:
    for pair in (chem.meeting(one, other), chem.meeting(other, one)):
        assert pair is not None
        assert result in pair.result
        assert chem.sentence_of(pair).startswith("Never ")


def test_what_recipes_bring_together_is_told_but_not_refused() -> None:
    chem.check_apart("potassium permanganate", "citric acid")
    chem.check_apart("sodium metabisulfite", "citric acid")
    assert any("sulfur dioxide" in line for line in chem.told_of("sodium metabisulfite"))
    assert chem.meeting("potassium bromide", "hydroquinone") is None


@pytest.mark.parametrize("oxidant", ["potassium permanganate", "potassium dichromate"])
def test_hydrochloric_acid_in_a_bleach_is_refused(oxidant: str) -> None:
    with pytest.raises(NotPossible, match="chlorine"):
        chem.check_apart("water", oxidant, "hydrochloric acid")


def test_every_pair_of_the_list_joins_kinds_that_exist() -> None:
    from stillroom.wetline.chemistry.never_combine import KINDS

    assert {kind for pair in chem.NEVER for kind in (pair.one, pair.other)} <= set(KINDS)
    assert len({(pair.one, pair.other) for pair in chem.NEVER}) == len(chem.NEVER)


def test_a_strong_bleach_is_danger_in_words() -> None:
    found = chem.together(("potassium dichromate",), (Bottle("sulfuric acid", 98),))
    assert found.signal == "Danger"
    assert {"skull and crossbones", "health hazard", "corrosion"} <= set(found.pictograms)
    assert "exclamation mark" in found.pictograms  # skin allergy has no stronger sign of its own
    assert "May cause cancer (H350)" in found.statements
    assert any("nitrile" in item for item in found.wear)
    assert any("face shield" in item for item in found.wear)


def test_a_hazard_goes_by_strength() -> None:
    assert "H314" in chem.together((), (Bottle("sulfuric acid", 37),)).codes
    assert "H314" not in chem.together((), (Bottle("sulfuric acid", 10),)).codes
    weak, strong = (chem.together((), (Bottle("hydrogen peroxide", p),)) for p in (3, 12))
    assert (weak.signal, strong.signal) == ("", "Danger")
    assert any("vented" in item for item in weak.wear)


def test_the_exclamation_mark_gives_way_to_a_stronger_sign() -> None:
    eyes = chem.together(("citric acid",))
    assert eyes.pictograms == ("exclamation mark",)
    with_corrosion = chem.together(("sodium bisulfate", "sodium carbonate"))
    assert with_corrosion.pictograms == ("corrosion",)


def test_every_code_has_words_and_every_hazard_a_substance() -> None:
    codes = {code for each in chem.HAZARDS for code in each.codes}
    assert codes <= set(chem.STATEMENTS)
    assert {each.substance for each in chem.HAZARDS} <= set(chem.SUBSTANCES)


@given(st.floats(0.001, 2), st.floats(0.001, 2))
def test_more_acid_is_more_free_acid_and_bisulfate_less_than_acid(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert chem.free_acid_mol_l(low) <= chem.free_acid_mol_l(high)
    assert chem.free_acid_mol_l(2 * a, strong_mol_l=0) < chem.free_acid_mol_l(a) + 1e-12
    assert a < chem.free_acid_mol_l(a) < 2 * a
    h = chem.free_acid_mol_l(a)
    sulfate = h - a
    assert h * sulfate / (a - sulfate) == pytest.approx(10**-1.99, rel=1e-6)
    assert math.isfinite(chem.ideal_ph(h))
