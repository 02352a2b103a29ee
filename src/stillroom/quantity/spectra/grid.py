"""The grid of wavelengths on which spectra meet, and the integral over it."""

from __future__ import annotations

import numpy as np

from stillroom.quantity.arrays import FloatArray

SHORTEST_NM = 300
LONGEST_NM = 780
GRID_NM: FloatArray = np.arange(SHORTEST_NM, LONGEST_NM + 1, dtype=np.float64)
"""300 to 780 nm in steps of 1 nm; read only."""
GRID_NM.setflags(write=False)

_STEPS: FloatArray = np.ones_like(GRID_NM)
_STEPS[[0, -1]] = 0.5
_STEPS.setflags(write=False)


def integral(values: FloatArray) -> FloatArray:
    """Return the integral over the grid, by the trapezoid rule.

    Parameters
    ----------
    values : FloatArray
        What is summed, on `GRID_NM` along its last axis [unit per nm].

    Returns
    -------
    FloatArray
        Integral [that unit], without the last axis.

    Notes
    -----
    Exact for what is linear between whole nanometres.

    References
    ----------
    Trapezoid rule.

    Examples
    --------
    >>> float(integral(np.ones(481)))
    480.0
    """
    return np.asarray(values @ _STEPS)


def on_grid(wavelength_nm: FloatArray, values: FloatArray) -> FloatArray:
    """Return a table on the grid: linear between its points, zero outside them.

    Parameters
    ----------
    wavelength_nm : FloatArray
        Wavelengths of the table, ascending [nm].
    values : FloatArray
        One value each [any].

    Returns
    -------
    FloatArray
        The values on `GRID_NM`.

    References
    ----------
    Linear interpolation, as CIE 15 allows for tables in steps of 5 nm (from memory).

    Examples
    --------
    >>> seen = on_grid(np.array([400.0, 410.0]), np.array([0.0, 1.0]))
    >>> float(seen[105]), float(seen[111])  # 405 nm, 411 nm
    (0.5, 0.0)
    """
    return np.interp(GRID_NM, wavelength_nm, values, left=0.0, right=0.0)


def folded(weights: FloatArray, wavelength_nm: FloatArray) -> FloatArray:
    """Return weights on a coarser grid that give the same integral in one dot product.

    Parameters
    ----------
    weights : FloatArray
        Weights on `GRID_NM`: ``integral(weights * values)`` is wanted [any].
    wavelength_nm : FloatArray
        Wavelengths of the coarser table, ascending [nm].

    Returns
    -------
    FloatArray
        ``w`` so that ``w @ table`` equals ``integral(weights * on_grid(wavelength_nm, table))``.

    Notes
    -----
    Exact, because linear interpolation is itself a sum over the table's points.

    References
    ----------
    The hat functions of linear interpolation.

    Examples
    --------
    >>> coarse = np.array([300.0, 400.0, 780.0])
    >>> w = folded(np.ones(481), coarse)
    >>> round(float(w @ np.array([1.0, 1.0, 1.0])), 9)
    480.0
    """
    left = np.clip(np.searchsorted(wavelength_nm, GRID_NM, "right") - 1, 0, len(wavelength_nm) - 2)
    share = (GRID_NM - wavelength_nm[left]) / (wavelength_nm[left + 1] - wavelength_nm[left])
    within = (share >= 0) & (share <= 1)
    amount = np.where(within, weights * _STEPS, 0.0)
    size = len(wavelength_nm)
    lower = np.bincount(left, weights=amount * (1 - share), minlength=size)
    upper = np.bincount(left + 1, weights=amount * share, minlength=size)
    return np.asarray(lower + upper, dtype=np.float64)
