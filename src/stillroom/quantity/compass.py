"""Places and directions as people write them: degrees and minutes, points of the compass."""

from __future__ import annotations

import re

from stillroom.errors import BadValue, OutOfRange, in_range

LATITUDE_RANGE_DEG = (-90.0, 90.0)
LONGITUDE_RANGE_DEG = (-180.0, 180.0)
BEARING_RANGE_DEG = (0.0, 360.0)
POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
          "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")  # fmt: skip
"""Points of the compass from north clockwise, 22.5 degrees apart."""
_WORDS = {"north": "n", "east": "e", "south": "s", "west": "w"}
_NAMES = {letter: word for word, letter in _WORDS.items()}
_POINT_STEP_DEG = 360 / len(POINTS)
_SAME_DEG = 0.05

_MINUS = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-"})
_SIGNS = {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "º": "°",
          "degrees": "°", "deg": "°"}  # fmt: skip
_DIGITS = r"\d+(?:[.,]\d+)?"
_PARTS = re.compile(
    rf"(?P<sign>[-+])?\s*(?P<degrees>{_DIGITS})\s*°?"
    rf"(?:\s*(?P<minutes>{_DIGITS})\s*'?)?"
    rf"(?:\s*(?P<seconds>{_DIGITS})\s*(?:\"|'')?)?"
)
_DEGREES = re.compile(rf"({_DIGITS})\s*°?")


def parse_latitude_deg(text: str) -> float:
    """Return the latitude somebody wrote.

    Parameters
    ----------
    text : str
        Decimal degrees, north positive, or with a letter: ``54.3``, ``54.3 N``, ``54° 18' N``.

    Returns
    -------
    float
        North positive [deg], -90 to 90.

    Raises
    ------
    BadValue
        If the text is no latitude.
    OutOfRange
        If it lies beyond a pole.

    Examples
    --------
    >>> parse_latitude_deg("54° 18' N"), parse_latitude_deg("S 12.5")
    (54.3, -12.5)
    """
    return _coordinate("latitude", text, "ns", *LATITUDE_RANGE_DEG)


def parse_longitude_deg(text: str) -> float:
    """Return the longitude somebody wrote.

    Parameters
    ----------
    text : str
        Decimal degrees, east positive, or with a letter: ``-1.5``, ``1.5 W``, ``1° 30' W``.

    Returns
    -------
    float
        East positive [deg], -180 to 180.

    Raises
    ------
    BadValue
        If the text is no longitude.
    OutOfRange
        If it lies outside that range.

    Examples
    --------
    >>> parse_longitude_deg("1° 30' W"), parse_longitude_deg("170,25")
    (-1.5, 170.25)
    """
    return _coordinate("longitude", text, "ew", *LONGITUDE_RANGE_DEG)


def latitude_text(deg: float) -> str:
    """Write a latitude in degrees and minutes.

    Parameters
    ----------
    deg : float
        North positive [deg], -90 to 90.

    Returns
    -------
    str
        To the nearest minute.

    Raises
    ------
    OutOfRange
        If it lies beyond a pole.

    Examples
    --------
    >>> latitude_text(54.3), latitude_text(-0.01)
    ('54° 18′ N', '0° 01′ S')
    """
    return _in_minutes(in_range("latitude", deg, *LATITUDE_RANGE_DEG, "°"), "NS")


def longitude_text(deg: float) -> str:
    """Write a longitude in degrees and minutes.

    Parameters
    ----------
    deg : float
        East positive [deg], -180 to 180.

    Returns
    -------
    str
        To the nearest minute.

    Raises
    ------
    OutOfRange
        If it lies outside that range.

    Examples
    --------
    >>> longitude_text(-1.5)
    '1° 30′ W'
    """
    return _in_minutes(in_range("longitude", deg, *LONGITUDE_RANGE_DEG, "°"), "EW")


def parse_bearing_deg(text: str) -> float:
    """Return the direction somebody wrote, from north clockwise.

    Parameters
    ----------
    text : str
        A point of the compass (``NE``, ``north-east``, ``WSW``) or degrees (``47``, ``47°``).

    Returns
    -------
    float
        Direction [deg], 0 to below 360.

    Raises
    ------
    BadValue
        If the text is no direction.
    OutOfRange
        If its degrees lie outside 0 to 360.

    Examples
    --------
    >>> parse_bearing_deg("north-east"), parse_bearing_deg("WSW"), parse_bearing_deg("360°")
    (45.0, 247.5, 0.0)
    """
    cleaned = _cleaned(text)
    for word, letter in _WORDS.items():
        cleaned = cleaned.replace(word, letter)
    point = re.sub(r"[\s-]+", "", cleaned).upper()
    if point in POINTS:
        return POINTS.index(point) * _POINT_STEP_DEG
    found = _DEGREES.fullmatch(cleaned.lstrip("-+"))
    if found is None:
        raise BadValue(
            "direction",
            text,
            "give a point of the compass such as N or SW, or degrees from north clockwise, "
            "0 to 360",
        )
    degrees = _number(found[1]) * (-1 if cleaned.startswith("-") else 1)
    return in_range("direction", degrees, *BEARING_RANGE_DEG, "°") % 360


def bearing_text(deg: float) -> str:
    """Write a direction: its point of the compass where it has one, else degrees.

    Parameters
    ----------
    deg : float
        From north clockwise [deg], 0 to 360.

    Returns
    -------
    str
        Readable by `parse_bearing_deg`.

    Raises
    ------
    OutOfRange
        If it lies outside that range.

    Examples
    --------
    >>> bearing_text(45), bearing_text(47.5), bearing_text(360)
    ('NE', '47.5°', 'N')
    """
    turned = in_range("direction", deg, *BEARING_RANGE_DEG, "°") % 360
    nearest = round(turned / _POINT_STEP_DEG)
    if abs(turned - nearest * _POINT_STEP_DEG) < _SAME_DEG:
        return POINTS[nearest % len(POINTS)]
    return f"{turned:.5g}°"


def bearing_words(deg: float) -> str:
    """Write a direction as it is said.

    Parameters
    ----------
    deg : float
        From north clockwise [deg], 0 to 360.

    Returns
    -------
    str
        The nearest of the eight winds.

    Raises
    ------
    OutOfRange
        If it lies outside that range.

    Examples
    --------
    >>> bearing_words(45), bearing_words(200)
    ('north-east', 'south')
    """
    turned = in_range("direction", deg, *BEARING_RANGE_DEG, "°")
    wind = POINTS[round(turned / 45) % 8 * 2]
    return "-".join(_NAMES[letter.lower()] for letter in wind)


def _coordinate(name: str, text: str, letters: str, low: float, high: float) -> float:
    plus, minus = (_NAMES[letter] for letter in letters)
    example = "54.3 or 54° 18' N" if letters == "ns" else "-1.5 or 1° 30' W"
    cleaned = _cleaned(text)
    for word, letter in _WORDS.items():
        cleaned = cleaned.replace(word, letter)
    found = re.fullmatch(r"([nsew]?)\s*([^nsew]+?)\s*([nsew]?)", cleaned)
    parts = _PARTS.fullmatch(found[2]) if found else None
    if found is None or parts is None or (found[1] and found[3]):
        raise BadValue(name, text, f"not a {name}; write it like {example}")
    side = found[1] or found[3]
    if side and side not in letters:
        raise BadValue(name, text, f"a {name} is {plus} or {minus}; write it like {example}")
    if side and parts["sign"]:
        raise BadValue(name, text, "it has a sign and a letter; leave one of them out")
    degrees = _number(parts["degrees"])
    if "." in parts["degrees"].replace(",", ".") and parts["minutes"]:
        raise BadValue(name, text, f"minutes come after whole degrees; write it like {example}")
    for unit, share in (("minutes", 60), ("seconds", 3600)):
        if parts[unit]:
            within = _number(parts[unit])
            if within >= 60:
                raise BadValue(name, text, f"its {unit} go from 0 to below 60")
            degrees += within / share
    value = -degrees if side == letters[1] or parts["sign"] == "-" else degrees
    if not low <= value <= high:
        raise OutOfRange(name, text.strip(), low, high, "°")
    return value


def _cleaned(text: str) -> str:
    cleaned = text.strip().lower().translate(_MINUS)
    for written, sign in _SIGNS.items():
        cleaned = cleaned.replace(written, sign)
    return cleaned


def _in_minutes(deg: float, letters: str) -> str:
    whole, minutes = divmod(round(abs(deg) * 60), 60)
    return f"{whole}° {minutes:02d}′ {letters[deg < 0]}"


def _number(text: str) -> float:
    return float(text.replace(",", "."))
