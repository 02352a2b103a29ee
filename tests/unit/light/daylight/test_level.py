"""Daylight on planes: a year against the library, night, hemispheres, spreads."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pvlib import atmosphere as air
from pvlib import solarposition, spectrum

from stillroom.light.daylight import (
    LOW_SUN,
    LOW_SUN_DEG,
    PLANNED,
    Atmosphere,
    Place,
    Plane,
    Sky,
    daylight,
    light_on,
    outdoors,
    sky_table,
    sun_days,
    sun_position,
    upright_sky_ratio,
    year_map,
)
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import GRADED, old330, weights_on
from tests.unit.light.daylight.tables import clear

LONDON = Place(52, 0, "Europe/London")
TROMSO = Place(69.65, 18.96, "Europe/Oslo")
PLANES = {
    "level": Plane.level(),
    "facing the sun": Plane.upright(180),
    "open shade": Plane.open_shade(0),
    "open shade with sunlit ground": Plane.open_shade(0, ground_sunlit=True),
}


def noons(place: Place, *days: date) -> FloatArray:
    return np.array([sun_days(place, day).noon_s[0] for day in days])


SEASON = noons(LONDON, date(2025, 12, 21), date(2025, 6, 21))


def by_the_library(posix_s: FloatArray, place: Place, plane: Plane) -> FloatArray:
    """The same light straight from the library, instant by instant, actinic."""
    found = []
    for one in posix_s:
        moment = datetime.fromtimestamp(float(one), UTC)
        sun = solarposition.get_solarposition(
            [moment], place.latitude_deg, place.longitude_deg
        ).iloc[0]
        zenith = np.array([sun.apparent_zenith])
        made = spectrum.spectrl2(
            apparent_zenith=zenith,
            aoi=zenith,
            surface_tilt=0,
            ground_albedo=0.1,
            surface_pressure=101325.0,
            relative_airmass=air.get_relative_airmass(zenith, "kastenyoung1989"),
            precipitable_water=1.4,
            ozone=0.33,
            aerosol_turbidity_500nm=0.1,
            dayofyear=moment.timetuple().tm_yday,
        )
        weights = weights_on(made["wavelength"], GRADED, [old330()])
        beam, sky = float(weights @ made["dni"][:, 0]), float(weights @ made["dhi"][:, 0])
        up = math.cos(math.radians(zenith[0]))
        level = beam * up + sky
        if plane.facing_deg is None:
            found.append(level)
            continue
        turn = plane.facing_deg - sun.azimuth
        facing = math.sin(math.radians(zenith[0])) * max(0.0, math.cos(math.radians(turn)))
        share = float(upright_sky_ratio(90 - zenith[0], turn))
        ground = 0.05 * level if plane.ground_sunlit else 0.0
        found.append(beam * facing * plane.sun + sky * share + ground)
    return np.array(found)


@pytest.mark.parametrize("name", list(PLANES))
@pytest.mark.parametrize("place", [LONDON, TROMSO, Place(-35, 149, "Australia/Sydney")])
def test_a_year_against_the_library_itself(name: str, place: Place) -> None:
    """At most 0.02 stop apart with the sun above 2 degrees; every 211th quarter of an hour."""
    year = year_map(place, 2026, [PLANES[name]], clear())
    high = np.flatnonzero(year.sun.elevation_deg > 2)[::211]
    straight = by_the_library(year.sun.posix_s[high], place, PLANES[name])
    apart = np.log2(year.light.actinic_lx[0, high] / straight)
    assert len(high) > 50
    assert np.abs(apart).max() < 0.02


def test_night_is_exactly_dark() -> None:
    year = year_map(TROMSO, 2026, list(PLANES.values()), clear(), sky=PLANNED["middling"])
    dark = year.sun.elevation_deg <= 0
    assert dark.any()
    assert np.all(year.light.actinic_lx[:, dark] == 0)
    assert np.all(year.light.photopic_lx[:, dark] == 0)
    assert np.isnan(year.light.sd_stops[:, dark]).all()
    assert np.isnan(year.light.shift_stops[:, dark]).all()
    for lit in (year.light.actinic_lx, year.light.photopic_lx, year.light.sd_stops):
        assert np.all(lit[:, ~dark] > 0)
        assert np.isfinite(lit[:, ~dark]).all()


def test_polar_night_and_day_at_a_glance() -> None:
    year = year_map(TROMSO, 2026, [Plane.level()], clear(), step_min=60)
    table = year.slots.on_clock(year.light.actinic_lx)[0]
    june, december = date(2026, 6, 21).timetuple().tm_yday - 1, 354
    assert np.all(table[june] > 0)
    assert np.all(table[december] == 0)


def test_low_sun_is_flagged_and_less_sure() -> None:
    day = year_map(LONDON, 2026, [Plane.level()], clear())
    low = (day.sun.elevation_deg > 0) & (day.sun.elevation_deg < LOW_SUN_DEG)
    assert np.array_equal(day.light.low_sun, low)
    assert day.light.cautions == (LOW_SUN,)
    assert np.all(day.light.sd_stops[0, low] > 0.5)
    assert daylight(SEASON, LONDON, [Plane.level()], clear()).cautions == ()


@settings(max_examples=30, deadline=None)
@given(
    latitude=st.floats(0.5, 66),
    facing=st.floats(0, 180),
    hours=st.floats(-8, 8),
    okta=st.integers(0, 7),
)
def test_the_south_in_december_is_the_north_in_june_mirrored(
    latitude: float, facing: float, hours: float, okta: int
) -> None:
    """A plane facing north there gets what one facing south gets here, but for the distance."""
    north, south = Place(latitude, 0, "UTC"), Place(-latitude, 0, "UTC")
    june = sun_position(noons(north, date(2026, 6, 21)) + 3600 * hours, north)
    december = sun_position(noons(south, date(2026, 12, 21)) + 3600 * hours, south)
    if june.elevation_deg[0] < 3:
        return
    here = light_on([Plane.upright(facing)], june, clear(), Sky(okta))
    there = light_on([Plane.upright(180 - facing)], december, clear(), Sky(okta))
    nearer = december.earth_sun_factor[0] / june.earth_sun_factor[0]
    assert there.actinic_lx[0, 0] / here.actinic_lx[0, 0] / nearer == pytest.approx(1, abs=0.01)
    assert there.sd_stops[0, 0] == pytest.approx(here.sd_stops[0, 0], abs=0.01)


def test_open_shade_faces_the_other_way_in_the_south() -> None:
    sydney = Place(-33.9, 151.2, "Australia/Sydney")
    noon = noons(sydney, date(2026, 9, 23))
    faces = [Plane.upright(0), Plane.upright(180)]
    to_sun, away = daylight(noon, sydney, faces, clear()).actinic_lx[:, 0]
    assert to_sun > 4 * away


@settings(max_examples=30, deadline=None)
@given(hours=st.floats(-8, 8), turn=st.floats(0, 180))
def test_planes_left_and_right_of_the_sun_get_the_same(hours: float, turn: float) -> None:
    noon = sun_position(noons(LONDON, date(2026, 6, 21)) + 3600 * hours, LONDON)
    azimuth = float(noon.azimuth_deg[0])
    left, right = Plane.upright((azimuth - turn) % 360), Plane.upright((azimuth + turn) % 360)
    made = light_on([left, right], noon, clear(), Sky(3))
    assert made.actinic_lx[0, 0] == pytest.approx(made.actinic_lx[1, 0], rel=1e-9)


def test_what_stands_around_takes_its_share() -> None:
    noon = sun_position(SEASON[:1], LONDON)  # 14.6 degrees high
    open_, court, hidden = light_on(
        [
            Plane.open_shade(0),
            Plane(0, sun=False, ground_sunlit=False, sky_share=0.25),
            Plane(180, skyline_deg=20.0, ground_sunlit=False),
        ],
        noon,
        clear(),
    ).actinic_lx[:, 0]
    assert court == pytest.approx(open_ / 4)
    sky_only = light_on([Plane(180, sun=False, ground_sunlit=False)], noon, clear())
    assert hidden == sky_only.actinic_lx[0, 0]


def test_snow_lights_the_shade() -> None:
    """Notes: albedo 0.8 adds 0.45 stop to the sky at 20 degrees; the ground before it more."""
    snow = sky_table(GRADED, [old330()], atmosphere=Atmosphere.called("clear", snow=True))
    shade = [Plane.open_shade(0, ground_sunlit=True)]
    noon = noons(LONDON, date(2026, 3, 1))
    gained = math.log2(
        daylight(noon, LONDON, shade, snow).actinic_lx[0, 0]
        / daylight(noon, LONDON, shade, clear()).actinic_lx[0, 0]
    )
    assert 1.0 < gained < 2.0
    given_ = [Plane(0, sun=False, ground_reflectance=0.8)]
    assert daylight(noon, LONDON, given_, snow).actinic_lx[0, 0] == pytest.approx(
        daylight(noon, LONDON, shade, snow).actinic_lx[0, 0]
    )


def test_spreads_are_those_of_the_notes() -> None:
    """Sky alone 0.3, share of an upright plane 0.25 or 0.4 when hazy, beam 0.15; haze on top."""
    noon = noons(LONDON, date(2026, 6, 21))
    planes = [Plane.level(), Plane.open_shade(0)]
    level, shade = daylight(noon, LONDON, planes, clear()).sd_stops[:, 0]
    assert math.hypot(0.3, 0.25) < shade < math.hypot(0.3, 0.25, 0.15)
    assert 0.12 < level < 0.2
    hazy = sky_table(GRADED, [old330()], atmosphere=Atmosphere.called("hazy"))
    assert daylight(noon, LONDON, planes, hazy).sd_stops[1, 0] > math.hypot(0.3, 0.4)
    dull = daylight(noon, LONDON, planes, clear(), PLANNED["dull"]).sd_stops[:, 0]
    assert dull[0] == pytest.approx(math.hypot(0.6, 0.2), abs=0.07)


def test_three_skies_to_plan_with() -> None:
    noon = noons(LONDON, date(2026, 3, 20))
    planes = [Plane.upright(180), Plane.open_shade(0, ground_sunlit=True)]
    found = {word: daylight(noon, LONDON, planes, clear(), sky) for word, sky in PLANNED.items()}
    face = [float(found[word].actinic_lx[0, 0]) for word in ("clear", "middling", "dull")]
    assert all(more > less for more, less in pairwise(face))
    clear_sd, middling_sd, _ = (found[word].sd_stops[:, 0] for word in PLANNED)
    assert middling_sd[0] > middling_sd[1]  # sun or none on the face; in shade either way
    assert np.all(middling_sd > clear_sd + 0.2)


def test_sun_that_comes_and_goes_lies_between_both_by_its_odds() -> None:
    noon = noons(LONDON, date(2026, 6, 21))
    plane = [Plane.upright(180)]
    out, hidden, either = (
        daylight(noon, LONDON, plane, clear(), Sky(5, word))
        for word in ("yes", "no", "comes and goes")
    )
    stops = [math.log2(one.actinic_lx[0, 0]) for one in (out, hidden, either)]
    assert stops[2] == pytest.approx(0.375 * stops[0] + 0.625 * stops[1])
    spreads = [one.sd_stops[0, 0] for one in (out, hidden, either)]
    between = 0.375 * 0.625 * (stops[0] - stops[1]) ** 2
    assert spreads[2] ** 2 == pytest.approx(
        0.375 * spreads[0] ** 2 + 0.625 * spreads[1] ** 2 + between
    )


def test_what_a_window_needs_is_there() -> None:
    """Beam, sky and an upright share, which a plane in the open is made of."""
    sun = sun_position(SEASON, LONDON)
    outside = outdoors(sun, clear())
    plane = light_on([Plane.open_shade(45)], sun, clear())
    assert outside.sky_lx[0] * outside.upright_sky_ratio(45) == pytest.approx(plane.actinic_lx[0])
    level = light_on([Plane.level()], sun, clear())
    assert outside.level_lx[0] == pytest.approx(level.actinic_lx[0])
    assert outside.level_lx[1] == pytest.approx(level.photopic_lx[0])
    night = outdoors(sun_position(SEASON + 43200, LONDON), clear())
    assert np.all(night.beam_lx == 0)
    assert np.all(night.sky_lx == 0)


def test_no_planes_and_no_times() -> None:
    assert daylight(SEASON, LONDON, [], clear()).actinic_lx.shape == (0, 2)
    assert daylight(np.array([]), LONDON, [Plane.level()], clear()).sd_stops.shape == (1, 0)
