"""Cloud: what it leaves of sun and sky, its words and spreads, what is refused."""

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
from tests.unit.light.daylight.tables import clear, row_at


def test_a_closed_cover_has_the_colour_of_d65() -> None:
    rows = clouded(clear(), 8, "no")
    shift = np.log2(rows.sky_lx[:, 0] / rows.sky_lx[:, 1])
    d65 = actinic_shift_stops(d_illuminant("D65"), GRADED, [old330()])
    assert shift == pytest.approx(d65, abs=1e-6)
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
