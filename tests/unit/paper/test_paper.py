from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from stillroom import paper
from stillroom.errors import BadValue, OutOfRange


def test_a_batch_knows_its_speed_and_its_curve() -> None:
    batch = paper.PaperBatch("sorrel_2", "7", grade=2, ei=6, dmin=0.1, dmax=1.9)
    assert batch.speed_log2 == pytest.approx(math.log2(0.6))
    assert batch.mid_tone_exposure_lxs == pytest.approx(10 / 6)
    assert batch.curve().mid_density == 1.0


def test_surfaces_differ_in_their_blacks() -> None:
    blacks = [paper.dmax_of_surface(surface) for surface in ("glossy", "pearl", "matt")]
    assert blacks == sorted(blacks, reverse=True)
    with pytest.raises(BadValue, match="choose one of glossy, pearl, matt"):
        paper.dmax_of_surface("silk")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"ei": 10_000}, "EI is 10000"),
        ({"ei": 0}, "EI is 0"),
        ({"ei_sd_stops": -1}, "uncertainty of EI"),
        ({"grade": 9}, "grade is 9"),
        ({"contrast_per_stop": math.nan}, "contrast is nan"),
        ({"contrast_log_sd": 3}, "uncertainty of contrast"),
        ({"asymmetry": 0}, "asymmetry is 0"),
        ({"asymmetry_log_sd": -0.1}, "uncertainty of asymmetry"),
        ({"dmin": 1.8, "dmax": 1.85}, "Dmin is 1.8"),
        ({"dmin": 1.4, "dmax": 1.45}, "Dmax is 1.45"),
        ({"dmin_sd": -0.1}, "uncertainty of Dmin"),
        ({"dmax_sd": 2}, "uncertainty of Dmax"),
    ],
)
def test_batches_that_cannot_be_are_refused(fields: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        paper.PaperBatch("x", **fields)  # type: ignore[arg-type]


def test_an_unknown_response_is_refused() -> None:
    with pytest.raises(BadValue, match="choose one of graded, variable_contrast, own"):
        paper.PaperBatch("x", response="infrared")  # type: ignore[arg-type]


def test_reciprocity_is_an_effective_time() -> None:
    for t in (2.0, 8.0, 60.0):
        effective = t * 2 ** paper.reciprocity_stops(t, 0.1)
        assert effective == pytest.approx(t**0.9)
    assert paper.reciprocity_stops(1.0) == 0


def test_short_times_need_no_correction() -> None:
    assert paper.schwarzschild_time_s(0.5, 0.8) == 0.5
    assert paper.schwarzschild_time_s(1.0, 0.8) == 1.0


def test_a_correction_undoes_the_loss() -> None:
    corrected = paper.schwarzschild_time_s(10, 0.9)
    assert corrected * 2 ** paper.reciprocity_stops(corrected, 0.1) == pytest.approx(10)


def test_a_range_on_a_border_belongs_to_the_harder_grade() -> None:
    assert paper.grade_of_log_range(0.95) == 3
    assert paper.grade_of_log_range(1.70) == 0


REFUSED: list[tuple[str, Callable[[], float], str]] = [
    ("EI 10000", lambda: paper.mid_tone_exposure_lxs(10_000), "EI is 10000"),
    ("no exposure", lambda: paper.exposure_index(0), "mid-tone exposure is 0"),
    ("speed", lambda: paper.ei_of_speed_log2(50), "paper speed is 50"),
    ("nan", lambda: paper.speed_log2(math.nan), "EI is nan"),
    ("q", lambda: paper.meter_placed_exposure_lxs(3, q=2), "q is 2"),
    ("white", lambda: paper.density_from_reflectance(2), "reflectance is 2"),
    ("black", lambda: paper.density_from_reflectance(0), "reflectance is 0"),
    ("density", lambda: paper.reflectance_from_density(9), "density is 9"),
    ("time", lambda: paper.reciprocity_stops(0), "open time is 0"),
    ("film", lambda: paper.conventional_film_time_s(0.5), "indicated time is 0.5"),
    ("grade", lambda: paper.grade_of_log_range(0.3), "log exposure range is 0.3"),
    ("step", lambda: paper.tablet_density(0), "step is 0"),
    ("R", lambda: paper.contrast_from_iso_range(5, 1, 0.1, 1.9), "ISO range is 5"),
    (
        "table the wrong way round",
        lambda: paper.schwarzschild_exponent(10, 50, 1, 2),
        "second metered time is 1.0",
    ),
    (
        "corrected time falls",
        lambda: paper.schwarzschild_exponent(1, 50, 10, 20),
        "second corrected time is 20.0",
    ),
]


@pytest.mark.parametrize(
    ("call", "message"), [row[1:] for row in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_what_cannot_be_is_refused_by_name(call: Callable[[], float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        call()
