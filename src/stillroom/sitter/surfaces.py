"""Surfaces as the paper sees them: skin, lips, cloth, brick, and what is worn before the eyes."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from stillroom.errors import BadValue, UnknownName
from stillroom.quantity.spectra import (
    GRID_NM,
    PaperResponse,
    Spectrum,
    actinic_lux,
    cut_on,
    from_table,
    photopic_lux,
)
from stillroom.sitter.pigment import freckle_transmittance

_INVENTED = "invented demo data"

# Published tables, each with the name it has in its file.
_PUBLISHED = {
    "skin": ("test_colour_15", "skin"),
    "fair-skin": ("pigment_chart", "fair"),
    "south-asian-skin": ("pigment_chart", "south_asian"),
    "dark-skin": ("pigment_chart", "dark"),
    "painted-light-skin": ("painted_chart", "light_skin"),
    "painted-dark-skin": ("painted_chart", "dark_skin"),
    "white-paint": ("painted_chart", "white"),
    "backdrop": ("painted_chart", "grey"),
    "black-paint": ("painted_chart", "black"),
}
# Invented, plausible reflectances at these wavelengths; held beyond them. Nothing here glows:
# washed white cloth does, and then gives the paper blue light that no reflectance tells of.
_NM = (300.0, 350.0, 400.0, 450.0, 500.0, 550.0, 600.0, 650.0, 700.0)
_MADE_UP = {
    "lips": (0.06, 0.08, 0.11, 0.12, 0.12, 0.13, 0.27, 0.42, 0.48),
    "denim": (0.07, 0.09, 0.14, 0.17, 0.12, 0.08, 0.06, 0.06, 0.18),
    "white-cloth": (0.30, 0.50, 0.70, 0.79, 0.83, 0.85, 0.86, 0.87, 0.87),
    "black-cloth": (0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.04, 0.06),
    "grey-card": (0.11, 0.14, 0.17, 0.18, 0.18, 0.18, 0.18, 0.18, 0.18),
    "brick": (0.05, 0.06, 0.07, 0.08, 0.10, 0.15, 0.27, 0.33, 0.36),
}
_FRECKLE = "freckle"
SURFACES = (*_PUBLISHED, *_MADE_UP, _FRECKLE)
"""Names of the surfaces."""
SPECTACLES = ("clear", "blue-filter")
"""Names of what is worn before the eyes."""


@cache
def surface(name: str) -> Spectrum:
    """Return the reflectance of a surface.

    Parameters
    ----------
    name : str
        One of `SURFACES`.

    Returns
    -------
    Spectrum
        Reflectance [1] over the whole grid; beyond its table the last value is held.

    Raises
    ------
    UnknownName
        If there is no such surface.

    Notes
    -----
    A painted white or grey falls off below 420 nm: never calibrate this paper on a painted chart.

    References
    ----------
    CIE test colour 15 for ``skin``; an open library's chart data for the other skins and the
    paints; lips, cloth, denim, grey card and brick are invented.

    Examples
    --------
    >>> surface("skin").at(450.0), surface("denim").source
    (0.221, 'invented demo data')
    """
    if name in _PUBLISHED:
        return from_table(*_PUBLISHED[name], name).held()
    if name in _MADE_UP:
        return Spectrum(name, np.array(_NM), np.array(_MADE_UP[name]), _INVENTED).held()
    if name == _FRECKLE:
        made = surface("fair-skin").on_grid() * freckle_transmittance(GRID_NM)
        source = "fair skin behind more melanin; the amount is invented"
        return Spectrum(name, GRID_NM, made, source)
    raise UnknownName("surface", name, SURFACES)


@cache
def spectacles(name: str) -> Spectrum:
    """Return what is worn before the eyes, as a filter.

    Parameters
    ----------
    name : str
        ``clear`` (plastic, which takes ultraviolet away) or ``blue-filter`` (some violet too).

    Returns
    -------
    Spectrum
        Transmittance of one lens [1].

    Raises
    ------
    UnknownName
        If there are no such spectacles.

    References
    ----------
    Invented demo data.

    Examples
    --------
    >>> spectacles("clear").at(385.0)
    0.46
    """
    if name == "clear":
        return cut_on(385.0, name="clear spectacles", peak=0.92, source=_INVENTED)
    if name == "blue-filter":
        return cut_on(415.0, 8.0, name="blue-filter spectacles", peak=0.92, source=_INVENTED)
    raise UnknownName("spectacles", name, SPECTACLES)


def behind(seen: Spectrum, worn: Spectrum) -> Spectrum:
    """Return a surface behind a filter that the light passes on its way in and out.

    Parameters
    ----------
    seen : Spectrum
        Reflectance [1].
    worn : Spectrum
        Transmittance [1], such as `spectacles`.

    Returns
    -------
    Spectrum
        Reflectance as the camera sees it [1]; mirror reflections of the filter are left out.

    References
    ----------
    Closed form: reflectance times transmittance squared.

    Examples
    --------
    >>> round(behind(surface("skin"), spectacles("clear")).at(600.0), 3)  # 0.44 * 0.92**2
    0.372
    """
    return seen.times(worn, worn)


def photopic_reflectance(seen: Spectrum, light: Spectrum) -> float:
    """Return the reflectance as the eye weighs it.

    Parameters
    ----------
    seen : Spectrum
        Reflectance [1].
    light : Spectrum
        The light it is seen by.

    Returns
    -------
    float
        Luminance over that of a perfect white [1].

    Raises
    ------
    BadValue
        If the light gives the eye nothing.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from stillroom.quantity.spectra import d_illuminant
    >>> round(photopic_reflectance(surface("skin"), d_illuminant("D55")), 2)
    0.33
    """
    power = light.on_grid()
    whole = float(photopic_lux(power))
    if whole <= 0:
        raise BadValue("light", light.name, "it gives the eye nothing; take another light")
    return float(photopic_lux(power * seen.on_grid())) / whole


def actinic_reflectance(
    seen: Spectrum, light: Spectrum, response: PaperResponse, through: tuple[Spectrum, ...] = ()
) -> float:
    """Return the reflectance as a paper weighs it.

    Parameters
    ----------
    seen : Spectrum
        Reflectance [1].
    light : Spectrum
        The light it is seen by.
    response : PaperResponse
        What the paper sees.
    through : tuple of Spectrum
        Lens and filters.

    Returns
    -------
    float
        Actinic light from it over that from a perfect white [1].

    Raises
    ------
    BadValue
        If the light gives the paper nothing.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, d_illuminant
    >>> round(actinic_reflectance(surface("skin"), d_illuminant("D55"), GRADED), 2)
    0.19
    """
    power = light.on_grid()
    whole = float(actinic_lux(power, response, through))
    if whole <= 0:
        raise BadValue(
            "light", light.name, f"nothing of it reaches {response.name} paper; take another light"
        )
    return float(actinic_lux(power * seen.on_grid(), response, through)) / whole


def rendered_stops(
    seen: Spectrum, light: Spectrum, response: PaperResponse, through: tuple[Spectrum, ...] = ()
) -> float:
    """Return how much lighter a surface comes out on the paper than the eye sees it.

    Parameters
    ----------
    seen : Spectrum
        Reflectance [1].
    light : Spectrum
        The light it is seen by.
    response : PaperResponse
        What the paper sees.
    through : tuple of Spectrum
        Lens and filters.

    Returns
    -------
    float
        log2 of actinic over photopic reflectance [stops]; negative is darker.

    Raises
    ------
    BadValue
        If the light gives the eye nothing, or the paper, or the surface shows none of it.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, d_illuminant
    >>> round(rendered_stops(surface("fair-skin"), d_illuminant("D55"), GRADED), 2)
    -0.85
    """
    eye = photopic_reflectance(seen, light)
    paper = actinic_reflectance(seen, light, response, through)
    if eye <= 0 or paper <= 0:
        raise BadValue("surface", seen.name, "it throws back none of this light")
    return math.log2(paper / eye)
