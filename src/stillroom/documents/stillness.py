"""What the tool answers about stillness: whether a sitter holds an open time, and what helps."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.holding import Support, Viewing


class SmearRange(Strict):
    """How wide the sitter's movement will be on the sheet; `q05_mm` to `q95_mm` is nine in ten."""

    median_mm: float
    q05_mm: float
    q95_mm: float


class HeldFor(Strict):
    """The longest open time that is held with these odds."""

    p_held: float
    open_s: float


class StillnessWay(Strict):
    """One thing that would help, and what it buys."""

    kind: Literal["support", "shorter", "one_pop"]
    support: Support
    open_s: float
    p_held: float
    """Chance to hold `open_s` that way."""
    longest_s: float
    """What that way is held 7 in 10 [s]."""
    cost_stops: float = 0.0
    """Light that a shorter time asks for elsewhere [stops]."""
    text: Text


class Stillness(Strict):
    """Whether the sitter holds still while the lens is open."""

    stillroom: Literal["stillness/1"] = "stillness/1"
    sitting: Name | None = None
    """None: asked with bare numbers."""
    sitter: Name | None = None
    who: Line
    is_card: bool = False
    """A card holds still whatever is asked."""
    support: Support
    support_is_said: bool
    is_child: bool
    holds_still_s: float | None
    """The sitter's own word [s]."""
    sheets_counted: int
    """Sheets of this sitter whose smear was measured and counts."""
    sheets_left_out: int
    """Sheets with a smear that says nothing of movement: by flash, stepped, or beyond sense."""
    magnification: float
    viewing: Viewing | None
    """None: the allowed smear was given as a number."""
    allowed_mm: float
    open_s: float
    """How long is held: open by steady light, all openings together, or from pop to pop [s]."""
    freezes: bool
    """One pop makes the picture: the open time does not count."""
    pops: int = 1
    """Pops that make it; then `open_s` is from the first to the last."""
    has_flash: bool = False
    """Flash makes a part that does not smear; the rest may show as a second edge."""
    p_held: float
    smear: SmearRange
    longest: tuple[HeldFor, ...]
    """For 9, 7 and 5 in 10."""
    p_blink: float
    """Chance that lids are down at some moment of the opening, or at one pop or more."""
    blink_share: float
    """Share of the opening that one blink takes, at most; of several pops, what one gives."""
    ways: tuple[StillnessWay, ...]
    """What is held longest first; empty where the odds are 9 in 10 already."""
    sentence: Text
