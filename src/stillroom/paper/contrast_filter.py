"""What a contrast filter does to variable-contrast paper: light it takes, contrast it gives.

Such a paper is soft where green light makes its picture and hard where blue light does. A yellow
filter holds back the blue, a magenta one the green.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from stillroom.errors import BadValue
from stillroom.paper.curve import ToneCurve
from stillroom.paper.sensitometry import GRADE_LOG_RANGES
from stillroom.quantity import Stops
from stillroom.quantity.spectra import (
    GRID_NM,
    VARIABLE_CONTRAST,
    Light,
    PaperResponse,
    Spectrum,
    cut_off,
    cut_on,
    light_named,
    shift_between,
    spread_over_curve,
)

FILTER_WORDS: dict[str, tuple[int, int]] = {"soft": (0, 1), "medium": (2, 3), "hard": (4, 5)}
"""What the filters of these grades are called; the words are ours."""
GREEN_FROM_NM = 500.0
"""Light from here on makes the soft part of the picture: the dip of the invented response [nm]."""
SOFT_OVER_HARD = max(GRADE_LOG_RANGES[0]) / min(GRADE_LOG_RANGES[5])
"""Exposure range of all-green over that of all-blue light: the ends of the printed grades [1]."""
LAW_SD_SHARE = 0.4
"""How far off the logarithm of a contrast factor may be, one sigma, as a share; invented."""
DYE_SD_SHARE = 0.2
"""How far off its loss may be for another maker's dyes, one sigma, as a share; invented."""

# Densities of the two dyes. Invented: chosen so that under tungsten light, bare, the paper's range
# lands in the printed band of each grade when it has that of grade 2 without a filter.
_YELLOW = {0: 0.75, 1: 0.35}
_MAGENTA = {3: 0.25, 4: 0.60, 5: 1.50}
_PEAK = 0.90  # invented: two surfaces and the base
_BASE_NM = 350.0  # invented: no ultraviolet below
_SOURCE = "invented dyes, known by their edges only"


@dataclass(frozen=True, slots=True)
class FilterEffect:
    """What a contrast filter does to one paper in one light, against the same without it.

    Parameters
    ----------
    grade : int or None
        Grade on the filter [1], 0 to 5, 5 is the hardest; None for one without.
    loss : Stops
        Light it takes from the paper [stops], 0 or more.
    contrast_factor : float
        Contrast with it over contrast without [1]; below 1 is softer.
    contrast_log_sd : float
        Standard uncertainty of the natural logarithm of that factor [1].
    name : str
        Which filter it is, where there are several.

    Examples
    --------
    >>> FilterEffect(0, Stops(1.5, 0.3), 0.64, 0.2).on(ToneCurve(1.5, 1.0, 0.05, 1.85))
    ToneCurve(contrast_per_stop=0.96, asymmetry=1.0, dmin=0.05, dmax=1.85)
    """

    grade: int | None
    loss: Stops
    contrast_factor: float
    contrast_log_sd: float
    name: str = ""

    def on(self, curve: ToneCurve) -> ToneCurve:
        """Return a tone curve as it is behind the filter.

        Parameters
        ----------
        curve : ToneCurve
            Of the same paper in the same light without a filter.

        Returns
        -------
        ToneCurve
            Steeper or flatter about its mid-tone; where that lies is told by `loss`.

        Raises
        ------
        OutOfRange
            If the contrast would leave its range.
        """
        return replace(curve, contrast_per_stop=curve.contrast_per_stop * self.contrast_factor)


def contrast_filter(
    grade: int,
    light: Light | None = None,
    through: Sequence[Spectrum] = (),
    response: PaperResponse = VARIABLE_CONTRAST,
) -> FilterEffect:
    """Return what a contrast filter on the lens does: a starting value for one's own.

    Parameters
    ----------
    grade : int
        Grade on the filter [1], 0 to 5; `FILTER_WORDS` has words for them.
    light : Light, optional
        The light at the meter; CIE D55 when left out.
    through : sequence of Spectrum
        What else stands between meter and paper: the lens.
    response : PaperResponse
        What the paper sees.

    Returns
    -------
    FilterEffect
        Against the same paper, light and lens without a filter.

    Raises
    ------
    BadValue
        If there is no filter of that grade, or nothing of the light reaches the paper.

    Notes
    -----
    Computed from the response: the loss, and the share of the light that is green, with and
    without the filter. Invented: the dyes, and the law by which the logarithm of the contrast
    falls evenly with that share. In daylight less is green than under an enlarger's lamp, so the
    paper is harder from the start, a hard filter adds little and a soft one costs more. On graded
    paper, which sees no green, a filter takes light and leaves the contrast.

    References
    ----------
    Ends of the law: superseded ANSI PH2.2-1966, exposure ranges of grades 0 and 5. Response, dyes
    and law are invented; see the constants.

    Examples
    --------
    >>> from stillroom.quantity.spectra import uvcut370
    >>> for grade in (0, 2, 5):
    ...     found = contrast_filter(grade, through=[uvcut370()])
    ...     print(grade, found.loss.text(), f"x{found.contrast_factor:.2f}")
    0 +1.53 ± 0.34 x0.64
    2 +0.153 ± 0.031 x1.00
    5 +0.79 ± 0.21 x1.38
    """
    if isinstance(grade, bool) or grade not in GRADE_LOG_RANGES:
        raise BadValue("grade of the filter", grade, "give a whole number from 0 to 5")
    lit = light or light_named("D55")
    behind = (*through, _filter(int(grade)))
    shift = shift_between(lit, lit, response, behind, through)

    def log_factor(by: PaperResponse) -> float:
        less_green = green_share(lit, through, by) - green_share(lit, behind, by)
        return math.log(SOFT_OVER_HARD) * less_green

    found = log_factor(response)
    return FilterEffect(
        grade=int(grade),
        loss=Stops(-shift.value, math.hypot(shift.u, DYE_SD_SHARE * shift.value)),
        contrast_factor=math.exp(found),
        contrast_log_sd=math.hypot(LAW_SD_SHARE * found, spread_over_curve(log_factor, response)),
    )


def green_share(
    light: Light, through: Sequence[Spectrum] = (), response: PaperResponse = VARIABLE_CONTRAST
) -> float:
    """Return how much of what a paper gets comes from green light.

    Parameters
    ----------
    light : Light
        The light at the meter.
    through : sequence of Spectrum
        What stands between meter and paper: lens and filter.
    response : PaperResponse
        What the paper sees.

    Returns
    -------
    float
        Share of the actinic light from `GREEN_FROM_NM` on [1].

    Raises
    ------
    BadValue
        If nothing of the light reaches the paper.

    References
    ----------
    Ours, from the paper's response.

    Examples
    --------
    >>> round(green_share(light_named("A")), 2), round(green_share(light_named("D55")), 2)
    (0.45, 0.25)
    """
    seen = light.at_meter.on_grid() * response.weights()
    for passed in through:
        seen = seen * passed.on_grid()
    total = float(np.sum(seen))
    if total <= 0:
        raise BadValue(
            "light", light.name, f"nothing of it reaches {response.name} paper; take another"
        )
    return float(np.sum(seen[GRID_NM >= GREEN_FROM_NM])) / total


@cache
def _filter(grade: int) -> Spectrum:
    yellow, magenta = _YELLOW.get(grade, 0.0), _MAGENTA.get(grade, 0.0)
    blue = cut_off(500.0, 8.0).on_grid()
    green = cut_on(490.0, 8.0).on_grid() * cut_off(600.0, 8.0).on_grid()
    passes = _PEAK * cut_on(_BASE_NM).on_grid() * 10.0 ** -(yellow * blue + magenta * green)
    return Spectrum(f"contrast filter {grade}", GRID_NM, passes, _SOURCE)
