from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from stillroom import camera
from stillroom.errors import BadValue, OutOfRange


@pytest.mark.parametrize(
    ("marked", "widest", "true", "exact", "taken_as"),
    [
        (11, None, None, 2**3.5, "mark"),
        (5.6, 5.6, 5.4, 5.4, "widest"),
        (5.6, 5.6, None, 2**2.5, "mark"),
        (8, 5.6, 5.4, 8.0, "mark"),
        (6.8, None, None, 6.8, "literal"),
        (7.7, 7.7, 7.5, 7.5, "widest"),
        (13, None, None, 2 ** (22 / 6), "mark"),
        (6.7, None, None, 2**2.75, "mark"),
    ],
)
def test_what_a_mark_stands_for(
    marked: float, widest: float | None, true: float | None, exact: float, taken_as: str
) -> None:
    number = camera.f_number_of_mark(marked, widest, true)
    assert number.exact == pytest.approx(exact)
    assert number.taken_as == taken_as
    assert camera.exact_f_number(marked, widest, true) == number.exact


def test_a_mark_says_what_it_was_taken_for() -> None:
    assert camera.f_number_of_mark(6.8).text() == (
        "f/6.8 is no mark of the usual series: taken as it stands"
    )
    assert camera.f_number_of_mark(5.6, 5.6, 5.4).text() == "f/5.6 is the widest stop, truly 5.4"


def test_a_lens_knows_its_widest_stop() -> None:
    lens = camera.Lens("tele", 300, (5.6, 8, 11), true_f_number_wide_open=5.4)
    assert lens.f_number(5.6).exact == 5.4
    assert lens.f_number(11).exact == pytest.approx(11.3137, abs=1e-4)


@pytest.mark.parametrize(
    ("fields", "error", "message"),
    [
        ({"f_numbers": ()}, BadValue, "give at least one mark"),
        ({"f_numbers": (8, 5.6)}, BadValue, "the widest first"),
        ({"f_numbers": (8, 8)}, BadValue, "each mark once"),
        ({"f_numbers": (0.1, 8)}, OutOfRange, "f-number is 0.1"),
        ({"focal_mm": 1}, OutOfRange, "focal length is 1"),
        ({"pupil_ratio": 0}, OutOfRange, "pupil ratio is 0"),
        ({"transmission_stops": 1.0}, OutOfRange, "transmission is 1.0"),
        ({"spectral": "rainbow"}, BadValue, "choose old, modern or own"),
    ],
)
def test_lenses_that_cannot_be_are_refused(
    fields: dict[str, object], error: type[Exception], message: str
) -> None:
    whole = {"id": "x", "focal_mm": 300, "f_numbers": (5.6, 8)} | fields
    with pytest.raises(error, match=message):
        camera.Lens(**whole)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"draw_min_mm": 500, "draw_max_mm": 200}, "longest draw is 200"),
        ({"flare_share": 0.9}, "flare share is 0.9"),
        ({"holder_sides": 3}, "holder sides is 3"),
        ({"format_mm": (130, math.nan)}, "format height is nan"),
    ],
)
def test_cameras_that_cannot_be_are_refused(fields: dict[str, object], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        camera.Camera(**({"id": "x", "format_mm": (130, 180)} | fields))  # type: ignore[arg-type]


def test_a_camera_has_a_diagonal() -> None:
    assert camera.Camera("x", (30, 40)).diagonal_mm == 50


def test_the_far_limit_is_endless_from_the_hyperfocal_distance_on() -> None:
    hyperfocal = camera.hyperfocal_m(300, 8, 0.2)
    near, far = camera.depth_of_field_limits_m(300, 8, 0.2, hyperfocal)
    assert far == math.inf
    # Focused at the hyperfocal distance, everything from half of it is sharp (any text).
    assert near == pytest.approx(hyperfocal / 2, rel=1e-9)


def test_a_displaced_sheet_and_a_displaced_eye_are_one_thing_seen_from_both_ends() -> None:
    nearer = camera.subject_shift_mm(240, 0.25, 1.0)
    assert camera.focus_error_mm(240, 0.25, nearer) == pytest.approx(1.0, rel=1e-12)


def test_the_lens_takes_what_its_parts_take() -> None:
    whole = camera.lens_stops(11, 0.25, -0.15, 0.6, 14.4)
    parts = (
        math.log2(1 / 4)
        - 0.15
        + camera.f_number_stops(11)
        + camera.bellows_stops(0.25, 0.6)
        + camera.cos4_stops(14.4)
    )
    assert whole == pytest.approx(parts)


def test_a_veil_is_the_sum_of_what_lands_everywhere() -> None:
    veil = camera.veil_exposure_lxs(0.02, 5.0, pre_flash_lxs=0.3, leak_lxs=0.05)
    assert veil == pytest.approx(0.45)
    assert camera.veil_stops(0.45, veil) == pytest.approx(1.0)
    assert camera.veil_stops(1.0, 0.0) == 0
    # A faint veil must not vanish in rounding: log2(1 + x) is x / ln 2 there.
    assert camera.veil_stops(1e6, 1e-9) == pytest.approx(1e-15 / math.log(2), rel=1e-9)


REFUSED: list[tuple[str, Callable[[], object], str]] = [
    ("f/0.1", lambda: camera.exact_f_number(0.1), "f-number is 0.1"),
    ("1 mm", lambda: camera.magnification_from_distance(300, 0.001), "subject distance"),
    ("inside f", lambda: camera.magnification_from_distance(300, 0.3), "subject distance is 0.3"),
    ("short draw", lambda: camera.magnification_from_draw(360, 250, 260), "draw is 250"),
    ("draw without flange", lambda: camera.magnification_from_draw(360, 350), "draw is 350"),
    ("infinity", lambda: camera.subject_distance_m(300, 0), "magnification is 0"),
    ("odd flange", lambda: camera.draw_mm(300, 0.1, 900), "flange at infinity is 900"),
    ("P", lambda: camera.bellows_stops(0.25, 0), "pupil ratio is 0"),
    ("nan", lambda: camera.bellows_stops(math.nan), "magnification is nan"),
    ("circle", lambda: camera.hyperfocal_m(300, 8, 0), "circle of confusion is 0"),
    ("near", lambda: camera.depth_of_field_limits_m(300, 8, 0.2, 0.2), "distance is 0.2"),
    ("angle", lambda: camera.cos4_stops(90), "angle is 90"),
    ("shift", lambda: camera.subject_shift_mm(240, 0.25, -60), "shift of the sheet is -60"),
    ("eye", lambda: camera.focus_error_mm(240, 0.25, 960), "nearer by is 960"),
    ("flare", lambda: camera.veil_exposure_lxs(2, 1), "flare share is 2"),
    ("dark", lambda: camera.veil_stops(0, 1), "region's exposure is 0"),
]


@pytest.mark.parametrize(
    ("call", "message"), [row[1:] for row in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_what_cannot_be_is_refused_by_name(call: Callable[[], object], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        call()
