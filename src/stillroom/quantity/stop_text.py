"""Stops as people write them: thirds, decimals and words, with a true minus sign."""

from __future__ import annotations

import math

from stillroom.errors import in_range

MINUS = "\N{MINUS SIGN}"
LARGEST_STOPS = 100.0
NINE_IN_TEN = 1.645
"""Normal deviate with a twentieth on either side: half a nine-in-ten range over its spread."""

_THIRDS = ("", "\N{VULGAR FRACTION ONE THIRD}", "\N{VULGAR FRACTION TWO THIRDS}")
_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


_RANGE_STEPS = (
    (0.05, "0.05"), (0.1, "0.1"), (0.2, "0.2"), (0.25, "¼"), (1 / 3, "⅓"), (0.5, "½"),
    (2 / 3, "⅔"), (0.75, "¾"),
)  # fmt: skip
_THIRDS_FROM = 0.875  # half way between ¾ and 1


def stops_text(value: float) -> str:
    """Return stops rounded to the nearest third, signed: ``+⅔``, ``−1⅓``, ``0``.

    Parameters
    ----------
    value : float
        Stops [stops], from -100 to 100.

    Returns
    -------
    str
        The nearest third; halves between two thirds go away from zero.

    Raises
    ------
    OutOfRange
        If `value` is not a finite number in that range.

    Examples
    --------
    >>> stops_text(0.7), stops_text(-1.3), stops_text(0.1)
    ('+⅔', '−1⅓', '0')
    """
    whole, third = _whole_and_third(value)
    if whole == third == 0:
        return "0"
    size = f"{whole or ''}{_THIRDS[third]}"
    return f"{'+' if value > 0 else MINUS}{size}"


def stops_words(value: float) -> str:
    """Return the size of a step in words, to the nearest third, without its sign.

    Parameters
    ----------
    value : float
        Stops [stops], from -100 to 100.

    Returns
    -------
    str
        Such as ``a third of a stop`` or ``one and two thirds stops``.

    Raises
    ------
    OutOfRange
        If `value` is not a finite number in that range.

    Examples
    --------
    >>> stops_words(-0.35), stops_words(1.0), stops_words(2.66)
    ('a third of a stop', 'one stop', 'two and two thirds stops')
    """
    whole, third = _whole_and_third(value)
    fraction = ("", "a third", "two thirds")[third]
    if whole == 0:
        return f"{fraction} of a stop" if fraction else "no change"
    number = _NUMBERS[whole] if whole < len(_NUMBERS) else str(whole)
    if fraction:
        return f"{number} and {fraction} stops"
    return f"{number} stop" if whole == 1 else f"{number} stops"


def stops_decimal_text(value: float, places: int = 2) -> str:
    """Return stops in decimals, signed, with a true minus: ``+0.43``, ``−0.74``, ``0.00``.

    Parameters
    ----------
    value : float
        Stops [stops], from -100 to 100.
    places : int
        Decimal places, 0 to 6.

    Returns
    -------
    str
        The rounded number; what rounds to zero carries no sign.

    Raises
    ------
    OutOfRange
        If either argument lies outside its range.

    Examples
    --------
    >>> stops_decimal_text(-0.7370), stops_decimal_text(0.4, 1), stops_decimal_text(-0.001)
    ('−0.74', '+0.4', '0.00')
    """
    number = in_range("stops", value, -LARGEST_STOPS, LARGEST_STOPS, "stops")
    in_range("decimal places", places, 0, 6)
    size = f"{abs(number):.{places}f}"
    if float(size) == 0:
        return size
    return f"{'+' if number > 0 else MINUS}{size}"


def range_text(half_stops: float) -> str:
    """Return a range as its half width: ``±⅓``; never ±0.

    Parameters
    ----------
    half_stops : float
        Half of the range [stops], from -100 to 100; its size counts.

    Returns
    -------
    str
        Finer than thirds below three quarters of a stop, thirds above.

    Raises
    ------
    OutOfRange
        If it is not a finite number in that range.

    Examples
    --------
    >>> range_text(0.36), range_text(1.4), range_text(0.012), range_text(0.15), range_text(2.0)
    ('±⅓', '±1⅓', '±0.05', '±0.1', '±2')
    """
    half = abs(in_range("range", half_stops, -LARGEST_STOPS, LARGEST_STOPS, "stops"))
    if half < _THIRDS_FROM:
        return "±" + min(_RANGE_STEPS, key=lambda step: abs(step[0] - half))[1]
    whole, third = _whole_and_third(half)
    return f"±{whole or ''}{_THIRDS[third]}"


def _whole_and_third(value: float) -> tuple[int, int]:
    number = in_range("stops", value, -LARGEST_STOPS, LARGEST_STOPS, "stops")
    return divmod(math.floor(abs(number) * 3 + 0.5), 3)
