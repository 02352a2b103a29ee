"""Window light by other means than the package's: contours, sums over the opening, single rays."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from stillroom.light.window import SUN_RADIUS_DEG, Opening, Spot
from stillroom.quantity import FloatArray


def one(cosine: FloatArray) -> FloatArray:
    return np.ones_like(cosine)


def corners(opening: Opening, place: Spot) -> list[FloatArray]:
    left, right = (side * opening.width_m / 2 - place.offset_m for side in (-1, 1))
    low = opening.sill_m - place.height_m
    high = low + opening.height_m
    d = place.distance_m
    return [
        np.array([x, d, z]) for x, z in ((left, low), (right, low), (right, high), (left, high))
    ]


def normal_of(place: Spot) -> FloatArray:
    turn, tilt = math.radians(place.turn_deg), math.radians(place.tilt_deg)
    return np.array(
        [math.cos(tilt) * math.sin(turn), math.cos(tilt) * math.cos(turn), math.sin(tilt)]
    )


def in_front(polygon: list[FloatArray], normal: FloatArray) -> list[FloatArray]:
    """The part of a polygon on the side a normal points to."""
    kept = []
    for here, there in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        a, b = float(here @ normal), float(there @ normal)
        if a >= 0:
            kept.append(here)
        if (a >= 0) != (b >= 0):
            kept.append(here + (there - here) * a / (a - b))
    return kept


def contour_factor(opening: Opening, place: Spot) -> float:
    """Uniform sky through a bare opening: Lambert's sum over the edges of what is seen.

    F = |sum of (angle under each edge) (unit normal of its plane) . n| / 2 pi; any text on
    radiative transfer.
    """
    n = normal_of(place)
    seen = in_front(in_front(corners(opening, place), np.array([0.0, 0.0, 1.0])), n)
    total = np.zeros(3)
    for here, there in zip(seen, seen[1:] + seen[:1], strict=True):
        across = np.cross(here, there)
        length = float(np.linalg.norm(across))
        if length > 0:
            total += across / length * math.atan2(length, float(here @ there))
    return abs(float(total @ n)) / (2 * math.pi)


def midpoint_factor(
    opening: Opening,
    place: Spot,
    gradation: Callable[[FloatArray], FloatArray],
    transmittance: Callable[[FloatArray], FloatArray] = one,
    cells: int = 400,
) -> float:
    """Sky through an opening: sum over small pieces of it, each taken at its middle.

    E = sum of L (n.u) (cos at the opening) dA / r^2, over the same sum for level open ground.
    """
    steps = (np.arange(cells) + 0.5) / cells
    x = (steps - 0.5) * opening.width_m - place.offset_m
    top = opening.sill_m + opening.height_m - place.height_m
    low = max(opening.sill_m - place.height_m, 0.0)  # no piece is cut by the horizon
    if top <= low:
        return 0.0
    z = low + steps * (top - low)
    across, up = np.meshgrid(x, z)
    squared = across**2 + place.distance_m**2 + up**2
    r = np.sqrt(squared)
    n = normal_of(place)
    on_plane = np.maximum((n[0] * across + n[1] * place.distance_m + n[2] * up) / r, 0)
    sine, at_opening = up / r, place.distance_m / r
    shining = sine >= math.sin(math.radians(opening.obstruction_deg))
    light = np.where(shining, gradation(np.maximum(sine, 0)), 0) * transmittance(at_opening)
    piece = opening.width_m * (top - low) / cells**2
    total = float(np.sum(light * on_plane * at_opening / squared)) * piece
    rings = (np.arange(20_000) + 0.5) / 20_000 * math.pi / 2
    level = 2 * math.pi * gradation(np.sin(rings)) * np.sin(rings) * np.cos(rings)
    return total / (float(np.sum(level)) * math.pi / 2 / 20_000)


def disc_seen(
    opening: Opening, place: Spot, elevation_deg: float, azimuth_deg: float, rays: int = 4000
) -> float:
    """Share of the sun's disc that is seen, ray by ray against every edge of the wall."""
    turns = np.arange(rays) * math.pi * (3 - math.sqrt(5))
    away = np.sqrt((np.arange(rays) + 0.5) / rays) * math.tan(math.radians(SUN_RADIUS_DEG))
    el, az = math.radians(elevation_deg), math.radians(azimuth_deg - opening.azimuth_deg)
    middle = np.array([math.cos(el) * math.sin(az), math.cos(el) * math.cos(az), math.sin(el)])
    side = np.array([math.cos(az), -math.sin(az), 0.0])
    rise = np.cross(side, middle)
    u = middle + away[:, None] * (np.cos(turns)[:, None] * side + np.sin(turns)[:, None] * rise)
    passes = u[:, 1] > 0
    ahead = np.where(passes, u[:, 1], 1.0)
    bare = opening.bare
    part = bare or opening
    offset, base = (bare.offset_m, bare.base_m) if bare else (0.0, 0.0)
    planes = (
        (-opening.inner_reveal_m, opening.width_m, opening.height_m, 0.0, 0.0),
        (0.0, part.width_m, part.height_m, offset, base),
        (opening.outer_reveal_m, opening.width_m, opening.height_m, 0.0, 0.0),
    )
    for beyond, width, height, middle_m, base_m in planes:
        x = place.offset_m + u[:, 0] / ahead * (place.distance_m + beyond)
        z = place.height_m + u[:, 2] / ahead * (place.distance_m + beyond)
        low = opening.sill_m + base_m
        passes &= (np.abs(x - middle_m) <= width / 2) & (z >= low) & (z <= low + height)
    elevations = np.arcsin(u[:, 2] / np.linalg.norm(u, axis=1))
    passes &= elevations >= math.radians(opening.obstruction_deg)
    return float(np.mean(passes))
