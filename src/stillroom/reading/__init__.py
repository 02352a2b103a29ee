"""Reading: what a finished sheet shows, as densities with their spread."""

from stillroom.reading.comparison_strip import (
    MATCH_SD_OWN,
    MATCH_SD_PRINTED,
    Matched,
    matched,
)
from stillroom.reading.control_strip import (
    READING_SD_DENSITY,
    RUN_SD_STOPS,
    BathShift,
    bath_shift,
)
from stillroom.reading.spreads import SD_DENSITY

__all__ = [
    "MATCH_SD_OWN",
    "MATCH_SD_PRINTED",
    "READING_SD_DENSITY",
    "RUN_SD_STOPS",
    "SD_DENSITY",
    "BathShift",
    "Matched",
    "bath_shift",
    "matched",
]
