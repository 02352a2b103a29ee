"""The packaged tables: read when first asked for, then kept."""

from __future__ import annotations

from functools import cache

import numpy as np

from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.spectra.spectrum import Spectrum


@cache
def table(name: str) -> dict[str, FloatArray]:
    """Return the columns of a packaged table by their names; ``nm`` holds the wavelengths [nm].

    Parameters
    ----------
    name : str
        Name of the file, without its ending.

    Returns
    -------
    dict of str to FloatArray
        Read only, in the order of the file.

    References
    ----------
    The first comment of each file names its source.

    Examples
    --------
    >>> list(table("daylight_components"))
    ['nm', 'S0', 'S1', 'S2']
    """
    lines = _lines(name)
    rows = [line for line in lines if not line.startswith("#")]
    numbers = np.loadtxt(rows[1:], delimiter=",", ndmin=2, unpack=True)
    numbers.setflags(write=False)
    return dict(zip(rows[0].split(","), numbers, strict=True))


@cache
def from_table(name: str, column: str, called: str = "") -> Spectrum:
    """Return one column of a packaged table as a spectrum, with the table's own source.

    Parameters
    ----------
    name, column : str
        File and column.
    called : str
        Name of the spectrum; the column's when left out.

    Returns
    -------
    Spectrum
        The same one each time.

    Examples
    --------
    >>> from_table("photopic_1924", "V").at(555)
    1.0
    """
    columns = table(name)
    source = _lines(name)[0].removeprefix("# ")
    return Spectrum(called or column, columns["nm"], columns[column], source)


def photopic() -> Spectrum:
    """Return what the eye sees by day, V(lambda) of 1924.

    Returns
    -------
    Spectrum
        Relative response [1], 360 to 830 nm.

    References
    ----------
    CIE 1924 photopic luminous efficiency, 1 nm.

    Examples
    --------
    >>> photopic().at(400.0)
    0.000396
    """
    return from_table("photopic_1924", "V")


def _lines(name: str) -> list[str]:
    from importlib.resources import files  # noqa: PLC0415 - a third of this room's import time

    place = files("stillroom.quantity.spectra").joinpath("data", f"{name}.csv")
    return place.read_text(encoding="utf-8").splitlines()
