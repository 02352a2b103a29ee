"""Filters of the templates: how figures are set on a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from stillroom.quantity import range_text, stops_decimal_text, stops_text
from stillroom.telling.odds import odds
from stillroom.telling.words import FRACTION_SLASH, clock, day, figure, range_of_sd, seconds, tape


def f_number(value: float) -> Markup:
    """An f-number as set in a book: italic f and slash, upright digits.

    >>> f_number(5.6)
    Markup('<span class="fs"><i>f⁄</i>5.6</span>')
    """
    return Markup('<span class="fs"><i>f{}</i>{}</span>').format(FRACTION_SLASH, figure(value))


FILTERS: dict[str, Callable[..., Any]] = {
    "f_number": f_number,
    "figure": figure,
    "stops": stops_text,
    "stops2": stops_decimal_text,
    "range_of": range_text,
    "range_of_sd": range_of_sd,
    "odds": odds,
    "seconds": seconds,
    "clock": clock,
    "day": day,
    "tape": tape,
}
