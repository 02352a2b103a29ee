"""Sheet sizes by their trade names."""

from __future__ import annotations

import re

from stillroom.errors import UnknownName
from stillroom.quantity.constants import INCH_MM

# Trade sizes are the cut sizes of paper; film and plates are trimmed 1 to 2 mm smaller and a
# holder masks a little more. Plate sizes in inches and metric sizes: from memory.
_INCH_SIZES = {
    "4x5 in": (4.0, 5.0),
    "5x7 in": (5.0, 7.0),
    "8x10 in": (8.0, 10.0),
    "10x12 in": (10.0, 12.0),
    "11x14 in": (11.0, 14.0),
    "quarter plate": (3.25, 4.25),
    "half plate": (4.75, 6.5),
    "whole plate": (6.5, 8.5),
}
_CM_SIZES = {
    "9x12 cm": (9.0, 12.0),
    "10x15 cm": (10.0, 15.0),
    "13x18 cm": (13.0, 18.0),
    "18x24 cm": (18.0, 24.0),
    "24x30 cm": (24.0, 30.0),
    "30x40 cm": (30.0, 40.0),
}

SHEET_FORMATS: dict[str, tuple[float, float]] = {
    **{
        name: (round(w * INCH_MM, 3), round(h * INCH_MM, 3))
        for name, (w, h) in _INCH_SIZES.items()
    },
    **{name: (w * 10, h * 10) for name, (w, h) in _CM_SIZES.items()},
}
"""Trade name to (width, height) [mm], upright."""

_UNITS = {"in": "in", "inch": "in", "inches": "in", '"': "in", "cm": "cm"}
_PAIR = re.compile(r"(\d+)\s*[x×*]\s*(\d+)\s*([a-z\"]*)")


def sheet_size_mm(name: str) -> tuple[float, float]:
    """Return the true size of a sheet by its trade name.

    Parameters
    ----------
    name : str
        Such as ``4x5``, ``13 × 18 cm`` or ``Whole plate``; case, spaces, hyphens and the unit
        may vary. ``5x4`` is the same sheet lying on its side.

    Returns
    -------
    tuple of float
        Width and height [mm], in the order named.

    Raises
    ------
    UnknownName
        If no sheet goes by that name.

    Examples
    --------
    >>> sheet_size_mm("13 × 18"), sheet_size_mm("half-plate")
    ((130.0, 180.0), (120.65, 165.1))
    """
    plain = name.lower().replace("-", " ").replace("_", " ")
    wanted = " ".join(plain.split()).removesuffix(" sheet")
    if wanted in SHEET_FORMATS:
        return SHEET_FORMATS[wanted]
    pair = _PAIR.fullmatch(wanted)
    if pair and (not pair[3] or pair[3] in _UNITS):
        units = [_UNITS[pair[3]]] if pair[3] else ["in", "cm"]
        for unit in units:
            if size := SHEET_FORMATS.get(f"{pair[1]}x{pair[2]} {unit}"):
                return size
            if size := SHEET_FORMATS.get(f"{pair[2]}x{pair[1]} {unit}"):
                return size[1], size[0]
    raise UnknownName("sheet size", name, SHEET_FORMATS)
