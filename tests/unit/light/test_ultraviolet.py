"""Ultraviolet of steady lamps: bands, radiators, limits, and what cannot be asked."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadValue, OutOfRange
from stillroom.light import (
    actinic_weight,
    bare_radiator,
    blue_light_radiance_w_m2_sr,
    longest_actinic_s,
    longest_uva_s,
    narrow_band,
    skin_heat_limit_j_m2,
    ultraviolet_check,
    ultraviolet_of,
)
from stillroom.quantity.spectra import (
    Spectrum,
    blackbody,
    d_illuminant,
    photopic_lux,
    tabulated,
)


def test_table_and_formula_agree_but_for_the_valley_they_are_known_to_differ_in() -> None:
    nm = np.arange(210.0, 401.0)
    apart = np.abs(actinic_weight(nm, "analytic") / actinic_weight(nm) - 1)
    valley = (nm >= 314) & (nm <= 330)
    assert apart[~valley].max() < 0.15
    assert 0.3 < apart[valley].max() < 0.55


def test_weights_end_where_ultraviolet_ends() -> None:
    assert actinic_weight(np.array([179.0, 401.0, 550.0])).tolist() == [0, 0, 0]
    assert actinic_weight(np.array([209.0, 401.0]), "analytic").tolist() == [0, 0]


def test_beyond_400_nm_nothing_counts() -> None:
    seen = ultraviolet_check(np.array([450.0]), np.array([1000.0]))
    assert (seen.actinic_w_m2, seen.uva_w_m2) == (0, 0)
    assert seen.longest_s == math.inf


@given(st.floats(1e-6, 1e5))
def test_the_whole_day_rule_is_never_the_milder_one(irradiance_w_m2: float) -> None:
    assert longest_uva_s(irradiance_w_m2) <= longest_uva_s(irradiance_w_m2, "irradiance")


@given(st.floats(0.3, 0.97), st.floats(250, 399))
def test_more_of_a_lamp_leaves_less_time(share: float, nm: float) -> None:
    at = np.array([nm])
    near, far = (ultraviolet_check(at, np.array([p])) for p in (2.0, 2.0 * share))
    assert near.longest_s < far.longest_s
    assert far.actinic_s == pytest.approx(near.actinic_s / share)


def test_a_band_is_as_wide_as_it_says_and_counts_for_more_than_its_peak() -> None:
    nm, power = narrow_band(310, 2.0, width_nm=10)
    assert power.sum() == pytest.approx(2.0)
    assert np.interp([305, 315], nm, power / power.max()) == pytest.approx([0.5, 0.5], abs=0.01)
    line = ultraviolet_check(np.array([310.0]), np.array([2.0]))
    assert ultraviolet_check(nm, power).actinic_s < line.actinic_s


def test_the_radiator_is_the_one_of_the_spectra_and_goes_on() -> None:
    bare, known = bare_radiator(3200), blackbody(3200)
    for nm in (300.0, 350.0, 400.0, 560.0, 700.0):
        assert bare.at(nm) == pytest.approx(known.at(nm), rel=1e-9)
    assert known.at(290.0) == 0 < bare.at(290.0)


def test_lux_come_out_of_the_ultraviolet_that_was_made_of_them() -> None:
    light = d_illuminant("D65")
    nm, power = ultraviolet_of(light, 2000)
    scale = power[nm == 380][0] / light.at(380.0)
    assert float(photopic_lux(light.on_grid() * scale)) == pytest.approx(2000)


def test_a_table_that_begins_late_gives_nothing_where_it_knows_nothing() -> None:
    nm, power = ultraviolet_of(tabulated("LED-B3"), 1000)
    assert nm[0] == 380
    late = Spectrum("late", np.array([420.0, 700.0]), np.array([1.0, 1.0]))
    nm, power = ultraviolet_of(late, 1000)
    assert len(nm) == len(power) == 0
    assert ultraviolet_check(nm, power).longest_s == math.inf


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRange, match="irradiance"):
        ultraviolet_check(np.array([365.0]), np.array([-1.0]))
    with pytest.raises(BadValue, match="one for each"):
        ultraviolet_check(np.array([365.0, 370.0]), np.array([1.0]))
    with pytest.raises(OutOfRange, match="peak"):
        narrow_band(550, 1)
    with pytest.raises(OutOfRange, match="weighted"):
        longest_actinic_s(math.nan)
    with pytest.raises(OutOfRange, match="time"):
        skin_heat_limit_j_m2(11)
    dark = Spectrum("black light", np.array([300.0, 350.0]), np.array([1.0, 1.0]))
    with pytest.raises(BadValue, match="W/m²"):
        ultraviolet_of(dark, 100)
    with pytest.raises(BadValue, match="no luminance"):
        blue_light_radiance_w_m2_sr(dark, 100)
