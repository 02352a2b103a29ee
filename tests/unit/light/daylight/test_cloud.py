"""Cloud against printed factors and the overcast sky of 1984."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.light.daylight import (
    OVERCAST_UPRIGHT_RATIO,
    PLANNED,
    Sky,
    cloud_factor,
    clouded,
    diffuse_share,
)
from stillroom.quantity.spectra import GRADED, actinic_shift_stops, d_illuminant, old330
from tests.unit.light.daylight.tables import clear, rows
from tests.unit.light.daylight.test_clear_sky import SPRING_FACTOR, row_at


@pytest.mark.parametrize("row", rows("cloud"), ids=lambda row: row["okta"])
def test_printed_factors(row: dict[str, str]) -> None:
    """Kasten and Czeplak (1980), to the last digit printed in the notes."""
    assert cloud_factor(int(row["okta"])) == pytest.approx(float(row["factor"]), abs=6e-5)


def test_ends_of_both_rules() -> None:
    assert (cloud_factor(0), cloud_factor(8)) == (1.0, 0.25)
    assert (diffuse_share(0), diffuse_share(8)) == (0.3, 1.0)


@pytest.mark.parametrize(
    "row",
    [row for row in rows("ies_1984") if row["part"] == "overcast"],
    ids=lambda row: row["elevation_deg"],
)
def test_a_closed_cover_against_the_overcast_sky_of_1984(row: dict[str, str]) -> None:
    """21.4 sin klx; the notes state +0.2 stop at 20 degrees and +0.5 at 60."""
    elevation = float(row["elevation_deg"])
    n = row_at(clear(), elevation)
    level = clouded(clear(), 8, "no").sky_lx[n, 1] * SPRING_FACTOR / 1000
    stops = math.log2(level / (21.4 * math.sin(math.radians(elevation))))
    assert stops == pytest.approx(float(row["low"]), abs=0.05)


@pytest.mark.parametrize("elevation", [10, 20, 40, 60])
def test_upright_under_a_closed_cover_against_1984(elevation: float) -> None:
    """8.5 sin klx upright, within the 0.6 stop that is given for such a day."""
    rows = clouded(clear(), 8, "no")
    n = row_at(clear(), elevation)
    upright = rows.sky_lx[n, 1] * rows.upright[n, 0] / 1000
    assert abs(math.log2(upright / (8.5 * math.sin(math.radians(elevation))))) < 0.6


def test_a_closed_cover_has_the_colour_of_d65() -> None:
    rows = clouded(clear(), 8, "no")
    shift = np.log2(rows.sky_lx[:, 0] / rows.sky_lx[:, 1])
    d65 = actinic_shift_stops(d_illuminant("D65"), GRADED, [old330()])
    assert shift == pytest.approx(d65, abs=1e-6)
    assert d65 == pytest.approx(0.348, abs=0.03)  # notes, section 7
    assert rows.upright == pytest.approx(
        np.tile([OVERCAST_UPRIGHT_RATIO, 0, 0], (len(shift), 1)), abs=1e-12
    )


def test_without_cloud_nothing_changes() -> None:
    rows = clouded(clear(), 0, "yes")
    assert np.array_equal(rows.beam_lx, clear().beam_lx)
    assert rows.sky_lx == pytest.approx(clear().sky_lx, rel=1e-12)


@given(okta=st.integers(1, 7), elevation=st.sampled_from([2, 5, 10, 20, 40, 60]))
def test_cloud_before_the_sun_leaves_the_sky_and_takes_the_beam(
    okta: int, elevation: float
) -> None:
    n = row_at(clear(), elevation)
    out, veiled, hidden = (clouded(clear(), okta, word) for word in ("yes", "veiled", "no"))
    assert np.array_equal(out.beam_lx, clear().beam_lx)
    assert np.all(hidden.beam_lx == 0)
    assert np.all(veiled.beam_lx[n] < out.beam_lx[n])
    # One cloud before the sun leaves the rest of the sky as it was, and takes the sun.
    if okta <= 3:
        assert hidden.sky_lx[n, 1] > 0.97 * clear().sky_lx[n, 1]
    assert hidden.sky_lx[n, 1] < clear().level_lx[n, 1]
    average = diffuse_share(okta) * cloud_factor(okta) * clear().level_lx[n, 1]
    assert hidden.sky_lx[n, 1] >= average * (1 - 1e-12)


@given(elevation=st.sampled_from([5, 10, 20, 40, 60]))
def test_the_more_cloud_the_less_the_paper_gets_beyond_the_meter(elevation: float) -> None:
    n = row_at(clear(), elevation)
    shifts = [
        math.log2(float(np.divide(*clouded(clear(), okta, "no").sky_lx[n])))
        for okta in range(1, 9)
    ]
    assert shifts == sorted(shifts, reverse=True)


def test_words_for_planning() -> None:
    assert list(PLANNED) == ["clear", "middling", "dull"]
    odds = PLANNED["middling"].states()
    assert sum(chance for chance, _ in odds) == 1
    assert {word for _, word in odds} == {"yes", "no"}


@pytest.mark.parametrize(("okta", "spread"), [(0, 0.3), (2, 0.3), (3, 0.7), (7, 0.7), (8, 0.6)])
def test_spreads_by_the_notes(okta: int, spread: float) -> None:
    sky = Sky(okta, "yes" if okta < 8 else "no")
    assert sky.level_sd_stops == spread


@pytest.mark.parametrize(
    ("okta", "sun", "message"),
    [
        (0, "no", "without cloud the sun is out"),
        (0, "veiled", "without cloud the sun is out"),
        (8, "yes", "the sun cannot be out"),
        (8, "comes and goes", "the sun cannot be out"),
        (2.5, "yes", "give whole eighths"),
    ],
)
def test_skies_that_contradict_themselves_are_refused(okta: int, sun: str, message: str) -> None:
    with pytest.raises(BadValue, match=message):
        Sky(okta, sun)  # type: ignore[arg-type]


def test_skies_that_do_not_exist_are_refused() -> None:
    with pytest.raises(OutOfRange, match="cloud cover is 9"):
        Sky(9, "no")
    with pytest.raises(UnknownName, match="veiled"):
        Sky(3, "maybe")  # type: ignore[arg-type]
    with pytest.raises(OutOfRange, match="cloud cover is -1"):
        cloud_factor(-1)
