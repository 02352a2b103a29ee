"""How far apart several pops of a flash draw a sitter who moves between them."""

from __future__ import annotations

from stillroom.quantity import FloatArray
from stillroom.sitter.smear_law import below, of_pops
from stillroom.sitter.stillness import Motion


def pops_smear_mm(
    pops: int | FloatArray,
    gap_s: float | FloatArray,
    magnification: float | FloatArray,
    motion: Motion,
) -> tuple[FloatArray, FloatArray]:
    """Return how far apart several pops of a flash draw the eye on the sheet.

    Parameters
    ----------
    pops : int or ndarray
        Pops of one sheet, 2 to 64.
    gap_s : float or ndarray
        From one pop to the next [s], 0.00001 to 600.
    magnification : float or ndarray
        Image over sitter [1], 0.001 to 20.
    motion : Motion
        How the head moves.

    Returns
    -------
    tuple of ndarray
        Median of the smear [mm on the sheet], and the standard deviation of its natural
        logarithm [1]: of an even streak as spread out as the pops are.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    As `smear_mm`, the spread being that of as many moments instead of a whole opening.

    Examples
    --------
    >>> from stillroom.sitter import usual_motion
    >>> median, _ = pops_smear_mm(2, 3.0, 0.25, usual_motion("head_rest"))
    >>> f"{median:.2f} mm"
    '0.15 mm'
    """
    law = of_pops(pops, gap_s, magnification, motion)
    return law.median_mm, law.sd


def chance_pops_held(
    pops: int | FloatArray,
    gap_s: float | FloatArray,
    magnification: float | FloatArray,
    allowed_mm: float | FloatArray,
    motion: Motion,
) -> FloatArray:
    """Return the chance that a sitter holds still through several pops of a flash.

    Parameters
    ----------
    pops : int or ndarray
        Pops of one sheet, 2 to 64.
    gap_s : float or ndarray
        From one pop to the next [s], 0.00001 to 600.
    magnification : float or ndarray
        Image over sitter [1], 0.001 to 20.
    allowed_mm : float or ndarray
        The widest smear that is allowed on the sheet [mm], 0.0001 to 1000.
    motion : Motion
        How the head moves.

    Returns
    -------
    ndarray
        Chance that the smear stays within it [1], of the shape the four have together.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    As `chance_held`.

    Examples
    --------
    >>> import numpy as np
    >>> from stillroom.sitter import usual_motion
    >>> chance_pops_held(np.array([2, 4]), 3.0, 0.25, 0.2, usual_motion("head_rest")).round(1)
    array([0.6, 0.3])
    """
    return below(allowed_mm, of_pops(pops, gap_s, magnification, motion))
