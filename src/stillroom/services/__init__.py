"""The verbs: plan, advise, record, read, export; they own the unit of work and the clock."""

from stillroom.services.desk import (
    LOOKS,
    Desk,
    FirstAnswers,
    Look,
    Saved,
    SkinQuestion,
    ToneOption,
)
from stillroom.services.paths import Paths, Place, find_paths, paths_report

__all__ = [
    "LOOKS",
    "Desk",
    "FirstAnswers",
    "Look",
    "Paths",
    "Place",
    "Saved",
    "SkinQuestion",
    "ToneOption",
    "find_paths",
    "paths_report",
]
