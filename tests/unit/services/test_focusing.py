"""Focus asked of a book, or of bare numbers. Everything in it is invented."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.documents.book import Book
from stillroom.documents.focus import Focus
from stillroom.errors import NotPossible, StillroomError, UnknownName
from stillroom.services import Desk
from stillroom.services.focus_asked import Asked, bare, focus_asked, with_rest
from stillroom.services.focusing import focus, p_eye_sharp
from stillroom.store import BookFile
from stillroom.telling.focus_told import chair_row, told
from stillroom.web.page import environment
from tests.unit.book_cases import book_of, head_and_shoulders

QUARTER = {"magnification": 0.25}


def by_camera(
    camera: dict[str, Any] | None = None,
    lens: dict[str, Any] | None = None,
    **holding: Any,
) -> Book:
    """Head and shoulders at a quarter of life, with the camera, lens and holding as said."""
    data = head_and_shoulders(framing=QUARTER, holding=holding)
    data["kit"]["cameras"][0] |= camera or {}
    data["kit"]["lenses"][0] |= lens or {}
    return book_of(data)


def asked_of(book: Book, f_number: float = 8) -> Asked:
    return focus_asked(book, book.sittings[0].id, f_number=f_number)


def answered(book: Book, f_number: float = 8) -> Focus:
    return focus(asked_of(book, f_number))


def words(answer: Focus, lengths: str = "metric") -> str:
    view = told(answer, lengths)
    rows = [f"{what}: {value}" for what, value in view.rows]
    return "\n".join([view.line, view.where, *view.prices, *rows, *view.notes])


# ---- the odds -------------------------------------------------------------------------------


@pytest.mark.parametrize("shift_mm", [0.0, 0.6, -0.9])
def test_the_odds_are_those_of_eyes_drawn_by_dice(shift_mm: float) -> None:
    """Sitters who come back off by a normal error, and a sheet that was displaced."""
    book = by_camera(
        {"sheet_behind_glass_mm": shift_mm, "sheet_behind_glass_sd_mm": 0.2},
        support="head_rest", focus_on="head_rest", rest_to_eye_mm=185, rest_to_eye_sd_mm=5,
    )  # fmt: skip
    asked = asked_of(book)
    focal, m, n = asked.lens.focal_mm, asked.magnification, asked.f_exact
    rng = np.random.default_rng(11)
    count = 200_000
    nearer = rng.normal(0, 4, count) + rng.normal(0, 5, count)  # comes back; the tape
    sheet = shift_mm + rng.normal(0, 0.2, count)
    # By thin-lens conjugates: where the image falls, and how wide the cone is on the sheet.
    subject = focal * (1 + 1 / m) - nearer
    image = 1 / (1 / focal - 1 / subject)
    disc = focal / n * np.abs(focal * (1 + m) + sheet - image) / image
    within = np.mean(disc <= asked.circle_mm("in_the_hand"))
    assert p_eye_sharp(asked) == pytest.approx(float(within), abs=0.015)


def test_who_is_held_better_is_sharp_more_often() -> None:
    chance = [
        p_eye_sharp(asked_of(by_camera(support=support, focus_on="target_in_chair")))
        for support in ("head_rest", "seated_arms_on_table", "seated", "leaning", "standing")
    ]
    assert chance == sorted(chance, reverse=True)
    eye = p_eye_sharp(asked_of(by_camera(support="seated", focus_on="eye")))
    assert eye > chance[2]


def test_what_is_not_said_is_the_usual() -> None:
    assert answered(by_camera()).stand_in.focus_on == "eye"
    assert answered(by_camera(is_self_portrait=True)).stand_in.focus_on == "target_in_chair"
    rest = answered(by_camera(is_self_portrait=True, support="head_rest")).stand_in
    assert (rest.focus_on, rest.rest_to_eye_mm, rest.rest_is_measured) == ("head_rest", 187, False)


def test_the_stop_of_a_price_puts_nose_and_eye_within_the_depth() -> None:
    asked = asked_of(by_camera())
    for sharp in focus(asked).sharp:
        assert sharp.f_number is not None
        reached = asked.depth(sharp.circle_mm, asked.exact_of(sharp.f_number))
        assert float(reached.before_mm) > 0.98 * 40
        wider = [f for f in asked.lens.f_numbers if f < sharp.f_number]
        missed = asked.depth(sharp.circle_mm, asked.exact_of(wider[-1]))
        assert float(missed.before_mm) < 40


# ---- a displaced sheet ----------------------------------------------------------------------


def test_the_three_corrections_are_sharp() -> None:
    answer = answered(by_camera({"sheet_behind_glass_mm": 1.2}))
    off = answer.displaced
    assert off is not None
    assert off.nearer_mm is not None
    assert off.lens_back_mm is not None
    assert not off.is_sharp
    focal, m = answer.focal_mm, answer.magnification
    subject, image = focal * (1 + 1 / m), focal * (1 + m)
    # The sitter moves: the image of where they are now lies on the sheet.
    assert 1 / (1 / focal - 1 / (subject - off.nearer_mm)) == pytest.approx(image + 1.2)
    # The lens moves: so far from the sitter, and so near to the sheet.
    gone, left = subject + off.lens_back_mm, image + 1.2 - off.lens_back_mm
    assert 1 / gone + 1 / left == pytest.approx(1 / focal)
    # The stop: the disc of what looked sharp is no wider than counts as sharp.
    assert off.stop_down_to is not None
    stopped = answered(by_camera({"sheet_behind_glass_mm": 1.2}), off.stop_down_to).displaced
    assert stopped is not None
    assert stopped.blur_mm <= 1.02 * answer.sharp[0].circle_mm
    said = words(answer)
    assert "bring the back 1.2 mm forward" in said
    assert f"or stop down to f/{off.stop_down_to:g}" in said


def test_a_sheet_before_infinity_focus_is_sharp_on_nothing() -> None:
    book = by_camera(
        {"sheet_behind_glass_mm": -50}, {"focal_mm": 150, "flange_at_infinity_mm": None}
    )
    answer = answered(book)
    assert answer.displaced is not None
    assert answer.displaced.nearer_mm is None
    assert answer.stand_in.p_sharp == 0
    assert "nothing is sharp" in words(answer)


def test_tape_marks_count_the_displaced_sheet() -> None:
    """Where there is no ground glass nobody looked, so the eye is put where it is sharp."""
    right = answered(by_camera({"fixed_back": True}))
    off = answered(by_camera({"fixed_back": True, "sheet_behind_glass_mm": 1.0}))
    assert right.floor is not None
    assert off.floor is not None
    assert off.displaced is not None
    assert off.displaced.nearer_mm is not None
    assert right.floor.eye_m - off.floor.eye_m == pytest.approx(off.displaced.nearer_mm / 1000)
    seen = answered(by_camera({"sheet_behind_glass_mm": 1.0}, focus_on="target_in_chair"))
    assert off.stand_in.p_sharp > 1.2 * seen.stand_in.p_sharp
    # Nearer it is a little larger, and so a little less deep.
    assert 0.9 * right.stand_in.p_sharp < off.stand_in.p_sharp < right.stand_in.p_sharp
    assert off.reminder == "eye at the tape mark"
    assert "the tape marks count that" in words(off)


# ---- frame, finder, corners -----------------------------------------------------------------


def test_a_telephoto_is_taped_from_its_board() -> None:
    plain = answered(by_camera(lens={"focal_mm": 360, "flange_at_infinity_mm": None}))
    tele = answered(by_camera(lens={"focal_mm": 360, "flange_at_infinity_mm": 260}))
    assert tele.draw_mm == pytest.approx(350)  # C-13 of the published checks
    assert tele.board_to_eye_m - plain.board_to_eye_m == pytest.approx(0.1)
    assert tele.film_to_eye_m == plain.film_to_eye_m
    assert tele.board_to_eye_m + tele.draw_mm / 1000 == pytest.approx(tele.film_to_eye_m)
    assert "from the lens board" in words(tele)


def test_what_a_finder_shows_is_moved_back() -> None:
    answer = answered(by_camera({"finder_above_mm": 60, "finder_right_mm": -40}))
    assert answer.finder is not None
    said = words(answer)
    assert "lies 60 mm lower and 40 mm further right at the sitter" in said
    assert "move the camera 60 mm up and 40 mm left" in said
    assert answered(by_camera()).finder is None


@pytest.mark.parametrize(("coverage", "covers"), [(100.0, False), (400.0, True), (None, None)])
def test_the_circle_against_the_diagonal(coverage: float | None, covers: bool | None) -> None:  # noqa: FBT001
    found = answered(by_camera(lens={"coverage_mm": coverage})).corners
    assert found.covers is covers
    if coverage is not None:
        assert found.circle_mm == pytest.approx(coverage * 1.25)


# ---- words ----------------------------------------------------------------------------------


def test_lengths_are_the_readers() -> None:
    answer = answered(
        by_camera(
            {"sheet_behind_glass_mm": 1, "finder_above_mm": 60},
            support="head_rest", focus_on="head_rest", is_self_portrait=True,
        )
    )  # fmt: skip
    metric, imperial = words(answer), words(answer, "imperial")
    assert "18.7 cm before the rest" in metric
    assert "7¼ in before the rest" in imperial
    assert " cm" not in imperial.replace("Eye 1 cm nearer", "")
    rest, lid = chair_row(answer).values
    assert (rest.figure, rest.caption) == ("18.7 cm", "head rest behind the eye")
    assert lid.caption == "lens board to lower lid"
    assert chair_row(answer, "imperial").values[0].figure == "7¼ in"


def test_the_chair_reminds_of_the_insert() -> None:
    plain = chair_row(answered(by_camera()))
    assert not plain.why
    assert [value.knob for value in plain.values] == ["lid"]
    insert = chair_row(answered(by_camera({"sheet_behind_glass_mm": 1})))
    assert "insert in before focusing" in insert.why


def test_the_part_of_the_page_says_it_all() -> None:
    view = told(answered(by_camera({"sheet_behind_glass_mm": 1})))
    page = environment().get_template("parts/focus.html").render(focus=view)
    for part in (view.line, view.where, "insert in before focusing", *view.prices, *view.notes):
        assert part.replace("'", "&#39;") in page
    assert "<h3" in page


def test_the_desk_answers_as_the_service_does(store: BookFile) -> None:
    store.import_document(by_camera(support="head_rest", focus_on="head_rest"))
    desk = Desk(store, lambda: datetime(2026, 11, 14, 16, tzinfo=UTC))
    sitting = desk.book().sittings[0].id
    answer = desk.focus(sitting, f_number=11, viewing="on_the_wall")
    asked = focus_asked(desk.book(), sitting, f_number=11, viewing="on_the_wall")
    assert answer == focus(asked)
    assert desk.focus(sitting).f_number == desk.advice(sitting).settings.f_number


# ---- what cannot be -------------------------------------------------------------------------


def test_a_sitting_that_is_not_there_and_a_stop_the_lens_lacks() -> None:
    with pytest.raises(UnknownName):
        focus_asked(by_camera(), "nobody")
    with pytest.raises(NotPossible, match=r"no f/7; the nearest of its marks is f/8"):
        asked_of(by_camera(), 7)


@given(
    focal=st.floats(10, 3000),
    m=st.floats(1e-5, 20),
    f=st.sampled_from([1.4, 5.6, 22, 64]),
    pupil=st.floats(0.2, 5),
    shift=st.floats(-200, 200),
    rest=st.floats(0, 400),
)
@settings(max_examples=200, deadline=None)
def test_whatever_is_asked_is_answered(
    *, focal: float, m: float, f: float, pupil: float, shift: float, rest: float
) -> None:
    asked = bare(focal_mm=focal, f_number=f, pupil_ratio=pupil, magnification=m)
    answer = focus(with_rest(replace(asked, sheet_behind_glass_mm=shift), rest))
    assert 0 <= answer.stand_in.p_sharp <= 1
    assert Focus.model_validate_json(answer.model_dump_json()) == answer
    assert "nan" not in words(answer)
    assert "nan" not in words(answer, "imperial")


@given(focal=st.floats(50, 800), m=st.floats(0.01, 0.99), flange=st.floats(0.4, 1.6))
@settings(max_examples=60, deadline=None)
def test_a_framing_is_the_same_however_it_is_measured(
    focal: float, m: float, flange: float
) -> None:
    def size(**framing: Any) -> float:
        return bare(
            focal_mm=focal, f_number=8, flange_at_infinity_mm=flange * focal, **framing
        ).magnification

    answer = focus(
        bare(focal_mm=focal, f_number=8, flange_at_infinity_mm=flange * focal, magnification=m)
    )
    for found in (
        size(draw_of_mm=answer.draw_mm),
        size(distance_m=answer.subject_distance_m),
        size(distance_m=answer.board_to_eye_m, measured_from="board"),
        size(distance_m=answer.film_to_eye_m, measured_from="film"),
    ):
        assert found == pytest.approx(m, rel=1e-5)
    assert math.isfinite(answer.draw_mm)


@pytest.mark.parametrize(
    ("framing", "says"),
    [
        ({"distance_m": 0.2}, "nearest, life size at 48 cm"),
        ({"distance_m": -1.0}, "nearest, life size at 48 cm"),
        ({"distance_m": 0.9, "measured_from": "film"}, "nearest, life size at 96 cm"),
        ({"draw_of_mm": 240}, "1:4 asks for 300 mm"),
        ({"magnification": 30}, "nearest, 20"),
        ({"magnification": -1}, "nearest, 0.25"),
        ({"magnification": 1, "distance_m": 1.2}, "only one"),
        ({}, "only one"),
    ],
)
def test_a_framing_that_cannot_be_names_the_nearest(framing: dict[str, Any], says: str) -> None:
    with pytest.raises(StillroomError, match=says):
        bare(focal_mm=240, f_number=5.6, **framing)


def test_bellows_and_head_rest_that_cannot_be_name_the_nearest() -> None:
    with pytest.raises(NotPossible, match=r"10 to 400 mm: nearest, 1:1.5 with the eye 60 cm"):
        focus(bare(focal_mm=240, f_number=5.6, magnification=1, bellows_mm=400))
    with pytest.raises(StillroomError, match=r"give 0 to 400 mm.*left out, 18.7 cm"):
        with_rest(bare(focal_mm=240, f_number=5.6, magnification=0.25), -50)
