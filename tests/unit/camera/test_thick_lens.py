"""A lens on its board against a thick lens traced ray by ray."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.camera import (
    board_to_subject_m,
    draw_mm,
    exit_pupil_to_film_mm,
    film_to_subject_m,
    image_circle_mm,
    magnification_from_film_distance,
    refocus_mm,
    subject_distance_m,
)
from stillroom.errors import OutOfRange

sys.path.insert(0, str(Path(__file__).parent))
from traced_lens import PLAIN, RETROFOCUS, TELEPHOTO, Traced  # type: ignore[import-not-found]

LENSES = pytest.mark.parametrize("lens", [PLAIN, TELEPHOTO, RETROFOCUS])
DISTANCES = pytest.mark.parametrize("before_mm", [1300.0, 2000.0, 6000.0])


def ratio(lens: Traced) -> float:
    return float(lens.exit_pupil[1] / lens.entrance_pupil[1])


@LENSES
@DISTANCES
def test_from_the_sheet_to_the_subject(lens: Traced, before_mm: float) -> None:
    m, gap = lens.magnification(before_mm), lens.principal_gap
    traced_m = (before_mm + lens.length + lens.image_behind(before_mm)) / 1000
    assert film_to_subject_m(lens.focal, m, gap) == pytest.approx(traced_m, rel=1e-9)
    assert magnification_from_film_distance(lens.focal, traced_m, gap) == pytest.approx(
        m, rel=1e-9
    )


@LENSES
@DISTANCES
@pytest.mark.parametrize("board_behind_first_group", [0.0, 31.0])
def test_from_the_board_to_the_subject(
    lens: Traced, before_mm: float, board_behind_first_group: float
) -> None:
    """The board sits anywhere on the barrel; its draw at infinity focus says where."""
    from_board_to_last = lens.length - board_behind_first_group
    flange = from_board_to_last + lens.rear_focus
    m = lens.magnification(before_mm)
    found_m = board_to_subject_m(lens.focal, m, flange, lens.principal_gap)
    assert found_m * 1000 == pytest.approx(before_mm + board_behind_first_group, rel=1e-9)
    traced_draw = from_board_to_last + lens.image_behind(before_mm)
    assert draw_mm(lens.focal, m, flange) == pytest.approx(traced_draw, rel=1e-9)


@LENSES
@DISTANCES
@pytest.mark.parametrize("shift_mm", [-2.0, 0.7, 12.0])
def test_the_lens_that_goes_back_is_sharp_on_the_displaced_sheet(
    lens: Traced, before_mm: float, shift_mm: float
) -> None:
    m, sheet = lens.magnification(before_mm), lens.image_behind(before_mm)
    back = refocus_mm(lens.focal, m, shift_mm)
    assert lens.image_behind(before_mm + back) == pytest.approx(sheet + shift_mm - back, rel=1e-9)
    assert back == pytest.approx(shift_mm / (1 - m * m), rel=0.2)


@LENSES
@DISTANCES
def test_the_circle_grows_as_a_ray_through_the_stop_does(lens: Traced, before_mm: float) -> None:
    far = lens.chief(0.4, lens.rear_focus)
    near = lens.chief(0.4, lens.image_behind(before_mm))
    grown = image_circle_mm(100.0, lens.magnification(before_mm), ratio(lens)) / 100.0
    assert grown == pytest.approx(near / far, rel=1e-9)


@LENSES
@DISTANCES
def test_where_the_exit_pupil_stands(lens: Traced, before_mm: float) -> None:
    place, _ = lens.exit_pupil
    found = exit_pupil_to_film_mm(lens.focal, lens.magnification(before_mm), ratio(lens))
    assert found == pytest.approx(lens.image_behind(before_mm) - place, rel=1e-9)


@given(focal=st.floats(50, 800), m=st.floats(0.001, 0.9), shift=st.floats(-5, 5))
def test_there_and_back_again(focal: float, m: float, shift: float) -> None:
    away_m = film_to_subject_m(focal, m)
    assert magnification_from_film_distance(focal, away_m) == pytest.approx(m, rel=1e-6)
    assert board_to_subject_m(focal, m) == pytest.approx(subject_distance_m(focal, m))
    assume(shift > -0.9 * focal * (m + 1 / m - 2))
    assert refocus_mm(focal, m, shift) * shift >= -1e-9


@pytest.mark.parametrize(
    "call",
    [
        lambda: magnification_from_film_distance(240, 0.9),
        lambda: film_to_subject_m(240, 0.25, 900),
        lambda: board_to_subject_m(240, 0.25, -5),
        lambda: refocus_mm(240, 1.0, 1.0),
        lambda: refocus_mm(240, 0.9, -50.0),
        lambda: image_circle_mm(0.0, 0.25),
        lambda: exit_pupil_to_film_mm(240, 0.25, 9.0),
    ],
)
def test_what_cannot_be_is_said(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]
