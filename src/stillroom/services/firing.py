"""How the next sheet fires, and whether tubes, plugs and batteries bear it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.firing import Firing, HeadFiring, Mains
from stillroom.documents.holding import Fires
from stillroom.documents.making import as_made
from stillroom.documents.to_domain import head_of, named
from stillroom.errors import NotPossible
from stillroom.light import (
    OPENED_BY,
    USUAL_POPS_PER_MINUTE_FULL,
    USUAL_RECYCLE_S,
    battery_pops,
    burst_s,
    charging_w,
    circuits_for,
    duty,
    lamp_a,
    recycle_at_s,
    stops_below_full,
)
from stillroom.services.cautions import FLASH_CAUTION, LAMP_CAUTION
from stillroom.services.firing_words import (
    COUNTS,
    battery_note,
    circuit_note,
    firing_sentence,
    hand_note,
    head_note,
    recycle_note,
    rest_note,
    uncounted_note,
)
from stillroom.services.ghost import least_open_s
from stillroom.services.ghost_answers import room_of
from stillroom.services.stillness import whole_open_s

USUAL_MAINS_V = 230.0
LEAST_WS = 0.1
REST_S = 30.0
"""A shorter rest passes anyway while the slide goes in (ours)."""
HAND_SHARE = 0.25
"""From here on it is said how far a hand misses the time (ours)."""


@dataclass(frozen=True, slots=True)
class _Lit:
    """A head that fires."""

    role: str
    head: kit.Head
    energy_ws: float
    recycle_s: float


@dataclass(frozen=True, slots=True)
class _Plug:
    """What one head draws: while it charges, and by its modelling lamp all the time [A]."""

    charging_a: float
    lit_a: float


def firing(
    book: doc.Book, sitting_id: str, settings: doc.Settings, *, fires: Fires | None = None
) -> Firing:
    """How a sheet fires, how long its pops take, and what heads and plugs allow.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str
        Which sitting.
    settings : Settings
        How the sheet is set.
    fires : str, optional
        How it fires; as the sitting says unless given.

    Returns
    -------
    Firing

    Raises
    ------
    UnknownName
        If the sitting or a head is not in the book.
    NotPossible
        If no head is on.
    BadValue
        If a dial shows what it cannot.
    """
    sitting = named("sitting", sitting_id, book.sittings)
    lit = _lit(book, sitting, settings)
    if not lit:
        raise NotPossible(
            f"No head of sitting {sitting.id} is on, so nothing fires: open for as long as steady "
            "light asks."
        )
    way = fires or sitting.holding.fires
    pops = settings.pops
    mains = _mains(book, sitting, lit)
    turns = mains.in_turns if mains is not None and mains.in_turns else 1
    gap_s = max(x.recycle_s for x in lit) * turns
    heads = tuple(_head(sitting, x, pops, gap_s) for x in lit)
    planned_s = whole_open_s(settings)
    open_s = least_open_s(settings, way, planned_s)
    by = OPENED_BY[way] if way else None
    length_s = burst_s(pops, gap_s)
    if settings.opening == "held_open":
        open_s = max(open_s, length_s)
    ready_s = max(gap_s, *(h.rest_s for h in heads))
    sd_s = by.sd_of(open_s) if by else 0.0
    uncounted = [h.name for h in heads if h.mains_a is None and h.battery_pops is None]
    return Firing(
        sitting=sitting.id,
        fires=way,
        count=COUNTS[way or ""],
        pops=pops,
        open_s=open_s,
        least_open_s=least_open_s(settings, way, 0.0),
        open_sd_s=sd_s,
        gap_s=gap_s,
        burst_s=length_s,
        ready_s=ready_s,
        heads=heads,
        mains=mains,
        notes=(
            *([hand_note(planned_s, open_s, sd_s)] if sd_s > HAND_SHARE * planned_s else ()),
            *_head_notes(heads, pops),
            *([note] if mains and (note := circuit_note(mains)) else ()),
            *([uncounted_note(uncounted)] if mains and uncounted else ()),
        ),
        cautions=_cautions(lit),
        sentence=firing_sentence(pops, gap_s, length_s, ready_s),
    )


# ── What stands behind it ────────────────────────────────────────────────────────────────────────


def _lit(book: doc.Book, sitting: doc.Sitting, settings: doc.Settings) -> list[_Lit]:
    found = []
    for light in sitting.lights:
        setting = settings.lights.get(light.role, doc.LightSetting())
        if light.kind != "head" or not setting.on:
            continue
        head = named("head", light.kit_id or "", book.kit.heads)
        energy = _energy_ws(head, setting)
        full_s = USUAL_RECYCLE_S if head.recycle_s is None else head.recycle_s
        recycle_s = recycle_at_s(full_s, energy, head.energy_ws)
        found.append(_Lit(light.role, head, energy, recycle_s))
    return found


def _energy_ws(head: kit.Head, setting: doc.LightSetting) -> float:
    dial = head_of(head).dial
    shown = dial.max if setting.dial is None else setting.dial
    stops = stops_below_full(dial, shown, head.energy_ws)
    return float(min(head.energy_ws, max(LEAST_WS, head.energy_ws * 2.0**stops)))


def _head(sitting: doc.Sitting, lit: _Lit, pops: int, gap_s: float) -> HeadFiring:
    head = lit.head
    found = duty(
        pops,
        lit.energy_ws,
        head.energy_ws,
        recycle_s=gap_s,
        per_minute_full=head.pops_per_minute_full or USUAL_POPS_PER_MINUTE_FULL,
        in_a_row_full=head.pops_in_a_row_full,
    )
    whole = left = None
    if head.battery_pops_full is not None:
        whole = battery_pops(head.battery_pops_full, lit.energy_ws, head.energy_ws)
        full_left = head.battery_pops_full - _spent_full_pops(sitting, head)
        left = max(0, math.floor(full_left * head.energy_ws / lit.energy_ws + 1e-9))
        left = min(left, whole)
    return HeadFiring(
        role=lit.role,
        head=head.id,
        name=head.name or f"head {head.id}",
        energy_ws=lit.energy_ws,
        recycle_s=lit.recycle_s,
        recycle_is_known=head.recycle_s is not None,
        charging_w=charging_w(lit.energy_ws, lit.recycle_s) if lit.recycle_s >= 0.01 else 0.0,
        full_pops=found.full_pops,
        pops_per_minute=found.pops_per_minute if math.isfinite(found.pops_per_minute) else 0.0,
        is_within=found.is_within,
        rest_s=found.rest_s,
        mains_a=head.mains_a,
        battery_pops=whole,
        battery_left=left,
    )


def _spent_full_pops(sitting: doc.Sitting, head: kit.Head) -> float:
    """What the sheets of a sitting took from a head's battery, in pops at full."""
    roles = [x.role for x in sitting.lights if x.kind == "head" and x.kit_id == head.id]
    spent = 0.0
    for sheet in sitting.sheets:
        made = as_made(sheet.settings, sheet.made)
        pops = made.pops * sum(made.steps_pops or (1,))
        for role in roles:
            setting = made.lights.get(role, doc.LightSetting())
            if setting.on:
                spent += pops * _energy_ws(head, setting) / head.energy_ws
    return spent


def _mains(book: doc.Book, sitting: doc.Sitting, lit: list[_Lit]) -> Mains | None:
    room = room_of(book, sitting)
    volts = room.mains_v if room else USUAL_MAINS_V
    heads = {
        x.head.id: _Plug(x.head.mains_a, lamp_a(x.head.modelling_w or 0.0, volts))
        for x in lit
        if x.head.mains_a is not None
    }
    lamps = []
    for light in sitting.lights:
        if light.kind == "lamp":
            lamp = named("lamp", light.kit_id or "", book.kit.lamps)
            lamps.append(lamp_a(lamp.power_w or 0.0, volts))
    loads = [*(x.charging_a + x.lit_a for x in heads.values()), *lamps]
    if not heads:
        return None
    limit = room.circuit_a if room else None
    circuits = room.circuits if room else 1
    needed = at_once = turns = None
    if limit is not None and max(loads) <= limit:
        needed = circuits_for(loads, limit)
        at_once = _most_at_once(list(heads.values()), lamps, limit, circuits)
        turns = math.ceil(len(heads) / at_once) if at_once else None
    return Mains(
        all_a=sum(loads),
        circuit_a=limit,
        circuits=circuits,
        circuits_needed=needed,
        at_once=at_once,
        in_turns=turns,
    )


def _most_at_once(heads: list[_Plug], lamps: list[float], limit_a: float, circuits: int) -> int:
    """How many heads may charge at once, whichever they are; 0 where not even one may.

    The modelling lamps of heads that wait stay lit, and so do hot lamps.
    """
    largest = sorted(heads, key=lambda x: x.charging_a, reverse=True)

    def loads(n: int) -> list[float]:
        charging = [x.charging_a + x.lit_a for x in largest[:n]]
        return [*lamps, *charging, *(x.lit_a for x in largest[n:])]

    fits = (n for n in range(1, len(heads) + 1) if circuits_for(loads(n), limit_a) <= circuits)
    return max(fits, default=0)


def _head_notes(heads: tuple[HeadFiring, ...], pops: int) -> list[str]:
    notes = [head_note(h) for h in heads if not h.is_within]
    notes += [battery_note(h, pops) for h in heads if h.battery_left is not None]
    notes += [rest_note(h) for h in heads if h.is_within and h.rest_s >= REST_S]
    unknown = [h.name for h in heads if not h.recycle_is_known]
    return [*notes, *([recycle_note(unknown, USUAL_RECYCLE_S)] if unknown else [])]


def _cautions(lit: list[_Lit]) -> tuple[str, ...]:
    hot = any(x.head.modelling_w for x in lit)
    return (FLASH_CAUTION, LAMP_CAUTION) if hot else (FLASH_CAUTION,)
