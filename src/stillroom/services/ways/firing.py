"""What tubes, circuits and batteries say to one way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents import kit
from stillroom.documents.to_domain import named
from stillroom.documents.ways import Firing, PoweredHead
from stillroom.light import (
    USUAL_POPS_PER_MINUTE_FULL,
    USUAL_RECYCLE_S,
    battery_pops,
    burst_s,
    circuits_for,
    duty,
    lamp_a,
    recycle_at_s,
)
from stillroom.services.ways.search import Exact

USUAL_MAINS_V = 230.0
LEAST_ENERGY_WS = 0.1


@dataclass(frozen=True, slots=True)
class Fired:
    """The heads of a way with what is asked of each, and of all together."""

    heads: tuple[PoweredHead, ...]
    firing: Firing | None
    hinders: str
    """Why the heads cannot do it; empty where they can."""


def fired(book: doc.Book, sitting: doc.Sitting, way: Exact) -> Fired:
    """What one way asks of its heads.

    Parameters
    ----------
    book : Book
        With the kit.
    sitting : Sitting
        For the room it is in.
    way : Exact
        The way.
    """
    known = (*book.kit.heads, *way.lit.hired)
    heads = [
        (light, named("head", light.kit_id or "", known))
        for light in way.lit.lights
        if light.kind == "head"
    ]
    if not heads:
        return Fired((), None, "")
    stops = way.settled.settings.dial_stops
    energy = {
        light.role: max(LEAST_ENERGY_WS, head.energy_ws * 2 ** stops.get(light.role, 0.0))
        for light, head in heads
    }
    pops = way.settled.settings.pops
    gap = max(
        recycle_at_s(
            USUAL_RECYCLE_S if head.recycle_s is None else head.recycle_s,
            min(energy[light.role], head.energy_ws),
            head.energy_ws,
        )
        for light, head in heads
    )
    rests, beyond, empty = [], [], []
    for light, head in heads:
        spent = min(energy[light.role], head.energy_ws)
        found = duty(
            pops,
            spent,
            head.energy_ws,
            recycle_s=gap,
            per_minute_full=head.pops_per_minute_full or USUAL_POPS_PER_MINUTE_FULL,
            in_a_row_full=head.pops_in_a_row_full,
        )
        rests.append(found.rest_s)
        if not found.is_within:
            beyond.append(head)
        if head.battery_pops_full and pops > battery_pops(
            head.battery_pops_full, spent, head.energy_ws
        ):
            empty.append(head)
    powered = tuple(
        PoweredHead(
            role=light.role,
            head=head.id,
            head_name=head.name or head.id,
            dial=way.document.lights[light.role].dial,
            below_full_stops=stops.get(light.role, 0.0),
            energy_ws=min(energy[light.role], head.energy_ws),
            is_hired=head.is_hired,
        )
        for light, head in heads
    )
    mains = _mains(book, sitting, [head for _, head in heads])
    hinders = _hinders(pops, beyond, empty, mains)
    length = burst_s(pops, gap)
    firing = Firing(
        burst_s=length,
        within_the_tubes=not beyond,
        rest_s=max(rests),
        amps=mains.amps,
        circuits_needed=mains.needed,
        circuits=mains.there,
        recycle_known=all(head.recycle_s is not None for _, head in heads),
        text=_text(pops, length, max(rests), mains),
    )
    return Fired(powered, firing, hinders)


@dataclass(frozen=True, slots=True)
class _Mains:
    amps: float | None
    needed: int | None
    there: int | None
    too_much: str = ""
    """A head that no single circuit carries."""

    @property
    def is_short(self) -> bool:
        """Whether not all can charge at once."""
        return self.needed is not None and self.there is not None and self.needed > self.there


def _mains(book: doc.Book, sitting: doc.Sitting, heads: Iterable[kit.Head]) -> _Mains:
    rooms = book.kit.rooms
    name = sitting.holding.room
    room = next((r for r in rooms if r.id == name), rooms[0] if len(rooms) == 1 else None)
    volts = room.mains_v if room else USUAL_MAINS_V
    loads: dict[str, float] = {}
    for head in heads:
        if head.mains_a is not None:
            loads[head.id] = head.mains_a + lamp_a(head.modelling_w or 0.0, volts)
    if not loads:
        return _Mains(None, None, room.circuits if room else None)
    if room is None or room.circuit_a is None:
        return _Mains(sum(loads.values()), None, room.circuits if room else None)
    carries = room.circuit_a
    over = next((i for i, amps in loads.items() if amps > carries), "")
    if over:
        return _Mains(max(loads.values()), None, room.circuits, over)
    needed = circuits_for(list(loads.values()), carries)
    return _Mains(_fullest_a(list(loads.values()), needed), needed, room.circuits)


def _fullest_a(loads_a: Sequence[float], circuits: int) -> float:
    """What the fullest of so many circuits bears when plugs are shared out, largest first [A]."""
    borne = [0.0] * circuits
    for load in sorted(loads_a, reverse=True):
        least = min(range(circuits), key=borne.__getitem__)
        borne[least] += load
    return max(borne)


def _hinders(pops: int, beyond: list[kit.Head], empty: list[kit.Head], mains: _Mains) -> str:
    if beyond:
        return f"Beyond the tube of {_called(beyond[0])}, which must rest between so many pops."
    if empty:
        return f"The battery of {_called(empty[0])} does not last for so many pops."
    if mains.too_much:
        return f"Head {mains.too_much} alone draws more than one circuit carries."
    if pops > 1 and mains.is_short:
        return (
            f"To charge all at once between pops takes {mains.needed} circuits, and the room has "
            f"{mains.there}."
        )
    return ""


def _called(head: kit.Head) -> str:
    return head.name or f"head {head.id}"


def _text(pops: int, length: float, rest: float, mains: _Mains) -> str:
    said = "One pop" if pops == 1 else f"{pops} pops in {length:.1f} s"
    if rest >= 1:
        said += f", then {rest:.0f} s of rest for the tubes"
    if mains.is_short:
        what = "the circuit carries" if mains.there == 1 else "the circuits carry"
        said += f"; charge one head after the other, for all at once is more than {what}"
    elif mains.amps is not None:
        said += f"; {mains.amps:.0f} A while all charge"
        if mains.needed is not None and mains.needed > 1:
            said += f", on {mains.needed} circuits"
    return f"{said}."
