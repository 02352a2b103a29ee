"""Contrast as it is printed on a box: the ISO range."""

from __future__ import annotations

import math

from stillroom.errors import in_range
from stillroom.paper.curve import ToneCurve
from stillroom.quantity import DENSITY_PER_STOP

HIGHLIGHT_ABOVE_DMIN = 0.04  # ISO 6846:1992, as quoted: 0.04 above base + fog
SHADOW_SHARE_OF_NET_DMAX = 0.90  # ISO 6846:1992, as quoted; taken net of Dmin (our choice)


def iso_range(curve: ToneCurve) -> float:
    """Return the ISO range R of a curve, unrounded.

    Parameters
    ----------
    curve : ToneCurve
        Curve of the batch; its net density range must exceed 0.05.

    Returns
    -------
    float
        100 times the log10 exposure range between the two end points [1]; see
        `rounded_iso_range` for what is printed on a box.

    Notes
    -----
    End points: 0.04 above Dmin, and 0.90 of the net Dmax above Dmin. The part of the standard
    seen does not say whether Dmax is counted net; the other reading moves the shadow point by
    0.1 Dmin. Defined for the negative-working process; here it describes the finished positive.

    References
    ----------
    ISO 6846:1992, as quoted in an encyclopedia chapter and JIS K 7612.

    Examples
    --------
    >>> round(iso_range(ToneCurve(1.1, 1.0, 0.1, 1.9)))
    164
    """
    span = curve.dmax - curve.dmin
    highlight = curve.placement(curve.dmin + HIGHLIGHT_ABOVE_DMIN)
    shadow = curve.placement(curve.dmin + SHADOW_SHARE_OF_NET_DMAX * span)
    return 100 * DENSITY_PER_STOP * (highlight - shadow)


def contrast_from_iso_range(iso_range: float, asymmetry: float, dmin: float, dmax: float) -> float:
    """Return the contrast per stop of a curve with a given ISO range.

    Parameters
    ----------
    iso_range : float
        ISO range R [1], 30 to 400.
    asymmetry : float
        Asymmetry nu [1].
    dmin, dmax : float
        Least and greatest density [density].

    Returns
    -------
    float
        Contrast kappa [1/stop].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    ISO 6846:1992 end points, as in `iso_range`.

    Examples
    --------
    >>> round(contrast_from_iso_range(110, 1.0, 0.1, 1.9), 2)
    1.64
    """
    wanted = in_range("ISO range", iso_range, 30, 400)
    # Contrast only stretches the exposure axis, so the range of kappa = 1 tells all others.
    return _unit_iso_range(asymmetry, dmin, dmax) / wanted


def rounded_iso_range(iso_range: float) -> int:
    """Return an ISO range the way it is printed, to a multiple of 10.

    Parameters
    ----------
    iso_range : float
        ISO range R [1], 0 to 1000.

    Returns
    -------
    int
        Rounded range.

    Raises
    ------
    OutOfRange
        If the range is not a finite number from 0 to 1000.

    References
    ----------
    ISO 6846:1992 (rounding from memory).

    Examples
    --------
    >>> rounded_iso_range(107)
    110
    """
    return 10 * math.floor(in_range("ISO range", iso_range, 0, 1000) / 10 + 0.5)


def _unit_iso_range(asymmetry: float, dmin: float, dmax: float) -> float:
    return iso_range(ToneCurve(1.0, asymmetry, dmin, dmax))
