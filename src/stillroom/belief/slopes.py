"""How steeply the posterior rises at a state: what the cloud's last moves follow.

Only the slope; how likely a state is stands in `stillroom.belief.likelihood`. Written out by the
chain rule, from the tone back through curve, veil and light to the directions.
"""

from __future__ import annotations

import numpy as np

from stillroom.belief.affine import add_up
from stillroom.belief.evidence import IntArray
from stillroom.belief.likelihood import (
    KEPT_SLIP,
    STUDENT_NU,
    Curves,
    Likelihood,
    normal,
    window,
    word_chance,
    word_slope,
)
from stillroom.paper import CurveSlopes, curve_slopes
from stillroom.quantity import FloatArray

LEAST_CHANCE = 1e-12


def log_posterior_slope(
    likelihood: Likelihood, z: FloatArray, b: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Slope of the log posterior at each state.

    Parameters
    ----------
    likelihood : Likelihood
        The sitting's evidence, reduced.
    z, b : FloatArray
        States (states, directions) and shifts of sheets (states, sheets).

    Returns
    -------
    tuple of FloatArray
        In `z` and in `b`, each of the shape of its own.

    Notes
    -----
    Where a sheet was called kept, the aim's own move along an uncertain curve is left out: what
    follows the slope is accepted or not by the posterior itself.
    """
    by_z, by_b = _of_shifts(likelihood, z, b)
    by_z -= z
    e = likelihood.evidence
    if len(e.level_c):
        each = likelihood.metered.each(z)
        light = add_up(each)
        off = (np.log2(light) - e.level_value) / e.level_sd**2
        by_z += likelihood.metered.back(each, -off / (light * np.log(2)))
    if len(e.c):
        _add_tones(likelihood, z, b, by_z, by_b)
    return by_z, by_b


def _of_shifts(
    likelihood: Likelihood, z: FloatArray, b: FloatArray
) -> tuple[FloatArray, FloatArray]:
    sd = likelihood.sheet_sd(z)[:, None]
    good = likelihood.p_good(b, sd)
    spoiled_sd = likelihood.evidence.spoiled_sd
    by_b = -good * b / sd**2 - (1 - good) * b / spoiled_sd**2
    by_log_sd = (good * ((b / sd) ** 2 - 1)).sum(axis=1, keepdims=True)
    return likelihood.scatter.back(by_log_sd), np.asarray(by_b)


def _add_tones(
    likelihood: Likelihood, z: FloatArray, b: FloatArray, by_z: FloatArray, by_b: FloatArray
) -> None:
    e = likelihood.evidence
    each = likelihood.spots.each(z)
    light = add_up(each)
    veiled = likelihood.veiled(z, light)
    placed = np.log2(veiled) + b[:, e.sheet]
    by_placed = np.zeros_like(placed)
    if len(likelihood.toned):
        toned = placed[:, likelihood.toned]
        curves = likelihood.curves(z, likelihood.toned)
        slopes = curve_slopes(toned, curves.contrast, curves.asymmetry)
        tones = curves.dmin + (curves.dmax - curves.dmin) * slopes.fraction
        by_tone = _of_tones(likelihood, *likelihood.as_seen(z, tones))
        if likelihood.bias is not None:
            by_z += likelihood.bias.back(by_tone)
        by_toned, by_curve = _through_curve(toned, curves, slopes, by_tone)
        by_z += likelihood.curve.back(by_curve)
        to_spots = _rows(likelihood.toned, placed.shape[1])
        by_placed += by_toned @ to_spots
        if likelihood.filters is not None:
            by_z += likelihood.filters.back((by_toned * toned) @ to_spots)
    for spots, aims, kept in e.kept:
        deviation = placed[:, spots] - likelihood.curves(z, spots).placement_of_aims(aims)
        sd = e.region_sd[spots]
        landed = window(deviation, aims.tol, sd)
        together = landed.prod(axis=1, keepdims=True)
        sign = (1 - 2 * KEPT_SLIP) if kept else -(1 - 2 * KEPT_SLIP)
        chance = (KEPT_SLIP if kept else 1 - KEPT_SLIP) + sign * together
        edges = normal((-aims.tol - deviation) / sd) - normal((aims.tol - deviation) / sd)
        by_placed[:, spots] += (
            sign * together / chance * edges / sd / np.maximum(landed, LEAST_CHANCE)
        )
    by_b += by_placed @ _rows(e.sheet, b.shape[1])
    by_light = by_placed / (veiled * np.log(2))
    if likelihood.lanes is not None:
        share = np.exp2(likelihood.veil.at(z))
        mean = light @ likelihood.lanes.T
        by_share = (by_light * mean).sum(axis=1, keepdims=True)
        by_z += likelihood.veil.back(by_share * share * np.log(2))
        by_light = by_light + share * (by_light @ likelihood.lanes)
    by_z += likelihood.spots.back(each, by_light)


def _of_tones(likelihood: Likelihood, read: FloatArray, worded: FloatArray) -> FloatArray:
    """Slope in each tone as seen: densities read, then words said (states, tones)."""
    e = likelihood.evidence
    r = (e.density - read) / e.density_sd
    by_read = (STUDENT_NU + 1) * r / (STUDENT_NU + r * r) / e.density_sd
    by_worded = word_slope(e, worded) / word_chance(e, worded)
    return np.concatenate([by_read, by_worded], axis=1)


def _through_curve(
    placed: FloatArray, curves: Curves, slopes: CurveSlopes, by_tone: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """From slopes in tones to slopes in placements, and in the curve's four terms."""
    by_fraction = by_tone * (curves.dmax - curves.dmin)
    by_placed = by_fraction * slopes.by_placement
    by_curve = [
        by_placed * placed,
        by_fraction * slopes.by_log_asymmetry,
        by_tone * (1 - slopes.fraction),
        by_tone * slopes.fraction,
    ]
    return by_placed, np.column_stack([x.sum(axis=1) for x in by_curve])


def _rows(where: IntArray, columns: int) -> FloatArray:
    """A matrix that adds up what stands for the same column (entries, columns)."""
    found = np.zeros((len(where), columns))
    found[np.arange(len(where)), where] = 1.0
    return found
