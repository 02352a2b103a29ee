"""Focus on an eye: depth before and behind it, what counts as sharp, the odds that it is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import ndtr

from stillroom.camera.limits import (
    CIRCLE_RANGE_MM,
    F_NUMBER_RANGE,
    FOCAL_RANGE_MM,
    MAGNIFICATION_RANGE,
    PUPIL_RATIO_RANGE,
)
from stillroom.camera.sharpness import CIRCLE_DIVISOR, circle_from_diagonal_mm
from stillroom.errors import BadValue, in_range
from stillroom.quantity import FloatArray
from stillroom.quantity.arrays import all_in_range

Viewing = Literal["in_the_hand", "on_the_wall"]

HAND_DISTANCE_MM = 250.0  # from eye to a sheet in the hand: common practice, no source
HAND_ANGLE_MRAD = 0.4  # what an eye that looks closely tells apart: common practice, no source
_VIEWING_DISTANCE_RANGE_M = (0.1, 100.0)
_OFFSET_SD_RANGE_MM = (0.0, 1e6)
_LEAST_MAGNIFICATION = 1e-5


@dataclass(frozen=True, slots=True)
class Depth:
    """How far before and behind the plane in focus things still look sharp [mm]."""

    before_mm: FloatArray | float
    behind_mm: FloatArray | float
    """Infinite where the far limit is."""


def pupil_to_focus_mm(focal_mm: float, magnification: float, pupil_ratio: float = 1.0) -> float:
    """Return the distance from the entrance pupil to the plane in focus, ``f (1/m + 1/P)``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0.00001 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Distance [mm]; the entrance pupil stands ``f (1 - 1/P)`` before the front principal point.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Derivation of the DOF equations" for unsymmetrical lenses.

    Examples
    --------
    >>> pupil_to_focus_mm(240, 0.25), round(pupil_to_focus_mm(240, 0.25, 0.6))
    (1200.0, 1360)
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, _LEAST_MAGNIFICATION, MAGNIFICATION_RANGE[1])
    return focal * (1 / m + 1 / in_range("pupil ratio", pupil_ratio, *PUPIL_RATIO_RANGE))


def depth_about(
    focal_mm: float,
    n: float | FloatArray,
    circle_mm: float | FloatArray,
    magnification: float,
    pupil_ratio: float = 1.0,
) -> Depth:
    """Return the depth of field before and behind the plane in focus, exactly.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    n : float or array
        Exact f-number [1], 0.5 to 512.
    circle_mm : float or array
        What counts as sharp on the sheet [mm], 0.001 to 2; shapes as `n` or broadcast with it.
    magnification : float
        Magnification in the plane in focus [1], 0.00001 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    Depth
        Before and behind [mm], shaped as `n` and `circle_mm`; behind is ``inf`` from the
        hyperfocal distance on.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    A point at `a'` from the entrance pupil is a disc ``m D |a' - a| / a'`` on the sheet, D = f/N.

    References
    ----------
    "Derivation of the DOF equations"; with P = 1 the exact thin-lens limits.

    Examples
    --------
    >>> d = depth_about(240, 2**2.5, 0.1, 0.25)
    >>> round(float(d.before_mm), 2), round(float(d.behind_mm), 2)
    (11.21, 11.42)
    """
    away = pupil_to_focus_mm(focal_mm, magnification, pupil_ratio)
    number = all_in_range("f-number", np.asarray(n, dtype=float), *F_NUMBER_RANGE)
    circle = all_in_range(
        "circle of confusion", np.asarray(circle_mm, dtype=float), *CIRCLE_RANGE_MM, "mm"
    )
    cone = magnification * focal_mm / number
    before = away * circle / (cone + circle)
    left = cone - circle
    behind = np.where(left > 0, away * circle / np.where(left > 0, left, 1.0), np.inf)
    return Depth(np.asarray(before), np.asarray(behind))


def blur_at_mm(
    focal_mm: float, n: float, magnification: float, nearer_mm: float, pupil_ratio: float = 1.0
) -> float:
    """Return the blur disc of a point that is nearer than the plane in focus.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    n : float
        Exact f-number [1], 0.5 to 512.
    magnification : float
        Magnification in the plane in focus [1], 0.00001 to 20.
    nearer_mm : float
        How much nearer the point lies [mm]; negative is farther away.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Diameter of the disc on the sheet [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range, or the point lies at the entrance pupil or nearer.

    References
    ----------
    As `depth_about`.

    Examples
    --------
    >>> round(blur_at_mm(240, 2**2.5, 0.25, 15), 3)
    0.134
    """
    away = pupil_to_focus_mm(focal_mm, magnification, pupil_ratio)
    number = in_range("f-number", n, *F_NUMBER_RANGE)
    nearer = in_range("nearer by", nearer_mm, -100_000.0, 0.95 * away, "mm")
    return magnification * focal_mm / number * abs(nearer) / (away - nearer)


def eye_in_focus(
    depth: Depth, offset_sd_mm: float | FloatArray, nearer_mm: float = 0.0
) -> FloatArray:
    """Return the chance that an eye, placed with a normal error, lies within a depth.

    Parameters
    ----------
    depth : Depth
        Before and behind the plane that was focused [mm].
    offset_sd_mm : float or array
        Standard uncertainty of where the eye is against that plane [mm], 0 to 1 000 000.
    nearer_mm : float
        How much nearer than the plane the eye is expected [mm], -100 000 to 100 000.

    Returns
    -------
    FloatArray
        Chance [1], shaped as the depth and the uncertainty.

    Raises
    ------
    OutOfRange
        If an uncertainty lies outside its range.

    References
    ----------
    Normal law.

    Examples
    --------
    >>> d = depth_about(240, 2**2.5, 0.1, 0.25)
    >>> round(float(eye_in_focus(d, 8.0)), 2), float(eye_in_focus(d, 0.0))
    (0.84, 1.0)
    """
    sd = all_in_range(
        "uncertainty of the eye", np.asarray(offset_sd_mm, dtype=float), *_OFFSET_SD_RANGE_MM, "mm"
    )
    spread = np.maximum(sd, 1e-12)
    nearer = in_range("nearer by", nearer_mm, -100_000.0, 100_000.0, "mm")
    return np.asarray(
        ndtr((depth.before_mm - nearer) / spread) - ndtr((-depth.behind_mm - nearer) / spread)
    )


def circle_for(
    viewing: Viewing, width_mm: float, height_mm: float, viewing_distance_m: float | None = None
) -> float:
    """Return what counts as sharp on a sheet, by how it is looked at.

    In the hand every sheet, small or large, is looked at from 0.25 m by an eye that tells 0.4 mrad
    apart: 0.1 mm, so that a big sheet asks for more there than its diagonal does. On the wall it
    is looked at from its own diagonal, or from a distance that is given: 1/1500 of it.

    Parameters
    ----------
    viewing : {"in_the_hand", "on_the_wall"}
        How the picture is looked at.
    width_mm, height_mm : float
        Image area [mm], 0.1 to 5000.
    viewing_distance_m : float, optional
        From the eye to the wall [m], 0.1 to 100.

    Returns
    -------
    float
        Circle of confusion [mm].

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If the viewing is neither.

    References
    ----------
    Common practice, no source: 0.1 mm for 4 x 5 in, 0.2 mm for 8 x 10 in; diagonal / 1500.

    Examples
    --------
    >>> circle_for("in_the_hand", 194, 244), round(circle_for("on_the_wall", 194, 244), 2)
    (0.1, 0.21)
    """
    of_the_whole = circle_from_diagonal_mm(width_mm, height_mm)
    if viewing == "in_the_hand":
        return HAND_DISTANCE_MM * HAND_ANGLE_MRAD / 1000
    if viewing != "on_the_wall":
        raise BadValue("viewing", viewing, "choose in_the_hand or on_the_wall")
    if viewing_distance_m is None:
        return of_the_whole
    distance_m = in_range("viewing distance", viewing_distance_m, *_VIEWING_DISTANCE_RANGE_M, "m")
    return min(1000 * distance_m / CIRCLE_DIVISOR, CIRCLE_RANGE_MM[1])


def f_number_for_depth(
    focal_mm: float,
    before_mm: float,
    circle_mm: float,
    magnification: float,
    pupil_ratio: float = 1.0,
) -> float:
    """Return the f-number at which a point so far before the plane in focus is just sharp.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    before_mm : float
        How far before the plane in focus [mm], above 0 and within 0.95 of the way to the lens.
    circle_mm : float
        What counts as sharp [mm], 0.001 to 2.
    magnification : float
        Magnification in the plane in focus [1], 0.00001 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Exact f-number [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    `depth_about`, solved for N.

    Examples
    --------
    >>> round(f_number_for_depth(240, 11.2083, 0.1, 0.25), 3)
    5.657
    """
    away = pupil_to_focus_mm(focal_mm, magnification, pupil_ratio)
    before = in_range("depth before the eye", before_mm, 1e-6, 0.95 * away, "mm")
    circle = in_range("circle of confusion", circle_mm, *CIRCLE_RANGE_MM, "mm")
    number = magnification * focal_mm * before / (circle * (away - before))
    return number if math.isfinite(number) else F_NUMBER_RANGE[1]
