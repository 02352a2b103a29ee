"""What light passes on its way: lenses, window glass, filters and gels."""

from __future__ import annotations

import math
import re
from functools import cache

import numpy as np

from stillroom.errors import UnknownName, in_range
from stillroom.quantity.spectra.grid import GRID_NM
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.spectra.tables import table

_CUT_RANGE_NM = (200.0, 1000.0)
_WIDTH_RANGE_NM = (0.5, 100.0)
_CODE_RANGE_NM = (250.0, 600.0)
_TWO_SURFACES = 0.92
_CODE = re.compile(r"(\d{3})/(\d{3})")
_DEMO = "demo data"
_DEMO_CUT = "demo data; cut-off from memory"


def cut_on(
    half_nm: float,
    width_nm: float = 5.0,
    *,
    name: str = "",
    peak: float = 1.0,
    source: str = _DEMO,
) -> Spectrum:
    """Return something that passes only what is longer than some wavelength.

    Parameters
    ----------
    half_nm : float
        Wavelength at which half of the peak passes [nm], 200 to 1000.
    width_nm : float
        Slope: from 0.27 to 0.73 of the peak in two of these [nm], 0.5 to 100.
    name : str
        What it is called.
    peak : float
        What passes far above [1], 0 to 1.
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
    >>> cut_on(420, 5).at(420.0)
    0.5
    """
    half = in_range("half wavelength", half_nm, *_CUT_RANGE_NM, "nm")
    width = in_range("width", width_nm, *_WIDTH_RANGE_NM, "nm")
    most = in_range("peak", peak, 0.0, 1.0)
    passes = most / (1 + np.exp(-np.clip((GRID_NM - half) / width, -500, 500)))
    return Spectrum(name or f"cut-on {half:g} nm", GRID_NM, passes, source)


@cache
def iso_lens() -> Spectrum:
    """Return the standard camera lens of ISO 7589.

    Returns
    -------
    Spectrum
        Transmittance relative to the visible [1]: nothing below 360 nm, half at 384 nm.

    References
    ----------
    Ratio of the two daylight illuminants of ISO 7589; its last value is held above 690 nm.

    Examples
    --------
    >>> round(iso_lens().at(400.0), 2)
    0.74
    """
    both = table("iso_7589_daylight")
    passes = np.minimum(both["behind_lens"] / both["daylight"], 1.0)
    wavelengths = np.append(both["nm"], GRID_NM[-1])
    source = "ISO 7589, sensitometric over photographic daylight"
    return Spectrum("iso", wavelengths, np.append(passes, passes[-1]), source)


@cache
def old330() -> Spectrum:
    """Return an old, uncoated lens: half at 330 nm.

    Returns
    -------
    Spectrum
        Transmittance relative to the visible [1].

    References
    ----------
    Demo data.

    Examples
    --------
    >>> old330().at(330.0)
    0.5
    """
    return cut_on(330.0, name="old330")


@cache
def uvcut370() -> Spectrum:
    """Return a modern, coated lens: half at 370 nm.

    Returns
    -------
    Spectrum
        Transmittance relative to the visible [1].

    References
    ----------
    Demo data.

    Examples
    --------
    >>> uvcut370().at(370.0)
    0.5
    """
    return cut_on(370.0, name="uvcut370")


@cache
def float_glass() -> Spectrum:
    """Return a clear window pane, for light square to it.

    Returns
    -------
    Spectrum
        Transmittance [1], both reflections in it.

    References
    ----------
    Demo data; cut-off from memory.

    Examples
    --------
    >>> round(float_glass().at(555.0), 2)
    0.9
    """
    return cut_on(330.0, name="float", peak=0.90, source=_DEMO_CUT)


@cache
def laminated_glass() -> Spectrum:
    """Return a laminated pane, for light square to it: it takes ultraviolet away.

    Returns
    -------
    Spectrum
        Transmittance [1], both reflections in it.

    References
    ----------
    Demo data; cut-off from memory.

    Examples
    --------
    >>> round(laminated_glass().at(385.0), 2)
    0.44
    """
    return cut_on(385.0, 4.0, name="laminated", peak=0.88, source=_DEMO_CUT)


@cache
def window_pane() -> Spectrum:
    """Return a clear soda-lime pane of 4 to 6 mm, for light square to it.

    Returns
    -------
    Spectrum
        Transmittance [1], both reflections in it: 0.5 at 340 nm, 0.88 in the visible.

    Notes
    -----
    Iron in the glass moves its edge most: trust the near ultraviolet to a tenth.

    References
    ----------
    From memory: 0.5, 0.7, 0.8, 0.86 and 0.88 at 340, 350, 360, 380 and 400 nm, fitted with a
    logistic edge.

    Examples
    --------
    >>> round(window_pane().at(340.0), 1)
    0.5
    """
    return cut_on(337.5, 9.2, name="pane", peak=0.88, source="from memory")


def coded_glass(nm_at_80: float, nm_at_5: float) -> Spectrum:
    """Return an optical glass of 10 mm by its maker's colour code.

    Parameters
    ----------
    nm_at_80, nm_at_5 : float
        Wavelengths at which 80 and 5 parts in a hundred pass, reflections counted [nm], 250 to
        600; the first is the longer.

    Returns
    -------
    Spectrum
        Transmittance relative to the visible [1].

    Raises
    ------
    OutOfRange
        If a wavelength lies outside its range or the two stand the wrong way round.

    References
    ----------
    Colour code of optical glass (form seen on a maker's property page); 0.92 for the two
    reflections at the surfaces and a logistic edge between the two points are ours.

    Examples
    --------
    >>> round(0.92 * coded_glass(380, 340).at(380.0), 2)
    0.8
    """
    clear = in_range("wavelength at 80", nm_at_80, *_CODE_RANGE_NM, "nm")
    dark = in_range("wavelength at 5", nm_at_5, _CODE_RANGE_NM[0], clear - 1, "nm")
    above, below = (_logit(share / _TWO_SURFACES) for share in (0.80, 0.05))
    width = (clear - dark) / (above - below)
    name = f"glass {clear:g}/{dark:g}"
    return cut_on(clear - above * width, width, name=name, source="by its colour code")


def _logit(share: float) -> float:
    return math.log(share / (1 - share))


LENSES = {"old330": old330, "uvcut370": uvcut370, "iso": iso_lens}
GLASSES = {"float": float_glass, "pane": window_pane, "laminated": laminated_glass}


def lens(name: str) -> Spectrum:
    """Return a lens's spectral shape by its name.

    Parameters
    ----------
    name : str
        ``old330``, ``uvcut370``, ``iso``, or a glass's colour code such as ``380/340``.

    Returns
    -------
    Spectrum
        Transmittance relative to the visible [1].

    Raises
    ------
    UnknownName
        If there is no such lens.

    Examples
    --------
    >>> lens("old330").name
    'old330'
    """
    if code := _CODE.fullmatch(name):
        return coded_glass(float(code[1]), float(code[2]))
    if name not in LENSES:
        raise UnknownName("lens", name, (*LENSES, "a colour code such as 380/340"))
    return LENSES[name]()


def glass(name: str) -> Spectrum:
    """Return a window glass by its name.

    Parameters
    ----------
    name : str
        ``float``, ``pane`` or ``laminated``.

    Returns
    -------
    Spectrum
        Transmittance [1].

    Raises
    ------
    UnknownName
        If there is no such glass.

    Examples
    --------
    >>> glass("float").name
    'float'
    """
    if name not in GLASSES:
        raise UnknownName("glass", name, GLASSES)
    return GLASSES[name]()
