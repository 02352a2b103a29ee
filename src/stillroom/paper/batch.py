"""What is believed about a batch of paper before a sheet of it has been read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.paper.curve import (
    ASYMMETRY_RANGE,
    CONTRAST_RANGE_PER_STOP,
    DMAX_RANGE,
    DMIN_RANGE,
    SMALLEST_SPAN,
    ToneCurve,
)
from stillroom.paper.speed import EI_RANGE, mid_tone_exposure_lxs, speed_log2
from stillroom.quantity.spectra import (
    GRADED,
    PaperResponse,
    Spectrum,
    measured_response,
    response_named,
)

Response = Literal["graded", "variable_contrast", "own"]
Surface = Literal["glossy", "pearl", "matt"]

# All priors here are invented but plausible, or common practice without a source, as each says.
CONTRAST_PER_STOP = 1.5  # invented: one value for any grade, for reversal shifts the contrast
CONTRAST_LOG_SD = 0.35  # invented: natural log, when only a grade is known
ASYMMETRY = 1.0  # invented: the symmetric curve
ASYMMETRY_LOG_SD = 0.30  # invented: natural log
EI_SD_STOPS = 1.0  # invented: an unknown batch about a nominal EI
NOMINAL_EI: dict[str, float] = {"graded": 3.0, "variable_contrast": 6.0, "own": 3.0}
"""Common practice, no source: graded 1 to 6, variable contrast 3 to 12, in daylight."""
DMIN = 0.055  # common practice, no source: 0.03 to 0.08 for fibre and resin-coated bases
DMIN_SD = 0.03  # common practice, no source
DMAX_OF_NEGATIVE: dict[str, float] = {"glossy": 2.1, "pearl": 1.8, "matt": 1.525}
"""Common practice, no source: 2.0 to 2.2, 1.7 to 1.9, 1.4 to 1.65 when air-dried."""
REVERSAL_LOSS_OF_DMAX = 0.25  # common practice, no source: reversal prints lie 0.1 to 0.4 lower
DMAX_SD = 0.15  # common practice, no source


UNKNOWN_RESPONSE = replace(GRADED, name="not measured", edge_sd_nm=25.0, ultraviolet_sd_stops=1.0)
"""What stands in for a response of its own that nobody gave: graded, and its spreads wide."""


@lru_cache(maxsize=32)
def _own_response(name: str, points: tuple[tuple[float, float], ...]) -> PaperResponse:
    wavelength_nm, response = zip(*points, strict=True)
    seen = Spectrum(
        f"response of {name}", np.array(wavelength_nm), np.array(response), "own figures"
    )
    return measured_response(seen)


@dataclass(frozen=True, slots=True)
class PaperBatch:
    """One batch of paper and the standard uncertainty of each of its numbers.

    Parameters
    ----------
    id, batch : str
        Name of the paper and of the batch.
    response : {"graded", "variable_contrast", "own"}
        Shape of its spectral response.
    own_response : tuple of (float, float)
        Wavelength [nm] and relative response per unit energy [1], where the response is its own;
        empty: as graded, and less sure.
    grade : float, optional
        Grade on the box [1], -1 to 6; kept as a note, it does not set the contrast.
    ei : float
        Exposure index [1], 0.01 to 3200.
    ei_sd_stops : float
        Standard uncertainty of the EI [stops], 0 to 5.
    contrast_per_stop : float
        Contrast kappa [1/stop].
    contrast_log_sd : float
        Standard uncertainty of its natural log [1], 0 to 2.
    asymmetry : float
        Asymmetry nu [1].
    asymmetry_log_sd : float
        Standard uncertainty of its natural log [1], 0 to 2.
    dmin, dmax : float
        Least and greatest density [density].
    dmin_sd, dmax_sd : float
        Their standard uncertainties [density], 0 to 1.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the response is none of the three.

    Notes
    -----
    Defaults are priors, invented or common practice without a source; see the constants.

    Examples
    --------
    >>> batch = PaperBatch("sorrel_2", "7", "graded", grade=2, ei=6)
    >>> round(batch.speed_log2, 2)
    -0.74
    """

    id: str
    batch: str = ""
    response: Response = "graded"
    grade: float | None = None
    ei: float = NOMINAL_EI["graded"]
    ei_sd_stops: float = EI_SD_STOPS
    contrast_per_stop: float = CONTRAST_PER_STOP
    contrast_log_sd: float = CONTRAST_LOG_SD
    asymmetry: float = ASYMMETRY
    asymmetry_log_sd: float = ASYMMETRY_LOG_SD
    dmin: float = DMIN
    dmin_sd: float = DMIN_SD
    dmax: float = DMAX_OF_NEGATIVE["glossy"] - REVERSAL_LOSS_OF_DMAX
    dmax_sd: float = DMAX_SD
    own_response: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        if self.response not in NOMINAL_EI:
            raise BadValue("response", self.response, f"choose one of {', '.join(NOMINAL_EI)}")
        if self.grade is not None:
            in_range("grade", self.grade, -1, 6)
        in_range("EI", self.ei, *EI_RANGE)
        in_range("uncertainty of EI", self.ei_sd_stops, 0, 5, "stops")
        in_range("contrast", self.contrast_per_stop, *CONTRAST_RANGE_PER_STOP, "per stop")
        in_range("uncertainty of contrast", self.contrast_log_sd, 0, 2)
        in_range("asymmetry", self.asymmetry, *ASYMMETRY_RANGE)
        in_range("uncertainty of asymmetry", self.asymmetry_log_sd, 0, 2)
        low = in_range("Dmin", self.dmin, *DMIN_RANGE, "density")
        in_range("Dmax", self.dmax, max(DMAX_RANGE[0], low + SMALLEST_SPAN), DMAX_RANGE[1])
        in_range("uncertainty of Dmin", self.dmin_sd, 0, 1, "density")
        in_range("uncertainty of Dmax", self.dmax_sd, 0, 1, "density")

    @property
    def sees(self) -> PaperResponse:
        """How it weighs light of each wavelength."""
        if self.response != "own":
            return response_named(self.response)
        return _own_response(self.id, self.own_response) if self.own_response else UNKNOWN_RESPONSE

    @property
    def speed_log2(self) -> float:
        """Speed, negative log2 of the mid-tone exposure [stops]."""
        return speed_log2(self.ei)

    @property
    def mid_tone_exposure_lxs(self) -> float:
        """Actinic exposure that gives the mid-tone [lx s]."""
        return mid_tone_exposure_lxs(self.ei)

    def curve(self) -> ToneCurve:
        """Return the tone curve at the best values.

        Returns
        -------
        ToneCurve
            Without its uncertainties.

        Examples
        --------
        >>> PaperBatch("sorrel_2", dmin=0.1, dmax=1.9).curve().mid_density
        1.0
        """
        return ToneCurve(self.contrast_per_stop, self.asymmetry, self.dmin, self.dmax)


def dmax_of_surface(surface: Surface) -> float:
    """Return the greatest density to expect of a reversed sheet, from its surface.

    Parameters
    ----------
    surface : {"glossy", "pearl", "matt"}
        Surface of the paper, air-dried.

    Returns
    -------
    float
        Dmax [density], ± 0.15.

    Raises
    ------
    BadValue
        If the surface is none of the three.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> dmax_of_surface("pearl")
    1.55
    """
    if surface not in DMAX_OF_NEGATIVE:
        raise BadValue("surface", surface, f"choose one of {', '.join(DMAX_OF_NEGATIVE)}")
    return DMAX_OF_NEGATIVE[surface] - REVERSAL_LOSS_OF_DMAX
