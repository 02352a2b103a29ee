"""What the tool answers about second edges: steady light beside a flash, and the dark test."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Settings, Verdict
from stillroom.documents.holding import Fires, Support


class SteadyShare(Strict):
    """Steady light's share of an exposure [1]; `q05` to `q95` is nine in ten."""

    mean: float
    q05: float
    q50: float
    q95: float


class RegionGhost(Strict):
    """The edge of one region, and what a moving sitter makes of it."""

    region: Name
    name: Line
    beside: Name
    """What stands beside or behind it."""
    steady: SteadyShare
    step_beside: float
    """How much lighter the strip beside the edge becomes, half the time away [density]; below 0
    darker."""
    step_inside: float
    """The same inside the edge, where what stands behind shows through."""
    p_shows: float
    """Chance that a second edge shows there."""


class GhostWay(Strict):
    """One thing that would help, and the odds it leaves."""

    kind: Literal["shorter", "darker", "modelling_off", "support"]
    open_s: float | None = None
    darker_stops: float | None = None
    support: Support | None = None
    p_shows: float
    text: Text


class Modelling(Strict):
    """Modelling lamps as steady light: through the same fronts as the flash of their heads."""

    roles: tuple[Name, ...]
    are_on: bool
    """Whether they are reckoned as on."""
    share: float
    """Of the exposure of the region with the most of it, were they on [1]."""
    p_shows: float
    """Chance of a second edge, were they on."""


class Walk(Strict):
    """A sitter who walks in and out while the lens is open."""

    away_s: float
    region: Name
    p_shows_through: float
    """Chance that what stands behind is seen through them."""
    longest_away_s: float | None
    """The longest that stays unseen with the odds wanted; null: however long."""


class Mixing(Strict):
    """Steady light wanted beside the flash."""

    wanted_share: float
    region: Name
    open_s: float | None
    """Open time that gives it; null where no time up to 600 s does."""
    p_held: float | None
    """Chance that the sitter holds so long."""


class StateOdds(Strict):
    """The same in another state of the room."""

    room_state: Line
    p_shows: float


class Ghost(Strict):
    """Whether a second edge shows, of steady light while the lens is open about a flash."""

    stillroom: Literal["ghost/1"] = "ghost/1"
    sitting: Name | None = None
    """Null: asked with bare numbers."""
    settings: Settings | None = None
    open_s: float
    """How long the lens is open, all openings together [s]."""
    planned_s: float
    """As it was planned; a hand may need longer."""
    open_sd_s: float
    """How far that may be off, by the way it fires [s]."""
    fires: Fires | None = None
    room_state: Line = ""
    has_flash: bool
    has_steady: bool
    """False: no steady light is written down, which is no proof that there is none."""
    support: Support | None = None
    smear_mm: float
    """How far the steady image moves on the sheet, median [mm]."""
    allowed_mm: float
    """How far it may, before an edge counts as two [mm]."""
    regions: tuple[RegionGhost, ...]
    p_shows: float
    """Chance of a second edge at the worst of the regions."""
    odds: float
    """The odds wanted that none shows."""
    longest_s: float | None
    """The longest the lens may be open with these odds; null: 600 s and longer; 0: no time is so
    short."""
    darker_stops: float
    """How much darker the room would have to be for the time planned [stops]; 0: dark enough."""
    states: tuple[StateOdds, ...] = ()
    modelling: Modelling | None = None
    walk: Walk | None = None
    mixing: Mixing | None = None
    ways: tuple[GhostWay, ...] = ()
    """What would help; empty where it is dark enough."""
    sentence: Text


class DarkTestSees(Strict):
    """What one outcome of a dark test would prove."""

    sees: Literal["black", "grey", "light"]
    p: float
    """How likely it is, as the room is known now."""
    text: Text


class DarkTest(Strict):
    """A white card in the chair, the lens open many times as long as planned, and no pop."""

    stillroom: Literal["dark-test/1"] = "dark-test/1"
    sitting: Name
    region: Name
    card_reflectance: float
    times: float
    planned_s: float
    open_s: float
    settings: Settings
    """How that sheet is set: every head off."""
    has_steady: bool
    """Whether a steady light is written down; else the test writes one in, as a guess."""
    sees: tuple[DarkTestSees, ...]
    steps: tuple[Text, ...]
    """What to do, in order."""


class RoomLight(Strict):
    """The steady light on the face, against what would show as a second edge."""

    share: SteadyShare
    """Of the face's exposure as planned [1]."""
    under_stops: float
    """How far it lies below what would show, at least, 19 in 20 [stops]; below 0: it may show."""


class DarkTestRead(Strict):
    """What a dark test proved."""

    stillroom: Literal["dark-test-read/1"] = "dark-test-read/1"
    sitting: Name
    sheet: int
    region: Name
    verdict: Verdict | None = None
    density: float | None = None
    before: RoomLight
    after: RoomLight
    is_bound: bool
    """True: the card stayed black, so the room's light is known from above only."""
    sentence: Text
