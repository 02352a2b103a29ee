"""Lights: phases of daylight, full radiators, tabulated lamps, and a stand-in for a flash tube."""

from __future__ import annotations

from functools import cache

import numpy as np

from stillroom.errors import UnknownName, in_range
from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.spectra.grid import GRID_NM
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.spectra.tables import from_table, table

C2_NM_K = 1.438776877e7  # second radiation constant, exact in the SI of 2019
DAYLIGHT_RANGE_K = (4000.0, 25000.0)  # CIE 15, where its formula holds
RADIATOR_RANGE_K = (1000.0, 100000.0)
D_ILLUMINANTS = {"D50": 5000.0, "D55": 5500.0, "D65": 6500.0, "D75": 7500.0}
"""Nominal temperature [K]; the radiation constant has moved since, so they mean a little more."""
C2_THEN_AND_NOW = 1.4388 / 1.4380  # CIE 15
TUBES = tuple(f"FL{number}" for number in range(1, 13))
LEDS = (
    *("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5"),
    *("LED-BH1", "LED-RGB1", "LED-V1", "LED-V2"),
)
FLASH_K = 5500.0


def daylight_phase(cct_k: float) -> Spectrum:
    """Return a phase of daylight of some correlated colour temperature.

    Parameters
    ----------
    cct_k : float
        Correlated colour temperature [K], 4000 to 25000.

    Returns
    -------
    Spectrum
        Relative power, 100 at 560 nm, 300 to 830 nm.

    Raises
    ------
    OutOfRange
        If the temperature lies outside that range.

    Notes
    -----
    Where the components would give less than nothing (305 nm below about 4200 K) it is nothing.

    References
    ----------
    CIE 15, formulas and components S0, S1, S2 of the D series.

    Examples
    --------
    >>> round(daylight_phase(5503).at(450.0), 1)
    98.0
    """
    return _phase(in_range("colour temperature", cct_k, *DAYLIGHT_RANGE_K, "K"), places=None)


@cache
def d_illuminant(name: str) -> Spectrum:
    """Return one of the CIE illuminants D50, D55, D65, D75.

    Parameters
    ----------
    name : str
        ``D50``, ``D55``, ``D65`` or ``D75``.

    Returns
    -------
    Spectrum
        Relative power, 100 at 560 nm, 300 to 830 nm.

    Raises
    ------
    UnknownName
        If it is none of these.

    References
    ----------
    CIE 15: the same formula, at 1.4388/1.4380 of the nominal temperature, its two factors rounded
    to three decimals as they were for the printed tables.

    Examples
    --------
    >>> round(d_illuminant("D55").at(400.0), 2)
    60.95
    """
    if name not in D_ILLUMINANTS:
        raise UnknownName("illuminant", name, D_ILLUMINANTS)
    return _phase(D_ILLUMINANTS[name] * C2_THEN_AND_NOW, places=3, name=f"CIE {name}")


def daylight_chromaticity(cct_k: float) -> tuple[float, float]:
    """Return the chromaticity x, y of a phase of daylight.

    Parameters
    ----------
    cct_k : float
        Correlated colour temperature [K], 4000 to 25000.

    Returns
    -------
    tuple of float
        x and y of CIE 1931 [1].

    Raises
    ------
    OutOfRange
        If the temperature lies outside that range.

    References
    ----------
    CIE 15, formula of the daylight locus.

    Examples
    --------
    >>> x, y = daylight_chromaticity(5503)
    >>> round(x, 4), round(y, 4)
    (0.3324, 0.3475)
    """
    cct = in_range("colour temperature", cct_k, *DAYLIGHT_RANGE_K, "K")
    mired = 1e3 / cct
    if cct <= 7000:
        x = 0.244063 + 0.09911 * mired + 2.9678 * mired**2 - 4.6070 * mired**3
    else:
        x = 0.237040 + 0.24748 * mired + 1.9018 * mired**2 - 2.0064 * mired**3
    return x, -3.000 * x**2 + 2.870 * x - 0.275


def _phase(cct_k: float, *, places: int | None, name: str = "") -> Spectrum:
    x, y = daylight_chromaticity(cct_k)
    below = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / below
    m2 = (0.0300 - 31.4424 * x + 30.0717 * y) / below
    if places is not None:
        m1, m2 = round(m1, places), round(m2, places)
    parts = table("daylight_components")
    power = np.maximum(parts["S0"] + m1 * parts["S1"] + m2 * parts["S2"], 0.0)
    called = name or f"daylight of {cct_k:g} K"
    return Spectrum(called, parts["nm"], power, "CIE 15, components of daylight")


def blackbody(temperature_k: float) -> Spectrum:
    """Return a full radiator.

    Parameters
    ----------
    temperature_k : float
        Temperature [K], 1000 to 100000.

    Returns
    -------
    Spectrum
        Relative power, 100 at 560 nm, on `GRID_NM`.

    Raises
    ------
    OutOfRange
        If the temperature lies outside that range.

    Notes
    -----
    A full radiator is not daylight: at 5500 K it gives graded paper half a stop more than D55.

    References
    ----------
    Planck's law.

    Examples
    --------
    >>> round(blackbody(3200).at(450.0), 1)
    41.9
    """
    kelvin = in_range("temperature", temperature_k, *RADIATOR_RANGE_K, "K")
    return Spectrum(
        f"full radiator of {kelvin:g} K", GRID_NM, _radiator(C2_NM_K / kelvin), "Planck's law"
    )


def cie_a() -> Spectrum:
    """Return CIE illuminant A, household tungsten.

    Returns
    -------
    Spectrum
        Relative power, 100 at 560 nm, on `GRID_NM`.

    References
    ----------
    CIE 15: 100 (560/l)**5 (exp(1.435e7/(2848 560)) - 1) / (exp(1.435e7/(2848 l)) - 1).

    Examples
    --------
    >>> round(cie_a().at(400.0), 2)
    14.71
    """
    return Spectrum("CIE A", GRID_NM, _radiator(1.435e7 / 2848), "CIE 15, formula of illuminant A")


def _radiator(hc_over_kt_nm: float) -> FloatArray:
    here = np.expm1(hc_over_kt_nm / GRID_NM)
    power: FloatArray = 100 * (560 / GRID_NM) ** 5 * np.expm1(hc_over_kt_nm / 560) / here
    return power


def tabulated(name: str) -> Spectrum:
    """Return one of the CIE tables of tubes and LEDs.

    Parameters
    ----------
    name : str
        ``FL1`` to ``FL12``, ``LED-B1`` to ``LED-B5``, ``LED-BH1``, ``LED-RGB1``, ``LED-V1`` or
        ``LED-V2``.

    Returns
    -------
    Spectrum
        Relative power, 380 to 780 nm.

    Raises
    ------
    UnknownName
        If there is no such table.

    Notes
    -----
    The tables begin at 380 nm: ultraviolet is missing, not measured as nothing. Tubes do have a
    line at 365 nm, worth up to 0.2 stop.

    References
    ----------
    CIE 15:2018, tables of illuminants FL and LED.

    Examples
    --------
    >>> tabulated("FL2").wavelength_nm[0]
    np.float64(380.0)
    """
    if name in TUBES:
        return from_table("fluorescent", name, f"CIE {name}")
    if name in LEDS:
        return from_table("led", name, f"CIE {name}")
    raise UnknownName("tabulated light", name, (*TUBES, *LEDS))


@cache
def flash() -> Spectrum:
    """Return a stand-in for a bare xenon flash tube.

    Returns
    -------
    Spectrum
        A full radiator of 5500 K.

    Notes
    -----
    No flash tube's spectrum was at hand. Tubes differ, and many wear a coating that takes
    ultraviolet away: trust a shift through it to 0.3 stop.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> flash().name
    'flash tube'
    """
    made = blackbody(FLASH_K)
    source = "stand-in: full radiator of 5500 K; common practice, no source"
    return Spectrum("flash tube", made.wavelength_nm, made.values, source)
