"""Where values on a grid stay at or below a level: closed lines round those places."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from stillroom.quantity import FloatArray

Ring: TypeAlias = FloatArray
"""Corners of one closed line, points by (column, row); the last joins the first."""

_OUTSIDE = 1.0  # how far above the level everything beyond the grid is taken to be

# Edges of a cell of four neighbours, and for each of its sixteen states which edges a line joins,
# always with the lower side on the same hand, so that lines of neighbouring cells go on into each
# other. Bits: top left 1, top right 2, bottom right 4, bottom left 8.
_TOP, _RIGHT, _BOTTOM, _LEFT = range(4)
_JOINED: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((_TOP, _LEFT),),
    2: ((_RIGHT, _TOP),),
    3: ((_RIGHT, _LEFT),),
    4: ((_BOTTOM, _RIGHT),),
    6: ((_BOTTOM, _TOP),),
    7: ((_BOTTOM, _LEFT),),
    8: ((_LEFT, _BOTTOM),),
    9: ((_TOP, _BOTTOM),),
    11: ((_RIGHT, _BOTTOM),),
    12: ((_LEFT, _RIGHT),),
    13: ((_TOP, _RIGHT),),
    14: ((_LEFT, _TOP),),
}
# Two opposite corners below the level: together where the middle of the cell is below it too.
_JOINED_APART = {5: ((_TOP, _LEFT), (_BOTTOM, _RIGHT)), 10: ((_RIGHT, _TOP), (_LEFT, _BOTTOM))}
_JOINED_ACROSS = {5: ((_TOP, _RIGHT), (_BOTTOM, _LEFT)), 10: ((_LEFT, _TOP), (_RIGHT, _BOTTOM))}


class _Edges(NamedTuple):
    """Lines across cells as pairs of numbered edges."""

    begins: NDArray[np.intp]
    ends: NDArray[np.intp]


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
    Lines through the cells of a grid by their four corners (common practice, no source).

    Examples
    --------
    >>> (ring,) = rings_at_most(np.array([[3.0, 3, 3], [3, 1, 3], [3, 3, 3]]), 2)
    >>> sorted(map(tuple, ring.tolist()))
    [(0.5, 1.0), (1.0, 0.5), (1.0, 1.5), (1.5, 1.0)]
    """
    padded = np.pad(values, 1, constant_values=level + _OUTSIDE)
    below = padded <= level
    if not below.any():
        return ()
    edges = _lines(padded, below, level)
    after = dict(zip(edges.begins.tolist(), edges.ends.tolist(), strict=True))
    points = _crossings(padded, level)
    rings = []
    while after:
        first, here = after.popitem()
        walked = [first]
        while here != first:
            walked.append(here)
            here = after.pop(here)
        rings.append(points(np.array(walked)) - 1)
    return tuple(rings)


def _lines(padded: FloatArray, below: NDArray[np.bool_], level: float) -> _Edges:
    rows, columns = padded.shape
    one = below.astype(np.intp)
    state = one[:-1, :-1] + 2 * one[:-1, 1:] + 4 * one[1:, 1:] + 8 * one[1:, :-1]
    middle = (padded[:-1, :-1] + padded[:-1, 1:] + padded[1:, 1:] + padded[1:, :-1]) / 4
    begins, ends = [], []

    def join(cells: NDArray[np.bool_], joined: tuple[tuple[int, int], ...]) -> None:
        r, c = np.nonzero(cells)
        # Edges along a row come first, those along a column after them.
        numbered = (
            r * columns + c,
            rows * columns + r * columns + c + 1,
            (r + 1) * columns + c,
            rows * columns + r * columns + c,
        )
        for begin, end in joined:
            begins.append(numbered[begin])
            ends.append(numbered[end])

    for kind, joined in _JOINED.items():
        join(state == kind, joined)
    for kind, joined in _JOINED_APART.items():
        join((state == kind) & (middle > level), joined)
    for kind, joined in _JOINED_ACROSS.items():
        join((state == kind) & (middle <= level), joined)
    return _Edges(np.concatenate(begins), np.concatenate(ends))


def _crossings(padded: FloatArray, level: float) -> Callable[[NDArray[np.intp]], Ring]:
    """Where the numbered edges cross the level, as (column, row) of the padded grid."""
    rows, columns = padded.shape
    flat = padded.ravel()

    def points(edges: NDArray[np.intp]) -> Ring:
        down = edges >= rows * columns
        begin = np.where(down, edges - rows * columns, edges)
        end = begin + np.where(down, columns, 1)
        share = (level - flat[begin]) / (flat[end] - flat[begin])
        row, column = np.divmod(begin, columns)
        return np.column_stack((column + np.where(down, 0, share), row + np.where(down, share, 0)))

    return points


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
