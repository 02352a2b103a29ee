"""The Aims page: where each part of the picture should fall."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.answers import Advice, Forecast, RegionForecast
from stillroom.documents.book import Book, Paper, Settings, Sitting
from stillroom.documents.contrast import Contrast
from stillroom.paper.printed_range import HIGHLIGHT_ABOVE_DMIN, SHADOW_SHARE_OF_NET_DMAX
from stillroom.quantity import stops_words
from stillroom.services.looks import LOOKS, wanted_of
from stillroom.sitter import REGIONS, region_name
from stillroom.telling.contrast_told import told
from stillroom.telling.names import called, initials
from stillroom.telling.set_list import filters_for
from stillroom.telling.sheets_view import SheetLine, sheet_lines
from stillroom.telling.sitting_view import Instead, sitting_href, turned_href
from stillroom.telling.strip import Axis, Row, Strip, region_row, screen_tone, tone_strip
from stillroom.telling.tones import Curve, axis_of, stops_at
from stillroom.telling.words import day

LOWEST_THIRDS, HIGHEST_THIRDS = -15, 12
TOLERANCES = (1 / 6, 1 / 3, 1 / 2, 2 / 3, 1.0, 1.5)


@dataclass(frozen=True, slots=True)
class AimLine:
    """One region with its brackets."""

    region: str
    name: str
    row: Row
    thirds: int
    tol: str
    cares: bool


@dataclass(frozen=True, slots=True)
class LikeSheet:
    """A boxed sheet to aim like."""

    mark: str
    when: str
    line: SheetLine


@dataclass(frozen=True, slots=True)
class LookCard:
    """A look to start from, by its tones."""

    id: str
    name: str
    tones: tuple[int, ...]
    is_now: bool


@dataclass(frozen=True, slots=True)
class AimsView:
    """What the template shows."""

    href: str
    back: str
    who: str
    strip: Strip
    axis: Axis
    lines: tuple[AimLine, ...]
    likes: tuple[LikeSheet, ...]
    looks: tuple[LookCard, ...]
    addable: tuple[tuple[str, str], ...]
    relative_to: str
    facts: tuple[tuple[str, str], ...]
    too_far: str
    """How far the aims lie apart and what the paper takes; empty where they fit."""
    ways: tuple[Instead, ...]
    """What helps; a card, which no setting is, has no address."""
    or_else: str
    on_lens: tuple[tuple[str, str, bool], ...]
    """Filters that go with the paper: name, address that sets the next sheet so, whether it is."""


def tol_text(tol_stops: float) -> str:
    """A tolerance as the form carries it.

    Examples
    --------
    >>> tol_text(1 / 3)
    '0.3333'
    """
    return f"{tol_stops:.4f}"


def aims_view(
    book: Book,
    sitting: Sitting,
    paper: Paper,
    curve: Curve,
    *,
    advice: Advice,
    contrast: Contrast | None = None,
) -> AimsView:
    """Put the page together.

    Parameters
    ----------
    book, sitting, paper : Book, Sitting, Paper
        Whose aims they are.
    curve : sequence of CurvePoint
        Tone curve of the paper.
    advice : Advice
        How the next sheet is set and what it is expected to show, the aims resolved to stops.
    contrast : Contrast, optional
        How far two aims lie apart; None where there are fewer than two.
    """
    forecast = advice.forecast
    far = told(contrast) if contrast is not None and contrast.beyond_stops > 0 else None
    axis = axis_of(forecast.regions.values())
    lines = tuple(
        _line(name, region, curve, axis)
        for name, region in forecast.regions.items()
        if name in sitting.aims and region.aim is not None
    )
    face = [a.relative_to for r, a in sitting.aims.items() if r in REGIONS and REGIONS[r].is_skin]
    return AimsView(
        href=f"{sitting_href(sitting.id)}/aims",
        back=sitting_href(sitting.id),
        who=initials(book, sitting),
        strip=tone_strip(curve, paper.comparison_strip, axis=axis),
        axis=axis,
        lines=lines,
        likes=_likes(book, curve),
        looks=_looks(sitting, curve),
        addable=tuple((r, region_name(r)) for r in REGIONS if r not in sitting.aims),
        relative_to="skin" if "skin" in face else "paper",
        facts=_facts(forecast, curve, contrast),
        too_far=contrast.sentence if contrast is not None and far is not None else "",
        ways=tuple(
            Instead(
                way.text,
                way.odds,
                turned_href(sitting, advice.settings, way.settings) if way.settings else "",
            )
            for way in (far.ways if far is not None else ())
        ),
        or_else=far.else_ if far is not None else "",
        on_lens=_on_lens(book, sitting, advice.settings),
    )


def _on_lens(book: Book, sitting: Sitting, planned: Settings) -> tuple[tuple[str, str, bool], ...]:
    """Nothing, and each filter that goes with the paper; empty where there is none to hang."""
    found = [one for one in filters_for(book, sitting) if not one.retired]
    if not found and planned.filter is None:
        return ()
    names = {None: "nothing"} | {one.id: called(one, one.id) for one in found}
    return tuple(
        (
            name,
            turned_href(sitting, planned, planned.model_copy(update={"filter": filter_id})),
            filter_id == planned.filter,
        )
        for filter_id, name in names.items()
    )


def _line(name: str, region: RegionForecast, curve: Curve, axis: Axis) -> AimLine:
    aim = region.aim
    assert aim is not None  # noqa: S101 - asked before
    tol = aim.tol_stops
    nearest = min(TOLERANCES, key=lambda t: abs(t - tol)) if tol else 2 / 3
    return AimLine(
        region=name,
        name=region.name,
        row=region_row(region, curve, axis),
        thirds=round(aim.placement_stops * 3),
        tol=tol_text(nearest),
        cares=tol is not None,
    )


def _likes(book: Book, curve: Curve) -> tuple[LikeSheet, ...]:
    found = []
    papers = {paper.id: paper for paper in book.papers}
    for sitting in sorted(book.sittings, key=lambda s: s.when, reverse=True):
        if sitting.paper not in papers:
            continue
        lines = sheet_lines(sitting, (), papers[sitting.paper], curve)
        for sheet, line in zip(sorted(sitting.sheets, key=lambda s: s.number), lines, strict=True):
            reads = wanted_of(sheet).values()
            if sheet.kept and any(
                r.density is not None or r.verdict == "as_wanted" for r in reads
            ):
                found.append(LikeSheet(line.mark, day(sitting.when), line))
    return tuple(found[:8])


def _looks(sitting: Sitting, curve: Curve) -> tuple[LookCard, ...]:
    cards = []
    for look in LOOKS.values():
        tones = tuple(
            screen_tone(_density(curve, aim.placement_stops or 0.0)) for aim in look.aims.values()
        )
        cards.append(LookCard(look.id, look.name, tones, sitting.look in (look.id, look.name)))
    return tuple(cards)


def _density(curve: Curve, stops: float) -> float:
    return min(curve, key=lambda point: abs(point.placement_stops - stops)).density


def _facts(
    forecast: Forecast, curve: Curve, contrast: Contrast | None
) -> tuple[tuple[str, str], ...]:
    holds = _holds(curve) if contrast is None else contrast.held.mean
    aims = {name: r.aim for name, r in forecast.regions.items() if r.aim is not None}
    facts = []
    if "key" in aims and "shadow" in aims:
        apart = aims["key"].placement_stops - aims["shadow"].placement_stops
        facts.append(("Key cheek to shadow cheek", stops_words(apart)))
    facts.append(("This paper takes", f"about {stops_words(holds)}"))
    return tuple(facts)


def _holds(curve: Curve) -> float:
    """What a paper takes, by the middle of its curve, between the ends of `tone_ends` [stops]."""
    black, bare = curve[0].density, curve[-1].density
    dark = stops_at(curve, bare + SHADOW_SHARE_OF_NET_DMAX * (black - bare))
    light = stops_at(curve, bare + HIGHLIGHT_ABOVE_DMIN)
    return (light or 0.0) - (dark or 0.0)
