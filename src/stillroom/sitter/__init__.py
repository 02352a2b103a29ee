"""Sitter: skin and clothes in the paper's band, holding still, the regions of the picture."""

from stillroom.sitter.regions import REGIONS, Region, region_name
from stillroom.sitter.skin import (
    GUESSED_SD_STOPS,
    MEASURED_SD_STOPS,
    SKIN_REFLECTANCE,
    UNKNOWN_SD_STOPS,
    Sitter,
    reflectance_stops,
    skin_stops,
)
from stillroom.sitter.surfaces import (
    SPECTACLES,
    SURFACES,
    actinic_reflectance,
    behind,
    photopic_reflectance,
    rendered_stops,
    spectacles,
    surface,
)

__all__ = [
    "GUESSED_SD_STOPS",
    "MEASURED_SD_STOPS",
    "REGIONS",
    "SKIN_REFLECTANCE",
    "SPECTACLES",
    "SURFACES",
    "UNKNOWN_SD_STOPS",
    "Region",
    "Sitter",
    "actinic_reflectance",
    "behind",
    "photopic_reflectance",
    "reflectance_stops",
    "region_name",
    "rendered_stops",
    "skin_stops",
    "spectacles",
    "surface",
]
