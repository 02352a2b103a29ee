"""What the tool answers about how it fires: order, times, tubes, circuits and batteries."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.holding import Fires


class HeadFiring(Strict):
    """One head of the sheet."""

    role: Name
    head: Name
    name: Line
    energy_ws: float
    """Of each pop [W·s]."""
    recycle_s: float
    """Until it is charged again, at this energy [s]."""
    recycle_is_known: bool
    charging_w: float
    """Into its capacitors while it charges, on average [W]."""
    full_pops: float
    """The sheet's pops, counted in pops at full [1]."""
    pops_per_minute: float
    """While they go on, counted in pops at full [1/min]."""
    is_within: bool
    """Whether its tube may do that."""
    rest_s: float
    """Before the same can be done again [s]."""
    mains_a: float | None
    """What it draws while it charges, its modelling lamp with it; null: not said, or a battery."""
    battery_pops: int | None
    """Pops at this energy that one charge of its battery gives; null: it has none."""
    battery_left: int | None
    """The same after the sheets of this sitting; null: it has none."""


class Mains(Strict):
    """What the plugs of the room allow."""

    all_a: float
    """Everything charging and lit at once [A]."""
    circuit_a: float | None
    circuits: int
    circuits_needed: int | None
    """For everything at once; null where a circuit's limit is not known or one head exceeds it."""
    at_once: int | None
    """How many heads may charge at once on the circuits there are, every lamp lit; 0: none."""
    in_turns: int | None
    """In how many turns they charge so; null where none may, or no limit is known."""


class Firing(Strict):
    """How the next sheet fires, and whether heads, plugs and batteries bear it."""

    stillroom: Literal["firing/1"] = "firing/1"
    sitting: Name
    fires: Fires | None
    count: Text
    """What is said aloud, in order."""
    pops: int
    open_s: float
    """How long the lens is open [s]."""
    least_open_s: float
    """The shortest a hand can make it, this way [s]."""
    open_sd_s: float
    gap_s: float
    """Between two pops: until every head is charged [s]."""
    burst_s: float
    """From the first pop to the last [s]."""
    ready_s: float
    """From the last pop until every head is charged and rested [s]."""
    heads: tuple[HeadFiring, ...]
    mains: Mains | None
    notes: tuple[Text, ...]
    """What does not go, and what would."""
    cautions: tuple[Text, ...]
    sentence: Text
