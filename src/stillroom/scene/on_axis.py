"""Light on the regions when only distance, size and turn of each light are known.

The region a light serves is lit on its axis, exactly; every other region gets a typical share
with a wide spread, which sheets and meter readings narrow. The full geometry of a set has the
same signature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.light import Modifier, facing_stops, outermost_face

# Stops below the region a light serves, and the spread of that, by what the light is for.
# Invented, plausible for one head and shoulders; learned from the first sheets on.
_SPILL: dict[str, dict[str, tuple[float, float]]] = {
    "key": {
        "key": (0.0, 0.15),
        "shadow": (-3.0, 0.5),
        "forehead": (-0.3, 0.3),
        "rim": (-6.0, 0.6),
        "hair": (-1.5, 0.5),
        "cloth": (-0.7, 0.5),
        "bg": (-3.5, 0.4),
    },
    "fill": {
        "key": (-0.3, 0.3),
        "shadow": (0.0, 0.2),
        "forehead": (-0.2, 0.3),
        "rim": (-3.0, 0.5),
        "hair": (-1.0, 0.5),
        "cloth": (-0.4, 0.5),
        "bg": (-1.0, 0.4),
    },
    "rim": {
        "key": (-8.0, 0.8),
        "shadow": (-5.0, 0.5),
        "forehead": (-8.0, 0.8),
        "rim": (0.0, 0.25),
        "hair": (-0.7, 0.5),
        "cloth": (-2.5, 0.8),
        "bg": (-9.0, 0.8),
    },
    "ground": {
        "key": (-8.0, 0.8),
        "shadow": (-8.0, 0.8),
        "forehead": (-8.0, 0.8),
        "rim": (-6.0, 0.8),
        "hair": (-6.0, 0.8),
        "cloth": (-8.0, 0.8),
        "bg": (0.0, 0.25),
    },
    "around": {
        "key": (0.0, 0.2),
        "shadow": (-0.5, 0.3),
        "forehead": (-0.1, 0.2),
        "rim": (-0.3, 0.3),
        "hair": (-0.3, 0.3),
        "cloth": (-0.3, 0.3),
        "bg": (-0.8, 0.4),
    },
}
_USE_OF_ROLE = {
    "key": "key",
    "fill": "fill",
    "card": "fill",
    "rim": "rim",
    "hair": "rim",
    "ground": "ground",
    "bg": "ground",
    "background": "ground",
    "room": "around",
    "ambient": "around",
    "amb": "around",
    "window": "key",
    "daylight": "around",
}
_UNNAMED = (-2.0, 1.0)
"""Any light on a region that someone named themselves, until a sheet tells."""


@dataclass(frozen=True, slots=True)
class StandingLight:
    """A light as it stands.

    Attributes
    ----------
    role : str
        What it is for: key, fill, rim, ground, room ... (a number may follow: key2).
    modifiers : tuple of Modifier
        From the lamp outwards.
    distance_m : float or None
        From cloth or front to the region it serves; None for light metered at the sitter.
    facing_deg : float
        How far the surface is turned away from it.
    """

    role: str
    modifiers: tuple[Modifier, ...]
    distance_m: float | None
    facing_deg: float


@dataclass(frozen=True, slots=True)
class RegionLight:
    """What a light gives a region against a small source facing it at the same distance."""

    near_field_stops: float
    facing_stops: float
    spill_stops: float
    sd_stops: float

    @property
    def stops(self) -> float:
        """All of it."""
        return self.near_field_stops + self.facing_stops + self.spill_stops


def light_on_regions(light: StandingLight, regions: Sequence[str]) -> dict[str, RegionLight]:
    """What one light gives each region.

    Parameters
    ----------
    light : StandingLight
        The light.
    regions : sequence of str
        Ids of the regions.

    Returns
    -------
    dict
        Region to `RegionLight`.

    Raises
    ------
    OutOfRange
        If the distance or the turn lies outside its range.

    Examples
    --------
    >>> small = StandingLight("key", (), 1.0, 60.0)
    >>> round(light_on_regions(small, ["key"])["key"].stops, 3)
    -1.0
    """
    near = 0.0
    if light.distance_m is not None:
        face = outermost_face(light.modifiers)
        near = 0.0 if face is None else face.near_field_stops(light.distance_m)
    turned = facing_stops(light.facing_deg) if light.facing_deg else 0.0
    use = _USE_OF_ROLE.get(light.role.rstrip("0123456789 "), "around")
    found = {}
    for region in regions:
        spill, sd = _SPILL[use].get(region, _UNNAMED)
        found[region] = RegionLight(near, turned, spill, sd)
    return found
