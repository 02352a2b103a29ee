"""Where the sun stands, when it rises, culminates and sets.

The slow part of a sun position, where the earth stands in its orbit, hardly changes from one
quarter of an hour to the next. It is asked of the reference algorithm once a day; the
turning earth and the air are put on top for each instant.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import in_range
from stillroom.light.daylight.place import DAY_S, Instants, Place, posix_seconds
from stillroom.quantity import FloatArray

_NODE_S = DAY_S
_DELTA_T_S = 69.0  # TT - UT1 of the 2020s; a second more or less moves the sun by 0.00001 deg
_PARALLAX_DEG = 8.794 / 3600  # of the sun at its mean distance, IAU 1976
_LIMB_DEG = -0.8333  # centre of the sun at rise and set: 34' of refraction and 16' of radius
_REFRACTED_FROM_DEG = -0.26667 - 0.5667  # below, the reference algorithm bends nothing
_TURNS = 8  # each makes the error of a rise 1/100 at 60 deg, less near the polar circle
_AIR = 1013.25 / 1010 * 283 / (273 + 12)  # standard pressure, 12 deg C, as in that algorithm


@dataclass(frozen=True, slots=True, eq=False)
class SunPosition:
    """Where the sun stands at some instants.

    Parameters
    ----------
    posix_s : FloatArray
        Instants, seconds since 1970-01-01 UTC [s].
    elevation_deg : FloatArray
        Of its centre above the level horizon, refraction in it [deg].
    azimuth_deg : FloatArray
        From north, clockwise [deg], 0 to 360.
    earth_sun_factor : FloatArray
        Sunlight over that at the mean distance [1], 0.967 to 1.035.
    """

    posix_s: FloatArray
    elevation_deg: FloatArray
    azimuth_deg: FloatArray
    earth_sun_factor: FloatArray


class _Orbit(NamedTuple):
    """What does not depend on the place; ``ahead``: of the sun on a clock that keeps UTC."""

    ahead_deg: FloatArray
    sin_declination: FloatArray
    earth_sun_factor: FloatArray

    @property
    def cos_declination(self) -> FloatArray:
        return np.asarray(np.sqrt(1 - self.sin_declination**2))


def sun_position(times: Instants, place: Place) -> SunPosition:
    """Return where the sun stands.

    Parameters
    ----------
    times : FloatArray, array of datetime64, datetime, or several
        Instants; a datetime has to know its time zone.
    place : Place
        Latitude and longitude.

    Returns
    -------
    SunPosition
        One for each instant.

    Raises
    ------
    BadValue
        If a datetime does not know its zone.
    OutOfRange
        If an instant lies outside the years 1900 to 2200.

    Notes
    -----
    Within 0.002 deg of the reference algorithm above the horizon. Refraction is that of standard
    air at sea level; near the horizon real air differs by a tenth of a degree and more.

    References
    ----------
    I. Reda and A. Andreas, Solar position algorithm for solar radiation applications,
    NREL/TP-560-34302 (2008), through pvlib. Distance: J. W. Spencer, Fourier series
    representation of the position of the sun, Search 2 (1971), through pvlib.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> sun = sun_position(datetime(2026, 6, 21, 9, tzinfo=timezone.utc), Place(52, 5, "UTC"))
    >>> round(float(sun.elevation_deg[0]), 2), round(float(sun.azimuth_deg[0]), 2)
    (48.03, 117.16)
    """
    t = posix_seconds(times)
    orbit = _orbit(t)
    hour_angle = np.radians(_hour_angle_deg(t, orbit.ahead_deg, place.longitude_deg))
    latitude = np.radians(place.latitude_deg)
    sin_lat, cos_lat = np.sin(latitude), np.cos(latitude)
    sin_dec, cos_dec = orbit.sin_declination, orbit.cos_declination
    north = cos_dec * np.cos(hour_angle)  # in the plane of the meridian, towards the equator
    up = sin_lat * sin_dec + cos_lat * north
    azimuth = np.arctan2(-cos_dec * np.sin(hour_angle), sin_dec * cos_lat - north * sin_lat)
    true = np.degrees(np.arcsin(np.clip(up, -1.0, 1.0)))
    seen = true - _PARALLAX_DEG * np.sqrt(np.maximum(1 - up * up, 0.0))
    return SunPosition(
        t, seen + _refraction_deg(seen), np.degrees(azimuth) % 360, orbit.earth_sun_factor
    )


def _hour_angle_deg(
    posix_s: FloatArray, ahead_deg: FloatArray, longitude_deg: float
) -> FloatArray:
    """West positive; 0, 360 or -360 at the sun's noon."""
    return np.asarray((posix_s % DAY_S) * (360 / DAY_S) - 180 + ahead_deg + longitude_deg)


def _refraction_deg(elevation_deg: FloatArray) -> FloatArray:
    """Saemundsson's formula, as the reference algorithm has it."""
    seen = elevation_deg >= _REFRACTED_FROM_DEG
    e = np.where(seen, elevation_deg, 90.0)
    return np.where(seen, _AIR * 1.02 / 60 / np.tan(np.radians(e + 10.3 / (e + 5.11))), 0.0)


def _orbit(posix_s: FloatArray) -> _Orbit:
    """The exact way for a few instants, from nodes for many that lie close together."""
    if posix_s.size == 0:
        return _Orbit(*(np.zeros_like(posix_s) for _ in range(3)))
    first, last = float(posix_s.min()), float(posix_s.max())
    if _Nodes.count(first, last) >= posix_s.size:
        return _orbit_exactly(posix_s)
    return _Nodes.over(first, last).at(posix_s)


@dataclass(frozen=True, slots=True)
class _Nodes:
    """The orbit once a day, straight lines between: 0.001 deg at most beside it."""

    first: float
    orbit: _Orbit

    @staticmethod
    def count(first_s: float, last_s: float) -> int:
        return int(last_s // _NODE_S - first_s // _NODE_S) + 2

    @staticmethod
    def over(first_s: float, last_s: float) -> _Nodes:
        first = first_s // _NODE_S
        nodes = first + np.arange(_Nodes.count(first_s, last_s), dtype=np.float64)
        return _Nodes(first, _orbit_exactly(nodes * _NODE_S))

    def at(self, posix_s: FloatArray) -> _Orbit:
        place = posix_s / _NODE_S - self.first
        before = place.astype(np.int64)
        share = place - before
        return _Orbit(*(one[before] + share * np.diff(one)[before] for one in self.orbit))


def _orbit_exactly(posix_s: FloatArray) -> _Orbit:
    from pvlib import irradiance, spa  # noqa: PLC0415 - half a second

    sidereal, ascension, declination = spa.solar_position_numpy(
        posix_s.ravel(), 0.0, 0.0, 0.0, 0.0, 0.0, _DELTA_T_S, 0.0, 1, sst=True
    )
    sidereal, ascension, declination = (
        np.reshape(one, posix_s.shape) for one in (sidereal, ascension, declination)
    )
    mean = (posix_s % DAY_S) * (360 / DAY_S)
    ahead = (sidereal - ascension - mean) % 360 - 180  # never far from 0: the equation of time
    factor = irradiance.get_extra_radiation(
        day_of_year(posix_s), method="spencer", solar_constant=1
    )
    columns = (ahead, np.sin(np.radians(declination)), factor)
    return _Orbit(*(np.asarray(column, dtype=np.float64) for column in columns))


def day_of_year(posix_s: FloatArray) -> NDArray[np.int64]:
    """Return the day of the year in UTC.

    Parameters
    ----------
    posix_s : FloatArray
        Seconds since 1970-01-01 UTC [s].

    Returns
    -------
    NDArray of int
        1 to 366.

    Examples
    --------
    >>> day_of_year(np.array([0.0, 86400.0])).tolist()
    [1, 2]
    """
    days = np.floor(posix_s / DAY_S).astype("M8[D]")
    return np.asarray((days - days.astype("M8[Y]")).astype(np.int64) + 1)


@dataclass(frozen=True, slots=True, eq=False)
class SunDays:
    """When the sun rises, culminates and sets on some days.

    Parameters
    ----------
    first : date
        First of the days, on the calendar of the place.
    noon_s : FloatArray
        Its highest place, seconds since 1970-01-01 UTC [s]; the one nearest to the clock's noon.
    noon_elevation_deg : FloatArray
        How high it stands then, refraction in it [deg].
    rise_s, set_s : FloatArray
        Upper limb on the level horizon before and after that noon [s]; NaN where it does neither.
    never_sets : NDArray of bool
        Up all day.
    never_rises : NDArray of bool
        Down all day.
    """

    first: date
    noon_s: FloatArray
    noon_elevation_deg: FloatArray
    rise_s: FloatArray
    set_s: FloatArray
    never_sets: NDArray[np.bool_]
    never_rises: NDArray[np.bool_]


def sun_days(place: Place, first: date, days: int = 1) -> SunDays:
    """Return when the sun rises, culminates and sets on some days.

    Parameters
    ----------
    place : Place
        Where.
    first : date
        First day, on the calendar there.
    days : int
        How many [1], 1 to 3660.

    Returns
    -------
    SunDays
        One of each for every day.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Notes
    -----
    Within a second of that convention away from the days on which the polar night or day begins
    or ends. Hills and houses are not on that horizon, and real refraction moves it by a minute
    and more.

    References
    ----------
    Centre of the sun at -0.8333 deg, the almanacs' convention. Positions as `sun_position`.

    Examples
    --------
    >>> pump_house = Place(54.3, -1.5, "Europe/London")
    >>> day = sun_days(pump_house, date(2026, 12, 21))
    >>> f"{pump_house.at(day.rise_s[0]):%H:%M} {pump_house.at(day.noon_s[0]):%H:%M}"
    '08:24 12:04'
    """
    in_range("number of days", days, 1, 3660)
    noon = np.array([place.clock(first + timedelta(n), 12) for n in range(days)])
    # Rise and set lie within half a day of a noon, and that within half a day of the clock's.
    orbits = _Nodes.over(noon[0] - 1.5 * DAY_S, noon[-1] + 1.5 * DAY_S)
    for _ in range(3):
        noon = noon - _after_noon_s(noon, orbits.at(noon), place)
    rise, rises_above = _crossing(noon, -1.0, place, orbits)
    sets, sets_above = _crossing(noon, 1.0, place, orbits)
    return SunDays(
        first=first,
        noon_s=noon,
        noon_elevation_deg=sun_position(noon, place).elevation_deg,
        rise_s=rise,
        set_s=sets,
        never_sets=(rises_above < 0) & (sets_above < 0),
        never_rises=(rises_above > 0) & (sets_above > 0),
    )


def _after_noon_s(posix_s: FloatArray, orbit: _Orbit, place: Place) -> FloatArray:
    """How long after the nearest noon instants are, if the orbit stood where it does."""
    angle = _hour_angle_deg(posix_s, orbit.ahead_deg, place.longitude_deg)
    return np.asarray(((angle + 180) % 360 - 180) * (DAY_S / 360))


def _crossing(
    noon_s: FloatArray, side: float, place: Place, orbits: _Nodes
) -> tuple[FloatArray, NDArray[np.int64]]:
    """When the sun passes the horizon before (-1) or after (1) noon; NaN, and -1 up or 1 down."""
    latitude = np.radians(place.latitude_deg)
    at, cosine = noon_s, np.zeros_like(noon_s)
    for _ in range(_TURNS):
        orbit = orbits.at(at)
        level = np.sin(np.radians(_LIMB_DEG)) - np.sin(latitude) * orbit.sin_declination
        cosine = level / np.maximum(np.cos(latitude) * orbit.cos_declination, 1e-12)
        half_day_s = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) * (DAY_S / 360)
        at = noon_s - _after_noon_s(noon_s, orbit, place) + side * half_day_s
    beyond = np.where(cosine > 1, 1, np.where(cosine < -1, -1, 0))
    return np.where(beyond == 0, at, np.nan), beyond


def local_noon(place: Place, day: date) -> datetime:
    """Return when the sun stands highest on a day, by the clock there.

    Parameters
    ----------
    place : Place
        Where.
    day : date
        Day on the calendar there.

    Returns
    -------
    datetime
        With its zone.

    Raises
    ------
    OutOfRange
        If the year lies outside 1900 to 2200.

    References
    ----------
    As `sun_days`.

    Examples
    --------
    >>> f"{local_noon(Place(43.4, -8.4, 'Europe/Madrid'), date(2026, 7, 25)):%H:%M}"
    '14:40'
    """
    return place.at(float(sun_days(place, day).noon_s[0]))
