"""Generic filters and gels, by where they begin and end to pass light."""

from __future__ import annotations

from functools import cache

import numpy as np

from stillroom.errors import OutOfRange, UnknownName, in_range
from stillroom.quantity.spectra.grid import GRID_NM
from stillroom.quantity.spectra.lights import C2_NM_K
from stillroom.quantity.spectra.passing import cut_on
from stillroom.quantity.spectra.spectrum import Spectrum

_MIRED_RANGE = (-500.0, 500.0)
_TEMPERATURE_RANGE_K = (100.0, 1e6)
_GEL_PEAK = 0.85
_GEL_BASE_NM = 350.0
_GEL_HELD_BELOW_NM = 400.0
_INVENTED = "invented demo data, known by its edges only"
_INVENTED_GEL = "invented demo data: an even change of colour temperature; size from memory"


def mired(colour_temperature_k: float) -> float:
    """Return the reciprocal colour temperature in mired, ``1e6/T``.

    Parameters
    ----------
    colour_temperature_k : float
        Colour temperature [K], 100 to 1000000.

    Returns
    -------
    float
        Reciprocal temperature [mired]; the other way round it is the same formula.

    Raises
    ------
    OutOfRange
        If the temperature lies outside that range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> mired(3200)
    312.5
    """
    return 1e6 / in_range("colour temperature", colour_temperature_k, *_TEMPERATURE_RANGE_K, "K")


def conversion_gel(shift_mired: float, *, name: str = "", peak: float = _GEL_PEAK) -> Spectrum:
    """Return an even colour-conversion gel: it makes a full radiator into another one.

    Parameters
    ----------
    shift_mired : float
        Change of reciprocal colour temperature [mired], -500 to 500 but not 0; positive is orange.
    name : str
        What it is called.
    peak : float
        What passes where it is clearest from 400 to 780 nm [1], 0 to 1.

    Returns
    -------
    Spectrum
        Transmittance [1] on `GRID_NM`.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Notes
    -----
    Real gels are dyes: they follow this only roughly and their red and ultraviolet differ. Below
    400 nm what passes is held, and the base takes away ultraviolet below 350 nm (both invented).

    References
    ----------
    Wien's approximation to Planck's law: ``exp(-c2 shift / wavelength)``.

    Examples
    --------
    >>> orange = conversion_gel(130)
    >>> orange.at(700.0) > 2 * orange.at(420.0)
    True
    """
    shift = in_range("change of colour temperature", shift_mired, *_MIRED_RANGE, "mired")
    if shift == 0:
        raise OutOfRange("change of colour temperature", shift, *_MIRED_RANGE, "mired but not 0")
    most = in_range("peak", peak, 0.0, 1.0)
    nm = np.maximum(GRID_NM, _GEL_HELD_BELOW_NM)
    shape = np.exp(-C2_NM_K * shift * 1e-6 / nm)
    base = cut_on(_GEL_BASE_NM).on_grid()
    called = name or f"gel of {shift:+g} mired"
    return Spectrum(called, GRID_NM, most * base * shape / shape.max(), _INVENTED_GEL)


def cut_off(
    half_nm: float,
    width_nm: float = 5.0,
    *,
    name: str = "",
    peak: float = 1.0,
    source: str = _INVENTED,
) -> Spectrum:
    """Return something that passes only what is shorter than some wavelength.

    Parameters
    ----------
    half_nm : float
        Wavelength at which half of the peak passes [nm], 200 to 1000.
    width_nm : float
        Slope: from 0.73 to 0.27 of the peak in two of these [nm], 0.5 to 100.
    name : str
        What it is called.
    peak : float
        What passes far below [1], 0 to 1.
    source : str
        Where the figures come from.

    Returns
    -------
    Spectrum
        Transmittance [1] on `GRID_NM`.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    A logistic edge; ours.

    Examples
    --------
    >>> cut_off(500, 8).at(500.0)
    0.5
    """
    most = in_range("peak", peak, 0.0, 1.0)
    passes = most * (1 - cut_on(half_nm, width_nm).on_grid())
    return Spectrum(name or f"cut-off {half_nm:g} nm", GRID_NM, passes, source)


@cache
def _filters() -> dict[str, Spectrum]:
    blue = cut_on(380.0, peak=0.80).times(cut_off(500.0, 8.0))
    return {
        "uv": cut_on(390.0, name="UV filter", peak=0.97, source=_INVENTED),
        "yellow": cut_on(480.0, 8.0, name="yellow filter", peak=0.90, source=_INVENTED),
        "orange": cut_on(545.0, 8.0, name="orange filter", peak=0.90, source=_INVENTED),
        "blue": Spectrum("blue filter", GRID_NM, blue.values, _INVENTED),
    }


@cache
def _gels() -> dict[str, Spectrum]:
    return {
        "orange": conversion_gel(130.0, name="orange gel"),
        "half-orange": conversion_gel(65.0, name="half orange gel"),
        "blue": conversion_gel(-130.0, name="blue gel"),
        "half-blue": conversion_gel(-65.0, name="half blue gel"),
    }


FILTERS = ("uv", "yellow", "orange", "blue")
GELS = ("orange", "half-orange", "blue", "half-blue")


def lens_filter(name: str) -> Spectrum:
    """Return a filter for the lens by its name.

    Parameters
    ----------
    name : str
        ``uv``, ``yellow``, ``orange`` or ``blue``.

    Returns
    -------
    Spectrum
        Transmittance [1]; invented.

    Raises
    ------
    UnknownName
        If there is no such filter.

    References
    ----------
    Invented demo data.

    Examples
    --------
    >>> lens_filter("yellow").at(480.0)
    0.45
    """
    if name not in FILTERS:
        raise UnknownName("filter", name, FILTERS)
    return _filters()[name]


def gel(name: str) -> Spectrum:
    """Return a gel for the lamp by its name.

    Parameters
    ----------
    name : str
        ``orange``, ``half-orange``, ``blue`` or ``half-blue``.

    Returns
    -------
    Spectrum
        Transmittance [1]; invented.

    Raises
    ------
    UnknownName
        If there is no such gel.

    References
    ----------
    Invented demo data.

    Examples
    --------
    >>> gel("orange").name
    'orange gel'
    """
    if name not in GELS:
        raise UnknownName("gel", name, GELS)
    return _gels()[name]
