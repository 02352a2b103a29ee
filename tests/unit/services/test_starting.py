"""The first sheet from a few answers, each of which may be missing."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.book import Book
from stillroom.documents.checks import check_references
from stillroom.documents.seats import Seat
from stillroom.errors import StillroomError, UnknownName
from stillroom.quantity import SHEET_FORMATS
from stillroom.services import Desk, FirstAnswers
from stillroom.services.starting import LightAnswer, PaperAnswer, StepsAnswer, start

WHEN = datetime(2026, 11, 14, 12, tzinfo=UTC)


def book_of(answers: FirstAnswers) -> Book:
    made = start(answers, WHEN)
    return Book(
        kit=made.kit, papers=(made.paper,), sitters=(made.sitter,), sittings=(made.sitting,)
    )


answered = st.builds(
    FirstAnswers,
    light=st.none() | st.sampled_from(get_args(LightAnswer)),
    energy_ws=st.none() | st.sampled_from([250.0, 500.0, 1000.0]),
    paper=st.none() | st.sampled_from(get_args(PaperAnswer)),
    camera=st.none() | st.sampled_from(list(SHEET_FORMATS)),
    lens_mm=st.none() | st.floats(60, 1200),
    widest_f=st.none() | st.floats(2, 16),
    distance_m=st.none() | st.floats(0.2, 5),
    steps=st.none() | st.sampled_from(get_args(StepsAnswer)),
)


@given(answered)
def test_any_answers_make_a_book_that_goes_together(answers: FirstAnswers) -> None:
    book = book_of(answers)
    check_references(book)
    marks = book.kit.lenses[0].f_numbers
    assert list(marks) == sorted(set(marks))


def test_what_is_not_known_starts_wide() -> None:
    book = book_of(FirstAnswers())
    head = book.kit.heads[0]
    assert (head.energy_ws, head.output_sd_stops) == (500, 0.9)
    assert (book.papers[0].ei, book.papers[0].ei_sd_stops) == (3, 1.3)
    cloth = book.kit.modifiers[0]
    assert (cloth.loss_stops, cloth.loss_sd_stops) == (2.0, 0.6)
    assert book.sitters[0].skin.guess == "unknown"
    assert book.sittings[0].framing.magnification == pytest.approx(0.3)  # 18 cm for 60 cm


def test_what_is_known_is_taken() -> None:
    book = book_of(
        FirstAnswers(
            light="flash",
            energy_ws=1000,
            paper="variable_contrast",
            camera="whole plate",
            lens_mm=355,
            widest_f=4.5,
            distance_m=0.7,
        )
    )
    head, lens, paper = book.kit.heads[0], book.kit.lenses[0], book.papers[0]
    assert (head.energy_ws, head.output_sd_stops) == (1000, 0.5)
    assert (lens.focal_mm, lens.f_numbers) == (355, (4.5, 5.6, 8, 11, 16, 22, 32, 45))
    assert (paper.response, paper.ei_sd_stops) == ("variable_contrast", 1.0)
    assert book.kit.cameras[0].format_mm == pytest.approx((165.1, 215.9))
    assert book.sittings[0].lights[0].distance_m == 0.7


@pytest.mark.parametrize(
    ("camera", "focal_mm"), [("4x5", 210), ("13x18 cm", 300), ("whole plate", 360), ("8x10", 450)]
)
def test_each_sheet_size_has_its_usual_portrait_lens(camera: str, focal_mm: float) -> None:
    """Common practice, no source: about one and a third diagonals."""
    assert book_of(FirstAnswers(camera=camera)).kit.lenses[0].focal_mm == focal_mm


def test_daylight_needs_no_head_and_lamps_no_dial() -> None:
    daylight = book_of(FirstAnswers(light="daylight"))
    assert (daylight.kit.heads, daylight.kit.lamps) == ((), ())
    light = daylight.sittings[0].lights[0]
    assert (light.kind, light.metered_sd_stops) == ("window", 1.5)
    lamps = book_of(FirstAnswers(light="lamps"))
    assert lamps.kit.heads == ()
    assert lamps.sittings[0].lights[0].kit_id == "lamp"


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"camera": "12x12"}, "no sheet size called '12x12'"),
        ({"light": "candles"}, "light is 'candles': choose flash, daylight or lamps"),
        ({"paper": "blue"}, "paper is 'blue': choose graded, variable_contrast, unknown"),
        ({"lens_mm": 2}, "focal_mm is 2: give a number from 5 to 5000"),
        ({"widest_f": 0.1}, "number 1 of f_numbers is 0.1"),
        ({"energy_ws": 0}, "energy_ws is 0: give a number from 1 to 100000"),
        ({"distance_m": 0}, "distance of the light is 0: give a number from 0.05 to 100 m"),
    ],
)
def test_an_answer_that_cannot_be(answers: dict[str, Any], sentence: str) -> None:
    with pytest.raises(StillroomError) as caught:
        start(FirstAnswers(**answers), WHEN)
    assert sentence in str(caught.value)


def test_the_desk_starts_again_beside_what_is_there(empty_desk: Desk) -> None:
    first = FirstAnswers(steps="pieces")
    ids = [empty_desk.first_sheet(first, form_id) for form_id in ("a", "a", "b")]
    assert ids == ["first", "first", "first-2"]
    book = empty_desk.book()
    assert [x.id for x in book.kit.heads] == ["head A", "head A-2"]
    assert [x.id for x in book.papers] == ["paper/1", "paper-2/1"]
    assert empty_desk.preference("steps") == "pieces"
    assert empty_desk.current_sitting_id() == "first-2"


def test_a_bad_answer_leaves_the_book_empty(empty_desk: Desk) -> None:
    with pytest.raises(StillroomError):
        empty_desk.first_sheet(FirstAnswers(lens_mm=1))
    assert empty_desk.book() == Book()


def test_a_seat_that_is_not_there_is_said() -> None:
    answers = FirstAnswers(light="daylight", seat="attic")
    with pytest.raises(UnknownName, match="no seat called 'attic'; known here: none yet"):
        start(answers, WHEN)


def test_a_seat_in_the_open_gives_daylight_and_one_indoors_window_light() -> None:
    shapes = {
        "daylight": {"open_air": {"faces_deg": 0}},
        "window": {
            "window": {"faces_deg": 0, "width_m": 1, "height_m": 1, "distance_m": 1},
        },
    }
    for kind, shape in shapes.items():
        seat = Seat.model_validate({"id": "here", "place": "quarry", **shape})
        made = start(FirstAnswers(light="daylight", seat="here"), WHEN, (), [seat])
        (light,) = made.sitting.lights
        assert (light.kind, light.kit_id) == (kind, "here")
        assert made.kit.seats == ()  # the book has it already
