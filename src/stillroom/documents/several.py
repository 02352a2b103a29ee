"""What the tool answers when several sheets are made before any is seen."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.answers import Advice, Forecast
from stillroom.documents.base import Line, Name, Strict
from stillroom.documents.book import Settings


class SeveralSheets(Strict):
    """Settings for sheets that are all made before any is seen."""

    stillroom: Literal["several/1"] = "several/1"
    sitting: Name
    sheet_numbers: tuple[int, ...]
    marks: tuple[Line, ...]
    settings: tuple[Settings, ...]
    """Alike, or spread by the dials; one for each sheet."""
    forecasts: tuple[Forecast, ...]
    p_any: float
    """Chance that every aimed region lands on one sheet at least."""
    first: Advice
    """The advice for one sheet alone: what changes, and what else is to be said."""
