"""The life of a bath in one line: what it did, what is left, and which clock ends it first."""

from __future__ import annotations

from datetime import datetime

from stillroom.documents.mixing import Life
from stillroom.documents.recipes import Recipe
from stillroom.services.mixing_words import count_text
from stillroom.wetline.chemistry import BathClock, first_clock

_WHY = {
    "dilution": "the sheets have carried {tenths} tenths of it out and water in",
    "hours": "mixed {used} ago, and good for {limit} h",
    "time": "it takes {used} times as long as at first",
}


def life_text(
    name: str,
    life: Life,
    clocks: tuple[BathClock, ...],
    *,
    now: datetime,
    until: datetime | None,
    left: float | None,
) -> str:
    """A bath in use, in one line.

    Examples
    --------
    >>> life_text(
    ...     "Bleach",
    ...     "past",
    ...     (BathClock("sheets", 12.0, 12.0),),
    ...     now=datetime(2026, 11, 14),
    ...     until=None,
    ...     left=0.0,
    ... )
    'Bleach is past its life: 12 of about 12 sheets of 8x10. Mix a new one.'
    """
    first = first_clock(clocks)
    done = _done(next(clock for clock in clocks if clock.of == "sheets"))
    why = done
    if first.of != "sheets":
        why = _WHY[first.of].format(
            used=_hours(first.used) if first.of == "hours" else count_text(first.used),
            limit="" if first.limit is None else f"{first.limit:g}",
            tenths=count_text(10 * first.used),
        )
    if life == "past":
        return f"{name} is past its life: {why}. Mix a new one."
    rest = _rest(left, until, now)
    if life == "last":
        return f"{name} is on its last: {why}.{rest}"
    return f"{name}: {done}.{rest}"


def fresh_text(
    name: str, *, now: datetime, mixed: datetime, until: datetime | None, left: float | None
) -> str:
    """A bath that no sheet went through yet, in one line.

    Examples
    --------
    >>> noon = datetime(2026, 11, 14, 12)
    >>> fresh_text("Bleach", now=noon, mixed=noon, until=None, left=24.0)
    'Bleach: no sheet yet, mixed at 12:00. Good for about 24 more of your sheets.'
    """
    at = mixed.astimezone(now.tzinfo) if now.tzinfo else mixed
    when = f"at {at:%H:%M}" if at.date() == now.date() else f"on {at:%Y-%m-%d}"
    return f"{name}: no sheet yet, mixed {when}.{_rest(left, until, now)}"


def clock_text(clock: BathClock, recipe: Recipe | None) -> str:
    """One clock in words.

    Examples
    --------
    >>> clock_text(BathClock("dilution", 0.182, 0.25), None)
    'carried out and replaced by water: 18 parts in a hundred, of 25'
    """
    used = count_text(clock.used)
    if clock.of == "sheets":
        if clock.limit is None:
            why = "" if recipe is None or not recipe.capacity.text else f": {recipe.capacity.text}"
            return f"{used} sheets of 8x10; no count is known{why}"
        return f"{used} of about {count_text(clock.limit)} sheets of 8x10"
    if clock.of == "dilution":
        limit = 0.0 if clock.limit is None else clock.limit
        return (
            f"carried out and replaced by water: {100 * clock.used:.0f} parts in a hundred, of "
            f"{100 * limit:.0f}"
        )
    if clock.of == "hours":
        if clock.limit is None:
            return f"mixed {_hours(clock.used)} ago; hours do not count"
        return f"{_hours(clock.used)} of {clock.limit:g} h"
    return f"takes {used} times as long as at first, tired or colder; at twice it is spent"


def _hours(hours: float) -> str:
    return f"{count_text(hours / 24)} days" if hours >= 48 else f"{count_text(hours)} h"


def _done(clock: BathClock) -> str:
    if clock.limit is None:
        return f"{count_text(clock.used)} sheets of 8x10 so far"
    return f"{count_text(clock.used)} of about {count_text(clock.limit)} sheets of 8x10"


def _rest(left: float | None, until: datetime | None, now: datetime) -> str:
    parts = []
    if left is not None:
        whole = int(left + 1e-6)
        parts.append(f"about {count_text(whole)} more of your sheets")
    if until is not None:
        at = until.astimezone(now.tzinfo) if now.tzinfo else until
        clock = f"{at:%H:%M}" if at.date() == now.date() else f"{at:%H:%M} on {at:%Y-%m-%d}"
        parts.append(f"until {clock}")
    return f" Good for {', '.join(parts)}." if parts else ""
