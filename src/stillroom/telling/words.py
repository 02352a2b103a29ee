"""Figures as both doors print them: numbers, ranges, seconds, days, lengths."""

from __future__ import annotations

import math
from datetime import datetime

from stillroom.quantity import NINE_IN_TEN, format_length, range_text

FRACTION_SLASH = "⁄"
THIN_SPACE = "\u202f"
LONG = 10_000


def figure(value: float, most: int = 3) -> str:
    """A number with `most` significant digits, no trailing zeros, a true minus, thin spaces.

    >>> figure(5.6), figure(1200), figure(-2.05), figure(0.005), figure(100_000)
    ('5.6', '1200', '−2.05', '0.005', '100\u202f000')
    """
    if value == 0:
        return "0"
    digits = max(0, most - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:{',' if abs(value) >= LONG else ''}.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−").replace(",", THIN_SPACE)


def range_of_sd(sd_stops: float) -> str:
    """Nine in ten from a standard deviation.

    >>> range_of_sd(0.3)
    '±½'
    """
    return range_text(NINE_IN_TEN * sd_stops)


def seconds(value_s: float) -> str:
    """An open time: ``2 s``, ``1/8 s``, ``1 min 30 s``.

    >>> seconds(2), seconds(0.125), seconds(1.5), seconds(90), seconds(0.4)
    ('2 s', '1⁄8 s', '1.5 s', '1 min 30 s', '0.4 s')
    """
    if value_s >= 60:
        minutes, rest = divmod(round(value_s), 60)
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    if value_s < 0.3:
        return f"1{FRACTION_SLASH}{round(1 / value_s)} s"
    return f"{figure(value_s)} s"


def clock(moment: datetime) -> str:
    """A time of day in the zone the moment carries.

    >>> from datetime import UTC
    >>> clock(datetime(2026, 11, 14, 11, 42, tzinfo=UTC))
    '11:42'
    """
    return f"{moment:%H:%M}"


def day(moment: datetime) -> str:
    """A day as it is said.

    >>> from datetime import UTC
    >>> day(datetime(2026, 11, 14, 11, 42, tzinfo=UTC))
    'Saturday 14 November'
    """
    return f"{moment:%A} {moment.day} {moment:%B}"


def tape(value_m: float, preference: str = "metric") -> str:
    """A length the way this reader reads a tape.

    >>> tape(0.9), tape(0.9, "imperial")
    ('90 cm', '2 ft 11½ in')
    """
    return format_length(value_m, "imperial" if preference == "imperial" else "metric")
