"""The desk with the engine itself: a first sheet, what it taught, and the next sitter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from stillroom.documents.book import Book, Reading, Skin
from stillroom.services import Desk, FirstAnswers
from stillroom.services.next_sitter import TONES
from stillroom.store import BookFile


@pytest.fixture
def working(store: BookFile, clock: Callable[[], datetime]) -> Desk:
    return Desk(store, clock)


@pytest.mark.slow
@pytest.mark.parametrize("light", ["flash", "daylight", "lamps"])
def test_from_nothing_to_a_sheet_that_is_worth_making(working: Desk, light: str) -> None:
    sitting = working.first_sheet(FirstAnswers(light=light))  # type: ignore[arg-type]
    advice = working.advice(sitting)
    assert advice.settings.steps_pops is not None  # an unknown paper is stepped first
    before = working.paper_belief("paper/1")
    number = working.shoot(sitting, advice.settings, "f-1")
    strips = [
        {"step": step, "regions": {"key": {"density": d, "density_sd": 0.08}}}
        for step, d in ((2, 1.3), (4, 0.8))
    ]
    working.read_sheet(
        sitting, number, Reading.model_validate({"strips": strips}), kept=False, because=("tones",)
    )
    after = working.advice(sitting)
    assert after.settings.steps_pops is None
    assert after.forecast.p_keeper is not None
    assert after.forecast.p_keeper > 0.5
    assert working.paper_belief("paper/1").sd_stops < before.sd_stops


def test_the_next_sitter_starts_from_what_was_really_set(
    working: Desk, store: BookFile, small: Book
) -> None:
    store.import_document(small)
    working.next_sitter("OM", "T. R.", Skin(guess="dark"))
    stands = working.book().sittings[1].stands
    assert stands is not None
    assert (stands.f_number, stands.lights["key"].dial) == (8, -0.9)  # made at 8, not at 5.6
    working.move_light("TR", "key", distance_m=0.55)
    assert working.forecast("TR").settings.lights["key"].distance_m == 0.55


def test_kept_light_keeps_the_forecast_and_moves_the_aim(
    working: Desk, store: BookFile, small: Book
) -> None:
    store.import_document(small)
    question = working.skin_question("OM", Skin(actinic_reflectance=0.095))
    for tone in TONES:
        new = working.next_sitter("OM", f"T {tone}", Skin(actinic_reflectance=0.095), 2, tone)
        aim = working.forecast(new).regions["key"].aim
        option = next(o for o in question.options if o.tone == tone)
        assert aim is not None
        assert aim.placement_stops == pytest.approx(option.key_placement_stops)
