"""Light from a band of the sky, seen between upright and level edges, on a plane of any normal.

Counted in directions, azimuth and elevation, not over the opening: the sky's luminance, horizon,
obstruction and the slant at the glass all depend on direction alone, and nearness brings no peak.
Wherever one edge of the view gives way to another, a new stretch of azimuth begins; on each
stretch the integrand is smooth, and Gauss-Legendre nodes are exact to many digits.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from stillroom.light.window.opening import Band, Opening, Seen
from stillroom.light.window.sky import UNIFORM, Sky
from stillroom.quantity import FloatArray

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(20)
_SHARES, _SHARE_WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2

ALL_IN_FRONT = Seen(-1e9, 1e9, -1e9, 1e9)
"""Everything on the far side of the wall."""


def illuminance_per_luminance(
    bounds: Seen,
    normal: tuple[float, float, float],
    band: Band,
    luminance: Callable[[FloatArray], FloatArray],
    transmittance: Callable[[FloatArray], FloatArray] | None = None,
) -> float:
    """Return the illuminance of a plane from a band of directions within bounds.

    Parameters
    ----------
    bounds : Seen
        Slopes between which it sees out.
    normal : tuple of float
        Unit normal of the plane: right, out, up.
    band : Band
        Elevations that shine.
    luminance : Callable[[FloatArray], FloatArray]
        Relative luminance, from the sine of the elevation.
    transmittance : Callable[[FloatArray], FloatArray], optional
        Of what stands in the wall, from the cosine of the incidence on it.

    Returns
    -------
    float
        Integral of luminance, transmittance and cosine on the plane over solid angle [sr].

    References
    ----------
    Definition of illuminance.

    Examples
    --------
    >>> whole_sky = illuminance_per_luminance(
    ...     ALL_IN_FRONT, (0.0, 1.0, 0.0), Band(0.0, 90.0), np.ones_like
    ... )
    >>> round(whole_sky / math.pi, 6)  # an upright plane sees half of a uniform sky
    0.5
    """
    if band.share == 0 or band.low_deg >= band.high_deg:
        return 0.0
    edges = _stretches(bounds, normal, band)
    width = np.diff(edges)
    azimuth = (edges[:-1, None] + width[:, None] * _SHARES).ravel()
    across = (width[:, None] * _SHARE_WEIGHTS).ravel()
    low, high = _elevations(azimuth, bounds, normal, band)
    height = np.maximum(high - low, 0.0)
    elevation = low[:, None] + height[:, None] * _SHARES
    sine, cosine = np.sin(elevation), np.cos(elevation)
    level = normal[0] * np.sin(azimuth) + normal[1] * np.cos(azimuth)
    light = luminance(sine) * (level[:, None] * cosine + normal[2] * sine) * cosine
    if transmittance is not None:
        light = light * transmittance(cosine * np.cos(azimuth)[:, None])
    total = float(np.sum(light * _SHARE_WEIGHTS * (across * height)[:, None]))
    return band.share * max(0.0, total)  # edge-on, rounding may fall a hair below nothing


def _elevations(
    azimuth: FloatArray, bounds: Seen, normal: tuple[float, float, float], band: Band
) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest elevation seen towards each azimuth, in front of the plane."""
    out = np.cos(azimuth)
    low = np.maximum(np.arctan(bounds.bottom * out), math.radians(band.low_deg))
    high = np.minimum(np.arctan(bounds.top * out), math.radians(band.high_deg))
    level, up = normal[0] * np.sin(azimuth) + normal[1] * out, normal[2]
    if up > 0:
        low = np.maximum(low, np.arctan2(-level, up))
    elif up < 0:
        high = np.minimum(high, np.arctan2(level, -up))
    else:
        high = np.where(level > 0, high, low)
    return low, high


def _stretches(bounds: Seen, normal: tuple[float, float, float], band: Band) -> FloatArray:
    """Azimuths from the left edge to the right one [rad], cut where another edge takes over."""
    right, out, up = normal
    steepness = [math.tan(math.radians(e)) for e in band[:2] if abs(e) < 90]
    cuts = [0.0]
    for slope in (bounds.bottom, bounds.top):
        # A level edge meets the plane's own horizon ...
        cuts.append(-math.atan2(up * slope + out, right))
        # ... and a circle of elevation.
        cuts.extend(_arc_cosine(steep / slope) for steep in steepness if slope != 0)
    # The plane's own horizon meets a circle of elevation.
    reach = math.hypot(right, out)
    if reach > 0:
        lean = math.atan2(right, out)
        for steep in steepness:
            turn = _arc_cosine(-up * steep / reach)
            cuts.extend((lean + turn, lean - turn))
    turned = np.array(cuts)
    every = np.concatenate([turned, -turned, turned + math.pi, turned - math.pi])
    first, last = math.atan(bounds.left), math.atan(bounds.right)
    within = every[(every > first) & (every < last)]
    return np.concatenate([[first], np.unique(within), [last]])


def _arc_cosine(value: float) -> float:
    """Arc cosine, or zero (no cut of its own) where there is none."""
    return math.acos(value) if -1 <= value <= 1 else 0.0


def outside_factors(
    opening: Opening,
    bounds: Seen,
    normal: tuple[float, float, float],
    sky: Sky,
    transmittance: Callable[[FloatArray], FloatArray] | None = None,
) -> tuple[float, float, float]:
    """Return what clear sky, obstruction and ground give a plane, over E_h of the sky.

    Parameters
    ----------
    opening : Opening
        What stands outside of it.
    bounds : Seen
        Slopes between which the plane sees out.
    normal : tuple of float
        Unit normal of the plane: right, out, up.
    sky : Sky
        How the sky is spread. The ground is lit by all of it and counts as matt and even.
    transmittance : Callable[[FloatArray], FloatArray], optional
        Of what stands in the wall, from the cosine of the incidence on it.

    Returns
    -------
    tuple of float
        Three factors [1].

    Examples
    --------
    >>> opening = Opening(1.2, 1.5, 0.9, 45, ground_reflectance=0.2)
    >>> parts = outside_factors(opening, ALL_IN_FRONT, (0.0, 1.0, 0.0), UNIFORM)
    >>> [round(part, 6) for part in parts]
    [0.5, 0.0, 0.1]
    """
    clear, hidden, ground = opening.bands
    skies = ((clear, sky), (hidden, sky), (ground, UNIFORM))
    clear_part, hidden_part, ground_part = (
        illuminance_per_luminance(bounds, normal, band, like.gradation, transmittance)
        / like.horizontal_per_zenith_sr
        for band, like in skies
    )
    return clear_part, hidden_part, ground_part
