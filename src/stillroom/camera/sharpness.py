"""Depth of field, depth of focus, displaced film planes, diffraction."""

from __future__ import annotations

import math

from stillroom.camera.limits import (
    CIRCLE_RANGE_MM,
    DISTANCE_RANGE_M,
    F_NUMBER_RANGE,
    FOCAL_RANGE_MM,
    LENGTH_RANGE_MM,
    MAGNIFICATION_RANGE,
)
from stillroom.camera.magnification import bellows_factor, effective_f_number
from stillroom.errors import in_range

CIRCLE_DIVISOR = 1500.0  # diagonal / 1500: common practice, no source
_MAGNIFICATION_ABOVE_ZERO = (1e-5, MAGNIFICATION_RANGE[1])
_SHIFT_RANGE_MM = (-200.0, 200.0)
_WAVELENGTH_RANGE_NM = (200.0, 1200.0)


def circle_from_diagonal_mm(
    width_mm: float, height_mm: float, divisor: float = CIRCLE_DIVISOR
) -> float:
    """Return a circle of confusion for an original looked at as it is, diagonal / 1500.

    Parameters
    ----------
    width_mm, height_mm : float
        Image area [mm], 0.1 to 5000.
    divisor : float
        Share of the diagonal [1], 500 to 5000.

    Returns
    -------
    float
        Circle of confusion [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Common practice, no source; pages disagree (0.1 or 0.15 mm for 4 x 5 in).

    Examples
    --------
    >>> round(circle_from_diagonal_mm(96, 120), 2)
    0.1
    """
    width = in_range("width", width_mm, *LENGTH_RANGE_MM, "mm")
    height = in_range("height", height_mm, *LENGTH_RANGE_MM, "mm")
    return math.hypot(width, height) / in_range("divisor", divisor, 500.0, 5000.0)


def hyperfocal_m(focal_mm: float, n: float, circle_mm: float) -> float:
    """Return the hyperfocal distance, ``f**2 / (N c) + f``.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    n : float
        Exact f-number [1], 0.5 to 512.
    circle_mm : float
        Circle of confusion [mm], 0.001 to 2.

    Returns
    -------
    float
        From the front principal point [m].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    "Depth of field formulas" (tutorial).

    Examples
    --------
    >>> round(hyperfocal_m(300, 2**3.5, 0.2), 2)
    40.07
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    number = in_range("f-number", n, *F_NUMBER_RANGE)
    circle = in_range("circle of confusion", circle_mm, *CIRCLE_RANGE_MM, "mm")
    return (focal**2 / (number * circle) + focal) / 1000


def depth_of_field_limits_m(
    focal_mm: float, n: float, circle_mm: float, distance_m: float
) -> tuple[float, float]:
    """Return the nearest and farthest distance that is sharp enough, exact thin lens.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    n : float
        Exact f-number [1], 0.5 to 512.
    circle_mm : float
        Circle of confusion [mm], 0.001 to 2.
    distance_m : float
        Distance in focus, from the front principal point [m]; beyond the focal length.

    Returns
    -------
    tuple of float
        Near and far limit [m]; the far one is ``inf`` from the hyperfocal distance on.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    Pupil ratio 1; for an unsymmetrical lens near by see `close_depth_mm`.

    References
    ----------
    near = s(H-f)/(H+s-2f), far = s(H-f)/(H-s); "Depth of field formulas" (tutorial).

    Examples
    --------
    >>> near, far = depth_of_field_limits_m(300, 2**3.5, 0.2, 3.0)
    >>> round(near, 3), round(far, 3)
    (2.809, 3.218)
    """
    hyperfocal = hyperfocal_m(focal_mm, n, circle_mm)
    f = focal_mm / 1000
    s = in_range("distance", distance_m, f * 1.001, DISTANCE_RANGE_M[1], "m")
    near = s * (hyperfocal - f) / (hyperfocal + s - 2 * f)
    far = s * (hyperfocal - f) / (hyperfocal - s) if s < hyperfocal else math.inf
    return near, far


def close_depth_mm(
    n: float, circle_mm: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return the whole depth of field near by, ``2 N c (1 + m/P) / m**2``.

    Parameters
    ----------
    n : float
        Exact f-number [1], 0.5 to 512.
    circle_mm : float
        Circle of confusion [mm], 0.001 to 2.
    magnification : float
        Magnification [1], 0.00001 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        From near limit to far limit [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Notes
    -----
    Good far inside the hyperfocal distance, about half on each side.

    References
    ----------
    "Derivation of the DOF equations" for unsymmetrical lenses.

    Examples
    --------
    >>> round(close_depth_mm(2**2.5, 0.1, 0.25), 2)
    22.63
    """
    m = in_range("magnification", magnification, *_MAGNIFICATION_ABOVE_ZERO)
    return 2 * depth_of_focus_mm(n, circle_mm, m, pupil_ratio) / m**2


def depth_of_focus_mm(
    n: float, circle_mm: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return how far the sheet may stand to either side of the image, ``N (1 + m/P) c``.

    Parameters
    ----------
    n : float
        Exact f-number [1], 0.5 to 512.
    circle_mm : float
        Circle of confusion [mm], 0.001 to 2.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        To each side [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Cone of light at the sheet.

    Examples
    --------
    >>> round(depth_of_focus_mm(2**2.5, 0.1, 0.25), 4)
    0.7071
    """
    circle = in_range("circle of confusion", circle_mm, *CIRCLE_RANGE_MM, "mm")
    return effective_f_number(n, magnification, pupil_ratio) * circle


def plate_blur_mm(
    shift_mm: float, n: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return the blur disc on a sheet that stands away from the image, ``shift / N_eff``.

    Parameters
    ----------
    shift_mm : float
        How far the sheet stands from the image [mm], -200 to 200.
    n : float
        Exact f-number [1], 0.5 to 512.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Diameter of the disc [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Cone of light at the sheet.

    Examples
    --------
    >>> round(plate_blur_mm(1.0, 2**2.5, 0.25), 3)
    0.141
    """
    shift = abs(in_range("shift of the sheet", shift_mm, *_SHIFT_RANGE_MM, "mm"))
    return shift / effective_f_number(n, magnification, pupil_ratio)


def subject_shift_mm(focal_mm: float, magnification: float, shift_mm: float) -> float:
    """Return how far the plane in focus moves when the sheet stands behind the ground glass.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification that was focused [1], 0.00001 to 20.
    shift_mm : float
        How far the sheet stands behind the focused image [mm], -200 to 200.

    Returns
    -------
    float
        How much nearer to the lens the plane in focus lies [mm]; negative is farther away.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range, or the sheet would stand inside infinity focus.

    Notes
    -----
    Exact conjugates; to first order ``shift / m**2``.

    References
    ----------
    Thin-lens conjugates; longitudinal magnification is m**2.

    Examples
    --------
    >>> round(subject_shift_mm(240, 0.25, 1.0), 2)
    15.74
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, *_MAGNIFICATION_ABOVE_ZERO)
    low = max(_SHIFT_RANGE_MM[0], -0.999 * focal * m)
    shift = in_range("shift of the sheet", shift_mm, low, _SHIFT_RANGE_MM[1], "mm")
    # u - u' = f/m - f/m', with m' = m + shift/f.
    return focal * shift / (m * (focal * m + shift))


def focus_error_mm(focal_mm: float, magnification: float, nearer_mm: float) -> float:
    """Return how far behind the sheet a nearer point comes to focus.

    Parameters
    ----------
    focal_mm : float
        Focal length [mm], 10 to 3000.
    magnification : float
        Magnification that was focused [1], 0.00001 to 20.
    nearer_mm : float
        How much nearer than the focused plane the point lies [mm]; negative is farther away.

    Returns
    -------
    float
        Distance of its image behind the sheet [mm]; negative is in front.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range, or the point lies at the focal point or nearer.

    References
    ----------
    Thin-lens conjugates, any text on optics.

    Examples
    --------
    >>> round(focus_error_mm(240, 0.25, 15), 3)
    0.952
    """
    focal = in_range("focal length", focal_mm, *FOCAL_RANGE_MM, "mm")
    m = in_range("magnification", magnification, *_MAGNIFICATION_ABOVE_ZERO)
    nearer = in_range("nearer by", nearer_mm, -100_000.0, 0.95 * focal / m, "mm")
    # The image lies f m beyond the focal point, and m = f / (u - f) with u - f = f/m.
    return focal * focal / (focal / m - nearer) - focal * m


def airy_disc_mm(
    wavelength_nm: float, n: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return the diameter of the diffraction disc, ``2.44 lambda N_eff``.

    Parameters
    ----------
    wavelength_nm : float
        Wavelength [nm], 200 to 1200; 450 stands for blue-sensitive paper.
    n : float
        Exact f-number [1], 0.5 to 512.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Diameter to the first dark ring [mm].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Airy disc, any text on optics.

    Examples
    --------
    >>> round(airy_disc_mm(450, 22.63, 0.25), 4)
    0.0311
    """
    wavelength = in_range("wavelength", wavelength_nm, *_WAVELENGTH_RANGE_NM, "nm")
    return 2.44e-6 * wavelength * effective_f_number(n, magnification, pupil_ratio)


def diffraction_f_number(
    wavelength_nm: float, circle_mm: float, magnification: float, pupil_ratio: float = 1.0
) -> float:
    """Return the f-number whose diffraction disc is as large as a circle of confusion.

    Parameters
    ----------
    wavelength_nm : float
        Wavelength [nm], 200 to 1200.
    circle_mm : float
        Circle of confusion [mm], 0.001 to 2.
    magnification : float
        Magnification [1], 0 to 20.
    pupil_ratio : float
        Exit pupil over entrance pupil, P [1], 0.2 to 5.

    Returns
    -------
    float
        Exact f-number [1]; smaller openings are less sharp everywhere.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Airy disc, any text on optics.

    Examples
    --------
    >>> round(diffraction_f_number(450, 0.1, 0.25), 1)
    72.9
    """
    circle = in_range("circle of confusion", circle_mm, *CIRCLE_RANGE_MM, "mm")
    wavelength = in_range("wavelength", wavelength_nm, *_WAVELENGTH_RANGE_NM, "nm")
    spread = math.sqrt(bellows_factor(magnification, pupil_ratio))
    return circle / (2.44e-6 * wavelength * spread)
