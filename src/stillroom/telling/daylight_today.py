"""What is said of daylight today: when a limit can be kept, how long a plan is good."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from itertools import groupby, pairwise

import numpy as np

from stillroom.documents.daylight import (
    DaylightDay,
    DaylightNow,
    DaylightWay,
    DaylightYear,
    Moment,
    Stretch,
)
from stillroom.telling.daylight_words import (
    MOST_RUNS,
    about_seconds,
    above_limit,
    best_of_year,
    clock_there,
    day_text,
    ends_text,
    stops_size,
    stretch_text,
    year_phrase,
)
from stillroom.telling.figures import listed
from stillroom.telling.odds import odds
from stillroom.telling.words import figure, seconds

_STEP = timedelta(minutes=5)

# ── Today ──────────────────────────────────────────────────────────────────────────────────────


def stretches_within(day: DaylightDay, limit_s: float) -> tuple[Stretch, ...]:
    """When a limit is kept on one day; between the moments told, seconds run evenly in stops."""
    if limit_s == day.within_s:
        return day.within
    lit = [m for m in day.moments if m.seconds is not None]
    return tuple(s for run in _unbroken(lit) for s in _kept(run, limit_s))


def day_at_limit(day: DaylightDay, limit_s: float) -> DaylightDay:
    """The same day with another limit."""
    changes = {"within_s": limit_s, "within": stretches_within(day, limit_s)}
    return day.model_copy(update=changes)


def _unbroken(lit: Sequence[Moment]) -> Iterator[list[Moment]]:
    """Moments that follow each other without a dark one between."""
    usual = min((_later(a, b) for a, b in pairwise(lit)), default=_STEP)
    run: list[Moment] = []
    for moment in lit:
        if run and _later(run[-1], moment) > usual:
            yield run
            run = []
        run.append(moment)
    if run:
        yield run


def _later(first: Moment, second: Moment) -> timedelta:
    return second.when.astimezone(UTC) - first.when.astimezone(UTC)


def _kept(run: Sequence[Moment], limit_s: float) -> Iterator[Stretch]:
    told = np.array([m.when.timestamp() for m in run])
    needed = np.log2([m.seconds.q50 for m in run if m.seconds is not None])
    step_s = _STEP.total_seconds()
    fine = np.arange(told[0], told[-1] + step_s, step_s)
    kept = np.interp(fine, told, needed) <= math.log2(limit_s)
    for good, group in groupby(range(len(fine)), key=lambda i: bool(kept[i])):
        members = list(group)
        if good:
            zone = run[0].when.tzinfo
            yield Stretch(
                begins=datetime.fromtimestamp(float(fine[members[0]]), zone),
                ends=datetime.fromtimestamp(float(fine[members[-1]]) + step_s, zone),
            )


def today_sentence(day: DaylightDay, limit_s: float, at: datetime) -> str:
    """Whether a limit can be kept today, and when.

    Parameters
    ----------
    day : DaylightDay
        Today.
    limit_s : float
        The limit [s].
    at : datetime
        The moment now, with its zone.
    """
    zone = day.about.zone
    found = stretches_within(day, limit_s)
    if found:
        times = listed([_between(one, zone) for one in found[:MOST_RUNS]])
        more = ", and later" if len(found) > MOST_RUNS else ""
        if times == "all day":
            return "Today all day."
        is_over = found[-1].ends <= at
        return f"Today it was {times}; that is over." if is_over else f"Today {times}{more}."
    if day.best is None or day.best.seconds is None:
        return "Not today: the sun does not rise." if day.always == "down" else "Not today."
    is_past = day.best.when < at
    best = above_limit(day.best.seconds.q50, limit_s)
    return (
        f"Not today: the best {'was' if is_past else 'is'} {best}, "
        f"at {clock_there(day.best.when, zone)}."
    )


def _between(stretch: Stretch, zone: str) -> str:
    if stretch_text(stretch, zone) == "all day":
        return "all day"
    return f"between {clock_there(stretch.begins, zone)} and {ends_text(stretch, zone)}"


def answer(year: DaylightYear, day: DaylightDay, limit_s: float, at: datetime) -> str:
    """The answer to *when could I do this in so many seconds*, of the year and of today.

    Parameters
    ----------
    year, day : DaylightYear, DaylightDay
        This year and today.
    limit_s : float
        The limit [s].
    at : datetime
        The moment now, with its zone.

    Returns
    -------
    str
        Such as ``In 2 s: from 13 April to 29 August. Not today: the best is 5 s, at 11:30.``
    """
    phrase = year_phrase(year, limit_s)
    today = today_sentence(day, limit_s, at)
    if phrase != "never":
        return f"In {seconds(limit_s)}: {phrase}. {today}"
    best = best_of_year(year)
    if best is None:
        return f"In {seconds(limit_s)}: never. No daylight reaches this seat in {year.year}."
    shortest = above_limit(best[0], limit_s)
    return (
        f"In {seconds(limit_s)}: never in {year.year}; the year’s best is {shortest}, "
        f"on {day_text(best[1])} at {best[2]}. {today}"
    )


# ── Now ────────────────────────────────────────────────────────────────────────────────────────


def stale_sentence(now: DaylightNow, day: DaylightDay) -> str:
    """How long the open time of now is good, and what it is from then on.

    Returns
    -------
    str
        Such as ``Good until 12:40 at 6 s; from then 8 s, until 13:50.``
    """
    zone = now.about.zone
    if now.open_s is None or now.good_until is None:
        return _dark_sentence(now, day)
    until = clock_there(now.good_until, zone)
    first = f"Good until {until} at {seconds(now.open_s)}"
    if now.then_s is None or not now.after:
        return f"{first}; then the sun is down."
    ends = clock_there(now.after[0].ends, zone)
    return f"{first}; from then {seconds(now.then_s)}, until {ends}."


def _dark_sentence(now: DaylightNow, day: DaylightDay) -> str:
    zone = now.about.zone
    if day.always == "down":
        return "The sun does not rise today."
    if day.rises is not None and now.now.when < day.rises:
        return f"The sun is down until {clock_there(day.rises, zone)}."
    if day.sets is not None:
        return f"The sun went down at {clock_there(day.sets, zone)}."
    return "The sun is down."


def holds_sentence(now: DaylightNow) -> str:
    """Whether the sitter holds still so long; empty where nobody said how long that is."""
    about = now.about
    if now.holds is None or about.holds_still_s is None or now.open_s is None:
        return ""
    held = seconds(about.holds_still_s)
    if now.holds:
        return f"{about.sitter} can hold still for {held}."
    return f"{about.sitter} can hold still for {held}, which is shorter."


def lands_sentence(now: DaylightNow, region: str) -> str:
    """The odds that the region lands at the open time of now; empty without them."""
    if now.p_lands is None or now.open_s is None:
        return ""
    return f"At {seconds(now.open_s)} the {region} lands {odds(now.p_lands)}."


def meter_sentence(now: DaylightNow) -> str:
    """What an incident meter at the face should show; empty with the sun down."""
    if now.meter is None:
        return ""
    low, middle, high = (_lux(x) for x in (now.meter.q05, now.meter.q50, now.meter.q95))
    return f"An incident meter at the face: {middle} lx, nine in ten from {low} to {high} lx."


def _lux(value_lx: float) -> str:
    """Two figures are as fine as such a reading is; below 1 lx hundredths do."""
    if value_lx < 1:
        return figure(round(value_lx, 2), 2)
    return figure(round(value_lx, 1 - math.floor(math.log10(value_lx))), 2)


def way_text(way: DaylightWay) -> tuple[str, str, str]:
    """One way to other seconds: what to do, the seconds, and the light it brings or costs."""
    what = f"{way.text[:1].upper()}{way.text[1:]}"
    light = f"{stops_size(way.stops)} {'more' if way.stops > 0 else 'less'}"
    return what, about_seconds(way.seconds), light
