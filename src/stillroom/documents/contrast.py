"""What the tool answers about contrast: how far two aims lie apart, and what the paper holds."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Settings


class StopsRange(Strict):
    """Stops with their range: `q05` to `q95` is nine in ten."""

    mean: float
    q05: float
    q95: float


class ContrastWay(Strict):
    """One way to bring two regions nearer to what the paper holds."""

    kind: Literal["card", "filter", "preflash"]
    filter: Name | None = None
    """The filter to hang on the lens; with kind ``filter`` and null, the one on it comes off."""
    lift_stops: float | None = None
    """By how much card or pre-flash lifts the darker region [stops]."""
    fill_stops: float | None = None
    """The light a card has to add over what the darker region has [stops]."""
    below_mid_stops: float | None = None
    """How far below the mid-tone the pre-flash alone lands [stops]."""
    held_stops: float
    """What the paper then holds [stops]."""
    beyond_stops: float
    """How far the two still lie apart beyond that [stops]."""
    cost_stops: float
    """Light to be given more, so that the lighter region lands where it did [stops]."""
    cost_sd_stops: float
    detail_share: float
    """What is left of differences within the darker region, as the paper shows them [1]."""
    aim_stops: float | None = None
    """Where the darker region is then to be aimed, where its aim lies beyond the paper now; its
    odds are told for that [stops]."""
    effort: float
    settings: Settings | None
    """The likeliest to land this way; null for a card, which no setting is."""
    p_keeper: float
    text: Text


class Contrast(Strict):
    """How far the lightest and the darkest aim lie apart, and what helps where it is too far."""

    stillroom: Literal["contrast/1"] = "contrast/1"
    sitting: Name
    paper: Line
    lighter: Name
    darker: Name
    aims_apart_stops: float
    """By where they are wanted [stops]."""
    light_apart_stops: StopsRange
    """By the light as it would be set now."""
    held: StopsRange
    """What the paper holds between its last light and its last dark tone, behind what is on the
    lens."""
    beyond_stops: float
    """How far the larger of the two lies beyond what the paper holds [stops]; below 0 it fits."""
    darker_fits_stops: float
    """Where the darker one would have to be wanted to fit, the lighter one as it is [stops]."""
    settings: Settings
    """As it would be set now."""
    p_keeper: float
    ways: tuple[ContrastWay, ...]
    """Empty where the two fit; what leaves least beyond the paper first."""
    sentence: Text
