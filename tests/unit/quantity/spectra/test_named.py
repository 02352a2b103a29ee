"""Lights, glass, filters and papers by name; how sure a shift is; the packaged tables."""

from __future__ import annotations

import importlib.util
import math
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.quantity.spectra import (
    FILTERS,
    GELS,
    GLASSES,
    GRADED,
    GRID_NM,
    KINDS,
    LENSES,
    LIGHT_NAMES,
    RESPONSES,
    VARIABLE_CONTRAST,
    Light,
    PaperResponse,
    Spectrum,
    actinic_shift_stops,
    coded_glass,
    conversion_gel,
    d_illuminant,
    ei_for_light,
    gel,
    glass,
    lens,
    lens_filter,
    light_named,
    measured_response,
    mired,
    old330,
    response_named,
    shift_between,
    shift_with_spread,
    tabulated,
    uvcut370,
)
from tests.published.reference_curves import G1, V1

ROOT = Path(__file__).parents[4]


# ---- names -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", LIGHT_NAMES)
def test_every_light_can_be_had_in_any_spelling(name: str) -> None:
    light = light_named(f" {name.upper()} ")
    assert light.kind in KINDS
    assert light.at_meter.source
    assert math.isfinite(actinic_shift_stops(light.at_meter, GRADED))


@pytest.mark.parametrize(
    ("typed", "name", "kind"),
    [
        ("5500K", "daylight of 5500 K", "daylight"),
        ("5500 k", "daylight of 5500 K", "daylight"),
        ("3999K", "full radiator of 3999 K", "lamp"),
        ("radiator-5500K", "full radiator of 5500 K", "lamp"),
        ("6503,5K", "daylight of 6503.5 K", "daylight"),
        ("CIE A", "CIE A", "lamp"),
        ("led b3", "CIE LED-B3", "led"),
        ("blue sky", "blue-sky", "sky"),
    ],
)
def test_how_lights_are_typed(typed: str, name: str, kind: str) -> None:
    light = light_named(typed)
    assert (light.name, light.kind) == (name, kind)


@pytest.mark.parametrize("typed", ["", "5500", "sunlight", "K", "5500KK", "D56"])
def test_an_unknown_light_is_answered_with_what_is_known(typed: str) -> None:
    with pytest.raises(UnknownName, match="a colour temperature such as 5500K, flash"):
        light_named(typed)


@pytest.mark.parametrize(
    ("typed", "said"), [("999K", "from 1000"), ("25001K", "from 4000 to 25000 K")]
)
def test_a_colour_temperature_has_its_range(typed: str, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        light_named(typed)


def test_each_thing_is_found_by_its_name_and_a_wrong_name_is_not() -> None:
    for find, names in (
        (lens, LENSES),
        (glass, GLASSES),
        (lens_filter, FILTERS),
        (gel, GELS),
    ):
        for name in names:
            found = find(name)
            assert found.source
            assert found.on_grid().max() <= 1
        with pytest.raises(UnknownName, match=", ".join(names)):
            find("nothing")
    for name in RESPONSES:
        assert response_named(name.upper().replace("_", " ")) is RESPONSES[name]
    with pytest.raises(UnknownName):
        response_named("ortho")


def test_what_is_invented_says_so() -> None:
    for found in (GRADED.spectrum, VARIABLE_CONTRAST.spectrum, *map(lens_filter, FILTERS)):
        assert "invented" in found.source
    for found in map(gel, GELS):
        assert "invented" in found.source
    for found in map(glass, GLASSES):
        assert "memory" in found.source
    assert lens("iso").source.startswith("ISO 7589")


# ---- glass, filters, gels --------------------------------------------------------------------


def test_the_standard_lens() -> None:
    # Notes, from the ratio of the two illuminants of ISO 7589; half at 384 nm.
    printed = {360: 0.07, 370: 0.23, 380: 0.42, 390: 0.60, 400: 0.74, 410: 0.83, 420: 0.88}
    for nm, value in printed.items():
        assert lens("iso").at(nm) == pytest.approx(value, abs=0.005)
    assert lens("iso").at(359) < 0.07 * 1.01
    assert lens("iso").at(384) == pytest.approx(0.5, abs=0.01)
    assert lens("iso").at(345) == 0


@pytest.mark.parametrize(("clear", "dark"), [(330, 290), (380, 340), (405, 355)])
def test_a_colour_code_is_kept(clear: float, dark: float) -> None:
    made = coded_glass(clear, dark)
    assert 0.92 * made.at(clear) == pytest.approx(0.80, abs=0.001)
    if dark >= 300:
        assert 0.92 * made.at(dark) == pytest.approx(0.05, abs=0.001)
    assert lens(f"{clear}/{dark}").name == made.name
    with pytest.raises(OutOfRange, match="wavelength at 5"):
        coded_glass(dark, clear)


def test_gels_move_tungsten_towards_daylight_and_back() -> None:
    tungsten, day = light_named("tungsten"), light_named("5500K")
    bluer = actinic_shift_stops(tungsten.through(gel("blue")).at_meter, GRADED)
    assert actinic_shift_stops(tungsten.at_meter, GRADED) < bluer < 0.6
    redder = actinic_shift_stops(day.through(gel("orange")).at_meter, GRADED)
    assert redder < actinic_shift_stops(day.through(gel("half-orange")).at_meter, GRADED) < 0


def test_an_even_gel_makes_one_radiator_of_another() -> None:
    made = light_named("radiator-5500K").spectrum.times(conversion_gel(mired(3200) - mired(5500)))
    wanted = light_named("3200K").spectrum
    for nm in (420.0, 480.0, 600.0, 680.0):
        # Wien's approximation leaves 4 parts in 100 at the far red.
        assert made.at(nm) / made.at(560) == pytest.approx(
            wanted.at(nm) / wanted.at(560), rel=0.04
        )
    with pytest.raises(OutOfRange, match="but not 0"):
        conversion_gel(0)


# ---- how sure a shift is ---------------------------------------------------------------------


def test_a_flash_is_trusted_to_a_third_of_a_stop() -> None:
    # Notes: flash tubes and their coatings vary, 0.3 stop.
    shift = shift_with_spread(light_named("flash"), GRADED, (uvcut370(),))
    assert shift.value == pytest.approx(0.094, abs=0.03)
    assert 0.3 <= shift.u < 0.32


def test_the_missing_line_of_a_tube_is_allowed_for_as_far_as_it_passes() -> None:
    # Notes: tables start at 380 nm; the line at 365 nm adds 0.0 to 0.2 stop.
    sure = replace(GRADED, edge_sd_nm=0.0, ultraviolet_sd_stops=0.0)
    tube = light_named("FL2")
    bare = actinic_shift_stops(tube.at_meter, GRADED)
    open_way = shift_with_spread(tube, sure)
    assert open_way.value == pytest.approx(bare + 0.1)
    assert open_way.u == pytest.approx(math.hypot(KINDS["tube"].sd_stops, 0.2 / math.sqrt(12)))
    closed = tube.through(glass("laminated"))
    plain = actinic_shift_stops(closed.at_meter, GRADED)
    assert shift_with_spread(closed, sure).value == pytest.approx(plain, abs=0.001)
    assert shift_with_spread(closed, sure).u == pytest.approx(KINDS["tube"].sd_stops, abs=1e-4)


def test_two_curves_guessed_apart_lie_about_a_sigma_apart() -> None:
    # The reference curves are from memory, ours are invented: neither knows of the other.
    names = ("A", "3200K", "D50", "D65", "D75", "radiator-5500K", "radiator-10000K", "blue-sky")
    off = []
    for ours, reference in ((GRADED, G1), (VARIABLE_CONTRAST, V1)):
        for name in (*names, "LED-B2", "LED-B4", "FL2", "FL11"):
            light = light_named(name)
            total = shift_with_spread(light, ours).u ** 2 - KINDS[light.kind].sd_stops ** 2
            if light.kind == "tube":
                total -= 0.2**2 / 12
            apart = actinic_shift_stops(light.at_meter, reference) - actinic_shift_stops(
                light.at_meter, ours
            )
            off.append(apart / math.sqrt(total))
    assert 0.7 < math.sqrt(float(np.mean(np.square(off)))) < 1.4


def test_light_at_the_edge_of_what_the_paper_sees_is_hardly_known() -> None:
    narrow = Spectrum("line", np.array([514.0, 515.0, 516.0]), np.array([0.0, 1.0, 0.0]))
    shift = shift_with_spread(Light(narrow, "measured"), GRADED)
    assert shift.u >= 3


def test_an_ei_found_under_one_light_is_the_same_there() -> None:
    led, through = light_named("LED-B3"), [old330()]
    assert ei_for_light(
        6, led, GRADED, through, known_under=led, known_through=through
    ) == pytest.approx(6)
    assert shift_between(led, led, GRADED, through, through).u == 0
    # Through the same lens the lens cancels, but for what it takes from either light.
    by_led = ei_for_light(6, led, GRADED, through, known_through=through)
    assert math.log2(by_led / 6) == pytest.approx(-1.278 + 0.035, abs=0.01)
    with pytest.raises(OutOfRange, match=r"from 0\.01 to 3200"):
        ei_for_light(0, led, GRADED)


def test_what_is_not_known_of_a_curve_cancels_between_like_lights() -> None:
    sure, unsure = replace(GRADED, edge_sd_nm=0.0, ultraviolet_sd_stops=0.0), GRADED
    led = light_named("LED-B2")

    def of_the_curve(known_under: str) -> float:
        under = light_named(known_under)
        of_lamps = shift_between(led, under, sure).u
        return math.sqrt(shift_between(led, under, unsure).u ** 2 - of_lamps**2)

    assert of_the_curve("LED-B1") < 0.15
    assert of_the_curve("D55") > 0.3
    lamps = math.hypot(KINDS["led"].sd_stops, KINDS["daylight"].sd_stops)
    assert shift_between(led, light_named("D55"), sure).u == pytest.approx(lamps)


def test_a_measured_response_is_trusted_more_and_a_blind_one_is_refused() -> None:
    flash = light_named("flash")
    mine = measured_response(GRADED.spectrum)
    assert shift_with_spread(flash, mine).u < shift_with_spread(flash, GRADED).u
    blind = Spectrum("infrared", np.array([800.0, 900.0]), np.array([1.0, 1.0]))
    with pytest.raises(BadValue, match="sees nothing from 300 to 780 nm"):
        measured_response(blind)


def test_spreads_have_their_range() -> None:
    with pytest.raises(OutOfRange, match="along the wavelengths"):
        PaperResponse("mine", GRADED.spectrum, edge_sd_nm=51)
    with pytest.raises(OutOfRange, match="in the ultraviolet"):
        PaperResponse("mine", GRADED.spectrum, ultraviolet_sd_stops=-1)
    with pytest.raises(UnknownName, match="kind of light"):
        Light(d_illuminant("D55"), "torch")
    with pytest.raises(BadValue, match="from -100 to 100"):
        GRADED.moved(101)


def test_a_paper_with_more_ultraviolet_gains_by_a_bare_flash() -> None:
    flash = light_named("flash").at_meter
    less, more = (actinic_shift_stops(flash, GRADED.with_ultraviolet(by)) for by in (-1, 1))
    assert less < actinic_shift_stops(flash, GRADED) < more
    changed = GRADED.with_ultraviolet(1).spectrum
    assert changed.at(420) == pytest.approx(GRADED.spectrum.at(420) * 2**0.5)


# ---- the packaged tables ---------------------------------------------------------------------


def test_tables_cover_what_they_say() -> None:
    assert tabulated("FL2").wavelength_nm[0] == 380
    assert GRID_NM[0] == 300
    assert GRID_NM[-1] == 780


@pytest.mark.slow
@pytest.mark.skipif(
    importlib.util.find_spec("colour") is None, reason="needs colour-science, not a dependency"
)
def test_the_script_would_write_the_tables_as_they_are() -> None:
    # In a process of its own: the library leaves a stub of a plotting package behind.
    done = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "spectral_tables.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "The tables agree.\n"), done.stderr[-500:]
