"""What the tool counts aloud while a sheet is exposed (version ``count/1``)."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.holding import Fires

CallKind = Literal["lead", "wait", "off", "pop", "on", "end"]
"""``lead``: something to do first; ``wait``: goes on by a press; ``off`` and ``on``: the cap, or
what opens the lens; ``pop``; ``end``: it is over."""


class Call(Strict):
    """One call, in order."""

    kind: CallKind
    word: Line
    """In large letters."""
    says: Line
    """By voice, and as text."""
    after_s: float = 0.0
    """After the call before it, or after the press that took its place [s]."""
    after_pop_s: float = 0.0
    """Not before so long after the last pop, of this sheet or of the one before [s]."""
    is_dark: bool = False
    """Whether the screen is dark from here until the next call."""
    is_counted: bool = False
    """Whether the seconds until the next call are counted aloud."""


class CountedHead(Strict):
    """A head that fires."""

    role: Name
    name: Line


class Count(Strict):
    """How one sheet is counted."""

    stillroom: Literal["count/1"] = "count/1"
    sitting: Name
    sheet: int
    mark: Line
    fires: Fires | None
    in_words: Text
    """The calls as one sentence."""
    pops: int
    heads: tuple[CountedHead, ...]
    """Empty where nothing fires."""
    calls: tuple[Call, ...]
    delay_s: float
    """For the one who sits as well [s]."""
    gap_s: float
    """From one pop to the next at least [s]."""
    rest_s: float
    """What the tubes rest after the last pop before the same again [s]."""
    open_s: float
    """One opening as it is counted; 0 where a shutter times it [s]."""
    is_by_hand: bool
    """Whether a hand opens the lens, so that how long it was open is written down."""
    counted_sd_s: float
    """How far a hand misses the count, one standard deviation [s]."""
    pressed_sd_s: float
    """The same where a press marks both ends [s]."""
    notes: tuple[Text, ...]
    cautions: tuple[Text, ...]
