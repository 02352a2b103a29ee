"""Linear parts of the likelihood: what a state gives, and how a slope runs back to the state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stillroom.quantity import FloatArray

LEAST_LIGHT = 1e-30


@dataclass(frozen=True, slots=True)
class Affine:
    """``start + z @ rows.T``: start (n,), rows (n, directions)."""

    start: FloatArray
    rows: FloatArray

    def at(self, z: FloatArray) -> FloatArray:
        """Values at states z (states, directions): (states, n)."""
        return np.asarray(self.start + z @ self.rows.T)

    def back(self, slope: FloatArray) -> FloatArray:
        """Slope in the directions (states, directions) from slopes in the values (states, n)."""
        return np.asarray(slope @ self.rows)


@dataclass(frozen=True, slots=True)
class Lights:
    """Sources whose logarithms are affine and which add as light, a row for each spot."""

    stops: Affine
    shape: tuple[int, int]
    """Rows, and sources in each."""

    @staticmethod
    def of(c: FloatArray, a: FloatArray) -> Lights:
        """From c (rows, sources) and a (rows, sources, directions) [stops]."""
        rows, sources, directions = a.shape
        flat = Affine(c.reshape(-1), a.reshape(rows * sources, directions))
        return Lights(flat, (rows, sources))

    def each(self, z: FloatArray) -> FloatArray:
        """Light of each source (states, rows, sources)."""
        return np.exp2(self.stops.at(z)).reshape(len(z), *self.shape)

    def total(self, z: FloatArray) -> FloatArray:
        """Light of all sources together (states, rows)."""
        return add_up(self.each(z))

    def back(self, each: FloatArray, slope: FloatArray) -> FloatArray:
        """Slope in the directions from slopes (states, rows) in the light, given `each`."""
        by_log2 = np.log(2) * slope[:, :, None] * each
        return self.stops.back(by_log2.reshape(len(each), self.shape[0] * self.shape[1]))


def add_up(each: FloatArray) -> FloatArray:
    """Sources (states, rows, sources) added as light, never quite dark: it has a logarithm."""
    return np.asarray(np.maximum(each.sum(axis=2), LEAST_LIGHT))
