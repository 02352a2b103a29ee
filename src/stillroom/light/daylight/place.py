"""Where on earth, and which instants its clocks mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import BadValue, in_range
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

DAY_S = 86_400
YEAR_RANGE = (1900, 2200)
_POSIX_RANGE_S = (-2.3e9, 7.3e9)  # a little more than these years
_OFF_NOON_H = 3.5  # the clocks of western China are 2.9 h off, and no others as much
_STEPS_MIN = (5, 10, 15, 20, 30, 60)

Instants = FloatArray | NDArray[np.datetime64] | datetime | Iterable[datetime]
"""POSIX seconds or datetime64, both UTC by definition, or datetimes that know their zone."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place on earth and the clock that is kept there.

    Parameters
    ----------
    latitude_deg : float
        North positive [deg], -90 to 90.
    longitude_deg : float
        East positive [deg], -180 to 180.
    zone : str
        Time zone by its name in the tz database, such as ``Europe/London``, or ``UTC``.

    Raises
    ------
    OutOfRange
        If latitude or longitude lie outside their range.
    BadValue
        If there is no such time zone.

    Examples
    --------
    >>> Place(54.3, -1.5, "Europe/London").cautions
    ()
    """

    latitude_deg: float
    longitude_deg: float
    zone: str

    def __post_init__(self) -> None:
        in_range("latitude", self.latitude_deg, -90.0, 90.0, "°")
        in_range("longitude", self.longitude_deg, -180.0, 180.0, "°")
        _zone(self.zone)

    @property
    def tz(self) -> ZoneInfo:
        """The time zone itself."""
        return _zone(self.zone)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What looks like a slip of the pen: a clock that does not go with the longitude."""
        if self.zone == "UTC":
            return ()
        winter = datetime(2026, 1, 1, 12, tzinfo=self.tz)
        clock_h = (winter.utcoffset() or timedelta()).total_seconds() / 3600
        off_h = abs((clock_h - self.longitude_deg / 15 + 12) % 24 - 12)
        if off_h <= _OFF_NOON_H:
            return ()
        sentence = (
            f"Noon on the clock of {self.zone} is {off_h:.0f} hours from the sun's noon at "
            f"longitude {self.longitude_deg:g}: check the sign (east is positive) and the zone."
        )
        return (sentence,)

    def at(self, posix_s: float) -> datetime:
        """Return an instant as the clock there shows it.

        Parameters
        ----------
        posix_s : float
            Seconds since 1970-01-01 UTC [s].

        Returns
        -------
        datetime
            With its zone.

        Examples
        --------
        >>> Place(52, 0, "Europe/London").at(1_782_039_600).isoformat()
        '2026-06-21T12:00:00+01:00'
        """
        return datetime.fromtimestamp(posix_s, self.tz)

    def moment(self, shown: datetime) -> datetime:
        """Return the moment at which the clock there shows a date and a time.

        Parameters
        ----------
        shown : datetime
            What the clock shows, without a zone.

        Returns
        -------
        datetime
            With its zone.

        Raises
        ------
        OutOfRange
            If the year lies outside 1900 to 2200.
        BadValue
            If the clock skips that time, or shows it twice.

        Examples
        --------
        >>> Place(52, 0, "Europe/London").moment(datetime(2026, 6, 21, 12)).isoformat()
        '2026-06-21T12:00:00+01:00'
        """
        in_range("year", shown.year, *YEAR_RANGE)
        first, second = (shown.replace(tzinfo=self.tz, fold=fold) for fold in (0, 1))
        if first.utcoffset() == second.utcoffset():
            return first
        back = first.astimezone(UTC).astimezone(self.tz).replace(tzinfo=None)
        text = f"{shown:%Y-%m-%d %H:%M}"
        if back != shown:
            raise BadValue("time", text, f"clocks in {self.zone} skip it; give one an hour on")
        hours = [f"{one.isoformat()[-6:]}" for one in (first, second)]
        raise BadValue(
            "time",
            text,
            f"clocks in {self.zone} show it twice; write {hours[0]} or {hours[1]} after it",
        )

    def clock(self, day: date, hour: int = 0, minute: int = 0) -> float:
        """Return the instant at which the clock there shows an hour.

        Parameters
        ----------
        day : date
            Day on the calendar there.
        hour, minute : int
            Time on the clock there.

        Returns
        -------
        float
            Seconds since 1970-01-01 UTC [s]. An hour that comes twice is its first coming; one
            that clocks skip is the same time by the clock before the change.

        Raises
        ------
        OutOfRange
            If the year lies outside 1900 to 2200, or the time is none.

        Examples
        --------
        >>> place = Place(52, 0, "Europe/London")
        >>> (place.clock(date(2026, 3, 30)) - place.clock(date(2026, 3, 29))) / 3600
        23.0
        """
        in_range("year", day.year, *YEAR_RANGE)
        in_range("hour", hour, 0, 23)
        in_range("minute", minute, 0, 59)
        return datetime(day.year, day.month, day.day, hour, minute, tzinfo=self.tz).timestamp()


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):  # no such name; no name at all; a folder of names
        raise BadValue(
            "time zone", name, "no clock goes by that name; give one such as Europe/London, or UTC"
        ) from None


def posix_seconds(times: Instants) -> FloatArray:
    """Return instants as seconds since 1970-01-01 UTC.

    Parameters
    ----------
    times : FloatArray, array of datetime64, datetime, or several
        Seconds and datetime64 are UTC; a datetime has to know its time zone.

    Returns
    -------
    FloatArray
        Seconds, in the shape given; at least one-dimensional [s].

    Raises
    ------
    BadValue
        If a datetime does not know its zone.
    OutOfRange
        If an instant lies outside the years 1900 to 2200.

    Examples
    --------
    >>> posix_seconds(np.array(["1970-01-02"], dtype="M8[s]")).tolist()
    [86400.0]
    """
    if isinstance(times, datetime):
        times = (times,)
    found: FloatArray
    if isinstance(times, np.ndarray) and times.dtype.kind == "M":
        found = times.astype("M8[us]").astype(np.int64) / 1e6
    elif isinstance(times, np.ndarray):
        found = times.astype(np.float64)
    else:
        found = np.array([_aware(one) for one in times], dtype=np.float64)
    return np.atleast_1d(all_in_range("instant", found, *_POSIX_RANGE_S, "s since 1970"))


def _aware(moment: datetime) -> float:
    if moment.utcoffset() is None:
        raise BadValue("time", moment.isoformat(), "say in which time zone the clock shows it")
    return moment.timestamp()


@dataclass(frozen=True, slots=True, eq=False)
class Slots:
    """Every so many minutes of some days, by the clock of a place.

    Parameters
    ----------
    first : date
        First of the days.
    days : int
        How many.
    step_min : int
        Minutes from one slot to the next [min].
    posix_s : FloatArray
        Instant of each slot, seconds since 1970-01-01 UTC [s].
    day : NDArray of int
        Which day it belongs to, from 0.
    clock_min : NDArray of int
        What the clock shows, minutes from midnight [min].
    """

    first: date
    days: int
    step_min: int
    posix_s: FloatArray
    day: NDArray[np.int64]
    clock_min: NDArray[np.int64]

    def on_clock(self, values: FloatArray) -> FloatArray:
        """Return values as a table of days and times on the clock.

        Parameters
        ----------
        values : FloatArray
            One for each slot along the last axis [any].

        Returns
        -------
        FloatArray
            Days and times of day as the last two axes. Where clocks skip a time it is NaN; of a
            time that comes twice it is the first.
        """
        shape = (*values.shape[:-1], self.days, 24 * 60 // self.step_min)
        table = np.full(shape, np.nan)
        # The last of two written to one cell stays: backwards, that is the first.
        table[..., self.day[::-1], self.clock_min[::-1] // self.step_min] = values[..., ::-1]
        return table


def slots(place: Place, first: date, days: int, step_min: int = 15) -> Slots:
    """Return every so many minutes of some days at a place.

    Parameters
    ----------
    place : Place
        Whose clock counts.
    first : date
        First day there.
    days : int
        How many days [1], 1 to 3660.
    step_min : int
        5, 10, 15, 20, 30 or 60 [min].

    Returns
    -------
    Slots
        A day on which clocks change has 23 or 25 hours.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the step is none of these.

    Examples
    --------
    >>> london = Place(52, 0, "Europe/London")
    >>> (
    ...     len(slots(london, date(2026, 3, 29), 1).posix_s),
    ...     len(slots(london, date(2026, 1, 1), 365).day),
    ... )
    (92, 35040)
    """
    in_range("number of days", days, 1, 3660)
    if step_min not in _STEPS_MIN:
        raise BadValue("step", step_min, "give 5, 10, 15, 20, 30 or 60 minutes")
    in_range("year", (first + timedelta(days - 1)).year, *YEAR_RANGE)
    starts = [place.clock(first + timedelta(n)) for n in range(days + 1)]
    step_s = 60 * step_min
    instants, clocks = [], []
    plain = np.arange(0, 24 * 60, step_min)
    for start, end in pairwise(starts):
        these = np.arange(start, end, step_s)
        instants.append(these)
        clocks.append(plain if end - start == DAY_S else _clock_min(place, these))
    counts = [len(these) for these in instants]
    return Slots(
        first,
        days,
        step_min,
        np.concatenate(instants),
        np.repeat(np.arange(days), counts),
        np.concatenate(clocks),
    )


def _clock_min(place: Place, posix_s: FloatArray) -> NDArray[np.int64]:
    shown = [place.at(float(one)) for one in posix_s]
    return np.array([60 * one.hour + one.minute for one in shown], dtype=np.int64)


def year_slots(place: Place, year: int, step_min: int = 15) -> Slots:
    """Return every so many minutes of a year at a place.

    Parameters
    ----------
    place : Place
        Whose clock counts.
    year : int
        Year on the calendar there, 1900 to 2199.
    step_min : int
        5, 10, 15, 20, 30 or 60 [min].

    Returns
    -------
    Slots
        Of its 365 or 366 days.

    Raises
    ------
    OutOfRange
        If the year lies outside that range.
    BadValue
        If the step is none of these.

    Examples
    --------
    >>> len(year_slots(Place(54.3, -1.5, "Europe/London"), 2028).posix_s)
    35136
    """
    in_range("year", year, YEAR_RANGE[0], YEAR_RANGE[1] - 1)
    first = date(year, 1, 1)
    return slots(place, first, (date(year + 1, 1, 1) - first).days, step_min)
