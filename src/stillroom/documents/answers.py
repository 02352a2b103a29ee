"""What the tool answers: forecasts and advice, as documents."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Settings


class Spread(Strict):
    """A quantity with its range; `q05` to `q95` is nine in ten."""

    mean: float
    sd: float
    q05: float
    q25: float
    q50: float
    q75: float
    q95: float


class LedgerLine(Strict):
    """One factor between lamp and paper, in stops."""

    source: Name
    term: Line
    stops: float
    sd_stops: float
    known_from: Line
    name: Line = ""
    """Name of the term, by which it can be held or forgotten; empty for a fixed factor."""


class Landing(Strict):
    """Where one source's chain alone puts the region, surer or less sure than its parts."""

    source: Name
    stops: float
    sd_stops: float


class AimShown(Strict):
    """An aim, resolved to stops from the mid-tone for this paper and sitter."""

    placement_stops: float
    tol_stops: float | None
    density: float
    relative_to: Literal["skin", "paper"]


class RegionForecast(Strict):
    """What is expected of one region."""

    name: Line
    placement_stops: Spread
    density: Spread
    sources: dict[Name, float]
    ledger: tuple[LedgerLine, ...]
    landings: tuple[Landing, ...]
    aim: AimShown | None
    p_lands: float | None
    """Chance that this region alone falls within its tolerance."""


class MeterShows(Strict):
    """What an incident meter should show at a region before any paper is used."""

    region: Name
    lights_on: tuple[Name, ...]
    exposure_lxs: float
    f_number: float
    iso: float
    sd_stops: float


class Forecast(Strict):
    """What one sheet would show with given settings."""

    stillroom: Literal["forecast/1"] = "forecast/1"
    sitting: Name
    sheet_number: int
    mark: Line
    settings: Settings
    regions: dict[Name, RegionForecast]
    p_keeper: float | None
    """Chance that every aimed region lands, spoiled sheets counted in; null for a stepped one."""
    meter_shows: tuple[MeterShows, ...]
    good_until: str | None = None
    output_from: dict[Name, Line]
    """How each head's output was reached."""
    cautions: tuple[Line, ...]


class Change(Strict):
    """One thing to turn."""

    knob: Line
    """``key dial``, ``f-number``, ``pops``, ``open time``, ``key distance`` ..."""
    role: Name | None
    from_value: float
    to_value: float
    stops: float
    """What the change alone does to the light of its source (of all, for the camera)."""
    why: Text
    effort: float


class Spoiler(Strict):
    """What would most likely spoil the sheet."""

    region: Name
    p_misses: float
    likelier: Literal["darker", "lighter"]


class Alternative(Strict):
    """Another way, with its odds and side effects."""

    settings: Settings
    p_keeper: float
    text: Text


class PieceAdvice(Strict):
    """A test piece that is expected to save more than it costs."""

    region: Name
    """Where it is taped, and all that is read of it."""
    settings: Settings
    """As the best plain sheet is made."""
    first: bool
    """Whether it is the next step; else it is offered beside the sheet."""
    share: float
    """Of a sheet of paper; a round it takes whole."""
    saves_sheets: float
    """What it saves against the sheet that would come first otherwise, its own cost taken off, in
    sheets made one at a time."""
    paper_sheets: float
    """Paper expected to the first sheet that lands, the piece counted in [sheets]."""
    rounds: float
    """Rounds expected to the first sheet that lands, that of the piece counted in."""
    sd_now_stops: float
    sd_after_stops: float
    """How far it is open where the region falls, before and after the piece is read [stops]."""
    text: Text
    """Where it is taped, what it costs and what it tells."""
    worth: Text
    """What it is expected to save."""


class Advice(Strict):
    """What to set for the next sheet, and why."""

    stillroom: Literal["advice/1"] = "advice/1"
    sitting: Name
    sheet_number: int
    mark: Line
    settings: Settings
    forecast: Forecast
    changes: tuple[Change, ...]
    left_alone: tuple[Text, ...]
    """What was considered and left, each a sentence."""
    note: Text
    """One sentence: what this sheet is for."""
    spoilers: tuple[Spoiler, ...]
    alternatives: tuple[Alternative, ...]
    stepped_sheet: Settings | None
    not_yet_read: tuple[int, ...]
    reachable: bool
    missing: Text = ""
    """When not reachable: what falls short and the nearest way."""
    meter_first: bool = False
    """One meter reading now would narrow the odds more than a stepped sheet."""
    piece: PieceAdvice | None = None
    """A test piece, where it is expected to save more than it costs."""


class SheetTaught(Strict):
    """One line on what a read sheet taught."""

    number: int
    sentence: Text
    odd: Text | None
