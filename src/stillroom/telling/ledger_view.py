"""The ledger of stops of one region: every factor from lamp to paper, and where they land."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from urllib.parse import urlencode

from stillroom.documents.answers import Forecast, Landing, LedgerLine, RegionForecast
from stillroom.documents.book import Book, Sitting
from stillroom.errors import UnknownName
from stillroom.exposure import PRE_FLASH
from stillroom.quantity import NINE_IN_TEN, stops_decimal_text
from stillroom.telling.known_view import TermView
from stillroom.telling.names import light_title
from stillroom.telling.odds import odds

_CLEARLY_SURER = 0.95


@dataclass(frozen=True, slots=True)
class Entry:
    """One row."""

    term: str
    known_from: str
    stops: str
    range: str
    so_far: str = ""
    name: str = ""
    """Name of its term, where it can be opened."""


@dataclass(frozen=True, slots=True)
class Chain:
    """One light from lamp to paper."""

    source: str
    share: str
    lines: tuple[Entry, ...]
    landing: Entry
    note: str


@dataclass(frozen=True, slots=True)
class LedgerView:
    """One region: the chain that matters most first."""

    name: str
    chains: tuple[Chain, ...]
    ends: tuple[Entry, ...]
    regions: tuple[tuple[str, str, bool], ...]


@dataclass(frozen=True, slots=True)
class Opens:
    """Which rows of a ledger can be opened, and which one is.

    Attributes
    ----------
    names : frozenset of str
        Terms that have a history.
    page : str
        Address of the ledger.
    query : tuple of (str, str)
        What else the address says.
    term : TermView or None
        The term that is opened.
    source : str
        The light in whose chain it is.
    form_id : str
        A one-time id for its form.
    """

    names: frozenset[str]
    page: str
    query: tuple[tuple[str, str], ...]
    term: TermView | None = None
    source: str = ""
    form_id: str = ""

    def is_open(self, name: str, source: str) -> bool:
        """Whether this row is the opened one."""
        return self.term is not None and (self.term.name, self.source) == (name, source)

    def address(self, name: str, source: str, *, stay: bool = False) -> str:
        """Where a row leads: opened, or closed again."""
        is_closing = self.is_open(name, source) and not stay
        more = () if is_closing else (("term", name), ("light", source))
        anchor = "" if is_closing else "#opened"
        return f"{self.page}?{urlencode((*self.query, *more))}{anchor}"


def ledger_view(book: Book, sitting: Sitting, forecast: Forecast, region: str) -> LedgerView:
    """Lay the ledger of `region` out.

    Raises
    ------
    UnknownName
        If the forecast has no such region.
    """
    if region not in forecast.regions:
        raise UnknownName("region", region, forecast.regions)
    found = forecast.regions[region]
    titles = {light.role: light_title(light, book.kit) for light in sitting.lights}
    titles[PRE_FLASH] = PRE_FLASH.capitalize()
    chains = tuple(
        _chain(found, landing, titles)
        for landing in sorted(found.landings, key=lambda one: -found.sources.get(one.source, 0.0))
    )
    return LedgerView(
        name=found.name,
        chains=chains,
        ends=_ends(found, is_one=len(chains) == 1),
        regions=tuple(
            (name, each.name, name == region) for name, each in forecast.regions.items()
        ),
    )


def _chain(region: RegionForecast, landing: Landing, titles: dict[str, str]) -> Chain:
    lines = [line for line in region.ledger if line.source == landing.source]
    sums = accumulate(line.stops for line in lines)
    return Chain(
        source=titles.get(landing.source, landing.source),
        share=f"{odds(region.sources.get(landing.source, 0.0))} of the light here",
        lines=tuple(_entry(line, so_far) for line, so_far in zip(lines, sums, strict=True)),
        landing=Entry(
            "Where the chain lands",
            "its terms together",
            stops_decimal_text(landing.stops),
            _range(landing.sd_stops),
        ),
        note=_note(lines, landing),
    )


def _entry(line: LedgerLine, so_far: float) -> Entry:
    return Entry(
        line.term[:1].upper() + line.term[1:],
        line.known_from,
        stops_decimal_text(line.stops),
        _range(line.sd_stops),
        stops_decimal_text(so_far),
        line.name,
    )


def _note(lines: Sequence[LedgerLine], landing: Landing) -> str:
    apart = math.sqrt(sum(line.sd_stops**2 for line in lines))
    if landing.sd_stops < _CLEARLY_SURER * apart:
        return (
            f"Surer than its parts, which alone would give {_range(apart)}: "
            "sheets see only the chain, so that is what they taught."
        )
    return ""


def _ends(region: RegionForecast, *, is_one: bool) -> tuple[Entry, ...]:
    placed = region.placement_stops
    half = (placed.q95 - placed.q05) / 2
    ends = [
        Entry(
            "This sheet itself" if is_one else "All lights together, on this sheet",
            "wider by its own scatter",
            stops_decimal_text(placed.q50),
            f"±{half:.2f}",
        )
    ]
    if region.aim is not None:
        tol = region.aim.tol_stops
        ends.append(
            Entry(
                "Wanted",
                f"relative to the {region.aim.relative_to}",
                stops_decimal_text(region.aim.placement_stops),
                "don’t care" if tol is None else f"±{tol:.2f}",
            )
        )
    return tuple(ends)


def _range(sd_stops: float) -> str:
    half = NINE_IN_TEN * sd_stops
    return f"±{half:.2f}" if half >= 0.005 else ""
