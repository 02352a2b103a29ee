"""What the table of daylight leans on: rows of a sky, a reference spectrum, two noons."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from functools import cache
from typing import NamedTuple

import numpy as np

from stillroom.light import Modifier, distance_stops, far_field_loss_stops, full_log2_lxs_1m
from stillroom.light.daylight import (
    Atmosphere,
    CloudedRows,
    Place,
    SkyTable,
    SunPosition,
    spectra,
    sun_days,
)
from stillroom.quantity import FloatArray, ratio_of_stops
from stillroom.quantity.spectra import Spectrum
from tests.unit.light.daylight.tables import (
    SPRING_DAY,
    general_sky_upright_away,
    row_at,
    spring_factor,
)

__all__ = [
    "AT_52_N",
    "band",
    "band_gained",
    "beam_of",
    "every_degree",
    "furthest_stops",
    "g173",
    "g173_light",
    "gained",
    "general_sky_upright_away",
    "ies_beam_klx",
    "ies_overcast_klx",
    "ies_sky_klx",
    "its_sun",
    "library_plane",
    "meter_klx",
    "noons",
    "octa_flash_lxs",
    "overcast_klx",
    "overcast_upright_klx",
    "paper_klx",
    "shift_stops",
    "spa_of_the_library",
    "utc",
]

AT_52_N = Place(52, 0, "UTC")
ZENITH_DEG = 48.236  # of the sun in ASTM G173, at an airmass of 1.5
TILT_DEG = 37.0  # of its plane


class Sampled(NamedTuple):
    """Power at some wavelengths [nm, W/(m2 nm)]."""

    wavelength_nm: FloatArray
    power: FloatArray


# ---- one row of a table -------------------------------------------------------------------------


def paper_klx(table: SkyTable, part: str, elevation_deg: float) -> float:
    """As the paper sees it on day 80, nearer the sun than the mean."""
    return _klx(table, part, elevation_deg, 0)


def meter_klx(table: SkyTable, part: str, elevation_deg: float) -> float:
    """As a meter shows it on day 80."""
    return _klx(table, part, elevation_deg, 1)


def shift_stops(table: SkyTable, part: str, elevation_deg: float) -> float:
    """What the paper gets more than the meter shows."""
    paper, meter = (_klx(table, part, elevation_deg, seen) for seen in (0, 1))
    return math.log2(paper / meter)


def overcast_klx(rows: CloudedRows, table: SkyTable, elevation_deg: float) -> float:
    """On level ground under cloud, as a meter shows it on day 80."""
    return float(rows.sky_lx[row_at(table, elevation_deg), 1]) * spring_factor() / 1000


def overcast_upright_klx(rows: CloudedRows, table: SkyTable, elevation_deg: float) -> float:
    """On an upright plane under cloud that looks the same on every side."""
    share = float(rows.upright[row_at(table, elevation_deg), 0])
    return share * overcast_klx(rows, table, elevation_deg)


def _klx(table: SkyTable, part: str, elevation_deg: float, seen: int) -> float:
    lx = {"beam": table.beam_lx, "sky": table.sky_lx}[part]
    return float(lx[row_at(table, elevation_deg), seen]) * spring_factor() / 1000


# ---- formulas of 1984, in klx -------------------------------------------------------------------


def ies_beam_klx(elevation_deg: float) -> float:
    return 127.5 * math.exp(-0.21 / _sine(elevation_deg))


def ies_sky_klx(elevation_deg: float) -> float:
    return 16.4 * math.sqrt(_sine(elevation_deg))


def ies_overcast_klx(elevation_deg: float) -> float:
    return 21.4 * _sine(elevation_deg)


def _sine(elevation_deg: float) -> float:
    return math.sin(math.radians(elevation_deg))


# ---- the reference spectrum of ASTM G173 --------------------------------------------------------


def g173(part: str) -> Sampled:
    """Beam, or all or the sky's part of what its tilted plane gets."""
    table = _g173()
    if part != "diffuse":
        return table[part]
    to_sun = math.cos(math.radians(ZENITH_DEG - TILT_DEG))
    whole, beam = table["global"], table["direct"]
    return Sampled(whole.wavelength_nm, whole.power - to_sun * beam.power)


@cache
def _g173() -> dict[str, Sampled]:
    from pvlib.spectrum import get_reference_spectra

    read = get_reference_spectra(standard="ASTM G173-03")
    nm = read.index.to_numpy().astype(np.float64)
    return {part: Sampled(nm, read[part].to_numpy()) for part in ("global", "direct")}


def g173_light() -> Spectrum:
    """Its beam as a light of ours."""
    return Spectrum("beam of ASTM G173", *g173("direct"))


def its_sun() -> FloatArray:
    """How high the sun stands in it."""
    return np.array([90.0 - ZENITH_DEG])


def beam_of(made: tuple[FloatArray, FloatArray, FloatArray]) -> Sampled:
    """Beam of what our own `spectra` returns for one elevation."""
    return Sampled(made[0], made[1][:, 0])


def library_plane(part: str, albedo: float) -> Sampled:
    """The same plane by the model under ours, fed with the atmosphere of the standard.

    Its sky on a tilted plane is used here and nowhere else.
    """
    from pvlib import atmosphere as air
    from pvlib import spectrum

    zenith = np.array([ZENITH_DEG])
    made = spectrum.spectrl2(
        apparent_zenith=zenith,
        aoi=zenith - TILT_DEG,
        surface_tilt=TILT_DEG,
        ground_albedo=albedo,
        surface_pressure=101325.0,
        relative_airmass=air.get_relative_airmass(zenith, "kastenyoung1989"),
        precipitable_water=1.4164,
        ozone=0.3438,
        aerosol_turbidity_500nm=0.084,
        dayofyear=SPRING_DAY,
    )
    beam = made["poa_direct"] if part == "diffuse" else 0.0
    return Sampled(made["wavelength"], (made["poa_global"] - beam)[:, 0] / spring_factor())


def band(of: Sampled, low_nm: float, high_nm: float) -> float:
    """Power between two wavelengths, a tenth of a nanometre at a time [W/m2]."""
    here = np.linspace(low_nm, high_nm, 10 * round(high_nm - low_nm) + 1)
    return float(np.trapezoid(np.interp(here, *of), here))


# ---- the sun ------------------------------------------------------------------------------------


def utc(moment: str) -> datetime:
    """A moment by its date and time, UTC or with its own offset."""
    read = datetime.fromisoformat(moment)
    return read if read.tzinfo else read.replace(tzinfo=UTC)


@cache
def spa_of_the_library() -> tuple[float, float]:
    """Zenith and azimuth of the printed example, with its height, air and clock [deg]."""
    import pandas as pd
    from pvlib.solarposition import spa_python

    found = spa_python(
        pd.DatetimeIndex([utc("2003-10-17T12:30:30-07:00")]),
        *(39.742476, -105.1786),
        altitude=1830.14,
        pressure=82000,
        temperature=11,
        delta_t=67,
    ).iloc[0]
    return float(found.apparent_zenith), float(found.azimuth)


# ---- an upright plane ---------------------------------------------------------------------------


def every_degree() -> FloatArray:
    return np.arange(0.0, 91.0)


def furthest_stops(ratio: FloatArray, flat: float) -> float:
    """Of a ratio from a flat one, either way."""
    return float(np.abs(np.log2(ratio / flat)).max())


# ---- December and June at 52 degrees north ------------------------------------------------------


@cache
def noons() -> FloatArray:
    """The sun's noon on 21 December and 21 June 2025."""
    return np.array(
        [sun_days(AT_52_N, day).noon_s[0] for day in (date(2025, 12, 21), date(2025, 6, 21))]
    )


def gained(light_lx: FloatArray) -> float:
    """From the first instant to the second, on the first plane [stops]."""
    return float(np.log2(light_lx[0, 1] / light_lx[0, 0]))


def band_gained(sun: SunPosition, low_nm: float, high_nm: float) -> float:
    """The same on level ground, of what lies between two wavelengths [stops]."""
    wavelength, beam, sky = spectra(sun.elevation_deg, Atmosphere())
    level = (beam * np.sin(np.radians(sun.elevation_deg)) + sky) * sun.earth_sun_factor
    first, second = (band(Sampled(wavelength, one), low_nm, high_nm) for one in level.T)
    return math.log2(second / first)


# ---- the flash beside a gap in the curtain ------------------------------------------------------


def octa_flash_lxs() -> float:
    """Invented demo kit: head A, 1200 W·s, full, octa with two cloths, 0.9 m from the face."""
    octa = Modifier("octa", "octa", 0.9, 0.9, layers=2, loss_stops=2.5)
    return ratio_of_stops(
        full_log2_lxs_1m(1200, 40, 4)
        - far_field_loss_stops(octa)
        + distance_stops(0.9)
        + octa.near_field_stops(0.9)
    )
