"""The colour of a light in a camera, against the same lights put together by hand."""

from __future__ import annotations

import math

import pytest

from stillroom.errors import UnknownName
from stillroom.light import KINDS_OF_LIGHT, colour_stops, reference_shift_stops
from stillroom.quantity.spectra import (
    GRADED,
    VARIABLE_CONTRAST,
    PaperResponse,
    Spectrum,
    actinic_shift_stops,
    d_illuminant,
    light_named,
    old330,
    uvcut370,
)

PAPERS = [GRADED, VARIABLE_CONTRAST]
GLASSES = [old330(), uvcut370()]


@pytest.mark.parametrize("response", PAPERS, ids=lambda r: r.name)
@pytest.mark.parametrize("glass", GLASSES, ids=lambda g: g.name)
def test_two_lights_differ_as_their_spectra_do(response: PaperResponse, glass: Spectrum) -> None:
    tungsten, sky = (colour_stops(kind, response, [glass]) for kind in ("tungsten", "daylight"))
    by_hand = [
        actinic_shift_stops(light_named(name).at_meter, response, [glass])
        for name in ("tungsten", "overcast")
    ]
    assert tungsten.value - sky.value == pytest.approx(by_hand[0] - by_hand[1], abs=1e-12)


@pytest.mark.parametrize("response", PAPERS, ids=lambda r: r.name)
def test_daylight_through_modern_glass_is_where_an_ei_counts(response: PaperResponse) -> None:
    d55 = actinic_shift_stops(d_illuminant("D55"), response, [uvcut370()])
    assert reference_shift_stops(response) == pytest.approx(d55, abs=1e-12)
    assert d55 < 0  # the glass holds back what the paper sees and the eye does not


def test_a_flash_nobody_looked_at_lies_between_bare_and_coated_and_its_range_holds_both() -> None:
    found = colour_stops("flash", GRADED, [uvcut370()])
    bare, coated = (
        actinic_shift_stops(light_named(name).at_meter, GRADED, [uvcut370()])
        - reference_shift_stops(GRADED)
        for name in ("flash", "flash-coated")
    )
    assert coated < found.value < bare
    assert found.u > math.dist([bare], [coated]) / 2


def test_an_unknown_kind_is_told_with_those_there_are() -> None:
    with pytest.raises(UnknownName, match="kind of light called 'moon'") as error:
        colour_stops("moon", GRADED)
    assert error.value.known == KINDS_OF_LIGHT
