"""The EI to set on an ordinary meter when the light changes colour."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.errors import in_range
from stillroom.quantity.spectra.actinic import actinic_shift_stops
from stillroom.quantity.spectra.lights import d_illuminant
from stillroom.quantity.spectra.response import PaperResponse
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.stops import ratio_of_stops

EI_RANGE = (0.01, 3200.0)
LUX_RANGE_LX = (1e-6, 1e6)


def ei_for_light(
    ei: float,
    light: Spectrum,
    response: PaperResponse,
    through: Sequence[Spectrum] = (),
    *,
    known_under: Spectrum | None = None,
    known_through: Sequence[Spectrum] = (),
) -> float:
    """Return the EI to use with an ordinary meter under a light.

    Parameters
    ----------
    ei : float
        EI of the paper as it is known [1], 0.01 to 3200.
    light : Spectrum
        The light at the meter now.
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between the meter and the paper now: the lens, a filter.
    known_under : Spectrum, optional
        The light under which the EI was found; CIE D55 when left out.
    known_through : sequence of Spectrum
        What stood between meter and paper then: an EI found through a lens holds that lens.

    Returns
    -------
    float
        ``ei 2**(shift now - shift then)`` [1].

    Raises
    ------
    OutOfRange
        If the EI lies outside its range.
    BadValue
        If a light gives the eye nothing, or the paper.

    References
    ----------
    Ours: EI = 10 / H of the mid-tone, with H in actinic lux-seconds.

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, tabulated
    >>> round(ei_for_light(6, tabulated("LED-B3"), GRADED), 1)
    2.5
    """
    known = in_range("EI", ei, *EI_RANGE)
    then = d_illuminant("D55") if known_under is None else known_under
    now = actinic_shift_stops(light, response, through)
    return known * ratio_of_stops(now - actinic_shift_stops(then, response, known_through))


def metered_lux(actinic_lx: float, shift_stops: float) -> float:
    """Return what a lux meter must show for the paper to get so many actinic lux.

    Parameters
    ----------
    actinic_lx : float
        Actinic lux wanted [lx], 0.000001 to 1000000.
    shift_stops : float
        Actinic shift of the light [stops], -100 to 100.

    Returns
    -------
    float
        Illuminance on the meter [lx].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    Definition of the shift.

    Examples
    --------
    >>> metered_lux(500, -1)
    1000.0
    """
    wanted = in_range("actinic lux", actinic_lx, *LUX_RANGE_LX, "lx")
    return wanted / ratio_of_stops(shift_stops)
