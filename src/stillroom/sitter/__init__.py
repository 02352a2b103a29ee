"""Sitter: skin and clothes in the paper's band, holding still, the regions of the picture."""

from stillroom.sitter.blink import Blink, blink
from stillroom.sitter.held import SmearSeen, motion_of
from stillroom.sitter.pops import chance_pops_held, pops_smear_mm
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
from stillroom.sitter.stillness import (
    EYES_CLOSED_TIMES,
    SUPPORTS,
    Motion,
    Support,
    chance_held,
    gone_mm,
    longest_held_s,
    mean_speed_mm_s,
    smear_mm,
    spread_mm,
    usual_motion,
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
from stillroom.sitter.sway import SWAY_HZ

__all__ = [
    "EYES_CLOSED_TIMES",
    "GUESSED_SD_STOPS",
    "MEASURED_SD_STOPS",
    "REGIONS",
    "SKIN_REFLECTANCE",
    "SPECTACLES",
    "SUPPORTS",
    "SURFACES",
    "SWAY_HZ",
    "UNKNOWN_SD_STOPS",
    "Blink",
    "Motion",
    "Region",
    "Sitter",
    "SmearSeen",
    "Support",
    "actinic_reflectance",
    "behind",
    "blink",
    "chance_held",
    "chance_pops_held",
    "gone_mm",
    "longest_held_s",
    "mean_speed_mm_s",
    "motion_of",
    "photopic_reflectance",
    "pops_smear_mm",
    "reflectance_stops",
    "region_name",
    "rendered_stops",
    "skin_stops",
    "smear_mm",
    "spectacles",
    "spread_mm",
    "surface",
    "usual_motion",
]
