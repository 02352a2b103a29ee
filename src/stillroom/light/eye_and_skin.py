"""Bright light on eyes and skin: blue light and heat, as published limits count them.

A check, not a clearance: the lamp's risk group, its maker and local rules go first.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import GRID_NM, Spectrum, integral, photopic_lux

SmallSourceRule = Literal["standard", "directive"]

BLUE_DOSE_J_M2_SR = 1e6
BLUE_LONG_W_M2_SR = 100.0
SMALL_BLUE_DOSE_J_M2 = 100.0
SMALL_SOURCE_RAD = 0.011
"""A source that subtends less counts as a point."""
_SMALL_LONG_W_M2 = {"standard": 1.0, "directive": 0.01}
_LUMINANCE_RANGE_CD_M2 = (1e-6, 1e11)
_RADIANCE_RANGE = (0.0, 1e9)
_IRRADIANCE_RANGE_W_M2 = (0.0, 1e6)
_HEAT_RANGE_S = (1e-9, 10.0)

# B(lambda) of IEC 62471 as coded in an open package, 380 to 500 nm; below that 0.01, from memory.
_FROM_NM, _STEP_NM = 380.0, 5.0
_B = (
    *(0.01, 0.013, 0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 0.9, 0.95, 0.98, 1.0, 1.0),
    *(0.97, 0.94, 0.9, 0.8, 0.7, 0.62, 0.55, 0.45, 0.4, 0.22, 0.16, 0.1),
)
_B_NM = _FROM_NM + _STEP_NM * np.arange(len(_B))


def blue_light_weight(wavelength_nm: FloatArray) -> FloatArray:
    """Return how much a wavelength counts for blue light on the retina, B(lambda).

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength [nm].

    Returns
    -------
    FloatArray
        Weight [1], 1 at 435 to 440 nm; 0 outside 300 to 700 nm.

    References
    ----------
    IEC 62471:2006, as coded in an open colour package; below 380 nm from memory.

    Examples
    --------
    >>> blue_light_weight(np.array([400.0, 440.0, 550.0])).round(4)
    array([0.1 , 1.  , 0.01])
    """
    nm = np.asarray(wavelength_nm, dtype=np.float64)
    short = np.interp(nm, _B_NM, _B)
    long = np.where(nm <= 600.0, 10.0 ** ((450.0 - np.minimum(nm, 600.0)) / 50.0), 0.001)
    weight = np.where(nm <= 500.0, short, long)
    return np.where((nm >= 300.0) & (nm <= 700.0), weight, 0.0)


def blue_light_radiance_w_m2_sr(light: Spectrum, luminance_cd_m2: float) -> float:
    """Return the weighted radiance of a light of which the luminance is known.

    Parameters
    ----------
    light : Spectrum
        Its spectrum [relative power].
    luminance_cd_m2 : float
        Luminance of what one looks into [cd/m2], 0.000001 to 100000000000.

    Returns
    -------
    float
        Radiance, weighted by B(lambda) [W/(m2 sr)].

    Raises
    ------
    BadValue
        If the light gives the eye nothing.
    OutOfRange
        If the luminance lies outside its range.

    Notes
    -----
    The same factor turns lux into the weighted irradiance of a small source.

    References
    ----------
    IEC 62471:2006 4.3.3: sum of L B.

    Examples
    --------
    >>> from stillroom.quantity.spectra import d_illuminant
    >>> round(blue_light_radiance_w_m2_sr(d_illuminant("D65"), 1000), 2)
    0.99
    """
    seen_by = in_range("luminance", luminance_cd_m2, *_LUMINANCE_RANGE_CD_M2, "cd/m²")
    power = light.on_grid()
    seen = float(photopic_lux(power))
    if seen <= 0:
        raise BadValue("light", light.name, "it gives the eye nothing, so it has no luminance")
    return float(integral(power * blue_light_weight(GRID_NM))) * seen_by / seen


def longest_blue_light_s(radiance_w_m2_sr: float) -> float:
    """Return how long one may look into a face of light, ``1e6 / L_B``.

    Parameters
    ----------
    radiance_w_m2_sr : float
        Radiance, weighted by B(lambda) [W/(m2 sr)], 0 to 1000000000.

    Returns
    -------
    float
        Time in a day [s]; infinite at 100 W/(m2 sr) and less.

    Raises
    ------
    OutOfRange
        If the radiance lies outside its range.

    References
    ----------
    IEC 62471:2006 4.3.3; ICNIRP 2013.

    Examples
    --------
    >>> longest_blue_light_s(1e4), longest_blue_light_s(100)
    (100.0, inf)
    """
    radiance = in_range("radiance", radiance_w_m2_sr, *_RADIANCE_RANGE, "W/(m² sr)")
    return math.inf if radiance <= BLUE_LONG_W_M2_SR else BLUE_DOSE_J_M2_SR / radiance


def longest_small_source_s(irradiance_w_m2: float, rule: SmallSourceRule = "directive") -> float:
    """Return how long an eye may look at a source so small that it is a point, ``100 / E_B``.

    Parameters
    ----------
    irradiance_w_m2 : float
        Irradiance at the eye, weighted by B(lambda) [W/m2], 0 to 1000000.
    rule : {"directive", "standard"}
        Which irradiance may go on without end: 0.01 W/m2 by the directive, 1 W/m2 by the
        standard.

    Returns
    -------
    float
        Time in a day [s]; infinite where the rule sets no end.

    Raises
    ------
    OutOfRange
        If the irradiance lies outside its range.

    Notes
    -----
    For sources of less than 0.011 rad: 1 cm seen from 0.9 m.

    References
    ----------
    ``standard``: IEC 62471:2006; ``directive``: Directive 2006/25/EC; both from memory.

    Examples
    --------
    >>> longest_small_source_s(0.5), longest_small_source_s(0.5, "standard")
    (200.0, inf)
    """
    power = in_range("weighted irradiance", irradiance_w_m2, *_IRRADIANCE_RANGE_W_M2, "W/m²")
    return math.inf if power <= _SMALL_LONG_W_M2[rule] else SMALL_BLUE_DOSE_J_M2 / power


def skin_heat_limit_j_m2(seconds: float) -> float:
    """Return what visible light and heat may bring to skin in a short time.

    Parameters
    ----------
    seconds : float
        Time [s], 0.000000001 to 10.

    Returns
    -------
    float
        Exposure from 380 to 3000 nm [J/m2], ``20000 t**0.25``.

    Raises
    ------
    OutOfRange
        If the time lies outside its range: beyond 10 s pain makes one turn away.

    References
    ----------
    IEC 62471:2006, equation 4.12, as coded in a public toolbox.

    Examples
    --------
    >>> round(skin_heat_limit_j_m2(0.002))
    4229
    """
    return 20_000.0 * math.sqrt(math.sqrt(in_range("time", seconds, *_HEAT_RANGE_S, "s")))
