"""A thick lens on its board: what a tape finds, how to refocus, and the circle it lights."""

from __future__ import annotations

import math

from stillroom.camera.limits import (
    DISTANCE_RANGE_M,
    DRAW_RANGE_MM,
    FOCAL_RANGE_MM,
    LENGTH_RANGE_MM,
    MAGNIFICATION_RANGE,
    PUPIL_RATIO_RANGE,
)
from stillroom.camera.magnification import subject_distance_m
from stillroom.errors import in_range

_GAP_RANGE_MM = (-500.0, 500.0)
_SHIFT_RANGE_MM = (-200.0, 200.0)
_LEAST_MAGNIFICATION = 1e-5


def film_to_subject_m(
    focal_mm: float, magnification: float, principal_gap_mm: float = 0.0
) -> float:
    """Return the distance from the sheet to what is in focus, ``f (2 + m + 1/m)`` and the gap.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0.00001 to 20.
    principal_gap_mm : float
        From the front principal point to the rear one [mm], -500 to 500; negative where they are
        crossed. Small in most lenses, and seldom printed.

    Returns
    -------
    float
        Distance [m].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Conjugates of a thick lens, any text on optics.

    Examples
    --------
    >>> film_to_subject_m(240, 0.25)
    1.5
    """
    u_m = subject_distance_m(focal_mm, magnification)
    gap = in_range("gap between principal points", principal_gap_mm, *_GAP_RANGE_MM, "mm")
    return u_m + (focal_mm * (1 + magnification) + gap) / 1000


def board_to_subject_m(
    focal_mm: float,
    magnification: float,
    flange_at_infinity_mm: float | None = None,
    principal_gap_mm: float = 0.0,
) -> float:
    """Return the distance from the lens board to what is in focus, as a tape finds it.

    A telephoto has its principal points before its glass, so that the board stands nearer to the
    sheet and farther from the sitter than a plain lens of that focal length would.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0.00001 to 20.
    flange_at_infinity_mm : float, optional
        Draw at infinity focus [mm], 10 to 5000; without it the focal length.
    principal_gap_mm : float
        From the front principal point to the rear one [mm], -500 to 500.

    Returns
    -------
    float
        Distance [m].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    `film_to_subject_m` less the draw.

    Examples
    --------
    >>> board_to_subject_m(240, 0.25), board_to_subject_m(360, 0.25, 260)
    (1.2, 1.9)
    """
    from_film_m = film_to_subject_m(focal_mm, magnification, principal_gap_mm)
    flange = focal_mm if flange_at_infinity_mm is None else flange_at_infinity_mm
    at_infinity = in_range("flange at infinity", flange, *DRAW_RANGE_MM, "mm")
    return from_film_m - (at_infinity + focal_mm * magnification) / 1000


def magnification_from_film_distance(
    focal_mm: float, film_to_subject_m: float, principal_gap_mm: float = 0.0
) -> float:
    """Return the magnification by the distance from sheet to subject, of the two the smaller.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    film_to_subject_m : float
        From the sheet to the subject [m], from four focal lengths and the gap up to 1000.
    principal_gap_mm : float
        From the front principal point to the rear one [mm], -500 to 500.

    Returns
    -------
    float
        Magnification [1], at most 1: nearer than four focal lengths nothing is sharp.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    `film_to_subject_m`, solved for m.

    Examples
    --------
    >>> round(magnification_from_film_distance(240, 1.5), 6)
    0.25
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    gap = in_range("gap between principal points", principal_gap_mm, *_GAP_RANGE_MM, "mm")
    least_m = (4 * focal + gap) / 1000
    away_m = in_range(
        "distance from the sheet", film_to_subject_m, least_m, DISTANCE_RANGE_M[1], "m"
    )
    return _smaller_root((1000 * away_m - gap) / focal - 2)


def refocus_mm(focal_mm: float, magnification: float, shift_mm: float) -> float:
    """Return how far the lens goes back to be sharp again on a sheet that was displaced.

    Near by it is a little more than the sheet was, for the lens leaves the sitter too.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification that was focused [1], 0.00001 to 0.95.
    shift_mm : float
        How far the sheet stands behind the focused image [mm], -200 to 200, and not so far before
        it that nothing is sharp.

    Returns
    -------
    float
        Away from the sitter [mm]; negative is towards.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    To first order ``shift / (1 - m**2)``. About life size the lens alone cannot do it: there the
    back is moved.

    References
    ----------
    `film_to_subject_m`, held at what it was and the shift.

    Examples
    --------
    >>> round(refocus_mm(240, 0.25, 1.0), 3)
    1.067
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, _LEAST_MAGNIFICATION, 0.95)
    # Sheet to subject comes to 4 f where the lens stands midway and can do no more.
    over = m + 1 / m - 2
    least = max(_SHIFT_RANGE_MM[0], -0.999 * focal * over)
    shift = in_range("shift of the sheet", shift_mm, least, _SHIFT_RANGE_MM[1], "mm")
    found = _smaller_root(m + 1 / m + shift / focal)
    return focal * (1 / found - 1 / m)


def image_circle_mm(coverage_mm: float, magnification: float, pupil_ratio: float = 1.0) -> float:
    """Return the circle that a lens lights when it is drawn out, ``coverage (1 + m/P)``.

    Parameters
    ----------
    coverage_mm : float
        Diameter of the image circle at infinity [mm], 0.1 to 5000.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Diameter [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    The lens is taken to see the same angle at its entrance pupil at every draw.

    References
    ----------
    The angle at the entrance pupil, which stands ``f (1/m + 1/P)`` from the subject; geometry.

    Examples
    --------
    >>> image_circle_mm(280, 0.25)
    350.0
    """
    circle = in_range("coverage", coverage_mm, *LENGTH_RANGE_MM, "mm")
    m = in_range("magnification", magnification, *MAGNIFICATION_RANGE)
    return circle * (1 + m / in_range("pupil ratio", pupil_ratio, *PUPIL_RATIO_RANGE))


def exit_pupil_to_film_mm(
    focal_mm: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return how far the exit pupil stands before the sheet, ``f (m + P)``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Distance [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Derivation of the DOF equations" for unsymmetrical lenses.

    Examples
    --------
    >>> exit_pupil_to_film_mm(240, 0.25), exit_pupil_to_film_mm(240, 0.25, 0.6)
    (300.0, 204.0)
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, *MAGNIFICATION_RANGE)
    return focal * (m + in_range("pupil ratio", pupil_ratio, *PUPIL_RATIO_RANGE))


def _smaller_root(both: float) -> float:
    """The m of at most 1 with ``m + 1/m`` as given, free of cancellation."""
    return 2 / (both + math.sqrt(max(0.0, both * both - 4)))
