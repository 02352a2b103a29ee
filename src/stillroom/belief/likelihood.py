"""How likely what was seen is, for many states of the world at once.

A state is a point `z` in the few directions of belief that the sitting's rows can feel, and one
shift `b` per sheet. All functions take states as rows: `z` (states, directions), `b` (states,
sheets).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from stillroom.belief.affine import Affine, Lights
from stillroom.belief.evidence import Aims, Evidence, IntArray
from stillroom.belief.words import SLIP_RATE, WORDS
from stillroom.paper import density, placement
from stillroom.quantity import FloatArray

STUDENT_NU = 4.0
"""Tails of a density reading: heavy enough for a stain."""
KEPT_SLIP = 0.03
"""How often *landed* or *not landed* is said wrongly."""
REACHABLE_SHARE = 0.004
"""Aims beyond what a curve can show are taken this share of its range inside the end."""


@dataclass(frozen=True, slots=True)
class Curves:
    """Tone curves of many states: each attribute has shape (states, 1).

    Where filters differ from one observation to the next, contrast has (states, observations).
    """

    contrast: FloatArray
    asymmetry: FloatArray
    dmin: FloatArray
    dmax: FloatArray

    @staticmethod
    def of(four: FloatArray, log_filter: FloatArray | None = None) -> Curves:
        """From (states, 4): log contrast, log asymmetry, Dmin, Dmax.

        `log_filter` (states, observations), or (states, 1), is what filters add to the first.
        """
        low = four[:, 2:3]
        log_contrast = four[:, 0:1] if log_filter is None else four[:, 0:1] + log_filter
        return Curves(
            np.exp(log_contrast),
            np.exp(four[:, 1:2]),
            low,
            np.maximum(four[:, 3:4], low + 0.2),
        )

    def density(self, placement_stops: FloatArray) -> FloatArray:
        """Densities of placements (states, n)."""
        return density(placement_stops, self.contrast, self.asymmetry, self.dmin, self.dmax)

    def placement_of_aims(self, aims: Aims) -> FloatArray:
        """Aims as placements under each state's own curve: (states, regions)."""
        span = self.dmax - self.dmin
        edge = REACHABLE_SHARE * span
        wanted = np.where(np.isnan(aims.density), self.dmin + span / 2, aims.density)
        inside = np.clip(wanted, self.dmin + edge, self.dmax - edge)
        found = placement(inside, self.contrast, self.asymmetry, self.dmin, self.dmax)
        return np.where(np.isnan(aims.placement), found, aims.placement)


class Likelihood:
    """The evidence of one sitting, reduced to the directions it can feel."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        belief = evidence.belief
        values, vectors = np.linalg.eigh(belief.covariance)
        self.root = vectors * np.sqrt(np.clip(values, 0.0, None))
        terms = len(belief.names)
        curve = list(evidence.curve)
        veil = [evidence.veil] if evidence.veil >= 0 else []
        rows = [
            evidence.a.reshape(-1, terms) @ self.root,
            evidence.level_a.reshape(-1, terms) @ self.root,
            evidence.density_bias @ self.root,
            evidence.word_bias @ self.root,
            self.root[[*curve, *veil, evidence.scatter]],
        ]
        has_filter = bool(evidence.filter_c.any() or evidence.filter_a.any())
        if has_filter:
            rows.append(evidence.filter_a @ self.root)
        felt = np.concatenate(rows)
        self.anything = bool(len(evidence.c) or len(evidence.level_c))
        self.directions = _row_space(felt) if self.anything else np.zeros((terms, 0))
        to_z = self.root @ self.directions
        self.size = self.directions.shape[1]
        self.spots = Lights.of(evidence.c + evidence.a @ belief.mean, evidence.a @ to_z)
        self.metered = Lights.of(
            evidence.level_c + evidence.level_a @ belief.mean, evidence.level_a @ to_z
        )

        def of_terms(terms: list[int]) -> Affine:
            return Affine(belief.mean[terms], to_z[terms])

        self.curve = of_terms(curve)
        self.filters: Affine | None = None
        """What filters add to the log contrast of each spot; None where none was on."""
        if has_filter:
            added = evidence.filter_c + evidence.filter_a @ belief.mean
            self.filters = Affine(added, evidence.filter_a @ to_z)
        self.veil = of_terms(veil)
        self.scatter = of_terms([evidence.scatter])
        bias = np.concatenate([evidence.density_bias, evidence.word_bias])
        self.bias = Affine(bias @ belief.mean, bias @ to_z) if bias.any() else None
        self.toned = np.concatenate([evidence.density_spot, evidence.word_spot])
        """The spots whose tones were read, then those that were called by a word."""
        self.lanes = self._veil_lanes()

    def _veil_lanes(self) -> FloatArray | None:
        """Averaging over the regions of each spot's strip (spots, spots)."""
        e = self.evidence
        if e.veil < 0 or not len(e.c):
            return None
        same = (e.strip[:, None] == e.strip[None, :]).astype(np.float64)
        return np.asarray(same / same.sum(axis=1, keepdims=True))

    # ---- predictions ----------------------------------------------------------------------

    def curves(self, z: FloatArray, spots: IntArray) -> Curves:
        """The states' tone curves, at these spots."""
        four = self.curve.at(z)
        return Curves.of(four) if self.filters is None else Curves.of(four, self._added(z, spots))

    def _added(self, z: FloatArray, spots: IntArray) -> FloatArray:
        """What filters add to the log contrast at some spots (states, spots)."""
        assert self.filters is not None  # noqa: S101 - narrows the type; the caller looked
        return Affine(self.filters.start[spots], self.filters.rows[spots]).at(z)

    def veiled(self, z: FloatArray, light: FloatArray) -> FloatArray:
        """Light (states, spots) with the share of the frame's mean that lands everywhere."""
        if self.lanes is None:
            return light
        return np.asarray(light + np.exp2(self.veil.at(z)) * (light @ self.lanes.T))

    def placements(self, z: FloatArray, b: FloatArray) -> FloatArray:
        """Placement of every spot (states, spots), sheet shift included."""
        light = self.veiled(z, self.spots.total(z))
        return np.log2(light) + b[:, self.evidence.sheet]

    def levels(self, z: FloatArray) -> FloatArray:
        """What each meter or control strip should show (states, readings), log2."""
        return np.log2(self.metered.total(z))

    def tones(self, z: FloatArray, placed: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Tones as their readers see them: of densities read, of words said (states, ...)."""
        return self.as_seen(z, self.curves(z, self.toned).density(placed[:, self.toned]))

    def as_seen(self, z: FloatArray, tones: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Tones of `toned` spots with their readers' bias: of densities, of words."""
        read = len(self.evidence.density)
        if self.bias is not None:
            tones = tones + self.bias.at(z)
        return tones[:, :read], tones[:, read:]

    def sheet_sd(self, z: FloatArray) -> FloatArray:
        """Scatter from sheet to sheet of each state (states,) [stops]."""
        return np.asarray(self.evidence.sheet_sd * np.exp(self.scatter.at(z)[:, 0]))

    # ---- how likely -----------------------------------------------------------------------

    def log_posterior(self, z: FloatArray, b: FloatArray) -> FloatArray:
        """Log density of states given all that was seen (states,), but for a constant."""
        shifts = self.log_shifts(b, self.sheet_sd(z)[:, None]).sum(axis=1)
        return np.asarray(self.log_seen(z, b) + shifts - 0.5 * (z * z).sum(axis=1))

    def log_shifts(self, b: FloatArray, sheet_sd: FloatArray | float) -> FloatArray:
        """Log density of each sheet's shift (states, sheets), but for a constant.

        `sheet_sd` (states, 1) is the scatter of a sheet that is not spoiled.
        """
        e = self.evidence
        good = np.log1p(-e.spoiled_rate) - np.log(sheet_sd) - 0.5 * (b / sheet_sd) ** 2
        return np.asarray(np.logaddexp(good, self.log_spoiled(b)))

    def p_good(self, b: FloatArray, sheet_sd: FloatArray | float) -> FloatArray:
        """How likely each sheet with its shift is a good one (states, sheets)."""
        return np.asarray(1 - np.exp(self.log_spoiled(b) - self.log_shifts(b, sheet_sd)))

    def log_spoiled(self, b: FloatArray) -> FloatArray:
        """The spoiled sheet's part of `log_shifts`."""
        e = self.evidence
        rate = np.log(e.spoiled_rate + 1e-300) - math.log(e.spoiled_sd)
        return np.asarray(rate - 0.5 * (b / e.spoiled_sd) ** 2)

    def log_seen(self, z: FloatArray, b: FloatArray) -> FloatArray:
        """Log likelihood of everything observed (states,)."""
        e = self.evidence
        total = np.zeros(len(z))
        if len(e.level_c):
            level = self.levels(z)
            total -= 0.5 * (((level - e.level_value) / e.level_sd) ** 2).sum(axis=1)
        if not len(e.c):
            return total
        placed = self.placements(z, b)
        read, worded = self.tones(z, placed)
        if len(e.density):
            r = (e.density - read) / e.density_sd
            total -= 0.5 * (STUDENT_NU + 1) * np.log1p(r * r / STUDENT_NU).sum(axis=1)
        if len(e.word_spot):
            total += np.log(word_chance(e, worded)).sum(axis=1)
        for spots, aims, kept in e.kept:
            deviation = placed[:, spots] - self.curves(z, spots).placement_of_aims(aims)
            landed = window(deviation, aims.tol, e.region_sd[spots]).prod(axis=1)
            chance = KEPT_SLIP + (1 - 2 * KEPT_SLIP) * landed
            total += np.log(chance if kept else 1 - chance)
        return total


def word_chance(e: Evidence, tone: FloatArray, k: int | slice = slice(None)) -> FloatArray:
    """Chance of each word that was said at tones as seen (..., words), or of the one word `k`."""
    below = ndtr((e.word_high[k] - tone) / e.word_high_sd[k])
    inside = below - ndtr((e.word_low[k] - tone) / e.word_low_sd[k])
    plain = SLIP_RATE / len(WORDS)
    return np.asarray((1 - SLIP_RATE) * e.word_share[k] * np.clip(inside, 0, 1) + plain)


def word_slope(e: Evidence, tone: FloatArray) -> FloatArray:
    """First derivative of `word_chance` in the tone (..., words)."""
    high = normal((e.word_high - tone) / e.word_high_sd) / e.word_high_sd
    low = normal((e.word_low - tone) / e.word_low_sd) / e.word_low_sd
    return np.asarray(-(1 - SLIP_RATE) * e.word_share * (high - low))


def word_bend(e: Evidence, tone: FloatArray) -> FloatArray:
    """Second derivative of `word_chance` in the tone (..., words)."""
    high = (e.word_high - tone) / e.word_high_sd
    low = (e.word_low - tone) / e.word_low_sd
    at_high = _times(high, normal(high)) / e.word_high_sd**2
    at_low = _times(low, normal(low)) / e.word_low_sd**2
    return np.asarray(-(1 - SLIP_RATE) * e.word_share * (at_high - at_low))


def normal(x: FloatArray) -> FloatArray:
    """Density of the normal law; 0 at infinity."""
    return np.asarray(np.exp(-0.5 * x * x) / math.sqrt(2 * math.pi))


def _times(x: FloatArray, weight: FloatArray) -> FloatArray:
    """``x * weight`` where a weight of 0 wins over an infinite `x`."""
    return np.asarray(np.where(weight > 0, np.where(np.isfinite(x), x, 0.0), 0.0) * weight)


def window(deviation: FloatArray, tol: FloatArray, sd: FloatArray | float) -> FloatArray:
    """Chance that a deviation falls within +-tol once its own scatter is added."""
    return np.asarray(ndtr((tol - deviation) / sd) - ndtr((-tol - deviation) / sd))


def _row_space(rows: FloatArray) -> FloatArray:
    """An orthonormal basis (columns) of the space the rows span."""
    _, values, vectors = np.linalg.svd(rows, full_matrices=False)
    rank = int((values > 1e-9 * max(1.0, float(values.max(initial=0.0)))).sum())
    return np.ascontiguousarray(vectors[:rank].T)
