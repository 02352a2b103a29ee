"""What tubes, circuits and batteries say to one way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents.firing import HeadFiring
from stillroom.documents.ways import Firing, PoweredHead
from stillroom.light import burst_s
from stillroom.services.charging import Plugs, charged
from stillroom.services.ways.search import Exact


@dataclass(frozen=True, slots=True)
class Fired:
    """The heads of a way with what is asked of each, and of all together."""

    heads: tuple[PoweredHead, ...]
    firing: Firing | None
    hinders: str
    """Why the heads cannot do it; empty where they can."""


def fired(sitting: doc.Sitting, way: Exact) -> Fired:
    """What one way asks of its heads.

    Parameters
    ----------
    sitting : Sitting
        With the lights that its sheets so far were made with.
    way : Exact
        The way.
    """
    book = way.table.book
    asked = charged(book, way.table.sitting, way.document, shot_with=sitting)
    if not asked.heads:
        return Fired((), None, "")
    pops, plugs = way.settled.settings.pops, asked.plugs
    stops = way.settled.settings.dial_stops
    known = {head.id: head for head in book.kit.heads}
    powered = tuple(
        PoweredHead(
            role=x.role,
            head=x.head,
            head_name=known[x.head].name or x.head,
            dial=way.document.lights[x.role].dial,
            below_full_stops=stops.get(x.role, 0.0),
            energy_ws=x.energy_ws,
            is_hired=known[x.head].is_hired,
        )
        for x in asked.heads
    )
    length = burst_s(pops, asked.gap_s)
    rest = max(x.rest_s for x in asked.heads)
    firing = Firing(
        burst_s=length,
        within_the_tubes=all(x.is_within for x in asked.heads),
        rest_s=rest,
        amps=None if plugs is None else _amps(plugs),
        circuits_needed=None if plugs is None else plugs.needed,
        circuits=None if plugs is None else plugs.circuits,
        recycle_known=all(x.recycle_is_known for x in asked.heads),
        text=_text(pops, length, rest, plugs),
    )
    return Fired(powered, firing, _hinders(book, pops, asked.heads, plugs))


def _amps(plugs: Plugs) -> float:
    """On the fullest circuit, everything charging and lit [A]."""
    if plugs.too_much:
        return max(plugs.loads_a)
    return sum(plugs.loads_a) if plugs.needed is None else _fullest_a(plugs.loads_a, plugs.needed)


def _fullest_a(loads_a: Sequence[float], circuits: int) -> float:
    """What the fullest of so many circuits bears when plugs are shared out, largest first [A]."""
    borne = [0.0] * circuits
    for load in sorted(loads_a, reverse=True):
        least = min(range(circuits), key=borne.__getitem__)
        borne[least] += load
    return max(borne)


def _is_short(plugs: Plugs | None) -> bool:
    """Whether not all can charge at once."""
    if plugs is None or plugs.needed is None or plugs.circuits is None:
        return False
    return plugs.needed > plugs.circuits


def _hinders(book: doc.Book, pops: int, heads: Sequence[HeadFiring], plugs: Plugs | None) -> str:
    beyond = [x for x in heads if not x.is_within]
    if beyond:
        return f"Beyond the tube of {beyond[0].name}, which must rest between so many pops."
    empty = [x for x in heads if x.battery_left is not None and x.battery_left < pops]
    if empty:
        return f"The battery of {empty[0].name} does not last for so many pops."
    return "" if plugs is None else _plugs_hinder(book, pops, plugs)


def _plugs_hinder(book: doc.Book, pops: int, plugs: Plugs) -> str:
    if plugs.too_much:
        return f"{_thing(book, plugs.too_much)} alone draws more than one circuit carries."
    if plugs.at_once == 0:
        return (
            "Even one head charging beside the lamps that are lit is more than the circuits of "
            "the room carry."
        )
    if pops > 1 and _is_short(plugs):
        return (
            f"To charge all at once between pops takes {plugs.needed} circuits, and the room has "
            f"{plugs.circuits}."
        )
    return ""


def _thing(book: doc.Book, name: str) -> str:
    heads = {head.id for head in book.kit.heads}
    return f"Head {name}" if name in heads else f"Lamp {name}"


def _text(pops: int, length: float, rest: float, plugs: Plugs | None) -> str:
    said = "One pop" if pops == 1 else f"{pops} pops in {length:.1f} s"
    if rest >= 1:
        said += f", then {rest:.0f} s of rest for the tubes"
    if plugs is None:
        return f"{said}."
    if _is_short(plugs):
        what = "the circuit carries" if plugs.circuits == 1 else "the circuits carry"
        said += (
            f"; even one head charging beside the lamps is more than {what}"
            if plugs.at_once == 0
            else f"; charge one head after the other, for all at once is more than {what}"
        )
    else:
        said += f"; {_amps(plugs):.0f} A while all charge"
        if plugs.needed is not None and plugs.needed > 1:
            said += f", on {plugs.needed} circuits"
    return f"{said}."
