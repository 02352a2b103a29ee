"""Cautions: beside plans with flash, before steps; short, and without promises."""

from __future__ import annotations

from typing import Any

import pytest

from stillroom.documents.book import Settings
from stillroom.services.cautions import FAMILIES, every_bleach, no_flash_wanted, step_caution
from stillroom.services.firing import firing
from stillroom.services.forecasts import predict
from stillroom.services.processes import built_in
from tests.unit.book_cases import book_of, head_and_shoulders

FULL: dict[str, Any] = {"lights": {"key": {"dial": 0}, "fill": {"dial": -1}}, "f_number": 5.6}

FLASHED = Settings.model_validate(FULL)


def asked(answer: str | None) -> dict[str, Any]:
    data: dict[str, Any] = head_and_shoulders(stands=FULL)
    if answer:
        data["sitters"][0]["at_the_door"] = {"flash_all_right": answer}
    return data


def test_a_no_to_flash_is_told_beside_every_plan_with_flash() -> None:
    book = book_of(asked("no"))
    (said,) = no_flash_wanted(book, book.sittings[0])
    assert "O. M. said no to flash" in said
    assert "clinician decides" in said
    assert "Daylight is offered" in said
    assert said in predict(book, "S1").cautions
    assert said in firing(book, "S1", FLASHED).cautions


@pytest.mark.parametrize("answer", ["yes", None])
def test_otherwise_nothing_is_added(answer: str | None) -> None:
    book = book_of(asked(answer))
    assert no_flash_wanted(book, book.sittings[0]) == ()
    assert not any("said no" in text for text in predict(book, "S1").cautions)


def test_a_card_moves_no_figure() -> None:
    with_card, without = (predict(book_of(asked(a)), "S1") for a in ("no", None))
    assert with_card.regions == without.regions
    assert with_card.p_keeper == without.p_keeper


def test_every_family_of_bleach_has_its_own_word_and_others_the_general_one() -> None:
    said = [step_caution("bleach", family) for family in FAMILIES]
    assert len(set(said)) == len(FAMILIES)
    general = step_caution("bleach", "some other")
    assert general == step_caution("bleach")
    assert general not in said
    assert {one.text for one in every_bleach()} == {one.text for one in (general, *said) if one}
    assert len({one.label for one in every_bleach()}) == len(every_bleach())


def test_steps_without_a_word_of_their_own_have_none() -> None:
    assert step_caution("rinse") is None
    assert step_caution("clear", "peroxide") is None  # no acid is left to meet sulfite
    for step, family in (("bleach", ""), ("clear", "permanganate"), ("clear", "dichromate")):
        caution = step_caution(step, family)
        assert caution is not None
        assert caution.text.endswith(".")
        assert "safe" not in f"{caution.label} {caution.text}".lower()


def test_every_built_in_process_tells_them_before_its_bleach() -> None:
    for process in built_in():
        for step in process.steps:
            said = step_caution(step.id, process.bleach)
            assert (step.caution and step.caution.text) == (said and said.text)
