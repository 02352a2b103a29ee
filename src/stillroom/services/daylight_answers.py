"""Questions about daylight, answered: now, a day, a year, the next days."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from stillroom.advice import Table
from stillroom.documents import book as doc
from stillroom.documents import daylight as told
from stillroom.documents.seats import SkySeen, SkyWord
from stillroom.errors import in_range
from stillroom.light.daylight import (
    LOW_SUN,
    PLANNED,
    PlaneLight,
    Slots,
    SunPosition,
    slots,
    sun_days,
    sun_position,
    year_slots,
)
from stillroom.quantity import FloatArray
from stillroom.services.daylight_asked import Asked, about
from stillroom.services.daylight_need import Need, longest_day, nearest_open_s, need
from stillroom.services.daylight_ways import ways_of
from stillroom.services.daylit import light_there, seat_of
from stillroom.services.good_until import FOLLOWED_EVERY_MIN
from stillroom.services.remembered import BeliefMemo

LIMITS_S = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)
"""Limits that people ask about [s]."""
USUAL_LIMIT_S = 2.0
LIMIT_RANGE_S = (0.1, 600.0)
DAYS_RANGE = (1, 92)
HAND_SD_S = 0.2
"""What a hand on a cap may be off [s] (common practice, no source)."""
LEARNED_SHARE = 0.85
"""A seat is known better than by tape and compass once its spread has fallen to this [1]."""
PLANNED_WORDS: tuple[SkyWord, ...] = ("clear", "middling", "dull")
_QUANTILES = (0.05, 0.5, 0.95)
MAP_STEP_MIN = 15
MODEL = (
    "Sun and sky are a model: one sheet, or one meter reading at the face, makes its range "
    "smaller for this seat."
)
SHORT = "Below 2 s a hand on the cap is ±0.2 s: better a smaller stop than 1 s."


def limit_of(asked: told.AskedOf, within_s: float | None) -> float:
    """The limit that is meant: as given, else what the sitter holds, else two seconds [s].

    Raises
    ------
    OutOfRange
        If it lies outside 0.1 to 600 s.
    """
    if within_s is None:
        within_s = asked.holds_still_s or USUAL_LIMIT_S
    return in_range("limit", within_s, *LIMIT_RANGE_S, "s")


# ---- now ----------------------------------------------------------------------------------


def daylight_now(
    book: doc.Book,
    asked: Asked,
    at: datetime,
    memo: BeliefMemo | None = None,
    *,
    with_ways: bool = True,
) -> told.DaylightNow:
    """Seconds now, how long that is good, and what would change it.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    at : datetime
        The moment; it knows its zone.
    memo : BeliefMemo, optional
        Where beliefs are remembered.
    with_ways : bool
        Whether to tell what would change it, which takes most of the time.

    Raises
    ------
    UnknownName
        If something asked about is not in the book.
    NotPossible
        If nothing is aimed at.
    """
    found = need(book, asked, at, memo)
    tz = found.there.place.tz
    day = slots(found.there.place, at.astimezone(tz).date(), 1, FOLLOWED_EVERY_MIN)
    later = np.concatenate([[at.timestamp()], day.posix_s[day.posix_s > at.timestamp()]])
    sun = sun_position(later, found.there.place)
    light = found.light(later)
    log2_s = found.log2_seconds(light.actinic_lx[0])
    stretches = _stretches_of_steps(later, log2_s, found)
    asked_of = about(book, asked, found.table.sitting)
    moment = _moments(found, later[:1], sun, light)[0]
    lit = moment.seconds is not None
    first = stretches[0] if lit and stretches else None
    rest = tuple(s for s in stretches if s is not first)
    follows = rest[0] if first and rest and rest[0].begins == first.ends else None
    open_s = first.seconds if first else None
    holds = asked_of.holds_still_s
    return told.DaylightNow(
        about=asked_of,
        now=moment,
        open_s=open_s,
        good_until=first.ends if first else None,
        then_s=follows.seconds if follows else None,
        after=rest,
        holds=None if holds is None or open_s is None else open_s <= holds,
        p_lands=_p_lands(found, open_s) if open_s and found.table.at == at else None,
        sd_stops=found.sd_stops,
        meter=_meter(found) if lit else None,
        ways=ways_of(book, asked, found, (later, light), memo) if lit and with_ways else (),
        cautions=_cautions(found, open_s, low_sun=bool(light.low_sun[0])),
    )


def _stretches_of_steps(
    posix_s: FloatArray, log2_s: FloatArray, found: Need
) -> tuple[told.Steps, ...]:
    """Runs of moments that one open time serves, in order; the dark is left out."""
    nearest = [nearest_open_s(float(x)) if math.isfinite(x) else None for x in log2_s]
    tz, step = found.there.place.tz, timedelta(minutes=FOLLOWED_EVERY_MIN)
    runs = []
    for seconds, members in groupby(range(len(nearest)), key=lambda i: nearest[i]):
        run = list(members)
        begins = datetime.fromtimestamp(float(posix_s[run[0]]), tz)
        after = run[-1] + 1
        ends = (
            datetime.fromtimestamp(float(posix_s[after]), tz)
            if after < len(posix_s)
            else _plus(datetime.fromtimestamp(float(posix_s[run[-1]]), tz), step)
        )
        if seconds is not None:
            runs.append(told.Steps(seconds=seconds, begins=begins, ends=ends))
    return tuple(runs)


def _plus(moment: datetime, by: timedelta) -> datetime:
    """So much later in time, whatever the clock does."""
    return (moment.astimezone(UTC) + by).astimezone(moment.tzinfo)


def _moments(
    found: Need, posix_s: FloatArray, sun: SunPosition, light: PlaneLight
) -> tuple[told.Moment, ...]:
    count = len(posix_s)
    paper, meter = light.actinic_lx[0][:count], light.photopic_lx[0][:count]
    rows = [np.exp2(found.log2_seconds(paper, q)) for q in _QUANTILES]
    tz = found.there.place.tz
    return tuple(
        told.Moment(
            when=datetime.fromtimestamp(float(posix_s[i]), tz),
            sun_elevation_deg=float(sun.elevation_deg[i]),
            sun_azimuth_deg=float(sun.azimuth_deg[i]) % 360.0,
            seconds=_range(rows, i) if paper[i] > 0 else None,
            paper_lx=float(paper[i]),
            meter_lx=float(meter[i]),
        )
        for i in range(count)
    )


def _range(rows: Sequence[FloatArray], i: int) -> told.SecondsRange:
    low, middle, high = (float(row[i]) for row in rows)
    return told.SecondsRange(q05=low, q50=middle, q95=high)


def _p_lands(found: Need, open_s: float) -> float | None:
    made = found.table.standing().model_copy(
        update={"open_s": open_s, "opening": "per_pop", "pops": 1}
    )
    odds = Table(found.states, found.layout).odds(found.table.bare_settings(made)).regions
    return odds[found.region].p_lands if found.region in odds else None


def _meter(found: Need) -> told.LuxRange:
    """What an incident meter at the face shows of the light of the seat."""
    roles = [s.role for s in found.layout.sitting.sources if s.daylight is not None]
    one_second = found.table.bare_settings(
        found.table.standing().model_copy(update={"open_s": 1.0, "opening": "per_pop", "pops": 1})
    )
    level, a = found.layout.incident_rows(one_second, found.region, roles)
    stops = level + found.states.theta @ a.T
    total = np.log2(np.exp2(stops).sum(axis=1))
    low, middle, high = (float(2.0**q) for q in np.quantile(total, _QUANTILES))
    return told.LuxRange(q05=low, q50=middle, q95=high)


def _cautions(
    found: Need, open_s: float | None = None, *, low_sun: bool = False
) -> tuple[str, ...]:
    said = [*found.there.place.cautions, *([LOW_SUN] if low_sun else [])]
    if not _is_learned(found):
        said.append(MODEL)
    if open_s is not None and open_s < USUAL_LIMIT_S:
        said.append(SHORT)
    return tuple(said)


def _is_learned(found: Need) -> bool:
    """Whether anything has told of the seat's own light yet."""
    seats = [t for t in found.layout.terms if t.name.startswith("seat/")]
    return any(
        float(found.states.theta[:, found.layout.index[t.name]].std()) < LEARNED_SHARE * t.sd
        for t in seats
    )


# ---- a day --------------------------------------------------------------------------------


def daylight_day(
    book: doc.Book,
    asked: Asked,
    at: datetime,
    within_s: float | None = None,
    memo: BeliefMemo | None = None,
) -> told.DaylightDay:
    """The curve of a day.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    at : datetime
        A moment of that day; it knows its zone.
    within_s : float, optional
        The limit [s]; what the sitter holds, or two seconds, when left out.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Raises
    ------
    UnknownName, NotPossible
        As `daylight_now`.
    OutOfRange
        If the limit lies outside its range.
    """
    found = need(book, asked, at, memo)
    place = found.there.place
    day = at.astimezone(place.tz).date()
    asked_of = about(book, asked, found.table.sitting)
    limit = limit_of(asked_of, within_s)
    when = slots(place, day, 1, MAP_STEP_MIN)
    sun = sun_position(when.posix_s, place)
    light = found.light(when.posix_s)
    moments = _moments(found, when.posix_s, sun, light)
    lit = [m for m in moments if m.seconds is not None]
    fine = slots(place, day, 1, FOLLOWED_EVERY_MIN)
    log2_s = found.log2_seconds(found.light(fine.posix_s).actinic_lx[0])
    rise, noon, down = _sun_of(found, day)
    return told.DaylightDay(
        about=asked_of,
        date=day,
        rises=rise,
        noon=noon,
        sets=down,
        always=None if rise or down else ("up" if lit else "down"),
        moments=moments,
        best=min(lit, key=lambda m: m.seconds.q50 if m.seconds else math.inf, default=None),
        within_s=limit,
        within=_within(found, fine.posix_s, log2_s <= math.log2(limit)),
        cautions=_cautions(found),
    )


def _sun_of(found: Need, day: date) -> tuple[datetime | None, datetime, datetime | None]:
    days = sun_days(found.there.place, day)

    def shown(posix_s: FloatArray) -> datetime | None:
        return found.there.place.at(float(posix_s[0])) if math.isfinite(posix_s[0]) else None

    noon = found.there.place.at(float(days.noon_s[0]))
    return shown(days.rise_s), noon, shown(days.set_s)


def _within(found: Need, posix_s: FloatArray, kept: NDArray[np.bool_]) -> tuple[told.Stretch, ...]:
    """Runs of moments that are kept, of instants at even steps."""
    tz = found.there.place.tz
    step_s = float(posix_s[1] - posix_s[0])
    runs = []
    for good, members in groupby(range(len(posix_s)), key=lambda i: bool(kept[i])):
        run = list(members)
        if good:
            begins, last = float(posix_s[run[0]]), float(posix_s[run[-1]])
            runs.append(
                told.Stretch(
                    begins=datetime.fromtimestamp(begins, tz),
                    ends=datetime.fromtimestamp(last + step_s, tz),
                )
            )
    return tuple(runs)


# ---- a year -------------------------------------------------------------------------------


def daylight_year(
    book: doc.Book,
    asked: Asked,
    year: int,
    within_s: float | None = None,
    memo: BeliefMemo | None = None,
) -> told.DaylightYear:
    """Seconds needed over a year, day by day and hour by hour.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about.
    year : int
        Year on the calendar there, 1900 to 2199.
    within_s : float, optional
        The limit [s]; what the sitter holds, or two seconds, when left out.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Raises
    ------
    UnknownName, NotPossible
        As `daylight_now`.
    OutOfRange
        If year or limit lie outside their ranges.
    """
    there = seat_of(book, asked.seat)[2]
    when = year_slots(there.place, year, MAP_STEP_MIN)
    found = need(book, asked, longest_day(there, year), memo)
    light = found.light(when.posix_s)
    log2_s = found.log2_seconds(light.actinic_lx[0])
    asked_of = about(book, asked, found.table.sitting)
    limit = limit_of(asked_of, within_s)
    kept = log2_s <= math.log2(limit)
    days = sorted(set(when.day[kept].tolist()))
    on_clock = when.on_clock(np.exp2(log2_s))
    return told.DaylightYear(
        about=asked_of,
        year=year,
        step_min=MAP_STEP_MIN,
        within_s=limit,
        seconds=tuple(
            tuple(round(x, 4) if math.isfinite(x) else None for x in row)
            for row in on_clock.tolist()
        ),
        sd_stops=found.sd_stops,
        days_within=tuple(when.first + timedelta(n) for n in days),
        months=tuple(_month(found, when, log2_s, month) for month in range(1, 13)),
        skies_stops=_skies(found, when, light),
        cautions=_cautions(found),
    )


def _month(found: Need, when: Slots, log2_s: FloatArray, month: int) -> told.MonthRow:
    day = date(when.first.year, month, 15)
    of_day = np.flatnonzero(when.day == (day - when.first).days)
    needed, posix_s = log2_s[of_day], when.posix_s[of_day]
    best = int(np.argmin(needed))
    lit = math.isfinite(needed[best])
    within: dict[str, told.Stretch | None] = {}
    for limit in LIMITS_S:
        runs = _within(found, posix_s, needed <= math.log2(limit))
        within[f"{limit:g}"] = max(runs, key=lambda s: s.ends - s.begins, default=None)
    return told.MonthRow(
        date=day,
        shortest_s=float(2.0 ** needed[best]) if lit else None,
        at=found.there.place.at(float(posix_s[best])) if lit else None,
        within=within,
    )


def _skies(found: Need, when: Slots, light: PlaneLight) -> dict[str, float]:
    """What planned skies bring against the one reckoned with, at the year's best moment."""
    best = int(np.argmax(light.actinic_lx[0]))
    here = math.log2(float(light.actinic_lx[0, best]))
    moment = when.posix_s[best : best + 1]
    table = found.table
    return {
        word: math.log2(
            float(light_there(found.there, table.batch, table.lens, moment, sky).actinic_lx[0, 0])
        )
        - here
        for word, sky in PLANNED.items()
    }


# ---- when ---------------------------------------------------------------------------------


def daylight_when(
    book: doc.Book,
    asked: Asked,
    at: datetime,
    *,
    days: int = 14,
    within_s: float | None = None,
    memo: BeliefMemo | None = None,
) -> told.DaylightWhen:
    """On which of the next days, and when, a limit can be kept under each planned sky.

    Parameters
    ----------
    book : Book
        The book.
    asked : Asked
        What is asked about; its own sky is left aside.
    at : datetime
        The moment of asking; the days count from it.
    days : int
        How many, 1 to 92.
    within_s : float, optional
        The limit [s]; what the sitter holds, or two seconds, when left out.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Raises
    ------
    UnknownName, NotPossible
        As `daylight_now`.
    OutOfRange
        If days or limit lie outside their ranges.
    """
    in_range("number of days", days, *DAYS_RANGE)
    there = seat_of(book, asked.seat)[2]
    first = at.astimezone(there.place.tz).date()
    when = slots(there.place, first, days, MAP_STEP_MIN)
    tomorrow = at + timedelta(days=1)
    by_sky: dict[str, list[tuple[told.Stretch, ...]]] = {}
    asked_of, limit, cautions = None, USUAL_LIMIT_S, tuple[str, ...]()
    for word in PLANNED_WORDS:
        plan = replace(asked, sky=SkySeen(word=word))
        found = need(book, plan, tomorrow, memo)
        light = found.light(when.posix_s)
        asked_of = asked_of or about(book, asked, found.table.sitting)
        limit = limit_of(asked_of, within_s)
        cautions = _cautions(found)
        kept = found.log2_seconds(light.actinic_lx[0]) <= math.log2(limit)
        kept &= when.posix_s >= at.timestamp()
        by_sky[word] = [
            _within(found, when.posix_s[when.day == n], kept[when.day == n]) for n in range(days)
        ]
    assert asked_of is not None  # noqa: S101 - there are three skies
    return told.DaylightWhen(
        about=asked_of,
        within_s=limit,
        days=tuple(
            told.DayWithin(
                date=first + timedelta(n), by_sky={word: runs[n] for word, runs in by_sky.items()}
            )
            for n in range(days)
        ),
        cautions=cautions,
    )
