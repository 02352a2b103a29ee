"""Where values on a grid stay at or below a level: closed lines round those places."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from contourpy import contour_generator

from stillroom.quantity import FloatArray

Ring: TypeAlias = FloatArray
"""Corners of one closed line, points by (column, row); the last joins the first."""

_OUTSIDE = 1.0  # how far above the level everything beyond the grid is taken to be


def rings_at_most(values: FloatArray, level: float) -> tuple[Ring, ...]:
    """Closed lines round all places where the values are at or below a level.

    Parameters
    ----------
    values : FloatArray
        Rows by columns, finite; between neighbours they are taken to run straight.
    level : float
        In the unit of the values.

    Returns
    -------
    tuple of FloatArray
        Each n by 2, as (column, row) in steps of the grid, the first column and row being 0. Where
        such a place meets the border of the grid its line runs less than one step outside. Holes
        are lines of their own: fill by the even-odd rule.

    References
    ----------
    Straight through each cell of four neighbours, by the mean of the four where its corners are
    in two minds: contourpy.

    Examples
    --------
    >>> (ring,) = rings_at_most(np.array([[3.0, 3, 3], [3, 1, 3], [3, 3, 3]]), 2)
    >>> sorted(map(tuple, ring.tolist()))
    [(0.5, 1.0), (1.0, 0.5), (1.0, 1.5), (1.5, 1.0)]
    """
    padded = np.pad(values, 1, constant_values=level + _OUTSIDE)
    lines = contour_generator(z=padded).lines(level)
    return tuple(np.asarray(line)[:-1] - 1 for line in lines)


def thinned(ring: Ring, tolerance: float) -> Ring:
    """The same line with fewer corners.

    Parameters
    ----------
    ring : FloatArray
        Corners, n by 2.
    tolerance : float
        How far a corner may stand off the line of its two neighbours and be left out [unit of
        `ring`]. Several rounds may add up to about twice that.

    Returns
    -------
    FloatArray
        At least three corners, in the same order.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [1, 0], [2, 0], [2, 1], [2, 2], [1, 2], [0, 2], [0, 1]])
    >>> thinned(square, 0.01).tolist()
    [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
    """
    while len(ring) > 6:
        off = _off_chord(ring, np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0))
        may_go = off <= tolerance
        # No two neighbours in one round: each is judged by corners that stay.
        odd, even = may_go.copy(), may_go
        odd[::2] = False
        even[1::2] = False
        even[-1] = False
        goes = odd if odd.any() else even
        if not goes.any():
            break
        ring = ring[~goes]
    return ring


def _off_chord(ring: Ring, before: Ring, after: Ring) -> FloatArray:
    """How far each corner stands off the straight line through its two neighbours."""
    along, out = after - before, ring - before
    length = np.hypot(along[:, 0], along[:, 1])
    across = np.abs(along[:, 0] * out[:, 1] - along[:, 1] * out[:, 0])
    bare = np.hypot(out[:, 0], out[:, 1])
    return np.where(length > 0, across / np.where(length > 0, length, 1), bare)
