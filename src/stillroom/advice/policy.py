"""What a change costs the person who makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

EFFORTS: Mapping[str, float] = MappingProxyType(
    {
        "dial": 1.0,
        "pops": 1.0,
        "stop": 2.0,
        "seconds": 2.0,
        "filter": 2.0,
        "card": 3.0,
        "stand": 4.0,
        "cloth": 5.0,
        "preflash": 5.0,
        "head": 8.0,
    }
)
"""Turn before you walk: the effort of one change, hers to alter. All are invented."""

TIE = 0.02
"""Odds this close count as equal, and the least effort wins."""

NEAREST_BELOW = 0.1
"""Where no odds are better than this, the settings that come nearest are taken instead."""
NEAREST_TIE_STOPS = 0.1
NEAREST_MORE_STOPS = 0.5
"""The same as `TIE` and as `Policy.worth_more`, for settings that come nearest."""


@dataclass(frozen=True, slots=True)
class Policy:
    """How changes are weighed.

    Attributes
    ----------
    efforts : mapping
        By kind of knob: dial, pops, stop, seconds, filter, card, stand, cloth, preflash, head.
    locks : frozenset of str
        Roles whose dial stays, and ``pops``, ``stop``, ``seconds`` when those stay.
    most_changes : int or None
        More changes than this are made only when they gain `worth_more`.
    worth_more : float
        The gain in odds that is worth more changes.
    sharp : callable, optional
        Chance that the picture is sharp at an f-number, with openings of so many seconds and so
        many pops: settings are then weighed by the odds that tones land and the picture is sharp
        too. Left out: sharpness hangs on nothing that is searched.
    """

    efforts: Mapping[str, float] = field(default_factory=lambda: EFFORTS)
    locks: frozenset[str] = frozenset()
    most_changes: int | None = None
    worth_more: float = 0.2
    sharp: Callable[[float, float, int], float] | None = None

    def p_sharp(self, f_number: float, open_s: float, pops: int) -> float:
        """Chance that the picture is sharp; 1 where nothing is said of it."""
        return 1.0 if self.sharp is None else self.sharp(f_number, open_s, pops)

    def effort(self, kind: str) -> float:
        """The effort of one change of a kind."""
        return self.efforts.get(kind, EFFORTS[kind])
