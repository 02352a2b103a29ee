"""How bright the sky is from horizon to zenith, and how far a figure from it is trusted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from stillroom.quantity import FloatArray

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


@dataclass(frozen=True, slots=True)
class Sky:
    """A sky whose luminance depends on elevation only.

    Parameters
    ----------
    name : str
        What it is called.
    gradation : Callable[[FloatArray], FloatArray]
        Luminance over that of the zenith, from the sine of the elevation.
    factor_sd_stops : float
        Standard uncertainty of the share of its light that comes through a window [stops]:
        real skies are patchy. Invented.
    source : str
        Where the gradation comes from.

    Examples
    --------
    >>> round(OVERCAST.horizontal_per_zenith_sr / np.pi, 4), OVERCAST.factor_sd_stops
    (0.7778, 0.2)
    """

    name: str
    gradation: Callable[[FloatArray], FloatArray]
    factor_sd_stops: float
    source: str

    @property
    def horizontal_per_zenith_sr(self) -> float:
        """Illuminance on level open ground, over the luminance of the zenith [sr]."""
        sine = (_NODES + 1) / 2
        return float(np.sum(_WEIGHTS / 2 * 2 * math.pi * sine * self.gradation(sine)))


def _uniform(sine: FloatArray) -> FloatArray:
    return np.ones_like(sine)


def _one_to_three(sine: FloatArray) -> FloatArray:
    return np.asarray((1 + 2 * sine) / 3)


def _type_1(sine: FloatArray) -> FloatArray:
    # Near the horizon the exponential is zero long before its exponent overflows.
    return np.asarray((1 + 4 * np.exp(-0.7 / np.maximum(sine, 1e-3))) / (1 + 4 * math.exp(-0.7)))


UNIFORM = Sky("uniform", _uniform, 0.3, "definition")
"""The same everywhere: thin or broken cloud, for want of better."""

OVERCAST = Sky("overcast", _one_to_three, 0.2, "CIE traditional overcast sky, 1:3")
"""Three times as bright at the zenith as at the horizon: a grey day."""

OVERCAST_TYPE_1 = Sky("overcast, type 1", _type_1, 0.2, "CIE standard general sky, type 1")
"""The later standard for the same grey day, a little darker near the horizon."""

CLEAR_SKY_SD_STOPS = 0.25
"""Of the share through a window under a clear sky, from what is known of its upright planes."""

HAZY_SKY_SD_STOPS = 0.4
"""The same when it is hazy."""

OBSTRUCTION_SD_STOPS = 0.5
"""Of the light that houses opposite send in. Invented."""

GROUND_SD_STOPS = 0.5
"""Of the light that the ground outside sends in. Invented."""

BOUNCE_SD_STOPS = 0.5
"""Of the light that the room itself throws about. Invented."""

SUNBEAM_SD_STOPS = 0.15
"""Of a beam of the sun, once it is known to reach the place."""
