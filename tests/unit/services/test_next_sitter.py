"""Another sitter in the same light: arithmetic of three answers."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.book import Aim
from stillroom.errors import UnknownName
from stillroom.services.next_sitter import (
    TONES,
    Tone,
    carried_aims,
    light_change_stops,
    rendered_stops,
    skin_question,
)

skins = st.floats(0.04, 0.4)
placements = st.floats(-2, 2)


@pytest.mark.published(
    source="CIE test colour 15 under D55, integrated with the reference curve for graded paper "
    "(curve from memory)",
    kind="independent",
    of="stillroom.services.next_sitter.rendered_stops",
)
def test_a_third_skin_lies_on_the_line_through_the_other_two() -> None:
    assert rendered_stops(0.1837, "graded") == pytest.approx(-0.846, abs=0.03)


@pytest.mark.parametrize(
    ("response", "fair", "dark"),
    [("graded", -0.860, -0.976), ("variable_contrast", -0.722, -0.871)],
)
def test_the_two_skins_of_the_chart(response: Any, fair: float, dark: float) -> None:
    """Open pigment-based chart under D55, log2 of actinic over photopic reflectance."""
    assert rendered_stops(0.1894, response) == fair
    assert rendered_stops(0.0636, response) == pytest.approx(dark)


def placed(aim: Aim, skin: float) -> float:
    """Where an aim of a placement puts a face [stops]: a definition, written out again."""
    assert aim.placement_stops is not None
    if aim.relative_to == "paper":
        return aim.placement_stops
    return aim.placement_stops + math.log2(skin / (aim.for_reflectance or skin))


@given(placements, skins, skins, st.one_of(st.none(), skins), st.sampled_from(TONES))
def test_the_face_falls_where_the_answer_says(
    placement: float, before: float, after: float, bound: float | None, tone: Tone
) -> None:
    aim = Aim(placement_stops=placement, relative_to="skin", for_reflectance=bound)
    carried = carried_aims({"key": aim}, tone, before=before, after=after)["key"]
    skin = math.log2(after / before)  # lighter is positive
    change = light_change_stops(tone, before=before, after=after)
    assert placed(carried, after) == pytest.approx(placed(aim, before) + skin + change)
    if tone == "same":
        assert placed(carried, after) == pytest.approx(placed(aim, before))
    if tone == "keep":
        assert change == 0


@given(placements, skins, skins, skins)
def test_two_sitters_kept_in_a_row_is_one_kept(
    placement: float, first: float, second: float, third: float
) -> None:
    aims = {"key": Aim(placement_stops=placement, relative_to="skin")}
    then = carried_aims(aims, "keep", before=first, after=second)
    assert carried_aims(then, "keep", before=second, after=third) == carried_aims(
        aims, "keep", before=first, after=third
    )


@given(skins, skins)
def test_darker_skin_is_lifted_and_lighter_skin_let_down(before: float, after: float) -> None:
    lift = light_change_stops("lift", before=before, after=after)
    same = light_change_stops("same", before=before, after=after)
    assert lift * same >= 0
    assert abs(lift) <= abs(same)


def test_a_face_aimed_at_on_the_paper_keeps_its_light_too() -> None:
    aims = {"key": Aim(placement_stops=0.5), "bg": Aim(placement_stops=-2), "hat": Aim(density=1)}
    kept = carried_aims(aims, "keep", before=0.2, after=0.1)
    assert kept["key"] == Aim(placement_stops=0.5, relative_to="skin", for_reflectance=0.2)
    assert (kept["bg"], kept["hat"]) == (aims["bg"], aims["hat"])
    assert carried_aims(aims, "same", before=0.2, after=0.1) == aims


def test_a_density_is_carried_by_its_skin() -> None:
    aim = Aim(density=0.6, relative_to="skin", for_reflectance=0.2)
    same = carried_aims({"key": aim}, "same", before=0.16, after=0.08)["key"]
    assert same.for_reflectance == pytest.approx(0.1)
    assert carried_aims({"key": aim}, "keep", before=0.16, after=0.08)["key"] == aim


def test_there_are_three_answers() -> None:
    with pytest.raises(UnknownName, match="no answer called 'glow'; known here: keep, lift, same"):
        light_change_stops("glow", before=0.2, after=0.1)  # type: ignore[arg-type]


def test_the_question_in_words() -> None:
    question = skin_question(2 / 3, last="O. M.", before=0.19, after=0.0627)  # 1.6 stops darker
    assert question.sentence == (
        "To the paper this skin is one and two thirds stops darker than O. M.'s, "
        "and nearly as much to the eye."
    )
    assert [(o.title, o.text) for o in question.options] == [
        (
            "Keep the light",
            (
                "The cheek falls at −1, one and two thirds stops darker than O. M.'s. "
                "Nothing to turn."
            ),
        ),
        (
            "Lift to where the eye sees it",
            "Smaller than one sheet's scatter, so nothing to turn.",
        ),
        (
            "Same tone as O. M.",
            (
                "The cheek falls at +⅔. One and two thirds stops more light. "
                "The ground and the rim fall lighter too."
            ),
        ),
    ]


def test_the_question_for_the_same_skin() -> None:
    question = skin_question(None, last="O. M.", before=0.19, after=0.19)
    assert question.sentence == "To the paper this skin is about as light as O. M.'s."
    assert {o.text for o in question.options} == {
        "Nothing to turn.",
        "Smaller than one sheet's scatter, so nothing to turn.",
    }


@given(st.one_of(st.none(), placements), skins, skins)
def test_no_word_of_the_question_is_out_of_place(
    key: float | None, before: float, after: float
) -> None:
    question = skin_question(key, last="O. M.", before=before, after=after)
    said = " ".join([question.sentence, *(o.text for o in question.options)])
    assert not re.search(r"\b(under|over|nan|none|no change)\b|%|\.\.", said.lower())
