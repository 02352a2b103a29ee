"""The Daylight page put together from what the desk answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time

from stillroom.documents.daylight import (
    AskedOf,
    DaylightDay,
    DaylightNow,
    DaylightWhen,
    DaylightYear,
    DayWithin,
    MonthRow,
    Stretch,
)
from stillroom.sitter import region_name
from stillroom.telling.daylight_today import (
    answer,
    holds_sentence,
    lands_sentence,
    meter_sentence,
    stale_sentence,
    way_text,
)
from stillroom.telling.daylight_words import (
    about_seconds,
    clock_there,
    day_text,
    longest_within,
    range_sentence,
    skies_sentence,
    stretch_text,
    stretches_text,
)
from stillroom.telling.figures import listed
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.words import day as day_name
from stillroom.telling.words import seconds, tape
from stillroom.web.views.daylight_curve import DayCurve, day_curve
from stillroom.web.views.daylight_map import YearMap, year_map


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit that can be chosen."""

    value: str
    said: str
    key: str
    """Its line on the map; empty where there is none."""
    answer: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class MonthLine:
    """One month of the table."""

    name: str
    shortest: str
    at: str
    within: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """Something that would change the seconds."""

    what: str
    seconds: str
    light: str
    is_within: bool


@dataclass(frozen=True, slots=True)
class DayLine:
    """One of the next days."""

    name: str
    by_sky: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DaylightView:
    """The year and the curve of today: what the page shows first."""

    about: AskedOf
    where: str
    answer: str
    limits: tuple[Limit, ...]
    limits_title: str
    limits_note: str
    limit_said: str
    map: YearMap
    caption: str
    captions: tuple[str, ...]
    """What else is to be known of the map."""
    columns: tuple[tuple[str, bool], ...]
    """Limits of the table of months, and whether it is the chosen one."""
    months: tuple[MonthLine, ...]
    today: str
    curve: DayCurve | None
    curve_note: str


@dataclass(frozen=True, slots=True)
class LaterView:
    """What takes a little longer: how long the plan of now stays good, and the next days."""

    stale: str
    is_dark: bool
    facts: tuple[str, ...]
    steps: tuple[tuple[str, str], ...]
    ways: tuple[Way, ...]
    skies: tuple[str, ...]
    days: tuple[DayLine, ...]
    """The next days; none where not one has an hour that will do."""
    days_answer: str
    cautions: tuple[str, ...]
    last_look: str
    """Where the last look before the cap is; empty without a sitting of today."""
    good_until: str
    """When to ask again, for the script; empty with the sun down."""


def daylight_view(
    year: DaylightYear,
    day: DaylightDay,
    at: datetime,
    limits_s: Sequence[float],
    lengths: str = "metric",
) -> DaylightView:
    """Put the first part of the page together.

    Parameters
    ----------
    year, day : DaylightYear, DaylightDay
        This year and today, with the limit that was chosen.
    at : datetime
        The moment now, with its zone.
    limits_s : sequence of float
        Limits that are offered besides the sitter's own and the chosen one [s].
    lengths : {"metric", "imperial"}
        How lengths are printed.
    """
    about, chosen = year.about, year.within_s
    own = about.holds_still_s
    offered = sorted({*limits_s, chosen, *([own] if own else [])})
    drawn = year_map(year, offered, day.date)
    keys = {level.of_s: level.key for level in drawn.levels}
    columns = _columns(chosen, offered)
    return DaylightView(
        about=about,
        where=_where(about, lengths),
        answer=answer(year, day, chosen, at),
        limits=tuple(
            Limit(
                value=f"{limit:g}",
                said=seconds(limit),
                key=keys.get(limit, ""),
                answer=answer(year, day, limit, at),
                is_chosen=limit == chosen,
            )
            for limit in offered
        ),
        limits_title=_limits_title(about),
        limits_note=f"{about.sitter} said {seconds(own)}." if own else "",
        limit_said=seconds(chosen),
        map=drawn,
        caption=_caption(year, drawn),
        captions=_captions(year, drawn),
        columns=tuple((seconds(limit), limit == chosen) for limit in columns),
        months=tuple(_month(year, row, columns) for row in year.months),
        today=day_name(datetime.combine(day.date, time())),
        curve=day_curve(day, at),
        curve_note=_sun_note(day),
    )


def later_view(
    now: DaylightNow, when: DaylightWhen, year: DaylightYear, day: DaylightDay
) -> LaterView:
    """Put the second part of the page together.

    Parameters
    ----------
    now, when : DaylightNow, DaylightWhen
        Now and the next days.
    year, day : DaylightYear, DaylightDay
        As in the first part.
    """
    about = now.about
    facts = (
        holds_sentence(now),
        lands_sentence(now, region_name(about.region).lower()),
        meter_sentence(now),
    )
    any_day = any(stretches for one in when.days for stretches in one.by_sky.values())
    return LaterView(
        stale=stale_sentence(now, day),
        is_dark=now.open_s is None,
        facts=tuple(said for said in facts if said),
        steps=tuple(
            (
                stretch_text(Stretch(begins=s.begins, ends=s.ends), about.zone),
                seconds(s.seconds),
            )
            for s in now.after
        ),
        ways=tuple(
            Way(*way_text(way), is_within=way.seconds <= year.within_s) for way in now.ways
        ),
        skies=tuple(when.days[0].by_sky) if when.days else (),
        days=tuple(_day_line(one, about.zone) for one in when.days) if any_day else (),
        days_answer=_days_answer(when, year),
        cautions=tuple(
            dict.fromkeys((*now.cautions, *day.cautions, *year.cautions, *when.cautions))
        ),
        last_look=f"{sitting_href(about.sitting)}/last-look" if about.sitting else "",
        good_until=now.good_until.isoformat() if now.good_until else "",
    )


def _day_line(one: DayWithin, zone: str) -> DayLine:
    name = f"{one.date:%a} {one.date.day} {one.date:%b}"
    return DayLine(name, tuple(stretches_text(s, zone) for s in one.by_sky.values()))


def _limits_title(about: AskedOf) -> str:
    if about.holds_still_s:
        return f"How long can {about.sitter} hold still?"
    return "How long may it take?"


def _where(about: AskedOf, lengths: str) -> str:
    """Where one sits, in words; f-stop and paper follow it."""
    place = f"{about.place_name[:1].upper()}{about.place_name[1:]}, {about.seat_name}"
    if about.window_distance_m is None:
        return place
    return f"{place}, face {tape(about.window_distance_m, lengths)} from the glass"


def _columns(chosen: float, offered: Sequence[float]) -> tuple[float, ...]:
    """The chosen limit and one about twice as long, or half where there is none."""
    longer = [limit for limit in offered if limit >= 2 * chosen]
    shorter = [limit for limit in offered if limit <= chosen / 2]
    other = longer[:1] or shorter[-1:]
    return tuple(sorted({chosen, *other}))


def _month(year: DaylightYear, row: MonthRow, columns: Sequence[float]) -> MonthLine:
    zone = year.about.zone
    within = []
    for limit in columns:
        if f"{limit:g}" in row.within:
            stretch = row.within[f"{limit:g}"]
            within.append(stretch_text(stretch, zone) if stretch else "never")
        else:
            within.append(longest_within(year, row.date, limit))
    return MonthLine(
        name=f"{row.date:%b}",
        shortest="no sun" if row.shortest_s is None else about_seconds(row.shortest_s),
        at="" if row.at is None else clock_there(row.at, zone),
        within=tuple(within),
    )


def _caption(year: DaylightYear, drawn: YearMap) -> str:
    about = year.about
    heavy = f"Inside the heavy line {seconds(year.within_s)} or less will do."
    return (
        f"Seconds needed under a {about.sky} sky, by the clock of {about.place_name}. "
        f"{drawn.no_line or heavy}"
    )


def _captions(year: DaylightYear, drawn: YearMap) -> tuple[str, ...]:
    changes = [
        f"{'forward' if c.is_forward else 'back'} on {day_text(c.day)}" for c in drawn.changes
    ]
    steps = f"Each step in the lines is a change of clocks: {listed(changes)}." if changes else ""
    said = (range_sentence(year, year.within_s), skies_sentence(year), drawn.lines, steps)
    return tuple(one for one in said if one)


def _sun_note(day: DaylightDay) -> str:
    zone = day.about.zone
    if day.always == "up":
        return f"The sun stays up all day, highest at {clock_there(day.noon, zone)}."
    if day.always == "down":
        return "The sun stays below the horizon all day."
    parts = [f"highest at {clock_there(day.noon, zone)}"]
    if day.rises is not None:
        parts.insert(0, f"up at {clock_there(day.rises, zone)}")
    if day.sets is not None:
        parts.append(f"down at {clock_there(day.sets, zone)}")
    return f"The sun is {listed(parts)}."


def _days_answer(when: DaylightWhen, year: DaylightYear) -> str:
    """On how many of the days the limit can be kept, by sky; else which day is the next."""
    if not when.days:
        return ""
    count = len(when.days)
    good = {sky: sum(bool(d.by_sky[sky]) for d in when.days) for sky in when.days[0].by_sky}
    limit = seconds(when.within_s)
    if not any(good.values()):
        none = f"In {limit}: on none of the next {count} days, under any sky."
        later = [day for day in year.days_within if day > when.days[-1].date]
        following = (later or list(year.days_within))[:1]
        sky = year.about.sky
        return " ".join((none, *(f"The next, if {sky}: {day_text(d)}." for d in following)))
    parts: list[str] = []
    for sky, days in good.items():
        often = "every day" if days == count else "never" if not days else f"on {_counted(days)}"
        parts.append(f"{often} under a {sky} {'one' if parts else 'sky'}")
    return f"In {limit}: {listed(parts)}."


def _counted(days: int) -> str:
    return f"{days} day" if days == 1 else f"{days} days"
