"""The table of the clear sky: how it is made, what changes it, what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import OutOfRange, UnknownName
from stillroom.light.daylight import (
    HAZE,
    SNOW_ALBEDO,
    Atmosphere,
    SkyTable,
    clear_sky,
    sky_table,
    spectra,
)
from stillroom.light.daylight.clear_sky import STEP_DEG
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import (
    GRADED,
    GRID_NM,
    actinic_lux,
    laminated_glass,
    old330,
    photopic_lux,
    weights_on,
)
from tests.unit.light.daylight.tables import clear, row_at


def parts(table: SkyTable) -> dict[str, FloatArray]:
    return {"beam": table.beam_lx, "sky": table.sky_lx}


@pytest.mark.parametrize("ozone", [0.25, 0.45])
def test_ozone_is_worth_nothing(ozone: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reference notes: at most 0.002 stop of the beam and 0.004 of the sky."""
    usual = clear()  # before the ozone changes: it is kept for all tests
    monkeypatch.setattr(clear_sky, "OZONE_ATM_CM", ozone)
    table = sky_table(GRADED, [old330()])
    for part, most in (("beam", 0.002), ("sky", 0.004)):
        for elevation in (20, 60):
            n = row_at(table, elevation)
            stops = math.log2(parts(table)[part][n, 0] / parts(usual)[part][n, 0])
            assert 0 < abs(stops) < most + 0.0005


def test_weights_folded_onto_coarse_wavelengths_are_exact() -> None:
    wavelength, beam, sky = spectra(clear().elevation_deg[[4, 80, 240]], Atmosphere())
    for part, table in ((beam, clear().beam_lx), (sky, clear().sky_lx)):
        for n, column in zip((4, 80, 240), part.T, strict=True):
            fine = np.interp(GRID_NM, wavelength, column)
            whole = [actinic_lux(fine, GRADED, [old330()]), photopic_lux(fine)]
            assert table[n] == pytest.approx(np.array(whole), rel=1e-9)


def test_straight_lines_between_rows_are_near_enough() -> None:
    """Of all a plane gets that faces the sun: 0.006 stop with rows half a degree apart (notes)."""
    middle = clear().elevation_deg[:-1] + STEP_DEG / 2
    middle = middle[middle > 2]
    wavelength, beam, sky = spectra(middle, Atmosphere())
    weights = weights_on(wavelength, GRADED, [old330()])
    exact = weights @ (beam + 0.5 * sky)
    rows_of = clear().beam_lx[:, 0] + 0.5 * clear().sky_lx[:, 0]
    between = np.interp(middle, clear().elevation_deg, rows_of)
    assert np.abs(np.log2(between / exact)).max() < 0.003


@settings(max_examples=20, deadline=None)
@given(
    thin=st.floats(0.02, 0.4),
    times=st.floats(1.1, 2.4),
    albedo=st.floats(0, 0.9),
)
def test_more_haze_takes_from_the_beam_and_more_snow_gives_to_the_sky(
    thin: float, times: float, albedo: float
) -> None:
    elevation = np.array([5.0, 15.0, 30.0, 60.0, 85.0])
    wavelength, beam, sky = spectra(elevation, Atmosphere(thin, ground_albedo=albedo))
    _, hazy_beam, hazy_sky = spectra(elevation, Atmosphere(thin * times, ground_albedo=albedo))
    blue = (wavelength > 400) & (wavelength < 500)
    assert np.all(hazy_beam[blue] < beam[blue])
    assert np.all(hazy_sky[blue][:, 2:] > sky[blue][:, 2:])  # low down there is less to scatter
    _, same, snowy = spectra(elevation, Atmosphere(thin, ground_albedo=0.95))
    assert np.array_equal(same, beam)
    assert np.all(snowy[blue] > sky[blue])


@pytest.mark.parametrize("haze", list(HAZE))
def test_words_for_haze(haze: str) -> None:
    assert Atmosphere.called(haze).aerosol == HAZE[haze]
    assert Atmosphere.called(haze).is_hazy is ("hazy" in haze)
    assert Atmosphere.called(haze, 500.0, snow=True) == Atmosphere(HAZE[haze], 500.0, SNOW_ALBEDO)


def test_a_window_takes_from_meter_and_paper_but_a_lens_only_from_the_paper() -> None:
    glazed = sky_table(GRADED, [old330()], behind=[laminated_glass()])
    n = row_at(glazed, 30)
    lost = np.log2(glazed.sky_lx[n] / clear().sky_lx[n])
    # Notes, section 2: -0.68 without glass -> behind laminated, -0.18 for the meter, +-0.01.
    assert lost == pytest.approx(np.array([-0.68, -0.18]), abs=0.015)
    bare = sky_table(GRADED)
    assert bare.sky_lx[n, 1] == pytest.approx(clear().sky_lx[n, 1])


def test_haze_uncertainty_is_half_way_to_the_next_word() -> None:
    """A doubling takes 0.50 stop from the beam at 20 degrees (notes); its first half less."""
    n = row_at(clear(), 20)
    assert clear().beam_haze_stops[n] == pytest.approx(-0.207, abs=0.01)
    assert clear().sky_haze_stops[n] > 0


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ({"aerosol": 0.0}, "optical depth of the aerosol is 0.0"),
        ({"altitude_m": 9000.0}, "altitude is 9000"),
        ({"ground_albedo": 1.2}, "albedo of the ground is 1.2"),
    ],
)
def test_impossible_air_is_refused(given_: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        Atmosphere(**given_)


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(UnknownName, match="very clear, clear, hazy, very hazy"):
        Atmosphere.called("misty")
