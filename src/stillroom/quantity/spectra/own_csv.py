"""A spectrum of one's own: two columns of text, from a spectrometer or typed off a data sheet."""

from __future__ import annotations

import itertools
import re
from typing import Literal, NamedTuple

import numpy as np

from stillroom.errors import BadDocument, BadValue
from stillroom.quantity.spectra.spectrum import LARGEST_VALUE, Spectrum

Scale = Literal["power", "share", "percent"]
"""What the values are: relative power of a light, or what passes or reflects, 0 to 1 or to 100."""

SHORTEST_NM = 200.0
LONGEST_NM = 2500.0
LARGEST_ROWS = 20_000
_LARGEST = {"power": LARGEST_VALUE, "share": 1.0, "percent": 100.0}
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,3})?")
_WANTED = "give a wavelength in nm and a value, parted by a comma, a semicolon or a tab"


class _Row(NamedTuple):
    line: int
    wavelength_nm: float
    value: float


def spectrum_from_csv(text: str, name: str, scale: Scale = "power") -> Spectrum:
    r"""Read a spectrum from two columns: wavelength in nm and value.

    Columns are parted by tabs, semicolons or commas; with tabs and semicolons a decimal comma is
    understood. A first line of words, empty lines and lines that begin with ``#`` are passed over.

    Parameters
    ----------
    text : str
        What the file holds.
    name : str
        What it is called in the spectrum and in what is said of it, such as the file's name.
    scale : {"power", "share", "percent"}
        ``power`` for a light, in any unit; ``share`` for 0 to 1 and ``percent`` for 0 to 100 that
        passes or reflects. Never guessed.

    Returns
    -------
    Spectrum
        Ascending; a share where percent was read.

    Raises
    ------
    BadValue
        If a line cannot be used; it names line, value and what is allowed.
    BadDocument
        If there are fewer than two lines of figures, or far too many.

    Notes
    -----
    Lines may stand in any order. Outside its wavelengths a spectrum counts as nothing.

    Examples
    --------
    >>> pane = spectrum_from_csv("nm;T\n400;85,5\n700;90", "pane.csv", "percent")
    >>> pane.at(400.0)
    0.855
    """
    if scale not in _LARGEST:
        raise BadValue("scale", scale, f"choose one of {', '.join(_LARGEST)}")
    rows = _rows(text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}"), name, scale)
    if len(rows) < 2:
        count = "one line" if rows else "no lines"
        raise BadDocument(f"{name} holds {count} of figures: give at least two wavelengths.")
    rows.sort(key=lambda row: row.wavelength_nm)
    for one, other in itertools.pairwise(rows):
        if one.wavelength_nm == other.wavelength_nm:
            first, second = sorted((one.line, other.line))
            raise BadValue(
                f"wavelength in line {second} of {name}",
                f"{one.wavelength_nm:g} nm",
                f"line {first} has it too; give each wavelength once",
            )
    largest = max(row.value for row in rows)
    if scale == "percent" and 0 < largest <= 1:
        raise BadValue(
            f"largest value of {name}",
            f"{largest:g} percent",
            "that looks like shares from 0 to 1; say so, or check the figures",
        )
    by = 100.0 if scale == "percent" else 1.0
    return Spectrum(
        name,
        np.array([row.wavelength_nm for row in rows]),
        np.array([row.value / by for row in rows]),
        f"own figures, {name}",
    )


def _rows(text: str, name: str, scale: Scale) -> list[_Row]:
    lines = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(lines) > LARGEST_ROWS:
        raise BadDocument(
            f"{name} has {len(lines)} lines: at most {LARGEST_ROWS} can be read; "
            "give fewer wavelengths."
        )
    separator = next((s for s in "\t;" if any(s in line for _, line in lines)), ",")
    rows = []
    for place, (number, line) in enumerate(lines):
        cells = _cells(line, separator)
        if place == 0 and not any(_is_number(cell, separator) for cell in cells):
            continue  # a heading
        if len(cells) != 2:
            raise BadValue(f"line {number} of {name}", line.strip(), _columns(cells, separator))
        nm = _number(cells[0], separator, f"wavelength in line {number} of {name}", "nm")
        value = _number(cells[1], separator, f"value in line {number} of {name}", scale)
        rows.append(_Row(number, nm, value))
    return rows


def _cells(line: str, separator: str) -> list[str]:
    cells = [cell.strip().strip("\"'").strip() for cell in line.split(separator)]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells


def _columns(cells: list[str], separator: str) -> str:
    if separator == "," and len(cells) in (3, 4):
        return f"it has {len(cells)} columns; with decimal commas part them by semicolons or tabs"
    return _WANTED


def _is_number(cell: str, separator: str) -> bool:
    return _NUMBER.fullmatch(_pointed(cell, separator)) is not None


def _pointed(cell: str, separator: str) -> str:
    plain = cell.replace("\N{MINUS SIGN}", "-")
    return plain if separator == "," or "." in plain else plain.replace(",", ".")


def _number(cell: str, separator: str, what: str, unit: str) -> float:
    """The number in a cell, within what its column may hold."""
    low, high = (SHORTEST_NM, LONGEST_NM) if unit == "nm" else (0.0, _LARGEST[unit])
    of = {"nm": " nm", "percent": " percent"}.get(unit, "")
    allowed = f"give a number from {low:g} to {high:g}{of}"
    if not _is_number(cell, separator):
        raise BadValue(what, cell, allowed)
    number = float(_pointed(cell, separator))
    if not low <= number <= high:
        hint = "; for percent say so" if unit == "share" and high < number <= 100 else ""
        raise BadValue(what, number, f"{allowed}{hint}")
    return number
