"""How it fires, as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.firing import Firing, HeadFiring, Mains
from stillroom.services.ghost_words import FIRES_WORDS
from stillroom.telling.words import figure, seconds

WAYS_TO_FIRE: tuple[tuple[str, str], ...] = (
    ("sync_shutter", "shutter with sync"),
    ("cap_in_dark", "cap, dark room, by hand"),
    ("cap_in_light", "cap, in the light"),
    ("remote", "by remote"),
    ("second_person", "someone else"),
)
"""Ways a form offers, with what they are called."""


@dataclass(frozen=True, slots=True)
class FiringTold:
    """One line for a page, the count, and what is folded under it."""

    line: str
    """Pops, recycling, tubes and circuit."""
    count: str
    """What is said aloud."""
    rows: tuple[tuple[str, str], ...]
    """Head by head, and the plugs."""
    notes: tuple[str, ...]
    """What does not go, and what would."""
    cautions: tuple[str, ...]


def told(answer: Firing) -> FiringTold:
    """Lines, rows and notes of an answer.

    Parameters
    ----------
    answer : Firing
        The answer.

    Returns
    -------
    FiringTold
    """
    rows = [(h.name[0].upper() + h.name[1:], _head(h)) for h in answer.heads]
    if answer.mains is not None:
        rows.append(("Plugs", _mains(answer.mains)))
    if answer.fires is not None:
        off = f" ± {figure(answer.open_sd_s, 1)} s" if answer.open_sd_s >= 0.01 else ""
        rows.insert(0, ("Opened by", f"{FIRES_WORDS[answer.fires]}, {_s(answer.open_s)}{off}"))
    return FiringTold(
        line=f"{answer.sentence[:-1]}{_duty(answer)}.",
        count=answer.count,
        rows=tuple(rows),
        notes=answer.notes,
        cautions=answer.cautions,
    )


def _duty(answer: Firing) -> str:
    tubes = "" if all(h.is_within for h in answer.heads) else "; too much for a tube"
    mains = answer.mains
    if mains is None:
        return tubes
    if mains.circuits_needed is None:
        return f"{tubes}; {mains.all_a:.0f} A"
    if mains.circuits_needed <= mains.circuits:
        on = "one circuit" if mains.circuits_needed == 1 else f"{mains.circuits_needed} circuits"
        return f"{tubes}; {mains.all_a:.0f} A on {on}"
    if mains.in_turns is None:
        return f"{tubes}; {mains.all_a:.0f} A, too much for the plugs"
    return f"{tubes}; {mains.all_a:.0f} A, charged in {mains.in_turns} turns"


def _head(head: HeadFiring) -> str:
    said = [f"{figure(head.energy_ws)} W·s", f"charged in {_s(head.recycle_s)}"]
    if head.mains_a is not None:
        said.append(f"{figure(head.mains_a, 2)} A")
    if head.battery_left is not None:
        said.append(f"{head.battery_left} pops left")
    if not head.is_within:
        said.append(f"rest {_s(head.rest_s)}")
    return ", ".join(said)


def _mains(mains: Mains) -> str:
    limit = "" if mains.circuit_a is None else f"; a circuit carries {mains.circuit_a:g} A"
    return f"{mains.all_a:.0f} A at once{limit}"


def _s(value_s: float) -> str:
    return seconds(float(f"{max(value_s, 0.01):.2g}"))
