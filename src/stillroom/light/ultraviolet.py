"""Ultraviolet of a steady lamp on skin and eyes: how long until a limit is reached in a day.

A check, not a clearance: the lamp's risk group, its maker and local rules go first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import Spectrum, photopic_lux
from stillroom.quantity.spectra.lights import C2_NM_K

Weights = Literal["table", "analytic"]
UvaRule = Literal["day", "irradiance"]

ACTINIC_LIMIT_J_M2 = 30.0
UVA_DOSE_J_M2 = 1e4
UVA_LONG_W_M2 = 10.0
UVA_DOSE_UNTIL_S = 1000.0
DAY_S = 8 * 3600.0
"""The day that the limits count: eight hours in twenty-four."""
_ACTINIC_NM = (180.0, 400.0)
_UVA_NM = (315.0, 400.0)
_IRRADIANCE_RANGE_W_M2 = (0.0, 1e6)
_ILLUMINANCE_RANGE_LX = (1e-6, 1e7)
_PEAK_RANGE_NM = (200.0, 420.0)
_WIDTH_RANGE_NM = (0.1, 100.0)
_RADIATOR_RANGE_K = (1000.0, 100_000.0)
USUAL_WIDTH_NM = 12.0
"""How wide a diode's band is at half its peak; invented."""
_SIGMAS = 3.0  # a band ends here
_FWHM_SIGMAS = 2.0 * math.sqrt(2.0 * math.log(2.0))

# S(lambda), from memory of ICNIRP 2004 and IEC 62471; between two entries even in its logarithm.
_TABLE = (
    *((180, 0.012), (190, 0.019), (200, 0.030), (205, 0.051), (210, 0.075), (215, 0.095)),
    *((220, 0.12), (225, 0.15), (230, 0.19), (235, 0.24), (240, 0.30), (245, 0.36), (250, 0.43)),
    *((254, 0.50), (255, 0.52), (260, 0.65), (265, 0.81), (270, 1.0), (275, 0.96), (280, 0.88)),
    *((285, 0.77), (290, 0.64), (295, 0.54), (297, 0.46), (300, 0.30), (303, 0.12), (305, 0.06)),
    *((308, 0.026), (310, 0.015), (313, 0.006), (315, 0.003), (316, 0.0024), (317, 0.002)),
    *((318, 0.0016), (319, 0.0012), (320, 0.001), (322, 0.00067), (323, 0.00054), (325, 0.0005)),
    *((328, 0.00044), (330, 0.00041), (333, 0.00037), (335, 0.00034), (340, 0.00028)),
    *((345, 0.00024), (350, 0.0002), (355, 0.00016), (360, 0.00013), (365, 0.00011)),
    *((370, 9.3e-5), (375, 7.7e-5), (380, 6.4e-5), (385, 5.3e-5), (390, 4.4e-5), (395, 3.6e-5)),
    (400, 3.0e-5),
)
_TABLE_NM = np.array([nm for nm, _ in _TABLE], dtype=np.float64)
_TABLE_LN = np.log([weight for _, weight in _TABLE])


@dataclass(frozen=True, slots=True)
class UltravioletCheck:
    """What a steady lamp's ultraviolet comes to where somebody sits.

    Parameters
    ----------
    actinic_w_m2 : float
        Irradiance from 180 to 400 nm, weighted for skin and eye [W/m2].
    uva_w_m2 : float
        Irradiance from 315 to 400 nm, unweighted [W/m2].
    actinic_s, uva_s : float
        Longest time in a day of eight hours until each limit [s]; infinite where none is reached.
        For the eye the stricter of the two rules, a dose for the whole day.
    uva_by_irradiance_s : float
        The same for the eye by the other rule, which beyond 1000 s asks for 10 W/m2 only [s].
    """

    actinic_w_m2: float
    uva_w_m2: float
    actinic_s: float
    uva_s: float
    uva_by_irradiance_s: float

    @property
    def longest_s(self) -> float:
        """Until the first of the two limits [s]; infinite where none is ever reached."""
        return min(self.actinic_s, self.uva_s)


def actinic_weight(wavelength_nm: FloatArray, weights: Weights = "table") -> FloatArray:
    """Return how much a wavelength counts for the limit of skin and eye, S(lambda).

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength [nm].
    weights : {"table", "analytic"}
        The table of the guidelines, or the formula fitted to it: between 314 and 330 nm the
        formula is up to 50 in 100 higher, elsewhere within 15 in 100.

    Returns
    -------
    FloatArray
        Weight [1], 1 at 270 nm; 0 outside 180 to 400 nm (the formula: 210 to 400).

    Notes
    -----
    Between two entries of the table its logarithm is taken for even.

    References
    ----------
    ICNIRP, guidelines on ultraviolet, Health Physics 87 (2004), and IEC 62471:2006: the table from
    memory, the formula (equations 2a to 2c) as coded in an open package.

    Examples
    --------
    >>> actinic_weight(np.array([270.0, 320.0, 365.0])).round(5)
    array([1.0e+00, 1.0e-03, 1.1e-04])
    """
    nm = np.asarray(wavelength_nm, dtype=np.float64)
    if weights == "table":
        low, high = _ACTINIC_NM
        return np.where((nm >= low) & (nm <= high), np.exp(np.interp(nm, _TABLE_NM, _TABLE_LN)), 0)
    far = 0.959 ** (270.0 - nm)
    middle = 1.0 - 0.36 * (np.clip(nm - 270.0, 0.0, 30.0) / 20.0) ** 1.64
    near = 0.3 * 0.736 ** (nm - 300.0) + 10.0 ** (2.0 - 0.0163 * nm)
    inside = (nm >= 210.0) & (nm <= 400.0)
    return np.where(inside, np.where(nm < 270.0, far, np.where(nm <= 300.0, middle, near)), 0.0)


def ultraviolet_check(
    wavelength_nm: FloatArray, irradiance_w_m2: FloatArray, weights: Weights = "table"
) -> UltravioletCheck:
    """Return what ultraviolet comes to where somebody sits.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength of each line or narrow band [nm].
    irradiance_w_m2 : FloatArray
        What it gives there [W/m2], 0 to 1000000.
    weights : {"table", "analytic"}
        Which S(lambda).

    Returns
    -------
    UltravioletCheck
        Irradiances and longest times.

    Raises
    ------
    BadValue
        If there is not one irradiance for each wavelength.
    OutOfRange
        If an irradiance lies outside its range.

    Notes
    -----
    For eyes and skin that nothing shields and that no medicine or illness makes tender, and for
    one lamp: what others give adds up. Lamps that flash are another matter.

    References
    ----------
    ICNIRP 2004 and IEC 62471:2006: sum of E S; 30 J/m2 in 8 h for skin and eye.

    Examples
    --------
    >>> found = ultraviolet_check(np.array([320.0]), np.array([0.5]))
    >>> round(found.actinic_w_m2, 6), round(found.actinic_s)
    (0.0005, 60000)
    """
    nm = np.atleast_1d(np.asarray(wavelength_nm, dtype=np.float64))
    power = np.atleast_1d(np.asarray(irradiance_w_m2, dtype=np.float64))
    if nm.ndim != 1 or nm.shape != power.shape:
        raise BadValue("irradiance", power.shape, "give one for each wavelength")
    for one in power.tolist():
        in_range("irradiance", one, *_IRRADIANCE_RANGE_W_M2, "W/m²")
    actinic = float(np.sum(power * actinic_weight(nm, weights)))
    uva = float(np.sum(power[(nm >= _UVA_NM[0]) & (nm <= _UVA_NM[1])]))
    return UltravioletCheck(
        actinic_w_m2=actinic,
        uva_w_m2=uva,
        actinic_s=longest_actinic_s(actinic),
        uva_s=longest_uva_s(uva),
        uva_by_irradiance_s=longest_uva_s(uva, "irradiance"),
    )


def longest_actinic_s(irradiance_w_m2: float) -> float:
    """Return how long skin and eye may be in weighted ultraviolet, ``30 / E``.

    Parameters
    ----------
    irradiance_w_m2 : float
        Weighted irradiance [W/m2], 0 to 1000000.

    Returns
    -------
    float
        Time [s]; infinite where there is none. Beyond 28800 s no day of eight hours reaches it.

    Raises
    ------
    OutOfRange
        If the irradiance lies outside its range.

    References
    ----------
    ICNIRP 2004 and IEC 62471:2006: 30 J/m2 in eight hours.

    Examples
    --------
    >>> longest_actinic_s(0.001)
    30000.0
    """
    power = in_range("weighted irradiance", irradiance_w_m2, *_IRRADIANCE_RANGE_W_M2, "W/m²")
    return ACTINIC_LIMIT_J_M2 / power if power else math.inf


def longest_uva_s(irradiance_w_m2: float, rule: UvaRule = "day") -> float:
    """Return how long an eye may be in ultraviolet from 315 to 400 nm.

    Parameters
    ----------
    irradiance_w_m2 : float
        Unweighted irradiance [W/m2], 0 to 1000000.
    rule : {"day", "irradiance"}
        ``day``: 10000 J/m2 in all of eight hours. ``irradiance``: that dose up to 1000 s only, and
        beyond it no more than 10 W/m2; from 1000 s on it is the milder one.

    Returns
    -------
    float
        Time [s]; infinite where the rule sets no end.

    Raises
    ------
    OutOfRange
        If the irradiance lies outside its range.

    References
    ----------
    ``day``: ICNIRP 2004 and Directive 2006/25/EC. ``irradiance``: IEC 62471:2006.

    Examples
    --------
    >>> round(longest_uva_s(3.0)), longest_uva_s(3.0, "irradiance")
    (3333, inf)
    """
    power = in_range("irradiance", irradiance_w_m2, *_IRRADIANCE_RANGE_W_M2, "W/m²")
    if not power or (rule == "irradiance" and power <= UVA_LONG_W_M2):
        return math.inf
    return UVA_DOSE_J_M2 / power


def narrow_band(
    peak_nm: float, irradiance_w_m2: float, width_nm: float = USUAL_WIDTH_NM
) -> tuple[FloatArray, FloatArray]:
    """Return a diode's band in slices of half a nanometre.

    Parameters
    ----------
    peak_nm : float
        Where it peaks [nm], 200 to 420.
    irradiance_w_m2 : float
        All it gives [W/m2], 0 to 1000000.
    width_nm : float
        Its width at half the peak [nm], 0.1 to 100.

    Returns
    -------
    tuple of FloatArray
        Wavelengths [nm] and what each slice gives [W/m2]; their sum is the whole.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    A bell cut off at three standard deviations. Weights rise steeply to short wavelengths, so a
    band counts for more than a line at its peak.

    References
    ----------
    Ours; the usual width is invented.

    Examples
    --------
    >>> nm, power = narrow_band(365, 10)
    >>> round(float(power.sum()), 9)
    10.0
    """
    peak = in_range("peak", peak_nm, *_PEAK_RANGE_NM, "nm")
    sigma = in_range("width", width_nm, *_WIDTH_RANGE_NM, "nm") / _FWHM_SIGMAS
    whole = in_range("irradiance", irradiance_w_m2, *_IRRADIANCE_RANGE_W_M2, "W/m²")
    steps = max(1, math.ceil(_SIGMAS * sigma / 0.5))
    nm = peak + np.linspace(-_SIGMAS * sigma, _SIGMAS * sigma, 2 * steps + 1)
    shape = np.exp(-0.5 * ((nm - peak) / sigma) ** 2)
    return nm, whole * shape / shape.sum()


def bare_radiator(temperature_k: float) -> Spectrum:
    """Return a hot wire behind nothing that holds ultraviolet back, from 180 nm on.

    Parameters
    ----------
    temperature_k : float
        Temperature [K], 1000 to 100000.

    Returns
    -------
    Spectrum
        Relative power, 100 at 560 nm, 180 to 780 nm in steps of 1 nm.

    Raises
    ------
    OutOfRange
        If the temperature lies outside that range.

    Notes
    -----
    More than a real bulb gives: quartz and above all a cover glass hold much of it back.

    References
    ----------
    Planck's law.

    Examples
    --------
    >>> from stillroom.quantity.spectra import blackbody
    >>> round(bare_radiator(3200).at(450.0) / blackbody(3200).at(450.0), 9)
    1.0
    """
    kelvin = in_range("temperature", temperature_k, *_RADIATOR_RANGE_K, "K")
    nm = np.arange(_ACTINIC_NM[0], 781.0)
    c2 = C2_NM_K / kelvin
    power = 100.0 * (560.0 / nm) ** 5 * np.expm1(c2 / 560.0) / np.expm1(c2 / nm)
    return Spectrum(f"bare radiator of {kelvin:g} K", nm, power, "Planck's law")


def ultraviolet_of(light: Spectrum, illuminance_lx: float) -> tuple[FloatArray, FloatArray]:
    """Return the ultraviolet of a light of which the lux are known.

    Parameters
    ----------
    light : Spectrum
        Its spectrum [W/(m2 nm) or relative power].
    illuminance_lx : float
        What a lux meter shows [lx], 0.000001 to 10000000.

    Returns
    -------
    tuple of FloatArray
        Wavelengths in steps of 1 nm [nm] and what each nanometre gives [W/m2]: up to 400 nm, from
        180 or where the table of the spectrum begins; empty where it begins later.

    Raises
    ------
    BadValue
        If the light gives the eye nothing.
    OutOfRange
        If the lux lie outside their range.

    Notes
    -----
    A table that begins at 380 nm knows nothing of what lies below: that is no zero.

    References
    ----------
    Definition of the lux.

    Examples
    --------
    >>> from stillroom.quantity.spectra import d_illuminant
    >>> nm, power = ultraviolet_of(d_illuminant("D65"), 10_000)
    >>> float(nm[0]), round(float(power[nm >= 315].sum()), 1)
    (300.0, 5.4)
    """
    lux = in_range("illuminance", illuminance_lx, *_ILLUMINANCE_RANGE_LX, "lx")
    seen = float(photopic_lux(light.on_grid()))
    if seen <= 0:
        raise BadValue("light", light.name, "it gives the eye nothing; give W/m² instead of lux")
    first = max(_ACTINIC_NM[0], math.ceil(float(light.wavelength_nm[0])))
    nm = np.arange(first, _ACTINIC_NM[1] + 1.0)
    power = np.interp(nm, light.wavelength_nm, light.values, left=0.0, right=0.0)
    return nm, np.asarray(power * (lux / seen))
