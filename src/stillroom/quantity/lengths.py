"""Lengths as people write them, in metres inside."""

from __future__ import annotations

import re
from typing import Literal

from stillroom.errors import BadValue, in_range
from stillroom.quantity.constants import FOOT_M, INCH_MM

SMALLEST_M = 0.0001
LARGEST_M = 10_000.0
_UNITS_M = {
    "mm": 0.001,
    "cm": 0.01,
    "m": 1.0,
    "in": INCH_MM / 1000,
    "inch": INCH_MM / 1000,
    "inches": INCH_MM / 1000,
    '"': INCH_MM / 1000,
    "ft": FOOT_M,
    "foot": FOOT_M,
    "feet": FOOT_M,
    "'": FOOT_M,
}
_QUARTERS = ("", "¼", "½", "¾")
_VULGAR = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3}
_NUMBER = r"(?:\d+(?:[.,]\d+)?(?:\s*[¼½¾⅓⅔])?|[.,]\d+|[¼½¾⅓⅔])"
_ONE = re.compile(rf"({_NUMBER})\s*([a-z]+|['\"])?")
_FEET_AND_INCHES = re.compile(
    rf"({_NUMBER})\s*(?:ft|foot|feet|')\s*({_NUMBER})\s*(?:in|inch|inches|\")?"
)
_NOTHING = re.compile(r"0+(?:[.,]0+)?\s*([a-z]+|['\"])?")
_PRIMES = str.maketrans({"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"'})


def parse_length_m(text: str, default_unit: str | None = None) -> float:
    """Return the length in metres of what somebody wrote.

    Parameters
    ----------
    text : str
        Such as ``0.9 m``, ``90 cm``, ``3 ft``, ``3' 2"``, ``3 ft 2½ in``, ``2 ft 4`` (inches).
    default_unit : str, optional
        Unit of a bare number; without it a bare number is refused.

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    BadValue
        If the text is no length, or a bare number has no default unit.
    OutOfRange
        If the length lies outside 0.1 mm to 10 km.

    References
    ----------
    International yard and pound agreement, 1959: 1 ft = 0.3048 m, 1 in = 25.4 mm (exact).

    Examples
    --------
    >>> parse_length_m("90 cm"), round(parse_length_m("3 ft 2 in"), 4)
    (0.9, 0.9652)
    """
    cleaned = text.strip().lower().translate(_PRIMES).replace("''", '"')
    if both := _FEET_AND_INCHES.fullmatch(cleaned):
        metres = _number(both[1]) * FOOT_M + _number(both[2]) * INCH_MM / 1000
    elif one := _ONE.fullmatch(cleaned):
        unit = one[2] or default_unit
        if unit is None:
            raise BadValue("length", text, "a bare number; add its unit, such as 90 cm or 3 ft")
        if unit not in _UNITS_M:
            raise BadValue("length", text, "the unit is not known; use mm, cm, m, in or ft")
        metres = _number(one[1]) * _UNITS_M[unit]
    else:
        raise BadValue("length", text, "not a length; write it like 90 cm, 0.9 m or 3 ft 2 in")
    return in_range("length", metres, SMALLEST_M, LARGEST_M, "m")


def parse_offset_m(text: str) -> float:
    """Return a length that may be nothing, or go the other way.

    Parameters
    ----------
    text : str
        As `parse_length_m`, with a minus before it where it goes the other way; ``0`` alone.

    Returns
    -------
    float
        Length [m], from -10 km to 10 km.

    Raises
    ------
    BadValue, OutOfRange
        As `parse_length_m`.

    Examples
    --------
    >>> parse_offset_m("-30 cm"), parse_offset_m("0"), parse_offset_m("1 ft")
    (-0.3, 0.0, 0.3048)
    """
    cleaned = text.strip().replace("\N{MINUS SIGN}", "-").replace("\N{EN DASH}", "-")
    way, length = (-1, cleaned[1:]) if cleaned.startswith("-") else (1, cleaned.removeprefix("+"))
    nothing = _NOTHING.fullmatch(length.strip().lower().translate(_PRIMES))
    if nothing and (nothing[1] is None or nothing[1] in _UNITS_M):
        return 0.0
    return way * parse_length_m(length)


def format_length(m: float, preference: Literal["metric", "imperial"] = "metric") -> str:
    """Write a length the way it is read off a tape.

    Parameters
    ----------
    m : float
        Length [m], from 0.1 mm to 10 km.
    preference : {"metric", "imperial"}
        Metric prints mm below 10 cm, cm below 1 m (to 1 mm), then m (to 1 cm); imperial prints
        feet and inches to a quarter inch.

    Returns
    -------
    str
        Readable by `parse_length_m`.

    Raises
    ------
    OutOfRange
        If the length lies outside its range.
    BadValue
        If `preference` is neither of the two.

    Examples
    --------
    >>> format_length(0.9), format_length(1.25), format_length(0.9, "imperial")
    ('90 cm', '1.25 m', '2 ft 11½ in')
    """
    metres = in_range("length", m, SMALLEST_M, LARGEST_M, "m")
    if preference == "metric":
        return _metric(metres)
    if preference == "imperial":
        return _imperial(metres)
    raise BadValue("unit preference", preference, "choose metric or imperial")


def format_offset(m: float, preference: Literal["metric", "imperial"] = "metric") -> str:
    """Write a length that may be nothing, or go the other way.

    Parameters
    ----------
    m : float
        Length [m], from -10 km to 10 km; less than 0.1 mm counts as nothing.
    preference : {"metric", "imperial"}
        As `format_length`.

    Returns
    -------
    str
        Readable by `parse_offset_m`.

    Raises
    ------
    OutOfRange, BadValue
        As `format_length`.

    Examples
    --------
    >>> format_offset(-0.3), format_offset(0.0)
    ('−30 cm', '0')
    """
    if abs(m) < SMALLEST_M:
        return "0"
    sign = "\N{MINUS SIGN}" if m < 0 else ""
    return f"{sign}{format_length(abs(m), preference)}"


def _metric(metres: float) -> str:
    millimetres = round(metres * 1000)
    if millimetres >= 1000:
        return f"{metres:.2f} m"
    if millimetres >= 100:
        return f"{millimetres / 10:.1f}".removesuffix(".0") + " cm"
    if millimetres >= 10:
        return f"{millimetres} mm"
    return f"{metres * 1000:.1f} mm"


def _imperial(metres: float) -> str:
    quarters = max(1, round(metres * 1000 / INCH_MM * 4))
    feet, rest = divmod(quarters, 48)
    inches, quarter = divmod(rest, 4)
    small = f"{inches or ''}{_QUARTERS[quarter]}"
    parts = [f"{feet} ft"] if feet else []
    if small:
        parts.append(f"{small} in")
    return " ".join(parts)


def _number(text: str) -> float:
    fraction = _VULGAR.get(text[-1], 0.0)
    digits = text.rstrip("".join(_VULGAR)).strip().replace(",", ".")
    return (float(digits) if digits else 0.0) + fraction
