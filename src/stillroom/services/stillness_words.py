"""Stillness in sentences: how long is held, what a head rest buys, what a shorter time costs."""

from __future__ import annotations

import math

from stillroom.quantity import stops_text

FRACTION_SLASH = "⁄"
SUPPORT_WORDS = {
    "standing": "standing",
    "leaning": "leaning",
    "seated": "seated",
    "seated_arms_on_table": "seated, arms on the table",
    "head_rest": "in a head rest",
}
SMEAR_ON_CARD = "A card was in the chair: nobody moved."
SMEAR_ON_STRIPS = "Its strips were open for different times, so a smear on it is not counted."
SMEAR_BESIDE_FLASH = "A flash froze part of the picture, so a smear on it is kept and not counted."
SMEAR_BEYOND = "It was open for a time no sitting still is known for, so a smear is not counted."


def open_text(open_s: float) -> str:
    """An open time as a hand or a shutter makes it.

    Examples
    --------
    >>> open_text(0.123), open_text(0.4), open_text(2.34), open_text(14.8), open_text(0.0000101)
    ('1⁄8 s', '0.4 s', '2.3 s', '15 s', '1⁄99000 s')
    """
    if open_s < 0.3:
        under = 1 / open_s
        digits = max(0, math.floor(math.log10(under)) - 1)
        return f"1{FRACTION_SLASH}{round(under, -digits):.0f} s"
    return f"{open_s:.2g} s" if open_s < 100 else f"{open_s:.0f} s"


def tenths(chance: float) -> str:
    """A chance in tenths, as it stands within a sentence.

    Examples
    --------
    >>> tenths(0.68), tenths(0.02), tenths(0.99)
    ('7 in 10', 'fewer than 1 in 20', 'more than 19 in 20')
    """
    if chance < 0.05:
        return "fewer than 1 in 20"
    if chance > 0.95:
        return "more than 19 in 20"
    return f"{max(1, min(9, round(10 * chance)))} in 10"


def held_sentence(
    who: str,
    support: str,
    open_s: float,
    chance: float,
    *,
    is_said: bool,
    freezes: bool,
    pops: int = 1,
) -> str:
    """Whether the sitter holds the open time.

    Examples
    --------
    >>> held_sentence("K. S.", "head_rest", 3.0, 0.7, is_said=True, freezes=False)
    'K. S., in a head rest, holds 3 s: 7 in 10.'
    >>> held_sentence("K. S.", "seated", 0.2, 0.7, is_said=False, freezes=False)
    'K. S., reckoned as seated, holds 1⁄5 s: 7 in 10.'
    >>> held_sentence("K. S.", "seated", 0.2, 1.0, is_said=True, freezes=True)
    'One pop freezes K. S.; only a blink can spoil it.'
    """
    if freezes:
        return f"One pop freezes {who}; only a blink can spoil it."
    held = SUPPORT_WORDS[support] if is_said else f"reckoned as {SUPPORT_WORDS[support]}"
    name = f"{who[0].upper()}{who[1:]}"
    if pops > 1:
        return f"{name}, {held}, holds {through(open_s, pops)}: {tenths(chance)}."
    return f"{name}, {held}, holds {open_text(open_s)}: {tenths(chance)}."


def through(burst_s: float, pops: int) -> str:
    """Several pops and how long they take.

    Examples
    --------
    >>> through(9.0, 4), through(0.0, 2)
    ('through 4 pops in 9 s', 'through 2 pops at once')
    """
    return f"through {pops} pops " + (
        f"in {open_text(burst_s)}" if burst_s >= 0.001 else "at once"
    )


def support_way(
    support: str, open_s: float, chance: float, longest_s: float, pops: int = 1
) -> str:
    """What another support buys.

    Examples
    --------
    >>> support_way("head_rest", 3.0, 0.64, 2.4)
    'In a head rest 3 s: 6 in 10; held 7 in 10: 2.4 s.'
    >>> support_way("head_rest", 3.0, 0.64, 2.4, pops=2)
    'In a head rest through 2 pops in 3 s: 6 in 10.'
    """
    words = SUPPORT_WORDS[support]
    name = f"{words[0].upper()}{words[1:]}"
    if pops > 1:
        return f"{name} {through(open_s, pops)}: {tenths(chance)}."
    return f"{name} {open_text(open_s)}: {tenths(chance)}; held 7 in 10: {open_text(longest_s)}."


def single_pop_way(pops: int) -> tuple[str, float]:
    """One pop in place of several, and the light it asks for elsewhere [stops].

    Examples
    --------
    >>> single_pop_way(4)
    ('One pop instead freezes; it asks for 2 stops more light.', 2.0)
    """
    cost = math.log2(pops)
    text = stops_text(cost).lstrip("+")
    unit = "stop" if cost <= 1 else "stops"
    return f"One pop instead freezes; it asks for {text} {unit} more light.", cost


def shorter_way(open_s: float, longest_s: float) -> tuple[str, float]:
    """A shorter time as it is held 7 in 10, and the light it asks for elsewhere [stops].

    Examples
    --------
    >>> shorter_way(4.0, 2.0)
    ('Open 2 s instead: 7 in 10; it asks for 1 stop more light.', 1.0)
    """
    cost = math.log2(open_s / longest_s)
    text = stops_text(cost).lstrip("+")
    unit = "stop" if text in ("1", "0") or cost < 1 else "stops"
    return (
        f"Open {open_text(longest_s)} instead: 7 in 10; it asks for {text} {unit} more light.",
        cost,
    )
