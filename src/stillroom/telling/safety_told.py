"""Hazards of what is bought for the line, and what must never meet, as a page lists them."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.wetline.chemistry import (
    ALWAYS,
    HAZARDS,
    NEVER,
    Bottle,
    HazardOf,
    sentence_of,
    together,
)

_KNOWN = {
    "published_seen": "seen",
    "published_memory": "from memory",
    "common_practice": "common practice, no source",
    "computed": "computed",
}


@dataclass(frozen=True, slots=True)
class Substance:
    """One substance: signal word, signs, statements, what to wear, where that is known from."""

    name: str
    signal: str
    signs: str
    statements: tuple[str, ...]
    wear: str
    known: str


def substances() -> tuple[Substance, ...]:
    """Every substance with known hazards, from what strength on."""
    return tuple(_substance(one) for one in HAZARDS)


def never_together() -> tuple[str, ...]:
    """What must never meet, a sentence each."""
    return (*(sentence_of(pair) for pair in NEVER), *ALWAYS)


def _substance(one: HazardOf) -> Substance:
    if one.from_percent:
        found = together((), (Bottle(one.substance, one.from_percent, "w/w"),))
    else:
        found = together((one.substance,))
    strength = f", {one.from_percent:g} % and more" if one.from_percent else ""
    return Substance(
        name=f"{one.substance[:1].upper()}{one.substance[1:]}{strength}",
        signal=found.signal or "no signal word known",
        signs=", ".join(found.pictograms),
        statements=found.statements,
        wear=", ".join(one.wear),
        known=_KNOWN[one.status],
    )
