"""Ghosts: a second edge from steady light while shutter or cap are open about a flash.

The flash freezes the sitter where they are; steady light paints them wherever they are while it
is open. Where they were elsewhere for a share of that time, two strips lie along the edge: beside
it the steady image covers what stands behind, inside it what stands behind shows through.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.special import ndtr, ndtri

from stillroom.errors import in_range
from stillroom.paper import density
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

AWAY = 0.5
"""Share of the open time that a moving head is beyond where the flash caught it, where only one
number will do: half of it. `chance_ghost_shows` works it out instead."""

# Visible step between neighbouring even areas: 0.01 to 0.02 in highlights and mid-tones, 0.03 to
# 0.05 in deep shadows, within a factor of 1.5 (practice: common practice, no source).
_STEP_DENSITIES = (1.2, 1.8)
_VISIBLE_STEPS = (0.015, 0.04)
_STEP_LOG_SD = math.log(1.5)

_SHARE_RANGE = (0.0, 1.0)
_PLACEMENT_RANGE = (-40.0, 40.0)
_LOG_SD_RANGE = (0.0, 5.0)
_DISTANCE_RANGE_MM = (0.0, 10_000.0)
_STREAKS, _MOMENTS = 12, 4
_LEAST = 1e-12


class Tones(Protocol):
    """A tone curve, or many of them at once: `ToneCurve`, or `ManyTones`."""

    @property
    def contrast_per_stop(self) -> float | FloatArray:
        """Contrast kappa [1/stop]."""

    @property
    def asymmetry(self) -> float | FloatArray:
        """Asymmetry nu [1]."""

    @property
    def dmin(self) -> float | FloatArray:
        """Least density."""

    @property
    def dmax(self) -> float | FloatArray:
        """Greatest density."""


@dataclass(frozen=True, slots=True)
class ManyTones:
    """Tone curves as arrays of one shape that goes with the shares they are asked with."""

    contrast_per_stop: FloatArray
    asymmetry: FloatArray
    dmin: FloatArray
    dmax: FloatArray


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
    curve: Tones,
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
    curve : Tones
        The paper's: a `ToneCurve`, or many of them as `ManyTones`.
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
    size = np.maximum(np.abs(np.asarray(step, float)), _LEAST)
    return np.asarray(ndtr(np.log(size / just) / _STEP_LOG_SD))


def share_beyond(
    displacement_mm: float | FloatArray, visible_mm: float, pop_at: float | FloatArray
) -> FloatArray:
    """Return the share of the open time that an edge is farther off than can pass unseen.

    The steady image is taken as an even streak along the way the head went; the flash caught it
    somewhere on that way, and on the side that is farther the edge lies beyond it.

    Parameters
    ----------
    displacement_mm : float or ndarray
        Length of the streak on the sheet [mm], 0 to 10 000: the smear of the opening.
    visible_mm : float
        What is seen as two edges instead of one [mm], 0.0001 to 10 000: the smear that is allowed.
    pop_at : float or ndarray
        When the flash came, as a share of the way [1], 0 to 1; of a shape that goes with the
        displacement.

    Returns
    -------
    ndarray
        Share of the time [1]; 0 where the streak is too short to make an edge.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    ``max(u, 1 - u) - w / b``; held against heads that move step by step.

    Examples
    --------
    >>> share_beyond(np.array([0.1, 0.4, 2.0]), 0.2, 0.5).tolist()
    [0.0, 0.0, 0.4]
    """
    off = all_in_range("displacement", np.asarray(displacement_mm, float), *_DISTANCE_RANGE_MM)
    width = in_range("visible width", visible_mm, 1e-4, _DISTANCE_RANGE_MM[1], "mm")
    at = all_in_range("moment of the pop", np.asarray(pop_at, float), 0.0, 1.0)
    return np.maximum(np.maximum(at, 1 - at) - width / np.maximum(off, _LEAST), 0.0)


def chance_ghost_shows(
    steady_share: float | FloatArray,
    placement_stops: float | FloatArray,
    beside_stops: float | FloatArray,
    curve: Tones,
    *,
    displacement_mm: float | FloatArray,
    displacement_log_sd: float | FloatArray,
    visible_mm: float,
    beside_share: float | FloatArray | None = None,
    away: float | None = None,
) -> FloatArray:
    """Return the chance that a second edge shows.

    Parameters
    ----------
    steady_share, placement_stops, beside_stops, curve, beside_share
        As in `edge_steps`.
    displacement_mm, displacement_log_sd : float or ndarray
        How far the sitter's image moves while it is open: median [mm], 0 to 10 000, and spread of
        its natural logarithm [1], 0 to 5.
    visible_mm : float
        What is seen as two edges instead of one [mm].
    away : float, optional
        The whole second image lies at the displacement for this share of the open time, as that
        of a second pop does; a head that drifts along its smear unless given.

    Returns
    -------
    ndarray
        Chance [1] that a tone which differs visibly from its ground lies farther from the edge
        than can pass unseen; of the shape the arrays have together.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    `edge_steps`, `chance_step_seen`, `share_beyond`, summed over the distribution of the
    displacement and over moments of the pop, each as likely; held against heads that move step by
    step.

    Examples
    --------
    >>> from stillroom.paper import ToneCurve
    >>> curve = ToneCurve(1.6, 1.0, 0.08, 1.9)
    >>> moved = {"displacement_mm": 0.5, "displacement_log_sd": 0.4, "visible_mm": 0.2}
    >>> shown = chance_ghost_shows(np.array([0.0, 0.02, 0.3]), 1.0, -2.0, curve, **moved)
    >>> bool(shown[0] < shown[1] < 0.1 < 0.5 < shown[2])
    True
    """
    off = all_in_range("displacement", np.asarray(displacement_mm, float), *_DISTANCE_RANGE_MM)
    spread = all_in_range(
        "spread of the displacement", np.asarray(displacement_log_sd, float), *_LOG_SD_RANGE
    )
    scores = ndtri((np.arange(_STREAKS) + 0.5) / _STREAKS)
    scores = scores.reshape(-1, *[1] * max(off.ndim, spread.ndim))
    streaks = np.minimum(off * np.exp(spread * scores), _DISTANCE_RANGE_MM[1])
    if away is None:
        moments = 0.5 + (np.arange(_MOMENTS) + 0.5) / (2 * _MOMENTS)
        gone = np.concatenate([share_beyond(streaks, visible_mm, float(at)) for at in moments])
    else:
        gone = np.where(streaks >= visible_mm, away, 0.0)

    def seen(times_away: FloatArray) -> FloatArray:
        steps = edge_steps(
            steady_share,
            placement_stops,
            beside_stops,
            curve,
            beside_share=beside_share,
            away=times_away,
        )
        return _step_seen(steps)

    if off.ndim == spread.ndim == 0:
        # One movement for all: many short streaks make no edge at all, and count as one.
        some, counts = np.unique(gone, return_counts=True)
        beside = steady_share if beside_share is None else beside_share
        asked = (steady_share, placement_stops, beside_stops, beside, curve.dmin)
        every = seen(some.reshape(-1, *[1] * max(np.ndim(x) for x in asked)))
        return np.asarray(np.tensordot(counts / len(gone), every, axes=1))
    total = np.zeros(())
    for times_away in gone:
        total = total + seen(times_away)
    return np.asarray(total / len(gone))


def chance_shines_through(
    steady_share: float | FloatArray,
    placement_stops: float | FloatArray,
    behind_stops: float | FloatArray,
    curve: Tones,
    *,
    away: float | FloatArray,
    behind_share: float | FloatArray | None = None,
) -> FloatArray:
    """Return the chance that what stands behind is seen through a sitter who was gone for a while.

    Parameters
    ----------
    steady_share, placement_stops, curve
        As in `edge_steps`.
    behind_stops, behind_share : float or ndarray
        Placement of what stands behind [stops] and steady light's share there [1]; as at the
        sitter unless given.
    away : float or ndarray
        Share of the open time in which the sitter is not in place [1].

    Returns
    -------
    ndarray
        Chance [1].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    `edge_steps`, inside the sitter, against the sitter before a ground that stays black: behind
    them lie lighter things and black ones.

    Examples
    --------
    >>> from stillroom.paper import ToneCurve
    >>> curve = ToneCurve(1.6, 1.0, 0.08, 1.9)
    >>> through = chance_shines_through(0.3, 0.3, np.array([-6.0, 0.0]), curve, away=0.5)
    >>> bool(through[0] < 0.1 < 0.9 < through[1])
    True
    """
    lit = edge_steps(
        steady_share, placement_stops, behind_stops, curve, beside_share=behind_share, away=away
    )
    black = edge_steps(steady_share, placement_stops, -40.0, curve, away=away)
    shown = lit.inside - black.inside
    return chance_step_seen(shown, lit.inside_density - black.inside)


def open_s_for_share(
    steady_share: float, open_s: float, wanted_share: float, loss_per_doubling_stops: float
) -> float:
    """Return the open time that gives steady light a wanted share, the flash left alone.

    Parameters
    ----------
    steady_share : float
        Its share at `open_s` [1], above 0, below 1.
    open_s : float
        Open time it was reckoned for [s], 0.00001 to 86 400.
    wanted_share : float
        Wanted [1], above 0, below 1: 0.5 is as much by steady light as by flash.
    loss_per_doubling_stops : float
        Of steady light past one second [stops], 0 to 0.9; of paper 0.1.

    Returns
    -------
    float
        Open time [s].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    Shares of a sum, and the reciprocity law of `stillroom.paper.reciprocity_stops`.

    Examples
    --------
    >>> open_s_for_share(0.25, 0.5, 0.4, 0.1)
    1.0
    """
    now = in_range("share of steady light", steady_share, 1e-9, 1 - 1e-9)
    wanted = in_range("wanted share", wanted_share, 1e-9, 1 - 1e-9)
    loss = in_range("loss per doubling", loss_per_doubling_stops, 0.0, 0.9, "stops")
    stops = math.log2(in_range("open time", open_s, 1e-5, 86_400.0, "s"))
    gained = math.log2(wanted / (1 - wanted) * (1 - now) / now)
    reached = stops - loss * max(stops, 0.0) + gained
    return float(2.0 ** (reached / (1 - loss) if reached > 0 else reached))


def _step_seen(steps: EdgeSteps) -> FloatArray:
    return np.maximum(
        chance_step_seen(steps.beside, steps.beside_density),
        chance_step_seen(steps.inside, steps.inside_density),
    )


def _density(exposure: FloatArray, curve: Tones) -> FloatArray:
    at = np.log2(np.maximum(exposure, _LEAST))
    return density(at, curve.contrast_per_stop, curve.asymmetry, curve.dmin, curve.dmax)
