"""Surfaces as eye and paper see them; the figures of E-T3 stand among the published checks."""

from __future__ import annotations

import numpy as np
import pytest

from stillroom.errors import BadValue, UnknownName
from stillroom.quantity.spectra import (
    GRADED,
    GRID_NM,
    VARIABLE_CONTRAST,
    Spectrum,
    blackbody,
    d_illuminant,
    from_table,
    lens_filter,
    tabulated,
)
from stillroom.sitter import (
    SPECTACLES,
    SURFACES,
    actinic_reflectance,
    behind,
    photopic_reflectance,
    rendered_stops,
    spectacles,
    surface,
)

D55 = d_illuminant("D55")
GREY = Spectrum("even grey", np.array([300.0, 780.0]), np.array([0.18, 0.18]))


@pytest.mark.parametrize("name", SURFACES)
def test_every_surface_reflects_within_bounds_and_names_its_source(name: str) -> None:
    found = surface(name)
    assert found.name == name
    assert found.source
    assert np.array_equal(found.wavelength_nm, GRID_NM)
    assert found.on_grid().min() > 0
    assert found.on_grid().max() < 1


def test_what_is_invented_says_so() -> None:
    for name in ("lips", "denim", "white-cloth", "black-cloth", "grey-card", "brick", "freckle"):
        assert "invented" in surface(name).source
    for name in ("skin", "fair-skin", "white-paint"):
        assert "invented" not in surface(name).source


@pytest.mark.parametrize("light", [D55, tabulated("FL2"), blackbody(3200)])
def test_an_even_grey_is_rendered_as_it_is(light: Spectrum) -> None:
    assert photopic_reflectance(GREY, light) == pytest.approx(0.18)
    assert actinic_reflectance(GREY, light, GRADED) == pytest.approx(0.18)
    assert rendered_stops(GREY, light, VARIABLE_CONTRAST) == pytest.approx(0, abs=1e-12)


def test_what_is_beyond_a_chart_is_held() -> None:
    chart = from_table("pigment_chart", "dark")
    assert chart.at(350) == 0
    assert surface("dark-skin").at(350) == surface("dark-skin").at(400) == chart.at(400)


def test_reds_go_dark_and_denim_goes_light() -> None:
    stops = {
        name: rendered_stops(surface(name), D55, GRADED)
        for name in ("skin", "lips", "brick", "denim", "grey-card")
    }
    assert stops["brick"] < stops["skin"] < stops["grey-card"] < 0 < stops["denim"]
    assert stops["lips"] < -0.5


def test_a_freckle_stands_out_more_on_paper_than_to_the_eye() -> None:
    fair, freckle = surface("fair-skin"), surface("freckle")
    to_eye = photopic_reflectance(freckle, D55) / photopic_reflectance(fair, D55)
    on_paper = actinic_reflectance(freckle, D55, GRADED) / actinic_reflectance(fair, D55, GRADED)
    # The note on melanosomes gives a ratio of 3.03 between 400 and 550 nm.
    assert 2 < np.log2(on_paper) / np.log2(to_eye) < 3.03


def test_skin_behind_spectacles_is_darker_on_paper_than_to_the_eye() -> None:
    skin = surface("skin")
    for worn in SPECTACLES:
        covered = behind(skin, spectacles(worn))
        assert rendered_stops(covered, D55, GRADED) < rendered_stops(skin, D55, GRADED) - 0.1


def test_a_filter_on_the_lens_changes_what_is_rendered() -> None:
    plain = rendered_stops(surface("skin"), D55, VARIABLE_CONTRAST)
    yellow = rendered_stops(surface("skin"), D55, VARIABLE_CONTRAST, (lens_filter("yellow"),))
    assert yellow > plain


def test_names_and_lights_that_cannot_be() -> None:
    with pytest.raises(UnknownName, match="fair-skin"):
        surface("leather")
    with pytest.raises(UnknownName, match="clear, blue-filter"):
        spectacles("dark")
    red = Spectrum("red lamp", np.array([640.0, 650.0, 660.0]), np.array([0.0, 1.0, 0.0]))
    with pytest.raises(BadValue, match="nothing of it reaches graded paper"):
        actinic_reflectance(surface("skin"), red, GRADED)
    unseen = Spectrum("violet lamp", np.array([320.0, 330.0]), np.array([1.0, 1.0]))
    with pytest.raises(BadValue, match="gives the eye nothing"):
        photopic_reflectance(surface("skin"), unseen)
    black = Spectrum("hole", np.array([300.0, 780.0]), np.array([0.0, 0.0]))
    with pytest.raises(BadValue, match="throws back none"):
        rendered_stops(black, D55, GRADED)
