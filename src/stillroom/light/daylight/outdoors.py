"""What comes from sun and sky at some instants, before any plane is put into it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.light.daylight.clear_sky import STEP_DEG, SkyTable
from stillroom.light.daylight.cloud import SunWord, clouded
from stillroom.light.daylight.sun import SunPosition
from stillroom.quantity import FloatArray

UPRIGHT_SD_STOPS = 0.25
"""Of an upright plane's share of the clear sky, one sigma [stops]."""
UPRIGHT_HAZY_SD_STOPS = 0.4
"""The same when it is hazy."""


@dataclass(frozen=True, slots=True, eq=False)
class Outdoors:
    """What comes from sun and sky at some instants, before any plane is put into it.

    Arrays of light have two rows, actinic and photopic; with the sun down they hold 0.

    Parameters
    ----------
    sun : SunPosition
        Where the sun stands.
    up : FloatArray
        Sine of its elevation [1].
    beam_lx : FloatArray
        From the sun on a plane square to it [lx].
    sky_lx : FloatArray
        From the sky on level open ground [lx].
    upright : FloatArray
        Three rows, as the columns of `upright_parts`, with cloud in them [1].
    beam_haze_stops, sky_haze_stops : FloatArray
        What one sigma more haze does to either [stops].
    beam_sd_stops, sky_sd_stops : float
        Standard uncertainty of either, haze apart [stops].
    upright_sd_stops : float
        Standard uncertainty of an upright plane's share of the sky [stops].
    ground_albedo : float
        Of the country around [1].
    cover : float
        Share of the sky that cloud covers [1].
    """

    sun: SunPosition
    up: FloatArray
    beam_lx: FloatArray
    sky_lx: FloatArray
    upright: FloatArray
    beam_haze_stops: FloatArray
    sky_haze_stops: FloatArray
    beam_sd_stops: float
    sky_sd_stops: float
    upright_sd_stops: float
    ground_albedo: float
    cover: float

    @property
    def level_lx(self) -> FloatArray:
        """On level open ground from sun and sky, actinic and photopic [lx]."""
        return np.asarray(self.beam_lx * self.up + self.sky_lx)

    def upright_sky_ratio(self, facing_deg: float) -> FloatArray:
        """Return what the sky gives an upright plane over what it gives level ground.

        Parameters
        ----------
        facing_deg : float
            Direction the plane faces, from north clockwise [deg].

        Returns
        -------
        FloatArray
            One for each instant [1].
        """
        return self.share(self.turn(facing_deg))

    def share(self, turn: FloatArray) -> FloatArray:
        """Return the same from the cosine of the angle between sun and plane.

        Parameters
        ----------
        turn : FloatArray
            As `turn` returns it [1].

        Returns
        -------
        FloatArray
            One for each instant [1].
        """
        even, odd, square = self.upright
        return np.asarray(even + (odd + square * turn) * turn)

    def turn(self, facing_deg: float) -> FloatArray:
        """Return the cosine of the angle between sun and plane, seen from above.

        Parameters
        ----------
        facing_deg : float
            Direction the plane faces, from north clockwise [deg].

        Returns
        -------
        FloatArray
            One for each instant [1].
        """
        return np.asarray(np.cos(np.radians(facing_deg - self.sun.azimuth_deg)))


def outdoors(
    sun: SunPosition, table: SkyTable, okta: int = 0, sun_is_out: SunWord = "yes"
) -> Outdoors:
    """Return what comes from sun and sky.

    Parameters
    ----------
    sun : SunPosition
        Where the sun stands.
    table : SkyTable
        The cloudless day, as paper and meter see it.
    okta : int
        Eighths of the sky covered, 0 to 8.
    sun_is_out : str
        ``yes``, ``no`` or ``veiled``.

    Returns
    -------
    Outdoors
        One of each for every instant.

    Notes
    -----
    Straight lines between the rows of the table, a quarter of a degree apart: within 0.003 stop
    of the model above 2 deg.

    References
    ----------
    As `sky_table` and `clouded`.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> from stillroom.light.daylight import Place, sky_table, sun_position
    >>> from stillroom.quantity.spectra import GRADED, old330
    >>> sun = sun_position(datetime(2026, 3, 20, 12, tzinfo=timezone.utc), Place(52, 0, "UTC"))
    >>> light = outdoors(sun, sky_table(GRADED, [old330()]))
    >>> (light.sky_lx[:, 0] / 1000).round(1).tolist()
    [27.4, 12.6]
    """
    rows = clouded(table, okta, sun_is_out)
    haze = (table.beam_haze_stops, table.sky_haze_stops)
    every = np.column_stack([rows.beam_lx, rows.sky_lx, rows.upright, *haze])
    here = _between_rows(every, sun.elevation_deg)
    here[:4] *= np.where(sun.elevation_deg > 0, sun.earth_sun_factor, 0.0)
    return Outdoors(
        sun=sun,
        up=np.sin(np.radians(sun.elevation_deg)),
        beam_lx=here[0:2],
        sky_lx=here[2:4],
        upright=here[4:7],
        beam_haze_stops=here[7],
        sky_haze_stops=here[8],
        beam_sd_stops=rows.beam_sd_stops,
        sky_sd_stops=rows.sky_sd_stops,
        upright_sd_stops=UPRIGHT_HAZY_SD_STOPS if table.atmosphere.is_hazy else UPRIGHT_SD_STOPS,
        ground_albedo=table.atmosphere.ground_albedo,
        cover=okta / 8,
    )


def _between_rows(rows: FloatArray, elevation_deg: FloatArray) -> FloatArray:
    """Columns of a table every `STEP_DEG` from 0, straight lines between its rows."""
    place = np.clip(elevation_deg / STEP_DEG, 0.0, len(rows) - 1)
    before = np.minimum(place.astype(np.int64), len(rows) - 2)
    found = np.diff(rows, axis=0)[before]
    found *= (place - before)[:, None]
    found += rows[before]
    return np.ascontiguousarray(found.T)
