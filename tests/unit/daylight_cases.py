"""Invented answers about daylight: seconds that follow nothing but how high the sun stands."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import cache
from typing import NamedTuple

import numpy as np

from stillroom.documents.daylight import (
    AskedOf,
    DaylightDay,
    DaylightNow,
    DaylightWay,
    DaylightWhen,
    DaylightYear,
    DayWithin,
    LuxRange,
    Moment,
    MonthRow,
    SecondsRange,
    Steps,
    Stretch,
)
from stillroom.light.daylight import Place, slots, sun_days, sun_position, year_slots
from stillroom.quantity import FloatArray

YEAR = 2026
LIMITS_S = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)


class There(NamedTuple):
    """A seat: where on earth, by which clock, and its best seconds with the sun overhead."""

    latitude_deg: float
    longitude_deg: float
    zone: str
    overhead_s: float = 1.25

    @property
    def place(self) -> Place:
        return Place(self.latitude_deg, self.longitude_deg, self.zone)


NORTH = There(52.0, -1.5, "Europe/London")
SOUTH = There(-35.0, 149.0, "Australia/Sydney")
POLAR = There(70.0, 19.0, "Europe/Oslo")
TROPIC = There(1.3, 103.8, "Asia/Singapore")


def seconds_of(there: There, posix_s: FloatArray) -> FloatArray:
    elevation_deg = sun_position(posix_s, there.place).elevation_deg
    sine = np.sin(np.radians(elevation_deg))
    return np.where(elevation_deg > 0, there.overhead_s / (np.maximum(sine, 0) + 0.004), np.nan)


def about(there: There, **changes: object) -> AskedOf:
    said: dict[str, object] = {
        "sitting": None,
        "seat": "window",
        "seat_name": "north-east window",
        "place": "pump-house",
        "place_name": "the pump house",
        "zone": there.zone,
        "paper": "sorrel-2/7",
        "paper_name": "Sorrel No. 2, batch 7",
        "lens": "tele300",
        "f_number": 5.6,
        "region": "key",
        "sitter": "O. M.",
        "holds_still_s": 2.0,
        "sky": "middling",
        "shape": "window",
        "window_distance_m": 1.2,
    }
    return AskedOf.model_validate(said | changes)


@cache
def year_of(there: There, within_s: float = 2.0, year: int = YEAR) -> DaylightYear:
    when = year_slots(there.place, year)
    needed = seconds_of(there, when.posix_s)
    table = when.on_clock(needed)
    good = needed <= within_s
    return DaylightYear(
        about=about(there),
        year=year,
        step_min=when.step_min,
        within_s=within_s,
        seconds=tuple(
            tuple(None if np.isnan(s) else round(float(s), 2) for s in row) for row in table
        ),
        sd_stops=0.6,
        days_within=tuple(
            when.first + timedelta(int(n)) for n in sorted(set(when.day[good].tolist()))
        ),
        months=_months(there, year),
        skies_stops={"clear": 0.68, "middling": 0.0, "dull": -1.02},
        cautions=(),
    )


@cache
def _months(there: There, year: int) -> tuple[MonthRow, ...]:
    return tuple(_month(there, year, month) for month in range(1, 13))


def _month(there: There, year: int, month: int) -> MonthRow:
    day = day_of(there, date(year, month, 15))
    best = day.best
    return MonthRow(
        date=day.date,
        shortest_s=best.seconds.q50 if best and best.seconds else None,
        at=best.when if best else None,
        within={
            f"{limit:g}": max(
                day_of(there, day.date, limit).within,
                key=lambda s: s.ends - s.begins,
                default=None,
            )
            for limit in LIMITS_S
        },
    )


@cache
def day_of(there: There, day: date, within_s: float = 2.0) -> DaylightDay:
    when = slots(there.place, day, 1)
    needed = seconds_of(there, when.posix_s)
    moments = tuple(
        Moment(
            when=there.place.at(float(at)),
            sun_elevation_deg=0.0,
            sun_azimuth_deg=0.0,
            seconds=None if np.isnan(s) else SecondsRange(q05=s / 2, q50=s, q95=2 * s),
            paper_lx=0.0 if np.isnan(s) else 100 / s,
            meter_lx=0.0 if np.isnan(s) else 80 / s,
        )
        for at, s in zip(when.posix_s, needed.tolist(), strict=True)
    )
    fine = slots(there.place, day, 1, 5)
    good = seconds_of(there, fine.posix_s) <= within_s
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(int)))
    ends = np.append(fine.posix_s, fine.posix_s[-1] + 300)
    sun = sun_days(there.place, day)
    rise, down = (
        there.place.at(float(t[0])) if np.isfinite(t[0]) else None for t in (sun.rise_s, sun.set_s)
    )
    lit = [m for m in moments if m.seconds is not None]
    return DaylightDay(
        about=about(there),
        date=day,
        rises=rise,
        noon=there.place.at(float(sun.noon_s[0])),
        sets=down,
        always=None if rise or down else ("up" if lit else "down"),
        moments=moments,
        best=min(lit, key=lambda m: m.seconds.q50 if m.seconds else 1e9, default=None),
        within_s=within_s,
        within=tuple(
            Stretch(
                begins=there.place.at(float(fine.posix_s[a])), ends=there.place.at(float(ends[b]))
            )
            for a, b in zip(edges[::2], edges[1::2], strict=True)
        ),
        cautions=(),
    )


def now_of(there: There, at: datetime, **changes: object) -> DaylightNow:
    needed = float(seconds_of(there, np.array([at.timestamp()]))[0])
    lit = not np.isnan(needed)
    later = [
        Steps(seconds=s, begins=at + timedelta(minutes=a), ends=at + timedelta(minutes=b))
        for s, a, b in ((6.0, 40, 110), (8.0, 110, 150))
    ]
    said: dict[str, object] = {
        "about": about(there),
        "now": Moment(
            when=at,
            sun_elevation_deg=10.0,
            sun_azimuth_deg=180.0,
            seconds=SecondsRange(q05=needed / 2, q50=needed, q95=2 * needed) if lit else None,
            paper_lx=20.0,
            meter_lx=16.0,
        ),
        "open_s": 4.0 if lit else None,
        "good_until": at + timedelta(minutes=40) if lit else None,
        "then_s": 6.0 if lit else None,
        "after": tuple(later) if lit else (),
        "holds": False if lit else None,
        "p_lands": 0.42 if lit else None,
        "sd_stops": 0.6,
        "meter": LuxRange(q05=60, q50=120, q95=240) if lit else None,
        "ways": (
            DaylightWay(
                what="chair",
                text="the chair 0.5 m nearer the window",
                seconds=1.9,
                stops=1.1,
                within=True,
            ),
            DaylightWay(
                what="sky", text="under a dull sky", seconds=8.2, stops=-1.0, within=False
            ),
        )
        if lit
        else (),
        "cautions": ("Sun and sky are a model: one sheet makes its range smaller.",),
    }
    return DaylightNow.model_validate(said | changes)


def when_of(there: There, first: date, days: int = 14, within_s: float = 2.0) -> DaylightWhen:
    def under(day: date, factor: float) -> tuple[Stretch, ...]:
        return day_of(there._replace(overhead_s=there.overhead_s * factor), day, within_s).within

    return DaylightWhen(
        about=about(there),
        within_s=within_s,
        days=tuple(
            DayWithin(
                date=day,
                by_sky={
                    "clear": under(day, 0.6),
                    "middling": under(day, 1.0),
                    "dull": under(day, 2.0),
                },
            )
            for day in (first + timedelta(n) for n in range(days))
        ),
        cautions=(),
    )
