"""The kit as a list: one line each, with what it is, how we know and how well."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stillroom.documents.filters import Filter
from stillroom.documents.holders import Holder
from stillroom.documents.kit import (
    Camera,
    Head,
    Kit,
    Lamp,
    Lens,
    Meter,
    Modifier,
    Room,
    Scanner,
)
from stillroom.documents.seats import Place, Seat
from stillroom.documents.wet import Process
from stillroom.exposure.chain import without_slash
from stillroom.light import MODIFIER_PRIORS
from stillroom.quantity import stops_decimal_text
from stillroom.services.holders import holder_title
from stillroom.telling.names import METER_KINDS, sheet_size, slug
from stillroom.telling.seats_view import facts_of_place, facts_of_seat
from stillroom.telling.words import figure, range_of_sd, tape
from stillroom.web.views.kit_filter import filter_facts
from stillroom.web.views.kit_forms import KINDS
from stillroom.web.views.kit_holder import facts_of_holder
from stillroom.web.views.kit_process import facts_of_process
from stillroom.web.views.kit_room import facts_of_room

if TYPE_CHECKING:
    from stillroom.services.beliefs import TermBelief  # the engine is imported when it is asked

_KEYS = {
    "heads": "head",
    "lamps": "lamp",
    "modifiers": "modifier",
    "lenses": "lens",
    "meters": "meter",
    "seats": "seat",
    "filters": "filter",
}


@dataclass(frozen=True, slots=True)
class Reader:
    """Whose kit it is, what is believed of it, and how lengths are printed."""

    kit: Kit
    beliefs: Mapping[str, TermBelief]
    lengths: str


@dataclass(frozen=True, slots=True)
class Line:
    """One thing."""

    thing_id: str
    address: str
    title: str
    facts: str
    how: str
    range: str
    note: str
    retired: bool


@dataclass(frozen=True, slots=True)
class Section:
    """One kind, in use first, then what was put away."""

    key: str
    title: str
    one: str
    lines: tuple[Line, ...]
    put_away: tuple[Line, ...]


def sections(reader: Reader) -> tuple[Section, ...]:
    """Every kind of the kit, in the order of the page."""
    return tuple(_section(reader, key) for key in KINDS)


def line_of(key: str, thing: Any, reader: Reader) -> Line:
    """One thing as a line."""
    title, facts, how, sd = _TELL[key](thing, reader)
    how, sd = _as_taught(key, thing.id, reader.beliefs) or (how, sd)
    return Line(
        thing_id=thing.id,
        address=f"/kit/{key}/{slug(thing.id)}",
        title=title,
        facts=facts,
        how=how,
        range=range_of_sd(sd) if sd else "",
        note=thing.note,
        retired=thing.retired,
    )


def _as_taught(
    key: str, thing_id: str, beliefs: Mapping[str, TermBelief]
) -> tuple[str, float] | None:
    """How a thing is known since sheets or a meter told of it, and how well.

    A seat's light is known apart for each state of its room: all are told, and the surest counts.
    """
    own = prefix_of(key, thing_id)
    found = {name: b for name, b in beliefs.items() if f"{name}/".startswith(own)}
    if not (own and found):
        return None
    states = {f"{name}/".removeprefix(own).rstrip("/"): belief for name, belief in found.items()}
    told = [f"{state}: {b.sentence}" if state else b.sentence for state, b in states.items()]
    return "; ".join(told), min(belief.sd_now_stops for belief in found.values())


def prefix_of(key: str, thing_id: str) -> str:
    """How the names of a thing's terms begin; empty for what has none.

    Examples
    --------
    >>> prefix_of("heads", "A"), prefix_of("cameras", "field")
    ('head/A/', '')
    """
    if key == "seats":
        thing_id = without_slash(thing_id)
    return f"{_KEYS[key]}/{thing_id}/" if key in _KEYS else ""


def _section(reader: Reader, key: str) -> Section:
    kind = KINDS[key]
    lines = [line_of(key, thing, reader) for thing in getattr(reader.kit, key)]
    return Section(
        key,
        kind.title,
        kind.one,
        tuple(line for line in lines if not line.retired),
        tuple(line for line in lines if line.retired),
    )


Told = tuple[str, str, str, float | None]
"""Title, facts, how it is known, standard uncertainty [stops] where it has one."""


def _named(thing: Any, kind: str) -> str:
    if thing.name:
        return str(thing.name)
    return f"{kind} {thing.id}" if len(thing.id) <= 2 else f"{thing.id[0].upper()}{thing.id[1:]}"


def _head(head: Head, _: Reader) -> Told:
    dial = {
        "stops": "dial in stops below full",
        "fraction": "dial in fractions",
        "energy": "dial in W·s",
    }[head.dial.kind]
    how = "from its rated energy" if head.full_log2_lxs_1m is None else "metered at full"
    return _named(head, "Head"), f"{figure(head.energy_ws)} W·s, {dial}", how, head.output_sd_stops


def _lamp(lamp: Lamp, _: Reader) -> Told:
    kind = {"tungsten": "hot lamp", "led": "LED", "fluorescent": "tubes", "other": "lamp"}
    facts = f"{kind[lamp.kind]}, {figure(lamp.intensity_cd)} cd"
    return _named(lamp, "Lamp"), facts, "as written down", lamp.intensity_sd_stops


def _modifier(modifier: Modifier, reader: Reader) -> Told:
    lengths = reader.lengths
    parts = []
    if modifier.width_m is not None:
        sides = [s for s in (modifier.width_m, modifier.height_m) if s is not None]
        parts.append(" × ".join(tape(side, lengths) for side in sides))
    if modifier.layers > 1:
        parts.append(f"{modifier.layers} layers")
    parts.append(f"loss {figure(modifier.loss_stops)} stops")
    prior = MODIFIER_PRIORS.get(modifier.kind)
    if modifier.measured_at_m is not None:
        how = f"metered at {tape(modifier.measured_at_m, lengths)}"
    elif prior is not None and prior.loss_stops == modifier.loss_stops:
        how = "typical of its kind"
    else:
        how = "as written down"
    return _named(modifier, "Modifier"), ", ".join(parts), how, modifier.loss_sd_stops


def _lens(lens: Lens, _: Reader) -> Told:
    widest = min(lens.f_numbers)
    facts = f"{figure(lens.focal_mm)} mm, widest {figure(widest)}"
    if lens.true_f_number_wide_open is not None:
        facts += f" (true {figure(lens.true_f_number_wide_open)})"
    if lens.pupil_ratio < 0.8:
        facts += ", telephoto build"
    return _named(lens, "Lens"), facts, "as marked", lens.transmission_sd_stops


def _camera(camera: Camera, _: Reader) -> Told:
    facts = (
        f"{sheet_size(camera.format_mm)}, draw {figure(camera.draw_min_mm)} to "
        f"{figure(camera.draw_max_mm)} mm, {camera.holder_sides} holder sides"
    )
    return _named(camera, "Camera"), facts, "", None


def _meter(meter: Meter, _: Reader) -> Told:
    how = "its own bias is learned"
    if meter.kind == "spot":
        how = "not learned from: it sees skin and light together"
    if meter.bias_stops:
        how = f"reads {stops_decimal_text(meter.bias_stops)} off"
    return _named(meter, "Meter"), METER_KINDS[meter.kind], how, meter.bias_sd_stops


def _scanner(scanner: Scanner, _: Reader) -> Told:
    facts = f"scatters {figure(scanner.sd_density)} in density"
    return _named(scanner, "Scanner"), facts, "", None


def _room(room: Room, reader: Reader) -> Told:
    return _named(room, "Room"), facts_of_room(room, reader.lengths), "", None


def _place(place: Place, reader: Reader) -> Told:
    return _named(place, "Place"), facts_of_place(place, reader.lengths), "as written down", None


def _seat(seat: Seat, reader: Reader) -> Told:
    facts = facts_of_seat(reader.kit, seat, reader.lengths)
    return _named(seat, "Seat"), facts, "from tape and compass", seat.off_sd_stops


def _filter(found: Filter, _: Reader) -> Told:
    facts, how = filter_facts(found)
    return _named(found, "Filter"), facts, how, found.loss_sd_stops


def _holder(holder: Holder, _: Reader) -> Told:
    return holder_title(holder).capitalize(), facts_of_holder(holder), "", None


def _process(process: Process, _: Reader) -> Told:
    facts, how = facts_of_process(process)
    return _named(process, "Process"), facts, how, None


_TELL: dict[str, Callable[[Any, Reader], Told]] = {
    "heads": _head,
    "lamps": _lamp,
    "meters": _meter,
    "modifiers": _modifier,
    "lenses": _lens,
    "cameras": _camera,
    "scanners": _scanner,
    "rooms": _room,
    "places": _place,
    "seats": _seat,
    "filters": _filter,
    "holders": _holder,
    "processes": _process,
}
