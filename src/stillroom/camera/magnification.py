"""Framing: magnification, draw and distance; and what the draw costs in light.

Distances are counted from the front principal point, draws from the film plane to the flange
(for a lens of plain construction: to the rear principal point).
"""

from __future__ import annotations

import math

from stillroom.camera.limits import (
    DISTANCE_RANGE_M,
    DRAW_RANGE_MM,
    FOCAL_RANGE_MM,
    MAGNIFICATION_RANGE,
    PUPIL_RATIO_RANGE,
)
from stillroom.errors import OutOfRange, in_range

_LEAST_MAGNIFICATION = 1e-5


def magnification_from_distance(focal_mm: float, subject_distance_m: float) -> float:
    """Return the magnification at a distance, ``f / (u - f)``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    subject_distance_m : float
        From the front principal point [m]; beyond the focal length, up to 1000.

    Returns
    -------
    float
        Magnification, size on the sheet over size of the subject [1], at most 20.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Thin-lens conjugates, any text on optics; "Bellows draw" (gallery technique page).

    Examples
    --------
    >>> round(magnification_from_distance(300, 3.048), 3)
    0.109
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    nearest = focal * (1 + 1 / MAGNIFICATION_RANGE[1]) / 1000
    u = in_range("subject distance", subject_distance_m, nearest, DISTANCE_RANGE_M[1], "m")
    return focal / (u * 1000 - focal)


def subject_distance_m(focal_mm: float, magnification: float) -> float:
    """Return the distance that gives a magnification, ``f (1 + 1/m)``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0.00001 to 20.

    Returns
    -------
    float
        From the front principal point to the subject [m].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Thin-lens conjugates, any text on optics.

    Examples
    --------
    >>> subject_distance_m(240, 0.25)
    1.2
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, _LEAST_MAGNIFICATION, MAGNIFICATION_RANGE[1])
    return focal * (1 + 1 / m) / 1000


def draw_mm(
    focal_mm: float, magnification: float, flange_at_infinity_mm: float | None = None
) -> float:
    """Return the draw that gives a magnification: any lens moves out by ``m f`` from infinity.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification [1], 0 to 20.
    flange_at_infinity_mm : float, optional
        Draw at infinity focus [mm]; shorter than `focal_mm` for telephoto construction. Without
        it the focal length.

    Returns
    -------
    float
        Draw [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Large-format forum thread "What does telephoto mean?" for the telephoto case.

    Examples
    --------
    >>> round(draw_mm(210, 1 / 3), 6), draw_mm(600, 1.0, 300)
    (280.0, 900.0)
    """
    focal, flange = _focal_and_flange(focal_mm, flange_at_infinity_mm)
    return flange + focal * in_range("magnification", magnification, *MAGNIFICATION_RANGE)


def magnification_from_draw(
    focal_mm: float, draw_mm: float, flange_at_infinity_mm: float | None = None
) -> float:
    """Return the magnification at a draw: the extension beyond infinity focus over ``f``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    draw_mm : float
        Draw [mm]; at least that of infinity focus.
    flange_at_infinity_mm : float, optional
        Draw at infinity focus [mm]; without it the focal length.

    Returns
    -------
    float
        Magnification [1], 0 at infinity focus, at most 20.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Thin-lens conjugates, any text on optics.

    Examples
    --------
    >>> magnification_from_draw(360, 350, 260)
    0.25
    """
    focal, flange = _focal_and_flange(focal_mm, flange_at_infinity_mm)
    draw = in_range("draw", draw_mm, flange, flange + MAGNIFICATION_RANGE[1] * focal, "mm")
    return (draw - flange) / focal


def bellows_factor(magnification: float, pupil_ratio: float = 1.0) -> float:
    """Return how much longer to expose for the draw, ``(1 + m/P)**2``.

    Parameters
    ----------
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5; 1 for symmetrical lenses.

    Returns
    -------
    float
        Factor on the exposure [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Army correspondence course SS0512, p. 44 (P = 1); "Derivation of the DOF equations" (P).

    Examples
    --------
    >>> round(bellows_factor(0.25, 0.6), 3)
    2.007
    """
    m = in_range("magnification", magnification, *MAGNIFICATION_RANGE)
    return (1 + m / in_range("pupil ratio", pupil_ratio, *PUPIL_RATIO_RANGE)) ** 2


def bellows_stops(magnification: float, pupil_ratio: float = 1.0) -> float:
    """Return what the draw costs, ``-2 log2(1 + m/P)``.

    Parameters
    ----------
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Stops [stops], zero or negative.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    As `bellows_factor`.

    Examples
    --------
    >>> round(bellows_stops(0.25), 3)
    -0.644
    """
    return -math.log2(bellows_factor(magnification, pupil_ratio))


def effective_f_number(n: float, magnification: float, pupil_ratio: float = 1.0) -> float:
    """Return the f-number at the sheet, ``N (1 + m/P)``.

    Parameters
    ----------
    n : float
        Exact f-number at infinity [1], 0.5 to 512.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Effective f-number [1].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Derivation of the DOF equations".

    Examples
    --------
    >>> effective_f_number(8, 0.25)
    10.0
    """
    number = in_range("f-number", n, 0.5, 512.0)
    return number * math.sqrt(bellows_factor(magnification, pupil_ratio))


def _focal_and_flange(focal_mm: float, flange_at_infinity_mm: float | None) -> tuple[float, float]:
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    if flange_at_infinity_mm is None:
        return focal, focal
    flange = in_range("flange at infinity", flange_at_infinity_mm, *DRAW_RANGE_MM, "mm")
    if flange > 2 * focal:
        raise OutOfRange("flange at infinity", flange, DRAW_RANGE_MM[0], 2 * focal, "mm")
    return focal, flange
