"""Ultraviolet in words: how long in a day until a limit, always rounded down."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.documents.kit import Lamp
from stillroom.light import DAY_S, UltravioletCheck
from stillroom.services.ultraviolet import NOT_A_CLEARANCE, ultraviolet_of_lamp
from stillroom.telling.words import tape

TWO_RULES = (
    "For the eye two rules differ: 10 000 J/m² in all of a day (guidelines of 2004, a European "
    "directive), or beyond 1000 s only no more than 10 W/m² (a lamp standard of 2006). The "
    "stricter is told."
)
WEIGHTS = (
    "Weights for skin and eye by the table of the guidelines, from memory; 30 J/m² in eight hours."
)
NOT_KNOWN = (
    "Nothing is known of this lamp’s ultraviolet. Its maker’s risk group says it, or a meter for "
    "315 to 400 nm: write down what it shows at 1 m."
)


@dataclass(frozen=True, slots=True)
class LampRow:
    """One distance: from the lamp, until the limit of skin and eye, and until that of the eye."""

    distance: str
    actinic: str
    eye: str
    first: str


@dataclass(frozen=True, slots=True)
class LampTold:
    """What the page of a lamp shows."""

    known_from: str
    rows: tuple[LampRow, ...]
    notes: tuple[str, ...]


def lamp_told(lamp: Lamp, lengths: str = "metric") -> LampTold:
    """Put the part of the lamp's page together.

    Parameters
    ----------
    lamp : Lamp
        A steady lamp.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    """
    found = ultraviolet_of_lamp(lamp)
    if found is None:
        return LampTold(NOT_KNOWN, (), (NOT_A_CLEARANCE,))
    rows = tuple(
        LampRow(
            tape(distance_m, lengths),
            until(check.actinic_s),
            until(check.uva_s),
            until(check.longest_s),
        )
        for distance_m, check in found.at
    )
    return LampTold(found.known_from, rows, (TWO_RULES, WEIGHTS, NOT_A_CLEARANCE))


def until(seconds: float) -> str:
    """How long in a day, rounded down.

    Examples
    --------
    >>> until(59.9), until(61), until(3333), until(16000), until(28800), until(0.4)
    ('59 s', '1 min', '55 min', '4 h 25 min', 'all of eight hours', 'less than 1 s')
    """
    if seconds >= DAY_S:
        return "all of eight hours"
    if seconds < 1:
        return "less than 1 s"
    if seconds < 60:
        return f"{math.floor(seconds)} s"
    minutes = math.floor(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes - minutes % 5, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def share_of_day(check: UltravioletCheck, minutes: float) -> float:
    """What a time takes of the first limit that is reached [1].

    Examples
    --------
    >>> import numpy as np
    >>> from stillroom.light import ultraviolet_check
    >>> round(share_of_day(ultraviolet_check(np.array([320.0]), np.array([0.5])), 100), 9)
    0.3
    """
    return 60.0 * minutes / check.longest_s
