"""A day of the book, answered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from stillroom.documents.book import Book, Settings
from stillroom.documents.day import Day, OtherPlan, SheetPlanned, SitterPlanned
from stillroom.quantity import FloatArray
from stillroom.services.cautions import BATH_CAUTION, FLASH_CAUTION, step_caution
from stillroom.services.day.asked import MOST_SITTERS, DayAsked, Ground, ground_of
from stillroom.services.day.bag import bag_of, baths_of
from stillroom.services.day.held_up import held_up, more_of, short_of
from stillroom.services.day.line import FIGURES, HOLDERS, DayLine, assumed, day_line, middle_times
from stillroom.services.day.lived import (
    LIVED_DAYS,
    Lived,
    Sitters,
    asked_for,
    lived,
    lived_exposed,
    most_sitters,
)
from stillroom.services.day.moments import moment, moments
from stillroom.services.day.otherwise import otherwise
from stillroom.services.day.sheets import Whose, comings, exposed_before
from stillroom.services.day.words import day_sentence, notes_of, odds_from
from stillroom.wetline.day import (
    MOST_SHEETS,
    Coming,
    Line,
    bounds,
    gains,
    interval,
    quick,
    range_of,
    schedule,
    sheets_to_land,
)

WANTED = 0.9
MOST_EACH = 4
"""More sheets of one sitter are not carried unasked: common practice, no source."""
WORTH_ASKING = 0.3
"""A station that is busy for a smaller share of the busiest one's time holds nothing up (ours)."""
RATE_SHEETS = (4, 12)
UNKNOWN_LANDS = 0.5
"""Where no sitting says how surely a sheet lands (invented)."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """What a day with or without sitters has in common."""

    sitters: int
    carried: int
    used: float
    landed: float
    finish_s: FloatArray
    """Day by day [s]."""
    all_used_s: int
    fits: int | None
    coming: list[Coming]
    """As planned, each as it is asked for."""
    free: list[Coming]
    """The same, nobody waited for."""
    whose: list[Whose]
    asked_for: tuple[SitterPlanned, ...]
    otherwise: tuple[OtherPlan, ...]
    by_turns_saves_s: int


def day(
    book: Book,
    asked: DayAsked,
    now: datetime,
    *,
    p_lands: float | None = None,
    settings: Settings | None = None,
) -> Day:
    """How many sheets and sitters a day holds, and when it is through.

    Parameters
    ----------
    book : Book
        The whole book.
    asked : DayAsked
        What is wanted.
    now : datetime
        The moment, with its zone: the day is today unless it was said.
    p_lands : float, optional
        Chance that the sitting's next sheet lands, by the advice [1].
    settings : Settings, optional
        How that sheet is set, for heads and plugs.

    Returns
    -------
    Day

    Raises
    ------
    UnknownName
        If a sitting or process is not there.
    BadValue
        If the day ends before it begins, or no time makes up for the temperature.
    NotPossible
        If a process in trays is asked for tanks.
    """
    ground = ground_of(book, asked, now)
    p = asked.p_lands or p_lands or UNKNOWN_LANDS
    source = odds_from(asked.p_lands, p_lands, None if not ground.sitting else ground.sitting.id)
    each = 1 if asked.exposed else asked.each or sheets_to_land(p, WANTED, MOST_EACH)
    plan = _exposed(ground, p) if asked.exposed else _with_sitters(ground, p, each)
    return _answer(book, ground, plan, p=p, source=source, each=each, settings=settings)


def _with_sitters(ground: Ground, p: float, each: int) -> _Plan:
    asked = ground.asked
    kind = Sitters(asked.sitters or 1, each, p, asked.together, asked.by_turns)
    tried = max(asked.sitters or 1, most_sitters(ground, kind, MOST_SHEETS // each))
    tried = min(tried, MOST_SITTERS, MOST_SHEETS // each)
    many = replace(kind, count=tried)
    booked = asked_for(ground, many)
    days = lived(ground, many, LIVED_DAYS, booked)
    hours_s = (ground.ends - ground.begins).total_seconds()
    fits = sum(float(np.median(days.finish_s(n))) <= hours_s for n in range(1, tried + 1))
    count = asked.sitters or max(1, fits)
    some = replace(kind, count=count)
    times = middle_times()
    line = day_line(ground, times, with_chair=True)

    def coming_of(used: list[int], by_turns: int, at: list[int] | None) -> list[Coming]:
        return comings(
            line, times, used, together=asked.together, by_turns=by_turns, asked_for_s=at
        )[0]

    used = _evenly(_used_each(p, each, asked.together), count, each)
    coming, whose = comings(
        line,
        times,
        used,
        together=asked.together,
        by_turns=asked.by_turns,
        asked_for_s=booked[:count],
    )
    free = coming_of(used, asked.by_turns, None)
    by_turns_s = quick(line.line, coming_of(used, count, None)).finish_s
    return _Plan(
        sitters=count,
        carried=count * each,
        used=count * _used_each(p, each, asked.together),
        landed=count * (1 - (1 - p) ** each),
        finish_s=days.finish_s(count),
        all_used_s=quick(
            line.line, coming_of([each] * count, asked.by_turns, booked[:count])
        ).finish_s,
        fits=fits if asked.ends or asked.sitters is None else None,
        coming=coming,
        free=free,
        whose=whose,
        asked_for=tuple(_comes(ground, days, booked, s) for s in range(count)),
        otherwise=otherwise(ground, some),
        by_turns_saves_s=max(0, quick(line.line, free).finish_s - by_turns_s),
    )


def _evenly(mean: float, count: int, most: int) -> list[int]:
    """Sheets of each sitter, whole, at least one, and together about so many on average."""
    upto = [round(mean * n) for n in range(count + 1)]
    return [min(most, max(1, b - a)) for a, b in pairwise(upto)]


def _used_each(p: float, each: int, together: int) -> float:
    """Sheets one sitter takes on average, exposed one or two at a time."""
    rounds = range(0, each, together)
    return sum((1 - p) ** n * min(together, each - n) for n in rounds)


def _exposed(ground: Ground, p: float) -> _Plan:
    count = ground.asked.exposed or 0
    done = lived_exposed(ground, count, LIVED_DAYS)
    hours_s = (ground.ends - ground.begins).total_seconds()
    line = day_line(ground, middle_times(), with_chair=False)
    coming = exposed_before(count)
    return _Plan(
        sitters=0,
        carried=count,
        used=count,
        landed=count * p,
        finish_s=done.max(axis=1),
        all_used_s=quick(line.line, coming).finish_s,
        fits=int(np.median((done <= hours_s).sum(axis=1))) if ground.asked.ends else None,
        coming=coming,
        free=coming,
        whose=[Whose(-1, n) for n in range(count)],
        asked_for=(),
        otherwise=(),
        by_turns_saves_s=0,
    )


def _comes(ground: Ground, days: Lived, booked: list[int], s: int) -> SitterPlanned:
    return SitterPlanned(
        sitter=s + 1,
        comes=moment(ground, booked[s]),
        done=moments(ground, days.done_s[:, s]),
        stays_min=float(np.mean(days.stayed_s[:, s])) / 60,
    )


def _answer(
    book: Book,
    ground: Ground,
    plan: _Plan,
    *,
    p: float,
    source: str,
    each: int,
    settings: Settings | None,
) -> Day:
    asked = ground.asked
    with_sitters = plan.sitters > 0
    line = day_line(ground, middle_times(), with_chair=with_sitters)
    found = schedule(line.line, plan.coming)
    free_s = quick(line.line, plan.free).finish_s
    saved = gains(line.line, plan.free, _may_hold_up(line.line))
    finish = range_of(plan.finish_s.tolist())
    lasts = timedelta(seconds=finish.q95_s)
    one = ground.process.vessel == "trays" and asked.developer_trays == 1
    baths = baths_of(ground, plan.used, lasts, developer_is_one=one)
    waits_s = found.finish_s - free_s
    late = asked.every_min if asked.every_min is not None and waits_s > 300 else None
    held = short_of(baths, asked.paper, plan.used, plan.carried) or held_up(
        saved,
        line.line,
        plan.by_turns_saves_s,
        apart_min=late,
        with_sitters=with_sitters,
    )
    alone = day_line(ground, middle_times(), with_chair=False).line
    tightest = bounds(alone)[0]
    hours_s = (ground.ends - ground.begins).total_seconds()
    ends = ground.ends if asked.ends or (asked.sitters is None and with_sitters) else None
    when = moments(ground, plan.finish_s)
    family = ground.process.bleach
    bleach = step_caution("bleach", "" if family == "own" else family)
    return Day(
        sitting=None if ground.sitting is None else ground.sitting.id,
        process=ground.process.id,
        process_name=ground.process.name or ground.process.id,
        vessel=ground.process.vessel,
        tanks=asked.tanks,
        developer_trays=asked.developer_trays,
        hands=asked.hands,
        sitters=plan.sitters,
        together=asked.together,
        by_turns=asked.by_turns,
        p_lands=p,
        p_lands_from=source,
        sheets_each=each,
        sheets_used=plan.used,
        landed=plan.landed,
        begins=ground.begins,
        ends=ends,
        set_up=ground.begins - timedelta(minutes=_five(FIGURES["set_up"].between.middle)),
        finish=when,
        if_all_used=moment(ground, plan.all_used_s),
        cleared=when.q50 + timedelta(minutes=_five(FIGURES["clear_up"].between.middle)),
        p_by_end=None if ends is None else float(np.mean(plan.finish_s <= hours_s)),
        fits=plan.fits,
        flow_min=alone.flow_s / 60,
        per_hour=_per_hour(alone),
        per_hour_by=tightest.name,
        minutes_per_landed=finish.q50_s / 60 / plan.landed,
        paper_per_landed=plan.used / plan.landed,
        is_best=found.is_best,
        least_finish=moment(ground, found.least_s),
        planned=_planned(ground, line, plan.whose, found.starts_s, with_sitters=with_sitters),
        asked_for=plan.asked_for,
        held_up=held,
        one_more=more_of(saved),
        otherwise=plan.otherwise,
        bag=bag_of(
            book,
            ground,
            settings,
            baths_of(ground, plan.carried, lasts, developer_is_one=one),
            sheets=plan.carried,
            ones=plan.sitters or plan.carried,
        ),
        assumed=assumed(with_sitters=with_sitters, in_vessel=ground.process.vessel != "trays"),
        notes=notes_of(ground, plan.sitters, plan.fits, plan.asked_for, when),
        cautions=(
            BATH_CAUTION,
            *([bleach.text] if bleach else []),
            *([FLASH_CAUTION] if settings is not None and with_sitters else []),
        ),
        sentence=day_sentence(plan.sitters, plan.used, when, ground.begins, held.text),
    )


def _per_hour(line: Line) -> float:
    """Sheets an hour, never stopping: in an even rhythm, or as a dozen of them went [1/h]."""
    few, many = (
        schedule(line, [Coming()] * count, thorough=False).finish_s for count in RATE_SHEETS
    )
    apart_s = (many - few) / (RATE_SHEETS[1] - RATE_SHEETS[0])
    return 3600.0 / min(interval(line).seconds, max(1.0, apart_s))


def _may_hold_up(line: Line) -> list[str]:
    """Stations, and hands, that are busy for long enough to hold anything up."""
    all_bounds = bounds(line)
    busy = WORTH_ASKING * all_bounds[0].interval_s
    return [each.name for each in all_bounds if each.interval_s >= busy or each.name == HOLDERS]


def _planned(
    ground: Ground,
    day: DayLine,
    whose: list[Whose],
    rows: tuple[tuple[int, ...], ...],
    *,
    with_sitters: bool,
) -> tuple[SheetPlanned, ...]:
    return tuple(
        SheetPlanned(
            sitter=one.sitter + 1 if with_sitters else None,
            sheet=one.sheet + 1,
            exposed_from=moment(ground, row[0]) if with_sitters else None,
            into_line=moment(ground, row[day.first_wet]),
            readable=moment(ground, row[day.readable + 1]),
            washed=moment(ground, row[-1]),
        )
        for one, row in zip(whose, rows, strict=True)
    )


def _five(minutes: float) -> int:
    return 5 * round(minutes / 5)
