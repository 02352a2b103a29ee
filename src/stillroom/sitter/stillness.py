"""How a held head moves, and how wide the movement is on the sheet.

The movement is a sway with a slow drift (`stillroom.sitter.sway`), alike and independent in both
directions of the sheet.

The smear of one opening is the length of an even streak on the sheet with the same root mean
square spread as the image of the eye had about its mean: ``sqrt(12) m`` times the spread of the
head, both directions together. For a head that passes evenly it is ``m v t``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np

from stillroom.errors import BadValue, in_range
from stillroom.quantity import FloatArray
from stillroom.sitter.smear_law import (
    below,
    mean_square,
    of_opening,
)
from stillroom.sitter.sway import (
    DRIFT_PERSISTS_S,
    OPEN_RANGE_S,
    SWAY_HZ,
    SWAY_WIDTH_HZ,
    drift_structure,
    sway_structure,
)

Support = Literal["standing", "leaning", "seated", "seated_arms_on_table", "head_rest"]

_SWAY_RANGE_MM = (0.0, 100.0)
_LOG_SD_RANGE = (0.0, 3.0)

TRIAL_LOG_SD = 0.25  # invented: one opening against the next of the same sitter
EYES_CLOSED_TIMES = 69.7 / 36.8  # paths of one minute standing, eyes closed over open

CHILD_TIMES = 1.6  # invented: how much farther a child moves
_CHILD_LOG_SD = 0.3  # invented: children differ more

# Sway [mm, root mean square in one direction], drift [mm/√s in one direction], and the natural
# logarithm of how much sitters differ. Standing: 36.8 ± 8.0 cm of path in a minute give the sway,
# 3.3 ± 1.1 mm sideways over about a minute leave the drift. Seated: a head held free over a
# supported trunk turns at 1.7 °/s, 3 mm/s at the eye (a muscle test, so rather the most), and
# its pose drifts 1.5° in five minutes. Head rest: drift 0.2 to 0.5 mm over 2 to 10 s (common
# practice, no source), sway near a head lying in a scanner (0.08, 0.11, 0.33 mm). Leaning and
# arms on the table lie between their neighbours (invented), and so does every spread that no
# table gives.
_HELD: dict[str, tuple[float, float, float]] = {
    "standing": (1.95, 0.84, 0.35),
    "leaning": (1.20, 0.40, 0.40),
    "seated": (0.748, 0.19, 0.45),
    "seated_arms_on_table": (0.30, 0.185, 0.45),
    "head_rest": (0.12, 0.18, 0.50),
}
SUPPORTS: tuple[Support, ...] = get_args(Support)
"""From the most movement to the least."""


@dataclass(frozen=True, slots=True)
class Motion:
    """How one sitter's head moves as it is held.

    Parameters
    ----------
    sway_mm : float
        Sway, root mean square in one direction [mm], 0 to 100.
    drift_mm_per_sqrt_s : float
        Drift in one direction [mm per root of a second], 0 to 100.
    sitter_log_sd : float
        What is not known of this sitter: standard uncertainty of the natural logarithm of how far
        they move [1], 0 to 3.
    trial_log_sd : float
        How much one opening differs from the next of the same sitter, likewise [1], 0 to 3.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If both movements are nought: nobody holds still like a stone.

    Examples
    --------
    >>> Motion(0.12, 0.18, 0.5).log_sd > 0.5
    True
    """

    sway_mm: float
    drift_mm_per_sqrt_s: float
    sitter_log_sd: float
    trial_log_sd: float = TRIAL_LOG_SD

    def __post_init__(self) -> None:
        in_range("sway", self.sway_mm, *_SWAY_RANGE_MM, "mm")
        in_range("drift", self.drift_mm_per_sqrt_s, *_SWAY_RANGE_MM, "mm/√s")
        in_range("spread of the sitter", self.sitter_log_sd, *_LOG_SD_RANGE)
        in_range("spread of an opening", self.trial_log_sd, *_LOG_SD_RANGE)
        if self.sway_mm + self.drift_mm_per_sqrt_s <= 0:
            raise BadValue("sway", 0, "sway or drift must be above 0, for every head moves")

    @property
    def log_sd(self) -> float:
        """Spread of one opening of a sitter of whom no more is known [1]."""
        return math.hypot(self.sitter_log_sd, self.trial_log_sd)

    def times(self, factor: float) -> Motion:
        """The same movement, larger or smaller, known as well as before."""
        return replace(
            self,
            sway_mm=self.sway_mm * factor,
            drift_mm_per_sqrt_s=self.drift_mm_per_sqrt_s * factor,
        )


def usual_motion(support: str, *, is_child: bool = False) -> Motion:
    """Return how a sitter of whom nothing is known moves, by how they are held.

    Parameters
    ----------
    support : {"standing", "leaning", "seated", "seated_arms_on_table", "head_rest"}
        How body and head are held.
    is_child : bool
        Whether a child sits.

    Returns
    -------
    Motion

    Raises
    ------
    BadValue
        If the support is none of the five.

    References
    ----------
    "Head movement recording and significance" (abstract); centre-of-pressure sway, PMC3966255,
    table 3; head steadiness, s12891-015-0517-2, table 4; "Evaluation of natural head position over
    five minutes" (abstract); head motion in a scanner, Frontiers in Neurology 2016; 7:201. With a
    head rest: common practice, no source. Children: invented.

    Examples
    --------
    >>> usual_motion("standing").sway_mm > 10 * usual_motion("head_rest").sway_mm
    True
    """
    if support not in _HELD:
        raise BadValue("support", support, f"choose one of {', '.join(_HELD)}")
    sway_mm, drift, spread = _HELD[support]
    motion = Motion(sway_mm, drift, spread)
    if not is_child:
        return motion
    return replace(motion.times(CHILD_TIMES), sitter_log_sd=math.hypot(spread, _CHILD_LOG_SD))


def mean_speed_mm_s(motion: Motion, directions: int = 2) -> float:
    """Return the mean speed of the head along its path.

    Parameters
    ----------
    motion : Motion
        How the head moves.
    directions : int
        In how many directions, alike in each: 1 to 3.

    Returns
    -------
    float
        Path over time [mm/s].

    Raises
    ------
    OutOfRange
        If the number of directions is none of these.

    References
    ----------
    Closed form: the mean length of a vector whose parts are Gaussian and alike.

    Examples
    --------
    >>> round(mean_speed_mm_s(usual_motion("standing")), 1)
    6.1
    """
    n = in_range("directions", directions, 1, 3)
    sway = motion.sway_mm * 2 * math.pi * math.hypot(SWAY_HZ, SWAY_WIDTH_HZ)
    speed = math.hypot(sway, motion.drift_mm_per_sqrt_s / math.sqrt(2 * DRIFT_PERSISTS_S))
    return speed * math.sqrt(2) * math.gamma((n + 1) / 2) / math.gamma(n / 2)


def spread_mm(seconds: float, motion: Motion) -> float:
    """Return the root mean square of the head about its mean over some time, in one direction.

    Parameters
    ----------
    seconds : float
        For how long [s], 0.00001 to 600.
    motion : Motion
        How the head moves.

    Returns
    -------
    float
        Spread at the head [mm].

    Raises
    ------
    OutOfRange
        If the time lies outside its range.

    References
    ----------
    Closed form: half the mean of the structure function over all pairs of moments.

    Examples
    --------
    >>> round(spread_mm(60, usual_motion("standing")), 1)
    3.2
    """
    t = in_range("time", seconds, *OPEN_RANGE_S, "s")
    return math.sqrt(float(mean_square(np.asarray(t), motion)[0]))


def gone_mm(seconds: float, motion: Motion) -> float:
    """Return how far the head is from where it was, root mean square in one direction.

    Parameters
    ----------
    seconds : float
        For how long [s], 0.00001 to 600.
    motion : Motion
        How the head moves.

    Returns
    -------
    float
        Displacement of the head [mm]; over minutes drift alone counts.

    Raises
    ------
    OutOfRange
        If the time lies outside its range.

    References
    ----------
    Closed form: the root of the structure function.

    Examples
    --------
    >>> round(gone_mm(300, usual_motion("seated")), 1)
    3.5
    """
    t = np.asarray(in_range("time", seconds, *OPEN_RANGE_S, "s"))
    drift, sway = drift_structure(t), sway_structure(t)
    return math.sqrt(
        float(motion.drift_mm_per_sqrt_s**2 * drift) + float(motion.sway_mm**2 * sway)
    )


def smear_mm(
    open_s: float | FloatArray, magnification: float | FloatArray, motion: Motion
) -> tuple[FloatArray, FloatArray]:
    """Return how wide the movement of the eye is on the sheet.

    Parameters
    ----------
    open_s : float or ndarray
        Open time [s], 0.00001 to 600.
    magnification : float or ndarray
        Image over sitter [1], 0.001 to 20; of a shape that goes with `open_s`.
    motion : Motion
        How the head moves.

    Returns
    -------
    tuple of ndarray
        Median of the smear [mm on the sheet], and the standard deviation of its natural
        logarithm [1], openings and what is not known of the sitter together.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    ``b = m v t`` for an even movement; the mean square is a closed form, the spread of one opening
    that of a gamma variable with its first two moments (held against simulated paths).

    Examples
    --------
    >>> median, log_sd = smear_mm(3.0, 0.25, usual_motion("head_rest"))
    >>> f"{median:.2f} mm, times or over {math.exp(log_sd):.1f}"
    '0.16 mm, times or over 1.9'
    """
    law = of_opening(open_s, magnification, motion)
    return law.median_mm, law.sd


def chance_held(
    open_s: float | FloatArray,
    magnification: float | FloatArray,
    allowed_mm: float | FloatArray,
    motion: Motion,
) -> FloatArray:
    """Return the chance that a sitter holds still for an open time.

    Parameters
    ----------
    open_s : float or ndarray
        Open time [s], 0.00001 to 600.
    magnification : float or ndarray
        Image over sitter [1], 0.001 to 20.
    allowed_mm : float or ndarray
        The widest smear that is allowed on the sheet [mm], 0.0001 to 1000.
    motion : Motion
        How the head moves.

    Returns
    -------
    ndarray
        Chance that the smear stays within it [1], of the shape the three have together.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    The distribution of the smear's logarithm by its first three moments (Edgeworth); within 0.03
    of simulated paths, 0.04 where nothing of the sitter is left unknown.

    Examples
    --------
    >>> chance_held(np.array([2.0, 8.0]), 0.25, 0.2, usual_motion("head_rest")).round(1).tolist()
    [0.7, 0.4]
    """
    return below(allowed_mm, of_opening(open_s, magnification, motion))


def longest_held_s(
    magnification: float, allowed_mm: float, motion: Motion, odds: float = 0.7
) -> float:
    """Return the longest open time that is held with given odds.

    Parameters
    ----------
    magnification : float
        Image over sitter [1], 0.001 to 20.
    allowed_mm : float
        The widest smear that is allowed on the sheet [mm], 0.0001 to 1000.
    motion : Motion
        How the head moves.
    odds : float
        The chance wanted [1], 0.01 to 0.99.

    Returns
    -------
    float
        Open time [s], at least 0.00001, at most 600 (longer is not told apart).

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    The inverse of `chance_held`, within 1 in 1000 of the time.

    Examples
    --------
    >>> round(longest_held_s(0.25, 0.2, usual_motion("standing"), odds=0.5), 2)
    0.14
    """
    wanted = in_range("odds", odds, 0.01, 0.99)
    low, high = OPEN_RANGE_S
    for _ in range(2):
        times = np.geomspace(low, high, 201)
        held = chance_held(times, magnification, allowed_mm, motion) >= wanted
        last = int(np.flatnonzero(held)[-1]) if held.any() else 0
        low, high = float(times[last]), float(times[min(last + 1, 200)])
        if low == high:
            break
    return low
