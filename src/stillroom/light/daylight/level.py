"""Daylight on planes at any times: a day, a year, one moment."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from stillroom.light.daylight.clear_sky import SkyTable
from stillroom.light.daylight.cloud import Sky
from stillroom.light.daylight.outdoors import Outdoors, outdoors
from stillroom.light.daylight.place import Instants, Place, Slots, year_slots
from stillroom.light.daylight.planes import Plane
from stillroom.light.daylight.sun import SunPosition, sun_position
from stillroom.quantity import FloatArray

GROUND_SD_STOPS = 0.5
"""Of the light that the ground throws up, one sigma [stops] (invented)."""
LOW_SUN_DEG = 3.0
"""Below, the model of the clear sky is weak."""
LOW_SUN_SD_STOPS = 0.5
"""What that adds, one sigma [stops] (invented)."""
LOW_SUN = "The sun stands below 3 degrees: take these figures as a hint only."


@dataclass(frozen=True, slots=True, eq=False)
class PlaneLight:
    """Daylight on some planes at some instants.

    Parameters
    ----------
    actinic_lx : FloatArray
        As the paper sees it, planes by instants [lx].
    photopic_lx : FloatArray
        As a meter at the sitter shows it, planes by instants [lx].
    sd_stops : FloatArray
        Standard uncertainty of the actinic light [stops]; NaN where there is none.
    low_sun : NDArray of bool
        Where the sun stands above the horizon but so low that the model is weak, by instant.
    """

    actinic_lx: FloatArray
    photopic_lx: FloatArray
    sd_stops: FloatArray
    low_sun: NDArray[np.bool_]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know before using the figures."""
        return (LOW_SUN,) if self.low_sun.any() else ()

    @property
    def shift_stops(self) -> FloatArray:
        """What the paper gets more than the meter says [stops]; NaN where there is no light."""
        lit = self.actinic_lx > 0
        ratio = np.divide(
            self.actinic_lx, self.photopic_lx, out=np.full_like(self.actinic_lx, np.nan), where=lit
        )
        return np.asarray(np.log2(ratio))


def light_on(
    planes: Sequence[Plane], sun: SunPosition, table: SkyTable, sky: Sky | None = None
) -> PlaneLight:
    """Return the daylight on some planes.

    Parameters
    ----------
    planes : sequence of Plane
        At the sitter.
    sun : SunPosition
        Where the sun stands.
    table : SkyTable
        The cloudless day, as paper and meter see it.
    sky : Sky, optional
        Cloud, the same at all instants; none when left out.

    Returns
    -------
    PlaneLight
        Exactly 0 with the sun down. Where the sun comes and goes the level is the mean in stops
        over both states, and the spread holds both.

    References
    ----------
    Cosine law; `upright_sky_ratio`; half of what the ground throws up meets an upright plane.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> from stillroom.light.daylight import sky_table
    >>> from stillroom.quantity.spectra import GRADED, old330
    >>> sun = sun_position(datetime(2026, 6, 21, 12, tzinfo=timezone.utc), Place(52, 0, "UTC"))
    >>> made = light_on([Plane.open_shade(0)], sun, sky_table(GRADED, [old330()]))
    >>> f"{made.actinic_lx[0, 0] / 1000:.1f} klx ± {made.sd_stops[0, 0]:.1f}"
    '13.7 klx ± 0.4'
    """
    return light_in_views([partial(_on_plane, plane) for plane in planes], sun, table, sky)


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """Light on one plane at some instants, from one certain state of the sky.

    Parameters
    ----------
    actinic_lx, photopic_lx : FloatArray
        As paper and meter see it, one for each instant [lx].
    variance_stops2 : FloatArray
        Of the first [stops2].
    """

    actinic_lx: FloatArray
    photopic_lx: FloatArray
    variance_stops2: FloatArray


def light_in_views(
    views: Sequence[Callable[[Outdoors], Lit]],
    sun: SunPosition,
    table: SkyTable,
    sky: Sky | None = None,
) -> PlaneLight:
    """Return the daylight in some views of the outdoors: on planes, behind windows.

    Parameters
    ----------
    views : sequence of callable
        Each tells what reaches its plane of what comes from sun and sky.
    sun : SunPosition
        Where the sun stands.
    table : SkyTable
        The cloudless day, as paper and meter see it.
    sky : Sky, optional
        Cloud, the same at all instants; none when left out.

    Returns
    -------
    PlaneLight
        As `light_on`, views by instants.

    References
    ----------
    As `light_on`.
    """
    lit = np.flatnonzero(sun.elevation_deg > 0)
    whole = lit.size == sun.elevation_deg.size
    seen = (
        sun
        if whole
        else SunPosition(
            *(
                one[lit]
                for one in (sun.posix_s, sun.elevation_deg, sun.azimuth_deg, sun.earth_sun_factor)
            )
        )
    )
    low = seen.elevation_deg < LOW_SUN_DEG
    states = [
        (odds, outdoors(seen, table, (sky or Sky()).okta, word))
        for odds, word in (sky or Sky()).states()
    ]
    shape = (len(views), sun.elevation_deg.size)
    actinic, photopic, spread = np.zeros(shape), np.zeros(shape), np.full(shape, np.nan)
    for n, view in enumerate(views):
        found = _mixed([(odds, view(outside)) for odds, outside in states])
        actinic[n, lit], photopic[n, lit], spread[n, lit] = found
    spread[:, lit[low]] = np.hypot(spread[:, lit[low]], LOW_SUN_SD_STOPS)
    low_sun = np.zeros(sun.elevation_deg.size, dtype=np.bool_)
    low_sun[lit] = low
    return PlaneLight(actinic, photopic, spread, low_sun)


def _on_plane(plane: Plane, outside: Outdoors) -> Lit:
    up, open_to_sun = outside.up, outside.sun.elevation_deg > plane.skyline_deg
    if plane.facing_deg is None:
        facing, share, upright_sd = up, np.ones_like(up), 0.0
    else:
        turn = outside.turn(plane.facing_deg)
        facing = np.sqrt(1 - up * up) * np.maximum(turn, 0.0)
        share, upright_sd = outside.share(turn), outside.upright_sd_stops
    beam = outside.beam_lx * (facing * open_to_sun) if plane.sun else np.zeros((2, up.size))
    sky = outside.sky_lx * (share * plane.sky_share)
    ground = np.zeros((2, up.size))
    if plane.facing_deg is not None and plane.ground_sunlit:
        given = plane.ground_reflectance
        reflectance = outside.ground_albedo if given is None else given
        ground = 0.5 * reflectance * (outside.beam_lx * (up * open_to_sun) + outside.sky_lx)
    total = beam + sky + ground
    shares = [part[0] / total[0] for part in (beam, sky, ground)]
    return Lit(total[0], total[1], variance_of_shares(shares, upright_sd, outside))


def variance_of_shares(
    shares: Sequence[FloatArray], upright_sd_stops: float, outside: Outdoors
) -> FloatArray:
    """Return how far the light on a plane may be off.

    Parameters
    ----------
    shares : sequence of FloatArray
        What beam, sky and ground make of it [1].
    upright_sd_stops : float
        Standard uncertainty of the part of the sky it sees [stops].
    outside : Outdoors
        Whose own spreads count; haze takes from the beam while it adds to the sky.

    Returns
    -------
    FloatArray
        Variance [stops2].

    References
    ----------
    First-order propagation, the parts independent but for the haze.
    """
    beam, sky, ground = shares
    haze = beam * outside.beam_haze_stops + sky * outside.sky_haze_stops
    return np.asarray(
        (beam * outside.beam_sd_stops) ** 2
        + ((sky + ground) * outside.sky_sd_stops) ** 2
        + (sky * upright_sd_stops) ** 2
        + (ground * GROUND_SD_STOPS) ** 2
        + haze**2
    )


def _mixed(
    states: Sequence[tuple[float, Lit]],
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Means in stops over what may be, and a spread that holds all of it."""
    if len(states) == 1:
        lit = states[0][1]
        return lit.actinic_lx, lit.photopic_lx, np.sqrt(lit.variance_stops2)
    logs = [(odds, np.log2(lit.actinic_lx), lit.variance_stops2) for odds, lit in states]
    mean = sum((odds * stops for odds, stops, _ in logs), start=np.zeros_like(logs[0][1]))
    variance = sum(
        (odds * (own + (stops - mean) ** 2) for odds, stops, own in logs),
        start=np.zeros_like(mean),
    )
    seen = sum(
        (odds * np.log2(lit.photopic_lx) for odds, lit in states), start=np.zeros_like(mean)
    )
    return np.exp2(mean), np.exp2(seen), np.sqrt(variance)


def daylight(
    times: Instants,
    place: Place,
    planes: Sequence[Plane],
    table: SkyTable,
    sky: Sky | None = None,
) -> PlaneLight:
    """Return the daylight on some planes at a place, at any times.

    Parameters
    ----------
    times : FloatArray, array of datetime64, datetime, or several
        Instants; a datetime has to know its time zone.
    place : Place
        Where.
    planes : sequence of Plane
        At the sitter.
    table : SkyTable
        The cloudless day, as paper and meter see it: made once by `sky_table`.
    sky : Sky, optional
        Cloud; none when left out.

    Returns
    -------
    PlaneLight
        Planes by instants.

    Raises
    ------
    BadValue
        If a datetime does not know its zone.
    OutOfRange
        If an instant lies outside the years 1900 to 2200.

    References
    ----------
    As `sun_position` and `light_on`.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> from stillroom.light.daylight import sky_table
    >>> from stillroom.quantity.spectra import GRADED
    >>> night = datetime(2026, 12, 21, 0, tzinfo=timezone.utc)
    >>> made = daylight(night, Place(52, 0, "UTC"), [Plane.level()], sky_table(GRADED))
    >>> made.actinic_lx.tolist()
    [[0.0]]
    """
    return light_on(planes, sun_position(times, place), table, sky)


@dataclass(frozen=True, slots=True, eq=False)
class YearMap:
    """A year of daylight on some planes.

    Parameters
    ----------
    slots : Slots
        Its instants, and the clock; ``slots.on_clock(light.actinic_lx)`` is a table of days and
        times for each plane.
    sun : SunPosition
        Where the sun stands at each.
    light : PlaneLight
        Planes by instants.
    """

    slots: Slots
    sun: SunPosition
    light: PlaneLight


def year_map(
    place: Place,
    year: int,
    planes: Sequence[Plane],
    table: SkyTable,
    *,
    sky: Sky | None = None,
    step_min: int = 15,
) -> YearMap:
    """Return a year of daylight on some planes.

    Parameters
    ----------
    place : Place
        Where, and whose clock counts.
    year : int
        Year on the calendar there, 1900 to 2199.
    planes : sequence of Plane
        At the sitter.
    table : SkyTable
        The cloudless day, as paper and meter see it.
    sky : Sky, optional
        Cloud, the same all year; none when left out.
    step_min : int
        5, 10, 15, 20, 30 or 60 [min].

    Returns
    -------
    YearMap
        Of its 365 or 366 days.

    Raises
    ------
    OutOfRange
        If the year lies outside its range.
    BadValue
        If the step is none of these.

    References
    ----------
    As `daylight`.

    Examples
    --------
    >>> from stillroom.light.daylight import sky_table
    >>> from stillroom.quantity.spectra import GRADED
    >>> pump_house = Place(54.3, -1.5, "Europe/London")
    >>> year = year_map(pump_house, 2026, [Plane.open_shade(0)], sky_table(GRADED), step_min=60)
    >>> year.slots.on_clock(year.light.actinic_lx).shape
    (1, 365, 24)
    """
    when = year_slots(place, year, step_min)
    sun = sun_position(when.posix_s, place)
    return YearMap(when, sun, light_on(planes, sun, table, sky))
