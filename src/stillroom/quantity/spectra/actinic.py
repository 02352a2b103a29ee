"""Lux as the eye sees them and as a paper does, and the stops between the two."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.errors import BadValue
from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.spectra.grid import folded, integral
from stillroom.quantity.spectra.response import LUMENS_PER_WATT, PaperResponse
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.spectra.tables import photopic


def photopic_lux(
    spectral_irradiance_w_m2_nm: FloatArray, through: Sequence[Spectrum] = ()
) -> FloatArray:
    """Return the illuminance that a spectrum amounts to.

    Parameters
    ----------
    spectral_irradiance_w_m2_nm : FloatArray
        On `GRID_NM` along its last axis [W/(m2 nm)].
    through : sequence of Spectrum
        What the light passes first: glass, filters.

    Returns
    -------
    FloatArray
        Illuminance [lx], without the last axis.

    References
    ----------
    Definition of the lux: 683 lm/W times V(lambda) of 1924.

    Examples
    --------
    >>> import numpy as np
    >>> from stillroom.quantity.spectra import GRID_NM
    >>> line = np.where(GRID_NM == 555, 1.0, 0.0)  # 1 W/m2 at 555 nm
    >>> float(photopic_lux(line))
    683.0
    """
    return integral(spectral_irradiance_w_m2_nm * _weights(None, through))


def actinic_lux(
    spectral_irradiance_w_m2_nm: FloatArray,
    response: PaperResponse,
    through: Sequence[Spectrum] = (),
) -> FloatArray:
    """Return the actinic lux that a spectrum amounts to.

    Parameters
    ----------
    spectral_irradiance_w_m2_nm : FloatArray
        On `GRID_NM` along its last axis [W/(m2 nm)].
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What the light passes on its way to the paper: glass, filters, the lens.

    Returns
    -------
    FloatArray
        Actinic illuminance [lx], without the last axis: equal to the lux under CIE D55 when
        nothing is passed.

    References
    ----------
    Ours: ``K * integral(E s tau)``, with K from D55 through nothing.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, d_illuminant
    >>> d55 = d_illuminant("D55").on_grid()
    >>> round(float(actinic_lux(d55, GRADED) / photopic_lux(d55)), 9)
    1.0
    """
    return integral(spectral_irradiance_w_m2_nm * _weights(response, through))


def actinic_shift_stops(
    light: Spectrum, response: PaperResponse, through: Sequence[Spectrum] = ()
) -> float:
    """Return how much more a paper gets from a light than a meter says.

    Parameters
    ----------
    light : Spectrum
        The light at the meter; behind a window or a gel: `Spectrum.times` that.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between the meter and the paper: the lens, a filter on it.

    Returns
    -------
    float
        log2 of actinic lux behind all that over lux before it [stops], against CIE D55.

    Raises
    ------
    BadValue
        If the light gives the eye nothing, or the paper.

    Notes
    -----
    A speed learned through a lens already holds what that lens takes from D55: carry it to
    another lens by the difference of two shifts.

    References
    ----------
    Definition; D55 as the light that counts as even is ours.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, tabulated
    >>> round(actinic_shift_stops(tabulated("LED-B3"), GRADED), 2)
    -1.28
    """
    power = light.on_grid()
    seen = float(photopic_lux(power))
    if seen <= 0:
        raise BadValue("light", light.name, "it gives the eye nothing, so no meter can read it")
    got = float(actinic_lux(power, response, through))
    if got <= 0:
        raise BadValue(
            "light",
            light.name,
            f"nothing of it reaches {response.name} paper; take another light or filter",
        )
    return math.log2(got) - math.log2(seen)


def weights_on(
    wavelength_nm: FloatArray,
    response: PaperResponse | None = None,
    through: Sequence[Spectrum] = (),
) -> FloatArray:
    """Return weights that turn a spectrum on its own wavelengths into lux in one dot product.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelengths of the spectra to come, ascending [nm].
    response : PaperResponse, optional
        What the paper sees; without it the eye's.
    through : sequence of Spectrum
        What the light passes first.

    Returns
    -------
    FloatArray
        ``w`` so that ``w @ spectra`` is in lux, or in actinic lux [lm nm/W].

    Notes
    -----
    Exactly what interpolating to 1 nm and summing there gives.

    References
    ----------
    As `photopic_lux` and `actinic_lux`.

    Examples
    --------
    >>> import numpy as np
    >>> w = weights_on(np.array([540.0, 555.0, 570.0]))
    >>> float(w @ np.array([1.0, 1.0, 1.0])) > 0
    True
    """
    return folded(_weights(response, through), wavelength_nm)


def _weights(response: PaperResponse | None, through: Sequence[Spectrum]) -> FloatArray:
    """Lumens per watt at each wavelength of the grid."""
    weights = LUMENS_PER_WATT * photopic().on_grid() if response is None else response.weights()
    for passed in through:
        weights = weights * passed.on_grid()
    return weights
