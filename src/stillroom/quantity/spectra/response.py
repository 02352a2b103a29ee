"""What a paper sees."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import BadValue, UnknownName, in_range
from stillroom.quantity.arrays import FloatArray
from stillroom.quantity.spectra.grid import GRID_NM, integral
from stillroom.quantity.spectra.lights import d_illuminant
from stillroom.quantity.spectra.spectrum import Spectrum
from stillroom.quantity.spectra.tables import photopic

LUMENS_PER_WATT = 683.0  # at 555 nm, definition of the candela
EDGE_SD_NM = 8.0
"""How far off the long-wave edge of a guessed response may stand, one sigma [nm] (invented)."""
ULTRAVIOLET_SD_STOPS = 1.0
"""How far off a guessed response may be below 420 nm against the rest, one sigma [stops].

Invented; two curves for graded paper, guessed apart from each other, then lie about a sigma apart
over a dozen lights."""
MEASURED_EDGE_SD_NM = 2.0  # a response somebody measured; invented
MEASURED_ULTRAVIOLET_SD_STOPS = 0.3  # the same; invented
_EDGE_RANGE_NM = (0.0, 50.0)
_ULTRAVIOLET_RANGE_STOPS = (0.0, 4.0)
_ULTRAVIOLET_NM = 420.0
_ULTRAVIOLET_WIDTH_NM = 15.0
_INVENTED = "invented, plausible demo data: measure your own paper"


@dataclass(frozen=True, slots=True, eq=False)
class PaperResponse:
    """How a paper weighs light of each wavelength, per unit of energy.

    Parameters
    ----------
    name : str
        What it is called.
    spectrum : Spectrum
        Relative response per unit energy, not per quantum [1].
    edge_sd_nm : float
        How far along the wavelengths the whole curve may be off, one sigma [nm], 0 to 50.
    ultraviolet_sd_stops : float
        How far off violet and ultraviolet may be against the rest, one sigma [stops], 0 to 4. Out
        of these two grows the uncertainty of every shift.

    Raises
    ------
    OutOfRange
        If a spread lies outside its range.
    BadValue
        If the response sees nothing of daylight.

    References
    ----------
    Normalisation: ours; under CIE D55 without a lens actinic lux equal lux.

    Examples
    --------
    >>> round(GRADED.lumens_per_watt, 2), round(VARIABLE_CONTRAST.lumens_per_watt, 2)
    (892.16, 616.39)
    """

    name: str
    spectrum: Spectrum
    edge_sd_nm: float = EDGE_SD_NM
    ultraviolet_sd_stops: float = ULTRAVIOLET_SD_STOPS

    def __post_init__(self) -> None:
        name = f"spread of {self.name}"
        in_range(f"{name} along the wavelengths", self.edge_sd_nm, *_EDGE_RANGE_NM, "nm")
        stops = self.ultraviolet_sd_stops
        in_range(f"{name} in the ultraviolet", stops, *_ULTRAVIOLET_RANGE_STOPS, "stops")

    @property
    def lumens_per_watt(self) -> float:
        """K: actinic lux for each W/m2 at the response's 1 [lm/W]."""
        d55 = d_illuminant("D55").on_grid()
        seen = float(integral(d55 * self.spectrum.on_grid()))
        if seen <= 0:
            raise BadValue(f"response {self.name}", seen, "it sees nothing from 300 to 780 nm")
        return LUMENS_PER_WATT * float(integral(d55 * photopic().on_grid())) / seen

    def weights(self) -> FloatArray:
        """Return K times the response on the grid [lm/W]."""
        return self.lumens_per_watt * self.spectrum.on_grid()

    def moved(self, by_nm: float) -> PaperResponse:
        """Return the response of a paper whose curve stands elsewhere.

        Parameters
        ----------
        by_nm : float
            How far towards red [nm], -100 to 100.

        Returns
        -------
        PaperResponse
            Normalised anew.
        """
        return replace(self, spectrum=self.spectrum.moved(by_nm))

    def with_ultraviolet(self, by_stops: float) -> PaperResponse:
        """Return the response of a paper that sees more or less below 420 nm.

        Parameters
        ----------
        by_stops : float
            How much more [stops], -10 to 10; half of that at 420 nm, and there it fades.

        Returns
        -------
        PaperResponse
            Normalised anew.
        """
        by = in_range(f"ultraviolet of {self.name}", by_stops, -10.0, 10.0, "stops")
        share = 1 / (1 + np.exp((GRID_NM - _ULTRAVIOLET_NM) / _ULTRAVIOLET_WIDTH_NM))
        values = self.spectrum.on_grid() * np.exp2(by * share)
        changed = replace(self.spectrum, wavelength_nm=GRID_NM, values=values)
        return replace(self, spectrum=changed)


# Invented, plausible tables, in steps of 10 nm from 300 nm: a silver bromide that ends near
# 510 nm, and one sensitised for green with a second hump near 540 nm.
_UP_TO_430 = [0.40, 0.55, 0.70, 0.80, 0.86, 0.90, 0.93, 0.95, 0.97, 0.99, 1, 1, 1, 0.98]
_GRADED = [*_UP_TO_430, 0.94, 0.86, 0.72, 0.52, 0.30, 0.12, 0.035, 0.006, 0]
_VARIABLE = [
    *(*_UP_TO_430, 0.95, 0.88, 0.76, 0.60, 0.45, 0.36, 0.34, 0.40, 0.50),
    *(0.60, 0.62, 0.45, 0.12, 0.02, 0),
]


def _invented(name: str, values: list[float]) -> PaperResponse:
    wavelengths = np.arange(300.0, 300.0 + 10.0 * len(values), 10.0)
    table = Spectrum(name, wavelengths, np.array(values, dtype=np.float64), _INVENTED)
    return PaperResponse(name, table)


GRADED = _invented("graded", _GRADED)
VARIABLE_CONTRAST = _invented("variable contrast", _VARIABLE)
RESPONSES = {"graded": GRADED, "variable_contrast": VARIABLE_CONTRAST}


def response_named(name: str) -> PaperResponse:
    """Return one of the two invented responses by its name.

    Parameters
    ----------
    name : str
        ``graded`` or ``variable_contrast``; a space or hyphen may stand for the underscore.

    Returns
    -------
    PaperResponse
        Invented, plausible demo data.

    Raises
    ------
    UnknownName
        If it is neither.

    References
    ----------
    Invented.

    Examples
    --------
    >>> response_named("variable-contrast").name
    'variable contrast'
    """
    plain = name.strip().lower().replace(" ", "_").replace("-", "_")
    if plain not in RESPONSES:
        raise UnknownName("paper response", name, RESPONSES)
    return RESPONSES[plain]


def measured_response(spectrum: Spectrum) -> PaperResponse:
    """Return the response of a paper that somebody measured.

    Parameters
    ----------
    spectrum : Spectrum
        Relative response per unit energy, not per quantum [any].

    Returns
    -------
    PaperResponse
        Trusted to 2 nm and to 0.3 stop in the ultraviolet.

    Raises
    ------
    BadValue
        If it sees nothing from 300 to 780 nm.

    References
    ----------
    Both spreads are invented.

    Examples
    --------
    >>> measured_response(GRADED.spectrum).edge_sd_nm
    2.0
    """
    made = PaperResponse(
        spectrum.name, spectrum, MEASURED_EDGE_SD_NM, MEASURED_ULTRAVIOLET_SD_STOPS
    )
    made.weights()  # refuses one that sees nothing
    return made
