"""What a set of lights asks of tubes, plugs and batteries."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.firing import HeadFiring
from stillroom.documents.making import as_made
from stillroom.documents.to_domain import head_of, named
from stillroom.light import (
    LEAST_WS,
    USUAL_POPS_PER_MINUTE_FULL,
    USUAL_RECYCLE_S,
    battery_pops,
    charging_w,
    circuits_for,
    duty,
    lamp_a,
    recycle_at_s,
    stops_below_full,
)
from stillroom.services.ghost_answers import room_of


@dataclass(frozen=True, slots=True)
class Plugs:
    """What is drawn from the plugs of a room, by one sheet.

    Attributes
    ----------
    loads_a : tuple of float
        Each head while it charges, its modelling lamp with it, and each hot lamp that is on [A].
    circuit_a : float or None
        What a circuit carries [A]; None where that is not known.
    circuits : int or None
        How many there are; None where no room is known.
    needed : int or None
        Circuits for everything at once; None where the limit is not known, or one load exceeds it.
    at_once, turns : int or None
        How many heads may charge at once with every lamp lit, and in how many turns they then do;
        None as `needed`, and no turns where not even one may.
    too_much : str
        What no single circuit carries, by its id; empty where there is nothing of the kind.
    """

    loads_a: tuple[float, ...]
    circuit_a: float | None
    circuits: int | None
    needed: int | None = None
    at_once: int | None = None
    turns: int | None = None
    too_much: str = ""


@dataclass(frozen=True, slots=True)
class Charged:
    """What the heads of one sheet are asked for.

    Attributes
    ----------
    heads : tuple of HeadFiring
        Each head that is on; none where no head is.
    gap_s : float
        Between two pops, until every head is charged, in turns where the plugs want it [s].
    plugs : Plugs or None
        None where it is said of no head what it draws.
    """

    heads: tuple[HeadFiring, ...]
    gap_s: float
    plugs: Plugs | None


def charged(
    book: doc.Book,
    sitting: doc.Sitting,
    settings: doc.Settings,
    *,
    shot_with: doc.Sitting | None = None,
) -> Charged:
    """What the lights of a sitting ask of tubes, plugs and batteries, set so.

    Parameters
    ----------
    book : Book
        With the kit, whatever is hired too.
    sitting : Sitting
        With the lights, and the room they are plugged in.
    settings : Settings
        How the sheet is set.
    shot_with : Sitting, optional
        With the lights that its sheets so far were made with, which used up the batteries; those
        of `sitting` unless given.

    Raises
    ------
    UnknownName
        If a head or a lamp is not in the book.
    BadValue
        If a dial shows what it cannot.
    """
    lit = _lit(book, sitting, settings)
    if not lit:
        return Charged((), 0.0, None)
    plugs = _plugs(book, sitting, settings, lit)
    turns = plugs.turns if plugs is not None and plugs.turns else 1
    gap_s = max(x.recycle_s for x in lit) * turns
    before = shot_with or sitting
    return Charged(tuple(_head(before, x, settings.pops, gap_s) for x in lit), gap_s, plugs)


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


def _on(settings: doc.Settings, role: str) -> doc.LightSetting | None:
    setting = settings.lights.get(role, doc.LightSetting())
    return setting if setting.on else None


def _lit(book: doc.Book, sitting: doc.Sitting, settings: doc.Settings) -> list[_Lit]:
    found = []
    for light in sitting.lights:
        setting = _on(settings, light.role)
        if light.kind != "head" or setting is None:
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


# ── Tubes and batteries ──────────────────────────────────────────────────────────────────────────


def _head(shot_with: doc.Sitting, lit: _Lit, pops: int, gap_s: float) -> HeadFiring:
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
        full_left = head.battery_pops_full - _spent_full_pops(shot_with, head)
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
            setting = _on(made, role)
            if setting is not None:
                spent += pops * _energy_ws(head, setting) / head.energy_ws
    return spent


# ── Plugs ────────────────────────────────────────────────────────────────────────────────────────


def _plugs(
    book: doc.Book, sitting: doc.Sitting, settings: doc.Settings, lit: list[_Lit]
) -> Plugs | None:
    room = room_of(book, sitting)
    volts = room.mains_v if room else kit.USUAL_MAINS_V
    heads = {
        x.head.id: _Plug(x.head.mains_a, lamp_a(x.head.modelling_w or 0.0, volts))
        for x in lit
        if x.head.mains_a is not None
    }
    if not heads:
        return None
    lamps = []
    for light in sitting.lights:
        if light.kind == "lamp" and _on(settings, light.role) is not None:
            lamp = named("lamp", light.kit_id or "", book.kit.lamps)
            lamps.append((lamp.id, lamp_a(lamp.power_w or 0.0, volts)))
    loads = [*((i, x.charging_a + x.lit_a) for i, x in heads.items()), *lamps]
    loads_a, lamps_a = tuple(a for _, a in loads), [a for _, a in lamps]
    limit_a = room.circuit_a if room else None
    circuits = room.circuits if room else None
    if limit_a is None or circuits is None:
        return Plugs(loads_a, limit_a, circuits)
    too_much = next((name for name, a in loads if a > limit_a), "")
    if too_much:
        return Plugs(loads_a, limit_a, circuits, too_much=too_much)
    at_once = _most_at_once(list(heads.values()), lamps_a, limit_a, circuits)
    return Plugs(
        loads_a,
        limit_a,
        circuits,
        needed=circuits_for(loads_a, limit_a),
        at_once=at_once,
        turns=math.ceil(len(heads) / at_once) if at_once else None,
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
