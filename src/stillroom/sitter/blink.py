"""Whether the sitter blinks while the lens is open."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.errors import in_range
from stillroom.sitter.sway import OPEN_RANGE_S

BLINKS_PER_S = 0.28  # 17 in a minute at rest; from memory
BLINK_S = 0.25  # lids down or on their way; from memory


@dataclass(frozen=True, slots=True)
class Blink:
    """What blinking does to one opening: the chance of one, and the light it takes.

    Parameters
    ----------
    chance : float
        That lids are down at some moment of the opening [1].
    share : float
        Share of the opening that one blink takes from the eyes, at most [1].
    """

    chance: float
    share: float


def blink(open_s: float) -> Blink:
    """Return the chance that a blink falls into an opening, and how much of it that takes.

    Parameters
    ----------
    open_s : float
        Open time, or next to nothing for a flash [s], 0.00001 to 600.

    Returns
    -------
    Blink

    Raises
    ------
    OutOfRange
        If the time lies outside its range.

    References
    ----------
    Blinks at random moments, 17 in a minute, a quarter of a second each: from memory.

    Examples
    --------
    >>> one = blink(3.0)
    >>> round(one.chance, 1), round(one.share, 2)
    (0.6, 0.08)
    """
    t = in_range("open time", open_s, *OPEN_RANGE_S, "s")
    return Blink(1 - math.exp(-BLINKS_PER_S * (t + BLINK_S)), min(1.0, BLINK_S / t))
