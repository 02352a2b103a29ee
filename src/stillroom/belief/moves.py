"""Moves of the cloud: states wander, and the law they stand for stays what it is.

References
----------
Preconditioned Crank-Nicolson proposal (Cotter, Roberts, Stuart and White 2013), with the cloud's
own mean and covariance, and kept reversible about a Student-t law instead of a normal one by
drawing its scale anew for each move (Grumitt, Karamanis and Seljak 2024). Hamiltonian moves by
leapfrog (Duane, Kennedy, Pendleton and Roweth 1987; Neal 2011). All from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from stillroom.quantity import FloatArray

LogDensity = Callable[[FloatArray], FloatArray]
Slope = Callable[[FloatArray], FloatArray]

MOVE_NU = 5.0
"""Tails of the moves: sheets that may be spoiled give belief heavier ones than the normal law."""
FIRST_LENGTH = 0.6
LENGTHS = (0.05, 0.95)
TAKEN_SHARE = 0.35
"""Moves are lengthened or shortened towards so many taken."""
LEAST_VARIANCE = 1e-9

TRAJECTORIES = 4
LEAPS = 5
FIRST_LEAP = 0.45
"""Spreads of the cloud to a leap; five are more than a quarter of a swing (1.57), so that where a
state ends up hardly depends on where it began."""
LEAP_VARIES = 0.2
FOLLOWED_SHARE = 0.75


@dataclass(frozen=True, slots=True)
class Whitened:
    """The cloud's own measure: ``x = mean + y @ root.T``, with `y` of unit spread."""

    mean: FloatArray
    root: FloatArray

    @staticmethod
    def of(x: FloatArray) -> tuple[Whitened, FloatArray]:
        """The measure of states x (states, size), and they themselves in it."""
        mean = x.mean(axis=0)
        centred = x - mean
        covariance = centred.T @ centred / len(x)
        covariance[range(x.shape[1]), range(x.shape[1])] += LEAST_VARIANCE
        root = np.linalg.cholesky(covariance)
        return Whitened(mean, root), np.linalg.solve(root, centred.T).T

    def back(self, y: FloatArray) -> FloatArray:
        """States x of states y."""
        return np.asarray(self.mean + y @ self.root.T)


@dataclass(frozen=True, slots=True)
class Tempered:
    """States (states, size) with their log densities under the target and the start."""

    x: FloatArray
    at_target: FloatArray
    at_start: FloatArray

    def chosen(self, which: np.ndarray) -> Tempered:
        """Some of the states, as often as they are named."""
        return Tempered(self.x[which], self.at_target[which], self.at_start[which])


def wander(
    states: Tempered,
    log_target: LogDensity,
    log_start: LogDensity,
    *,
    heat: float,
    moves: int,
    rng: np.random.Generator,
) -> Tempered:
    """Move states that follow target and start, mixed by `heat` in logarithms, and need no slope.

    Parameters
    ----------
    states : Tempered
        Where they stand.
    log_target, log_start : callable
        Log densities of states (states, size), but for a constant.
    heat : float
        Share of the target, 0 to 1.
    moves : int
        How many moves each is offered.
    rng : numpy Generator
        The sitting's own stream.

    Returns
    -------
    Tempered
    """
    measure, y = Whitened.of(states.x)
    x, at_target, at_start = states.x.copy(), states.at_target, states.at_start
    length = FIRST_LENGTH
    freedom = MOVE_NU + x.shape[1]
    for _ in range(moves):
        distance = (y * y).sum(axis=1)
        scale = np.sqrt((MOVE_NU + distance) / rng.chisquare(freedom, len(y)))
        new_y = length * scale[:, None] * rng.standard_normal(y.shape)
        new_y += math.sqrt(1 - length**2) * y
        new_distance = (new_y * new_y).sum(axis=1)
        new_x = measure.back(new_y)
        new_target, new_start = log_target(new_x), log_start(new_x)
        log_accept = (
            heat * (new_target - at_target)
            + (1 - heat) * (new_start - at_start)
            + 0.5 * freedom * (np.log1p(new_distance / MOVE_NU) - np.log1p(distance / MOVE_NU))
        )
        accept = np.log(rng.random(len(x))) < log_accept
        y[accept], x[accept] = new_y[accept], new_x[accept]
        at_target = np.where(accept, new_target, at_target)
        at_start = np.where(accept, new_start, at_start)
        length *= math.exp(float(accept.mean()) - TAKEN_SHARE)
        length = min(LENGTHS[1], max(LENGTHS[0], length))
    return Tempered(x, at_target, at_start)


def follow_slope(
    states: Tempered, log_target: LogDensity, slope: Slope, rng: np.random.Generator
) -> FloatArray:
    """Move states that follow the target along its slope.

    Parameters
    ----------
    states : Tempered
        Where they stand.
    log_target, slope : callable
        Log density of states (states, size), but for a constant, and its slope (states, size).
        A slope that is a little wrong makes fewer trajectories count, and no state wrong.
    rng : numpy Generator
        The sitting's own stream.

    Returns
    -------
    FloatArray
        The states after `TRAJECTORIES` trajectories of `LEAPS` leaps each.

    Notes
    -----
    Ten moves of `wander` leave spreads up to a tenth too narrow after twelve sheets; three
    trajectories or four, at about the same cost, leave a fiftieth.
    """
    measure, y = Whitened.of(states.x)
    value = states.at_target
    steep = slope(states.x) @ measure.root
    leap = FIRST_LEAP
    for _ in range(TRAJECTORIES):
        speed = rng.standard_normal(y.shape)
        length = leap * (1 + LEAP_VARIES * rng.uniform(-1, 1, (len(y), 1)))
        energy = 0.5 * (speed * speed).sum(axis=1) - value
        new_y, new_steep = y, steep
        speed = speed + 0.5 * length * steep
        for last in range(LEAPS, 0, -1):
            new_y = new_y + length * speed
            new_steep = slope(measure.back(new_y)) @ measure.root
            speed = speed + (length if last > 1 else 0.5 * length) * new_steep
        new_value = log_target(measure.back(new_y))
        lost = 0.5 * (speed * speed).sum(axis=1) - new_value - energy
        follows = np.log(rng.random(len(y))) < -lost
        y = np.where(follows[:, None], new_y, y)
        steep = np.where(follows[:, None], new_steep, steep)
        value = np.where(follows, new_value, value)
        leap *= math.exp(0.5 * (float(follows.mean()) - FOLLOWED_SHARE))
    return measure.back(y)
