"""A light beside the picture, against points of it tried one by one."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutOfRange
from stillroom.scene import clear_of_frame_mm, nearest_out_of_frame_m

FACES = st.floats(0.1, 1.5)
DISTANCES = st.floats(0.2, 3.0)
FRAMES = st.floats(200.0, 1200.0)
LENSES = st.floats(1.0, 4.0)


def by_points(face_m: float, distance_m: float, frame_mm: float, lens_m: float) -> float:
    """The least clearance of a thousand points of the face, 45° to the side."""
    found = math.inf
    for k in range(1001):
        along = face_m * (k / 1000 - 0.5)
        across = (distance_m + along) / math.sqrt(2)
        towards = (distance_m - along) / math.sqrt(2)
        wedge = max(0.0, frame_mm / 2 * (1 - towards / lens_m))
        found = min(found, 1000 * across - wedge)
    return found


@given(FACES, DISTANCES, FRAMES, LENSES)
def test_the_nearer_edge_decides(
    face_m: float, distance_m: float, frame_mm: float, lens_m: float
) -> None:
    found = clear_of_frame_mm(face_m, distance_m, frame_mm, lens_m)
    assert found <= by_points(face_m, distance_m, frame_mm, lens_m) + 1e-6
    assert found == pytest.approx(by_points(face_m, distance_m, frame_mm, lens_m), abs=1e-6)


@given(FACES, FRAMES, LENSES)
def test_the_nearest_distance_just_clears(face_m: float, frame_mm: float, lens_m: float) -> None:
    nearest = nearest_out_of_frame_m(face_m, frame_mm, lens_m)
    assert clear_of_frame_mm(face_m, nearest, frame_mm, lens_m) >= 0
    if nearest > 0.03:
        assert clear_of_frame_mm(face_m, nearest - 0.01, frame_mm, lens_m) < 0


def test_a_larger_face_and_a_wider_frame_come_nearer() -> None:
    assert clear_of_frame_mm(1.2, 0.9, 480, 1.2) < clear_of_frame_mm(0.6, 0.9, 480, 1.2)
    assert clear_of_frame_mm(0.9, 0.9, 900, 1.2) < clear_of_frame_mm(0.9, 0.9, 480, 1.2)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, 1e6])
def test_what_is_no_distance_is_refused(bad: float) -> None:
    with pytest.raises(OutOfRange):
        clear_of_frame_mm(0.9, bad, 480, 1.2)
