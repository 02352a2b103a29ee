"""The dark test: a white card in the chair, the lens open many times as long, and no pop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from stillroom.belief import exposures, with_veil
from stillroom.belief.words import BLACK_BELOW_DMAX
from stillroom.documents import book as doc
from stillroom.documents.ghost import DarkTest, DarkTestRead, DarkTestSees, RoomLight
from stillroom.documents.making import as_made
from stillroom.documents.read import validated
from stillroom.documents.to_domain import named
from stillroom.errors import BadValue, NotPossible, UnknownName, in_range
from stillroom.services.chair import card_reflectance, card_said, times_as_long
from stillroom.services.desk_base import free_name
from stillroom.services.ghost import Asked, GhostLight, share_range
from stillroom.services.ghost_words import read_text, sees_text
from stillroom.services.marks import last_number, sheet_mark
from stillroom.services.open_time import STEADY_KINDS
from stillroom.services.remembered import BeliefMemo
from stillroom.services.stillness import held_as, whole_open_s
from stillroom.services.stillness_words import open_text
from stillroom.services.worktable import Worktable, worktable
from stillroom.sitter import REGIONS, region_name

TIMES = 16.0
"""How many times as long as planned: four stops."""
CARD_REFLECTANCE = 0.85
"""Of a white card in the paper's band: less than it looks, for white paint takes up violet (about
0.8 to 0.9, from memory)."""
CARD_RANGE = (0.3, 1.0)
TIMES_RANGE = (2.0, 256.0)
LONGEST_S = 3600.0
ROOM_GUESS_LX = 0.3
ROOM_GUESS_SD_STOPS = 3.0
"""A darkened room of which nothing is known: a guess that may be off by eight times (invented)."""
USUAL_REGION = "key"
PROVED_ODDS = 0.95
"""What a test is said to prove holds 19 in 20."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A dark test as it would be written down.

    Attributes
    ----------
    sitting : Sitting
        With the light of the room, where none was written down, and how it stands afterwards.
    sheet : Sheet
        The sheet, not read yet.
    region : str
        The region whose place the card takes.
    settings : Settings
        How the next sheet would be set.
    planned_s : float
        How long the lens would be open about the pop [s].
    wrote_light : bool
        Whether a light of the room was written in.
    """

    sitting: doc.Sitting
    sheet: doc.Sheet
    region: str
    settings: doc.Settings
    planned_s: float
    wrote_light: bool


def planned(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings,
    when: datetime,
    *,
    open_s: float | None = None,
    times: float = TIMES,
    card: float = CARD_REFLECTANCE,
) -> Planned:
    """How a dark test is made for what is set next.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        How the next sheet would be set.
    when : datetime
        When the test is made.
    open_s : float, optional
        How long the lens would be open about the pop [s]; as set unless given.
    times : float
        How many times as long it is open for the test, 2 to 256.
    card : float
        Reflectance of the card in the paper's band, 0.3 to 1.

    Raises
    ------
    UnknownName
        If there is no such sitting.
    OutOfRange, BadValue
        If a number lies outside its range, or the test would take longer than an hour.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    by = in_range("times as long", times, *TIMES_RANGE)
    white = in_range("reflectance of the card", card, *CARD_RANGE)
    planned_s = whole_open_s(settings) if open_s is None else open_s
    planned_s = in_range("open time", planned_s, 0.001, LONGEST_S, "s")
    if planned_s * by > LONGEST_S:
        raise BadValue(
            "open time",
            planned_s,
            f"the dark test would take {planned_s * by:g} s; give fewer than "
            f"{LONGEST_S / planned_s:.0f} times, or a shorter time",
        )
    lights = dict(settings.lights)
    for light in sitting.lights:
        if light.kind == "head":
            lights[light.role] = doc.LightSetting(on=False)
    wrote = not any(
        x.kind in STEADY_KINDS and lights.get(x.role, doc.LightSetting()).on
        for x in sitting.lights
    )
    stands = Worktable(book, sitting_id).standing()
    if wrote:
        role = free_name("room", [x.role for x in sitting.lights], "room")
        guess = doc.Light(
            role=role,
            kind="room",
            metered_lx=ROOM_GUESS_LX,
            metered_sd_stops=ROOM_GUESS_SD_STOPS,
        )
        sitting = sitting.model_copy(update={"lights": (*sitting.lights, guess)})
    number = last_number(sitting) + 1
    dark = settings.model_copy(
        update={
            "lights": lights,
            "pops": 1,
            "open_s": planned_s * by,
            "opening": "per_pop",
            "steps_pops": None,
            "pre_flash_stops": None,
        }
    )
    sheet = doc.Sheet(
        number=number,
        mark=sheet_mark("card", number),
        when=when,
        room_state=sitting.room_state,
        sky=sitting.sky,
        settings=dark,
        what_else_moved=(card_said(white, None if by == TIMES else by),),
        note=f"Dark test: a white card, no pop, {by:g} times {open_text(planned_s)}.",
    )
    after = {"stands": stands, "stands_after": number}
    return Planned(
        sitting.model_copy(update=after),
        sheet,
        region_of(sitting),
        settings=settings.model_copy(update={"steps_pops": None}),
        planned_s=planned_s,
        wrote_light=wrote,
    )


def dark_test(
    book: doc.Book,
    sitting_id: str,
    settings: doc.Settings,
    when: datetime,
    *,
    open_s: float | None = None,
    times: float = TIMES,
    card: float = CARD_REFLECTANCE,
    memo: BeliefMemo | None = None,
) -> DarkTest:
    """How to make a dark test, and what it would prove.

    Parameters
    ----------
    book, sitting_id, settings, when, open_s, times, card
        As in `planned`.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    DarkTest

    Raises
    ------
    UnknownName, OutOfRange, BadValue
        As `planned`.
    """
    plan = planned(book, sitting_id, settings, when, open_s=open_s, times=times, card=card)
    made = _with(book, plan.sitting, plan.sheet)
    table = Worktable(made, sitting_id, memo=memo)
    chances, grey = _outcomes(table, plan)
    sees = []
    outcomes: tuple[Literal["black", "grey", "light"], ...] = ("black", "grey", "light")
    for outcome in outcomes:
        under = None
        if outcome != "light":
            seen = doc.RegionReading(verdict="black")
            if outcome == "grey":
                seen = doc.RegionReading(density=grey)
            read = doc.Reading(by="strip", regions={plan.region: seen})
            if outcome == "black":
                read = doc.Reading(by="words", regions={plan.region: seen})
            under = _after(made, plan, read, memo).under_stops
        sees.append(DarkTestSees(sees=outcome, p=chances[outcome], text=sees_text(outcome, under)))
    whole_s = plan.sheet.settings.open_s
    return DarkTest(
        sitting=sitting_id,
        region=plan.region,
        card_reflectance=card,
        times=times,
        planned_s=plan.planned_s,
        open_s=whole_s,
        settings=plan.sheet.settings,
        has_steady=not plan.wrote_light,
        sees=tuple(sees),
        steps=(
            f"Put a white card where the {region_name(plan.region).lower()} is, facing alike.",
            "Darken the room as for the picture; heads and modelling lamps off.",
            f"Cap off for {open_text(whole_s)}, {times:g} times as long as planned, and no pop.",
            "Run the sheet through the line as any other, then say what the card looks like.",
        ),
    )


def dark_test_read(
    book: doc.Book,
    sitting_id: str,
    number: int,
    *,
    settings: doc.Settings | None = None,
    open_s: float | None = None,
    memo: BeliefMemo | None = None,
) -> DarkTestRead:
    """What a dark test proved of the room's light on the face.

    Parameters
    ----------
    book : Book
        The whole book, the test read.
    sitting_id, number : str, int
        Which sheet.
    settings : Settings, optional
        How the flash will be set; as things stand unless given.
    open_s : float, optional
        How long the lens will be open about the pop [s]; as the test was planned for unless given.
    memo : BeliefMemo, optional
        Where beliefs are remembered.

    Returns
    -------
    DarkTestRead

    Raises
    ------
    UnknownName
        If there is no such sheet.
    NotPossible
        If it is no dark test, or not read yet.
    """
    table = worktable(book, sitting_id, memo=memo)
    sheet = next((s for s in table.sitting.sheets if s.number == number), None)
    if sheet is None:
        known = [str(s.number) for s in table.sitting.sheets]
        raise UnknownName(f"sheet of sitting {sitting_id}", str(number), known)
    check_dark(table.sitting, sheet)
    region = region_of(table.sitting)
    seen = next((r.regions[region] for r in reversed(sheet.readings) if region in r.regions), None)
    if seen is None:
        raise NotPossible(
            f"Sheet {number} of sitting {sitting_id} is not read yet: say what the card looks "
            "like."
        )
    settings = table.standing() if settings is None else settings
    state = sheet.room_state or None
    open_s = sheet.settings.open_s / (times_as_long(sheet) or TIMES) if open_s is None else open_s
    open_s = in_range("open time", open_s, 0.001, LONGEST_S, "s")
    before, after = (
        _room_light(table, settings, open_s, region, state, until=n) for n in (number, None)
    )
    is_bound = seen.verdict == "black"
    return DarkTestRead(
        sitting=sitting_id,
        sheet=number,
        region=region,
        verdict=seen.verdict,
        density=seen.density,
        before=before,
        after=after,
        is_bound=is_bound,
        sentence=read_text(after.under_stops, open_s, is_bound=is_bound),
    )


def dark_reading(region: str, verdict: doc.Verdict | None, density: float | None) -> doc.Reading:
    """What a card looks like, as a reading.

    Raises
    ------
    BadValue
        If neither or both are said, or the word does not fit a card.
    """
    if (verdict is None) == (density is None):
        raise BadValue(
            "the card", "said twice or not at all", "say black, or give its density, one of them"
        )
    if verdict not in (None, "black", "bare_paper"):
        raise BadValue(
            "the card", verdict, "say black or bare_paper, or read its density on the strip"
        )
    if verdict is not None:
        return doc.Reading(
            by="words", regions={region: validated(doc.RegionReading, {"verdict": verdict})}
        )
    seen = validated(doc.RegionReading, {"density": density})
    return doc.Reading(by="strip", regions={region: seen})


def check_dark(sitting: doc.Sitting, sheet: doc.Sheet) -> None:
    """Check that a sheet is a dark test.

    Raises
    ------
    NotPossible
        If no white card was in the chair.
    """
    if card_reflectance(sheet) is None:
        raise NotPossible(
            f"Sheet {sheet.number} of sitting {sitting.id} is no dark test: no white card was in "
            "the chair."
        )


def without_sheets(sitting: doc.Sitting) -> doc.Sitting:
    """A sitting as it is written when only it changed: sheets and readings stay by themselves."""
    there = sitting.model_dump(exclude_unset=True, exclude={"sheets", "meter_readings"})
    return validated(doc.Sitting, there)


def region_of(sitting: doc.Sitting) -> str:
    """The region whose place a card takes: the first of the face that is aimed at."""
    face = [r for r in REGIONS if REGIONS[r].is_skin]
    return next((r for r in face if r in sitting.aims), USUAL_REGION)


# ── What stands behind it ────────────────────────────────────────────────────────────────────────


def _with(book: doc.Book, sitting: doc.Sitting, sheet: doc.Sheet) -> doc.Book:
    after = sitting.model_copy(update={"sheets": (*sitting.sheets, sheet)})
    others = tuple(after if s.id == after.id else s for s in book.sittings)
    return book.model_copy(update={"sittings": others})


def _outcomes(table: Worktable, plan: Planned) -> tuple[dict[str, float], float]:
    """How likely each outcome is before it is seen, and the density grey would most likely be."""
    number = plan.sheet.number
    settings = as_made(plan.sheet.settings, plan.sheet.made)
    layout = table.layout(settings, plan.sheet.room_state or None, number=number)
    states = table.posterior(number).states(layout)
    light = exposures(states, layout, table.bare_settings(settings))[:, 0].sum(axis=2)
    placed = np.log2(np.maximum(with_veil(states, layout, light), 1e-12))
    at = layout.regions.index(plan.region)
    tones = states.curves.density(placed[:, at : at + 1])[:, 0]
    black = tones > states.curves.dmax[:, 0] - BLACK_BELOW_DMAX
    is_light = placed[:, at] > 0
    grey = ~black & ~is_light
    middle = float(np.median(tones[grey])) if grey.any() else float(np.median(tones))
    chances = {"black": black, "grey": grey, "light": is_light}
    return {name: float(np.mean(x)) for name, x in chances.items()}, middle


def _after(
    book: doc.Book, plan: Planned, reading: doc.Reading, memo: BeliefMemo | None
) -> RoomLight:
    """The room's light once a dark test was read."""
    read = plan.sheet.model_copy(update={"readings": (reading,)})
    table = Worktable(_with(book, plan.sitting, read), plan.sitting.id, memo=memo)
    state = plan.sheet.room_state or None
    return _room_light(table, plan.settings, plan.planned_s, plan.region, state)


def _room_light(
    table: Worktable,
    settings: doc.Settings,
    open_s: float,
    region: str,
    state: str | None,
    *,
    until: int | None = None,
) -> RoomLight:
    held = held_as(table.book, table.sitting)
    light = GhostLight(table, settings, table.posterior(until), held, Asked(state))
    under = light.under_stops(open_s, region, PROVED_ODDS)
    return RoomLight(share=share_range(light.share(open_s, region)), under_stops=under)
