"""Baths that stand in the line: which sheets went through them, and what their clocks say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from stillroom.documents.book import Book, Sheet, Sitting
from stillroom.documents.mixing import Bath, Clock, Mix
from stillroom.documents.recipes import Recipe
from stillroom.documents.to_domain import named
from stillroom.documents.wet import BenchBath, Status
from stillroom.services.bath_life import (
    clock_text,
    fresh_text,
    life_text,
)
from stillroom.services.bench import process_of_sitting
from stillroom.services.recipes import recipes, sheets_per_litre
from stillroom.services.sittings import going_on
from stillroom.wetline import STEPS, StepId
from stillroom.wetline import chemistry as chem

PIECE_SHARE = 0.2
"""Of a sheet, that a test piece without a size is held to take."""


@dataclass(frozen=True, slots=True)
class Passed:
    """One sheet through one step.

    Attributes
    ----------
    at : datetime
        When.
    step : str
        Which step.
    area : float
        What it counts for [8x10].
    bath : str or None
        The bath that was named; None: nobody said.
    paper : str
        ``rc`` or ``fibre``.
    black_s : float or None
        Seconds to its first black, in the first developer.
    """

    at: datetime
    step: StepId
    area: float
    bath: str | None
    paper: str
    black_s: float | None = None


def baths_of(book: Book, now: datetime) -> tuple[Bath, ...]:
    """The baths that stand mixed, the line's way.

    Parameters
    ----------
    book : Book
        With its mixes.
    now : datetime
        The moment now, with its zone.

    Returns
    -------
    tuple of Bath
        Those not thrown out, a newer one of the same steps before the older.
    """
    standing = [mix for mix in book.mixes if mix.thrown_out is None]
    if not standing:
        return ()
    passed = list(_passed(book))
    order = {step: i for i, step in enumerate(STEPS)}

    def place(mix: Mix) -> tuple[int, float]:
        steps = steps_of_mix(mix)
        return min((order[s] for s in steps), default=len(STEPS)), -mix.when.timestamp()

    return tuple(_bath(book, mix, passed, now) for mix in sorted(standing, key=place))


def bench_baths(book: Book, now: datetime) -> tuple[BenchBath, ...]:
    """The same as the bench tells them."""
    return tuple(
        BenchBath(
            id=bath.id,
            name=bath.name,
            told=_without_name(bath)[:200],
            sheets_used=bath.sheets_used,
            sheets_good=bath.sheets_good,
            good_until=bath.good_until,
            life=bath.life,
        )
        for bath in baths_of(book, now)
    )


def _without_name(bath: Bath) -> str:
    return bath.told.removeprefix(bath.name).removeprefix(" is").lstrip(": ")


def recipe_of(mix: Mix) -> Recipe | None:
    """The recipe of a bath; None where this version of the tool has no such one."""
    return next((recipe for recipe in recipes() if recipe.id == mix.recipe), None)


def steps_of_mix(mix: Mix) -> tuple[StepId, ...]:
    """Where a bath stands: where it was said, else where its recipe does."""
    recipe = recipe_of(mix)
    return mix.steps or (recipe.steps if recipe is not None else ())


def name_of_mix(mix: Mix) -> str:
    """What a bath is called."""
    recipe = recipe_of(mix)
    return mix.name or (recipe.name if recipe is not None else mix.recipe)


# ── Which sheets went through ───────────────────────────────────────────────────────────────


def _passed(book: Book) -> Iterator[Passed]:
    """Every sheet of the book through every step that it went through, or is held to have."""
    for sitting in book.sittings:
        process = process_of_sitting(book, sitting)
        format_mm = named("camera", sitting.camera, book.kit.cameras).format_mm
        usual = tuple(step.id for step in process.steps if not step.is_left_out)
        for sheet in sitting.sheets:
            area = _area(sheet, format_mm)
            if sheet.wet is not None:
                for step in sheet.wet.steps:
                    black = sheet.wet.first_black_s if step.step == "first_development" else None
                    yield Passed(step.began_at, step.step, area, step.bath, process.paper, black)
                continue
            at = _when(sitting, sheet)
            for step_id in usual:
                yield Passed(at, step_id, area, None, process.paper)


def _when(sitting: Sitting, sheet: Sheet) -> datetime:
    return sheet.when or sitting.when


def _area(sheet: Sheet, format_mm: tuple[float, float]) -> float:
    whole = chem.sheet_equivalents(*format_mm)
    piece = sheet.piece
    if piece is None:
        return whole
    if piece.width_mm is None or piece.height_mm is None:
        return PIECE_SHARE * whole
    return chem.sheet_equivalents(piece.width_mm, piece.height_mm)


def _through(book: Book, mix: Mix, passed: Sequence[Passed], now: datetime) -> list[Passed]:
    """What went through one bath: what names it, else what came while it was the newest there."""
    steps = set(steps_of_mix(mix))
    return [
        one
        for one in passed
        if one.step in steps
        and (
            one.bath == mix.id
            or (
                one.bath is None
                and mix.when <= one.at <= now
                and _stood_at(book, one.step, one.at) == mix.id
            )
        )
    ]


def _stood_at(book: Book, step: StepId, at: datetime) -> str | None:
    """The newest bath that stood in a step at a moment."""
    there = [
        mix
        for mix in book.mixes
        if mix.when <= at
        and (mix.thrown_out is None or at < mix.thrown_out)
        and step in steps_of_mix(mix)
    ]
    return max(there, key=lambda mix: mix.when).id if there else None


# ── Its clocks ──────────────────────────────────────────────────────────────────────────────


def _bath(book: Book, mix: Mix, passed: Sequence[Passed], now: datetime) -> Bath:
    recipe = recipe_of(mix)
    steps = steps_of_mix(mix)
    through = _through(book, mix, passed, now)
    paper = through[-1].paper if through else _paper_now(book)
    # A sheet through two steps of one bath is one sheet; what each step costs is in its capacity.
    used = mix.used_before + sum(one.area for one in through) / max(len(steps), 1)
    per_litre = None if recipe is None else sheets_per_litre(recipe, paper, len(steps))
    hours_good = None if recipe is None else recipe.keeps.hours
    clocks = chem.clocks_of_bath(
        sheets=used,
        volume_ml=mix.volume_ml,
        sheets_per_l=per_litre,
        carry_ml=chem.CARRY_ML[paper],
        hours=max(0.0, (now - mix.when).total_seconds() / 3600),
        hours_good=hours_good,
        times_first=_times_first(mix, through),
    )
    area = _next_area(book)
    life = chem.life_of(clocks, area)
    good = chem.sheets_until_spent(mix.volume_ml, per_litre, chem.CARRY_ML[paper])
    until = None if hours_good is None else mix.when + timedelta(hours=hours_good)
    name, left = name_of_mix(mix), _left(good, used, area)
    if used > 0 or life != "good":
        told = life_text(name, life, clocks, now=now, until=until, left=left)
    else:
        told = fresh_text(name, now=now, mixed=mix.when, until=until, left=left)
    return Bath(
        id=mix.id,
        name=name,
        recipe=mix.recipe,
        steps=steps,
        told=told,
        sheets_used=round(used, 3),
        sheets_good=None if good is None else round(good, 3),
        good_until=until,
        life=life,
        clocks=tuple(
            Clock(
                of=clock.of,
                used=round(clock.used, 4),
                limit=clock.limit,
                unit=_UNITS[clock.of],
                text=clock_text(clock, recipe),
                status=_status(clock, recipe),
            )
            for clock in clocks
        ),
    )


_UNITS = {"sheets": "8x10 sheets", "dilution": "share", "hours": "h", "time": "times the first"}


def _status(clock: chem.BathClock, recipe: Recipe | None) -> Status:
    if recipe is not None and clock.of == "sheets":
        return recipe.capacity.status
    if recipe is not None and clock.of == "hours":
        return recipe.keeps.status
    return "common_practice"


def _times_first(mix: Mix, through: Sequence[Passed]) -> float | None:
    """Its last time to work over its first: as timed by hand, else to the first black."""
    seconds = [timed.seconds for timed in sorted(mix.timed, key=lambda t: t.when)]
    if len(seconds) < 2:
        blacks = sorted((one for one in through if one.black_s), key=lambda one: one.at)
        seconds = [one.black_s for one in blacks if one.black_s is not None]
    if len(seconds) < 2:
        return None
    return seconds[-1] / seconds[0]


def _left(good: float | None, used: float, area: float) -> float | None:
    """Sheets of today's size that are left in it."""
    if good is None or area <= 0:
        return None
    return max(0.0, good - used) / area


def _next_area(book: Book) -> float:
    sitting = going_on(book)
    if sitting is None:
        return 1.0
    format_mm = named("camera", sitting.camera, book.kit.cameras).format_mm
    return chem.sheet_equivalents(*format_mm)


def _paper_now(book: Book) -> str:
    sitting = going_on(book)
    return "rc" if sitting is None else process_of_sitting(book, sitting).paper
