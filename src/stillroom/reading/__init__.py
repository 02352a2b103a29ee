"""Reading: what a finished sheet shows, as densities with their spread."""

from stillroom.reading.comparison_strip import (
    MATCH_SD_OWN,
    MATCH_SD_PRINTED,
    Matched,
    matched,
)

__all__ = ["MATCH_SD_OWN", "MATCH_SD_PRINTED", "Matched", "matched"]
