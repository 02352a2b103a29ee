"""Sitter: skin in the paper's band, holding still, and the regions of the picture."""

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

__all__ = [
    "GUESSED_SD_STOPS",
    "MEASURED_SD_STOPS",
    "REGIONS",
    "SKIN_REFLECTANCE",
    "UNKNOWN_SD_STOPS",
    "Region",
    "Sitter",
    "reflectance_stops",
    "region_name",
    "skin_stops",
]
