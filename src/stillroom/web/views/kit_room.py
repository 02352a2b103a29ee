"""Rooms of the house: questions, and what the answers mean."""

from __future__ import annotations

import re

from stillroom.documents.kit import Room
from stillroom.telling.words import figure, tape
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, dumped, plain

# What houses are wired with, by country: common practice, no source.
_MAINS_V = ("100", "120", "230")
_CIRCUITS_A = ("10", "13", "15", "16", "20", "32")
NOT_KNOWN = "none"
_USUAL_STATES = ", ".join(Room(id="any").states)


def states_in(text: str) -> tuple[str, ...]:
    """States of a room as they are typed, each once, in their order.

    Examples
    --------
    >>> states_in("blind down; evening, blind down,")
    ('blind down', 'evening')
    """
    named = (" ".join(part.split()) for part in re.split(r"[,;\n]", text))
    return tuple(dict.fromkeys(name for name in named if name))


def _room_data(answers: Answers) -> Data:
    data = plain(("name", "note", "mains_v", "circuit_a", "circuits", "width_m", "depth_m"))(
        answers
    )
    if "mains_v" not in data and "mains" in answers:
        data["mains_v"] = float(answers["mains"])
    if "circuit_a" not in data and answers.get("breaker", NOT_KNOWN) != NOT_KNOWN:
        data["circuit_a"] = float(answers["breaker"])
    if states := states_in(answers.get("states", "")):
        data["states"] = states
    return data


def _room_answers(room: Room) -> Data:
    return dumped(room) | {"states": ", ".join(room.states)}


ROOMS = Kind(
    "rooms",
    "Rooms",
    "room",
    Room,
    (
        Field("mains", "What are the mains?", "choice", start="230",
              choices=tuple((v, f"{v} V") for v in _MAINS_V)),
        Field("breaker", "What may one circuit carry?", "choice", start=NOT_KNOWN,
              choices=(*((a, f"{a} A") for a in _CIRCUITS_A), (NOT_KNOWN, "not known"))),
    ),
    (
        NAME,
        Field("states", "States of its own light", start=_USUAL_STATES,
              hint=f"with commas between; left out: {_USUAL_STATES}"),
        Field("mains_v", "Mains", "number", "V", hint="left out: 230").of(Room),
        Field("circuit_a", "One circuit carries", "number", "A",
              hint="as its breaker says; left out: not known").of(Room),
        Field("circuits", "Circuits in reach", "whole",
              hint="each with a breaker of its own; left out: 1").of(Room),
        Field("width_m", "It is wide", "length").of(Room),
        Field("depth_m", "It is deep", "length").of(Room),
        NOTE,
    ),
    _room_data,
    _room_answers,
    lambda _: "Room",
    gone="No longer worked in",
)  # fmt: skip


def facts_of_room(room: Room, lengths: str) -> str:
    """What a room is in figures.

    Parameters
    ----------
    room : Room
        The room.
    lengths : str
        The reader's units.

    Examples
    --------
    >>> facts_of_room(Room(id="a", circuit_a=16, circuits=2, states=("dark",)), "metric")
    '230 V, 2 circuits of 16 A; dark'
    >>> facts_of_room(Room(id="a", states=("dark", "evening")), "metric")
    '230 V, 1 circuit; dark, evening'
    """
    circuits = f"{room.circuits} circuit" if room.circuits == 1 else f"{room.circuits} circuits"
    carries = "" if room.circuit_a is None else f" of {figure(room.circuit_a)} A"
    parts = [f"{figure(room.mains_v)} V", f"{circuits}{carries}"]
    sides = [side for side in (room.width_m, room.depth_m) if side is not None]
    if sides:
        parts.append(" × ".join(tape(side, lengths) for side in sides))
    states = f"; {', '.join(room.states)}" if room.states else ""
    return f"{', '.join(parts)}{states}"
