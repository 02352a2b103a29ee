"""The answer about contrast as both doors print it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.book import Settings
from stillroom.documents.contrast import Contrast, StopsRange
from stillroom.quantity import range_text, stops_text
from stillroom.sitter import region_name
from stillroom.telling.odds import odds


@dataclass(frozen=True, slots=True)
class WayTold:
    """One way, with its odds and how the next sheet is set for it."""

    text: str
    odds: str
    settings: Settings | None


@dataclass(frozen=True, slots=True)
class Told:
    """Figures with their names, ways, and what is left to do without any."""

    figures: tuple[tuple[str, tuple[str, str]], ...]
    ways: tuple[WayTold, ...]
    else_: str
    """To aim them nearer; empty where they fit."""
    as_set: str
    """The odds without any of the ways; empty where there are none."""


def told(answer: Contrast) -> Told:
    """Figures, ways and odds of an answer.

    Parameters
    ----------
    answer : Contrast
        The answer.
    """
    wanted = answer.darker_fits_stops
    has_aims = answer.aims_apart_stops > answer.held.mean
    darker = region_name(answer.darker).lower()
    return Told(
        figures=(
            ("Wanted apart", (_size(answer.aims_apart_stops), "")),
            ("Apart by the light", _ranged(answer.light_apart_stops)),
            ("This paper takes", _ranged(answer.held)),
        ),
        ways=tuple(WayTold(w.text, odds(w.p_keeper), w.settings) for w in answer.ways),
        else_=f"Or aim the {darker} at {stops_text(wanted)}: there it fits." if has_aims else "",
        as_set=f"As it is, tones land {odds(answer.p_keeper)}." if answer.ways else "",
    )


def _ranged(value: StopsRange) -> tuple[str, str]:
    return _size(value.mean), range_text((value.q95 - value.q05) / 2)


def _size(stops: float) -> str:
    text = stops_text(stops)
    return f"{text.lstrip('+')} stops" if text not in ("+1", "0") else f"{text.lstrip('+')} stop"
