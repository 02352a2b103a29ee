"""A sky, rows of its table, and a standard sky: what tests of daylight share."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from stillroom.light.daylight import SkyTable, sky_table
from stillroom.quantity.spectra import GRADED, old330

SPRING_DAY = 80  # the day of every printed table of the clear sky


@cache
def clear() -> SkyTable:
    """A cloudless sky as graded paper sees it through the old lens."""
    return sky_table(GRADED, [old330()])


@cache
def spring_factor() -> float:
    """Sunlight on day 80 over that at the mean distance."""
    from pvlib.irradiance import get_extra_radiation

    return float(get_extra_radiation(SPRING_DAY, method="spencer", solar_constant=1))


def row_at(table: SkyTable, elevation_deg: float) -> int:
    (found,) = np.flatnonzero(np.isclose(table.elevation_deg, elevation_deg))
    return int(found)


def general_sky_upright_away(elevation_deg: float) -> float:
    """CIE standard general sky type 12, an upright plane turned away from the sun, over level.

    Gradation a = -1, b = -0.32; indicatrix c = 10, d = -3, e = 0.45 (CIE S 011, from memory; the
    printed ratios say whether memory served). Midpoint sums over the sky.
    """
    zenith = np.radians(np.arange(0.25, 90, 0.5))[:, None]
    azimuth = np.radians(np.arange(0.5, 360, 1.0))[None, :]
    sun_zenith = math.radians(90 - elevation_deg)
    apart = np.arccos(
        np.clip(
            math.cos(sun_zenith) * np.cos(zenith)
            + math.sin(sun_zenith) * np.sin(zenith) * np.cos(azimuth),
            -1,
            1,
        )
    )
    gradation = 1 - np.exp(-0.32 / np.cos(zenith))
    indicatrix = (
        1 + 10 * (np.exp(-3 * apart) - math.exp(-3 * math.pi / 2)) + 0.45 * np.cos(apart) ** 2
    )
    light = gradation * indicatrix * np.sin(zenith)
    upright = np.sum(light * np.sin(zenith) * np.maximum(-np.cos(azimuth), 0))
    return float(upright / np.sum(light * np.cos(zenith)))
