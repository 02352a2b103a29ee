"""The two movements of a head, and what one opening sees of them.

Both are Gaussian, and each is alike and independent in every direction:

* *sway*, a stationary Gaussian movement about a dominant frequency. Its path must have a length,
  so a walk of independent steps will not do: its correlation is ``exp(-(t/tau)**2 / 2) cos(2 pi
  f t)``, a hump in the spectrum.
* *drift*, a walk that keeps its direction for about a second: straight for short times, for long
  ones growing with the root of the time.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from stillroom.quantity import FloatArray

OPEN_RANGE_S = (0.00001, 600.0)
SWAY_HZ = 0.365  # between 0.39 sideways and 0.34 fore and aft, standing; taken for all supports
SWAY_WIDTH_HZ = 0.15  # invented: half-width of the hump in the spectrum of the sway
DRIFT_PERSISTS_S = 1.0  # invented: how long drift keeps its direction


@cache
def moments() -> tuple[FloatArray, FloatArray]:
    """Logarithms of open times and of five moments of the spread, for sway and drift of 1.

    Rows: mean square of sway, of drift; sums of squared eigenvalues of the covariance about the
    mean for sway, for both together (mixed), for drift.
    """
    times = np.geomspace(*OPEN_RANGE_S, 241)
    table = np.array([moments_at(t) for t in times]).T
    return np.log(times), np.log(table)


def moments_at(t: float, n: int = 2048) -> tuple[float, float, float, float, float]:
    """Five moments for one open time, on `n` moments evenly apart.

    Both movements have stationary increments, so minus half the structure function serves as the
    covariance once the mean over the opening is taken out, and no digits are lost at short times.
    """
    lags: FloatArray = np.arange(n, dtype=np.float64) * (t / n)
    kernels = [-sway_structure(lags) / 2, -drift_structure(lags) / 2]
    pairs = 2.0 * (n - np.arange(n))
    pairs[0] = n
    rows = []
    for kernel in kernels:
        summed = np.cumsum(kernel)
        rows.append((summed + summed[::-1] - kernel[0]) / n)
    means = [float(row.mean()) for row in rows]

    def product(a: int, b: int) -> float:
        whole = float(pairs @ (kernels[a] * kernels[b])) - 2 * n * float(rows[a] @ rows[b])
        return whole / n**2 + means[a] * means[b]

    return -means[0], -means[1], product(0, 0), product(0, 1), product(1, 1)


def sway_structure(lag_s: FloatArray) -> FloatArray:
    """Mean square change of a sway of 1 over a lag; exact for the shortest ones too."""
    fade = (2 * math.pi * SWAY_WIDTH_HZ * lag_s) ** 2 / 2
    turn = math.pi * SWAY_HZ * lag_s
    structure: FloatArray = 2 * (-np.expm1(-fade) + np.exp(-fade) * 2 * np.sin(turn) ** 2)
    return structure


def drift_structure(lag_s: FloatArray) -> FloatArray:
    """Mean square change of a drift of 1 over a lag."""
    part = lag_s / DRIFT_PERSISTS_S
    walked = np.where(
        part < 1e-3, part**2 / 2 * (1 - part / 3), part + np.expm1(-part)
    )  # the series where the difference would lose its digits
    structure: FloatArray = DRIFT_PERSISTS_S * walked
    return structure
