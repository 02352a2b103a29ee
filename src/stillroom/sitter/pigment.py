"""What melanin takes from light on its way through the upper skin."""

from __future__ import annotations

import numpy as np

from stillroom.quantity import FloatArray

EPIDERMIS_CM = 0.006  # 60 micrometres, from memory
FRECKLE_SHARE = 0.05  # more of the upper skin filled with melanosomes; invented


def bare_skin_absorption_per_cm(wavelength_nm: FloatArray) -> FloatArray:
    """Return the absorption of skin without melanin and blood.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength [nm]; fitted for the visible, used down to 300.

    Returns
    -------
    FloatArray
        Absorption coefficient [1/cm].

    References
    ----------
    "Skin Optics", note of a laser centre, January 1998: 0.244 + 85.3 exp(-(l - 154)/66.2).

    Examples
    --------
    >>> round(float(bare_skin_absorption_per_cm(np.array(400.0))), 2)
    2.32
    """
    return np.asarray(0.244 + 85.3 * np.exp(-(wavelength_nm - 154.0) / 66.2))


def melanosome_absorption_per_cm(wavelength_nm: FloatArray) -> FloatArray:
    """Return the absorption inside a melanosome.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength [nm]; fitted for the visible, used down to 300.

    Returns
    -------
    FloatArray
        Absorption coefficient [1/cm]; from person to person it varies tenfold.

    References
    ----------
    "Melanosome absorption coefficient", note of 1998: 1.70e12 l**-3.48. Another note of the same
    authors, 6.6e11 l**-3.33 (from memory), is 5 in 100 lower at 400 nm.

    Examples
    --------
    >>> round(float(melanosome_absorption_per_cm(np.array(400.0))))
    1497
    """
    return np.asarray(1.70e12 * wavelength_nm**-3.48)


def freckle_transmittance(wavelength_nm: FloatArray) -> FloatArray:
    """Return what a freckle lets through, on the way in and out.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelength [nm].

    Returns
    -------
    FloatArray
        Light from a freckle over that from the skin beside it [1].

    Notes
    -----
    A flat layer that only absorbs; light scattered past it is left out.

    References
    ----------
    Beer-Lambert law; thickness of the layer from memory, the share invented.

    Examples
    --------
    >>> paper, eye = freckle_transmittance(np.array([400.0, 550.0]))
    >>> round(float(np.log2(paper)), 1), round(float(np.log2(eye)), 1)
    (-1.3, -0.4)
    """
    more = melanosome_absorption_per_cm(wavelength_nm) - bare_skin_absorption_per_cm(wavelength_nm)
    return np.asarray(np.exp(-2 * EPIDERMIS_CM * FRECKLE_SHARE * more))
