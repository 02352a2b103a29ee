"""Ghosts: a second edge from steady light while shutter or cap are open about a flash.

The flash freezes the sitter where they are; steady light paints them wherever they are while it
is open. Where they were elsewhere for a share of that time, two strips lie along the edge: beside
it the steady image covers what stands behind, inside it what stands behind shows through.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from stillroom.errors import in_range
from stillroom.paper import ToneCurve, density
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

AWAY = 0.5
"""Share of the open time that a drifting head is beyond where the flash caught it: a drift to one
side before the pop or after it; the pop comes anywhere in between. Invented."""

# Visible step between neighbouring even areas: 0.01 to 0.02 in highlights and mid-tones, 0.03 to
# 0.05 in deep shadows, within a factor of 1.5 (practice: common practice, no source).
_STEP_DENSITIES = (1.2, 1.8)
_VISIBLE_STEPS = (0.015, 0.04)
_STEP_LOG_SD = math.log(1.5)

_SHARE_RANGE = (0.0, 1.0)
_PLACEMENT_RANGE = (-40.0, 40.0)
_LOG_SD_RANGE = (0.0, 5.0)
_DISTANCE_RANGE_MM = (0.0, 10_000.0)


@dataclass(frozen=True, slots=True)
class EdgeSteps:
    """Density steps along an edge, each above 0 where the strip is lighter than its ground."""

    beside: FloatArray
    """In what stands behind, where the steady image of the sitter covers it."""
    inside: FloatArray
    """In the sitter, where what stands behind shows through."""
    beside_density: FloatArray
    inside_density: FloatArray


def steady_share(steady: float | FloatArray, flash: float | FloatArray) -> FloatArray:
    """Return the steady light's share of an exposure.

    Parameters
    ----------
    steady, flash : float or ndarray
        Exposure by steady light and by flash, in one unit; not below 0, not both 0.

    Returns
    -------
    ndarray
        Share [1], 0 to 1.

    Raises
    ------
    OutOfRange
        If there is no light at all, or a number is below 0.

    Examples
    --------
    >>> float(steady_share(1.0, 3.0))
    0.25
    """
    of_steady = all_in_range("steady light", np.asarray(steady, dtype=float), 0.0, 1e12)
    of_flash = all_in_range("flash", np.asarray(flash, dtype=float), 0.0, 1e12)
    whole = all_in_range("light", of_steady + of_flash, 1e-300, 2e12)
    return np.asarray(of_steady / whole)


def edge_steps(
    steady_share: float | FloatArray,
    placement_stops: float | FloatArray,
    beside_stops: float | FloatArray,
    curve: ToneCurve,
    *,
    beside_share: float | FloatArray | None = None,
    away: float | FloatArray = AWAY,
) -> EdgeSteps:
    """Return how much darker or lighter the strips along a displaced edge are.

    Parameters
    ----------
    steady_share : float or ndarray
        Steady light's share of the exposure of the sitter's region [1].
    placement_stops : float or ndarray
        Where that region falls, steady light counted in [stops].
    beside_stops : float or ndarray
        Where what stands beside or behind it falls, likewise [stops].
    curve : ToneCurve
        The paper's.
    beside_share : float or ndarray, optional
        Steady light's share there; as in the region unless given.
    away : float or ndarray
        Share of the open time that the sitter is elsewhere [1].

    Returns
    -------
    EdgeSteps
        Steps in density, below 0 for darker, with the densities they stand on.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or a placement outside -40 to 40 stops.

    References
    ----------
    Light adds: ``H_beside (1 - away s_b) + away s H`` and ``H (1 - away s) + away s_b H_beside``;
    held against a picture that is rendered opening by opening.

    Examples
    --------
    >>> from stillroom.paper import ToneCurve
    >>> steps = edge_steps(0.2, 1.0, -2.0, ToneCurve(1.6, 1.0, 0.08, 1.9))
    >>> float(steps.beside) > 0 > float(steps.inside)
    True
    """
    share = all_in_range("share of steady light", np.asarray(steady_share, float), *_SHARE_RANGE)
    other = share if beside_share is None else np.asarray(beside_share, float)
    other = all_in_range("share of steady light beside", other, *_SHARE_RANGE)
    gone = all_in_range("share of the time away", np.asarray(away, float), *_SHARE_RANGE)
    here, there = (
        np.exp2(all_in_range(name, np.asarray(stops, float), *_PLACEMENT_RANGE, "stops"))
        for name, stops in (("placement", placement_stops), ("placement beside", beside_stops))
    )
    beside = there * (1 - gone * other) + gone * share * here
    inside = here * (1 - gone * share) + gone * other * there
    ground = _density(there, curve), _density(here, curve)
    return EdgeSteps(
        ground[0] - _density(beside, curve), ground[1] - _density(inside, curve), *ground
    )


def visible_step(density: float | FloatArray) -> FloatArray:
    """Return the density step that is just seen between neighbouring even areas.

    Parameters
    ----------
    density : float or ndarray
        Density of the ground [1], -1 to 5.

    Returns
    -------
    ndarray
        Step [density].

    Raises
    ------
    OutOfRange
        If a density lies outside its range.

    References
    ----------
    0.01 to 0.02 in highlights and mid-tones, 0.03 to 0.05 in deep shadows: common practice, no
    source.

    Examples
    --------
    >>> visible_step(np.array([0.3, 2.0])).tolist()
    [0.015, 0.04]
    """
    ground = all_in_range("density", np.asarray(density, float), -1.0, 5.0)
    return np.asarray(np.interp(ground, _STEP_DENSITIES, _VISIBLE_STEPS))


def chance_step_seen(step: float | FloatArray, density: float | FloatArray) -> FloatArray:
    """Return the chance that a density step is seen on a ground.

    Parameters
    ----------
    step : float or ndarray
        Step [density], of either sign.
    density : float or ndarray
        Density of the ground [1].

    Returns
    -------
    ndarray
        Chance [1].

    Raises
    ------
    OutOfRange
        If a density lies outside -1 to 5.

    References
    ----------
    As `visible_step`, with its factor of 1.5 as one standard deviation of the logarithm.

    Examples
    --------
    >>> [round(float(chance_step_seen(x, 0.5)), 2) for x in (0.005, 0.015, 0.05)]
    [0.0, 0.5, 1.0]
    """
    just = visible_step(density)
    size = np.maximum(np.abs(np.asarray(step, float)), 1e-12)
    return np.asarray(ndtr(np.log(size / just) / _STEP_LOG_SD))


def chance_moved(
    displacement_mm: float | FloatArray, log_sd: float | FloatArray, visible_mm: float
) -> FloatArray:
    """Return the chance that the steady image lies far enough off to be an edge of its own.

    Parameters
    ----------
    displacement_mm : float or ndarray
        Median of how far it lies off on the sheet [mm], 0 to 10 000.
    log_sd : float or ndarray
        Spread of its natural logarithm [1], 0 to 5.
    visible_mm : float
        What is seen as two edges instead of one [mm], above 0.

    Returns
    -------
    ndarray
        Chance [1].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> float(chance_moved(0.2, 0.5, 0.2)), float(chance_moved(0.0, 0.5, 0.2))
    (0.5, 0.0)
    """
    off = all_in_range("displacement", np.asarray(displacement_mm, float), *_DISTANCE_RANGE_MM)
    spread = all_in_range("spread of the displacement", np.asarray(log_sd, float), *_LOG_SD_RANGE)
    width = in_range("visible width", visible_mm, 1e-4, _DISTANCE_RANGE_MM[1], "mm")
    log_ratio = np.log(np.maximum(off, 1e-12) / width)
    return np.asarray(ndtr(log_ratio / np.maximum(spread, 1e-9)))


def chance_ghost_shows(
    steady_share: float | FloatArray,
    placement_stops: float | FloatArray,
    beside_stops: float | FloatArray,
    curve: ToneCurve,
    *,
    displacement_mm: float | FloatArray,
    displacement_log_sd: float | FloatArray,
    visible_mm: float,
    beside_share: float | FloatArray | None = None,
    away: float | FloatArray = AWAY,
) -> FloatArray:
    """Return the chance that a second edge shows.

    Parameters
    ----------
    steady_share, placement_stops, beside_stops, curve, beside_share, away
        As in `edge_steps`.
    displacement_mm, displacement_log_sd, visible_mm
        As in `chance_moved`: how far the sitter's image moves while it is open.

    Returns
    -------
    ndarray
        Chance [1]: the image is off far enough, and one of the two strips is seen.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    `edge_steps`, `chance_step_seen`, `chance_moved`.

    Examples
    --------
    >>> from stillroom.paper import ToneCurve
    >>> curve = ToneCurve(1.6, 1.0, 0.08, 1.9)
    >>> moved = {"displacement_mm": 0.5, "displacement_log_sd": 0.4, "visible_mm": 0.2}
    >>> shown = chance_ghost_shows(np.array([0.0, 0.05, 0.3]), 1.0, -2.0, curve, **moved)
    >>> bool(shown[0] < 0.01 < shown[1] < 0.9 < shown[2])
    True
    """
    steps = edge_steps(
        steady_share, placement_stops, beside_stops, curve, beside_share=beside_share, away=away
    )
    seen = np.maximum(
        chance_step_seen(steps.beside, steps.beside_density),
        chance_step_seen(steps.inside, steps.inside_density),
    )
    return chance_moved(displacement_mm, displacement_log_sd, visible_mm) * seen


def _density(exposure: FloatArray, curve: ToneCurve) -> FloatArray:
    at = np.log2(np.maximum(exposure, 1e-12))
    return density(at, curve.contrast_per_stop, curve.asymmetry, curve.dmin, curve.dmax)
