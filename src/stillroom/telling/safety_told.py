"""Hazards of what is bought for the line, and what must never meet, as a page lists them."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.telling.figures import listed
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
    "published_seen": "published, seen",
    "published_memory": "published, from memory",
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
    """Every substance with known hazards, from what strength on; those alike stand together."""
    alike: dict[tuple[object, ...], list[HazardOf]] = {}
    for one in HAZARDS:
        alike.setdefault((one.codes, one.wear, one.from_percent), []).append(one)
    return tuple(_substance(tuple(of)) for of in alike.values())


def never_together() -> tuple[str, ...]:
    """What must never meet, a sentence each."""
    return (*(sentence_of(pair) for pair in NEVER), *ALWAYS)


def _substance(of: tuple[HazardOf, ...]) -> Substance:
    one = of[0]
    if one.from_percent:
        found = together((), (Bottle(one.substance, one.from_percent, "w/w"),))
    else:
        found = together((one.substance,))
    names = listed([each.substance for each in of])
    strength = f", {one.from_percent:g} % and more" if one.from_percent else ""
    return Substance(
        name=f"{names[:1].upper()}{names[1:]}{strength}",
        signal=found.signal or "no signal word known",
        signs=", ".join(found.pictograms),
        statements=found.statements,
        wear=", ".join(one.wear),
        known=listed(list(dict.fromkeys(_KNOWN[each.status] for each in of))),
    )
