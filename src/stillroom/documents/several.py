"""What the tool answers when several sheets are made before any is seen."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.answers import Alternative, Change, Forecast, PieceAdvice
from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Settings


class SeveralForecast(Strict):
    """What is expected of sheets that are all made before any is seen."""

    p_any: float
    """Chance that every aimed region lands on one sheet at least."""
    p_any_alike: float
    """The same, were all of them set like the best single sheet."""
    expected_landed: float
    """How many of them are expected to land."""
    sheets: tuple[Forecast, ...]
    """Each sheet by itself."""


class Together(Strict):
    """What so many sheets together are expected to take until one lands."""

    sheets: int
    """How many are made before any is seen."""
    p_any: float
    expected_sheets: float
    """Sheets until one lands, these counted in."""
    expected_rounds: float
    """Rounds until one lands, this one counted in; a round is about 25 minutes."""
    cost: float
    """``expected_sheets + weight x expected_rounds``; what a round weighs is `dear`'s."""


class SeveralSheets(Strict):
    """Settings for sheets that are all made before any is seen.

    The members of ``advice/1`` under the same names, where there are as many of a thing as of
    sheets a list of them. `changes`, `alternatives`, `stepped_sheet` and `piece` are those of the
    next sheet: of the first of the set, and of one sheet made alone.
    """

    stillroom: Literal["several/1"] = "several/1"
    sitting: Name
    sheet_numbers: tuple[int, ...]
    marks: tuple[Line, ...]
    settings: tuple[Settings, ...]
    """Alike, or spread by the quickest knob; one for each sheet, in the order of least turning."""
    forecast: SeveralForecast
    changes: tuple[Change, ...]
    """From how things stand to the first sheet."""
    between: tuple[tuple[Change, ...], ...]
    """From each sheet to the next; empty where they are alike."""
    left_alone: tuple[Text, ...]
    note: Text
    """One sentence: what these sheets are for."""
    alternatives: tuple[Alternative, ...]
    stepped_sheet: Settings | None
    not_yet_read: tuple[int, ...]
    """Sheets that wait: what they show is not known here yet."""
    reachable: bool
    missing: Text = ""
    meter_first: bool = False
    piece: PieceAdvice | None = None
    dear: Literal["paper", "time"]
    together: tuple[Together, ...]
    """One to four sheets together, compared."""
    cheapest: int
    """Of those, how many cost least."""
    proposed: bool
    """Time is dear and one sheet lands less than 6 times in 10: two are better than one."""
