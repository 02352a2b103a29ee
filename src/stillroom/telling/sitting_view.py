"""The Sitting page: what to set for the next sheet, why, and the odds that its tones land."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from stillroom.documents.answers import Advice, Forecast, MeterShows, PieceAdvice, SheetTaught
from stillroom.documents.book import Book, Settings, Sheet, Sitting
from stillroom.errors import UnknownName
from stillroom.services.cautions import FLASH_CAUTION
from stillroom.services.metered import meter_at_hand
from stillroom.services.seats import has_seat
from stillroom.sitter import region_name
from stillroom.telling.figures import listed, nearest_mark, third_stop_marks
from stillroom.telling.metered_view import showed
from stillroom.telling.names import (
    METER_KINDS,
    clip_code,
    initials,
    openings,
    paper_of,
    paper_title,
    sheet_size,
    slug,
    thing,
)
from stillroom.telling.odds import odds, one_in, worth_saying
from stillroom.telling.piece_view import PieceOffer, Plan, offer, piece_planned
from stillroom.telling.set_list import SetList, change_title, set_list
from stillroom.telling.set_rows import Lengths, Row
from stillroom.telling.sheets_view import DryAgain, SheetLine, dry_again, mark_of, sheet_lines
from stillroom.telling.tones import Curve, Tones, tones
from stillroom.telling.turned import Fields, differences
from stillroom.telling.words import day, figure

OUT_OF_REACH = "No dial reaches this"
STEPPED_BELOW = 0.3
"""Under 3 in 10 a stepped sheet is the better sheet (interface, Sitting)."""


@dataclass(frozen=True, slots=True)
class Meter:
    """The last row of the set list: what a meter should show before any paper is used."""

    meter: str
    """Which meter of the kit it is; empty without one."""
    region: str
    title: str
    mark: float
    caption: str
    iso: float
    lights_on: tuple[str, ...]
    marks: tuple[float, ...]
    showed: str


@dataclass(frozen=True, slots=True)
class StepStrip:
    """One strip of a stepped sheet, drawn as it will lie."""

    pops: int
    word: str
    title: str


@dataclass(frozen=True, slots=True)
class Instead:
    """Another way, with its odds and the address that sets it."""

    text: str
    odds: str
    href: str


@dataclass(frozen=True, slots=True)
class SittingView:
    """What the template shows."""

    sitting: Sitting
    href: str
    mark: str
    number: int
    line: str
    pencil: str
    set_list: SetList
    planned: Settings
    meter: Meter | None
    meter_first: bool
    heading: str
    odds_line: str
    spoilers: str
    missing: str
    steps: tuple[StepStrip, ...]
    can_step: bool
    plan: Plan
    """What was chosen instead of what is advised."""
    piece: str
    """Region of the test piece that is planned; empty for a sheet."""
    offer: PieceOffer | None
    good_until: str
    last_look: str
    """Address of the last look before the cap; empty where no daylight comes from a seat."""
    tones: Tones
    ledger: str
    """Address of the ledger of these settings; a region is added to it."""
    aims_line: str
    changed_title: str
    changes: tuple[tuple[str, str], ...]
    nothing_else: str
    note: str
    instead: tuple[Instead, ...]
    cautions: tuple[str, ...]
    sheets: tuple[SheetLine, ...]
    waiting: tuple[tuple[str, str], ...]
    dry: tuple[DryAgain, ...]


def sitting_of(book: Book, sitting_id: str) -> Sitting:
    """The sitting, or an error that says which there are."""
    for sitting in book.sittings:
        if sitting.id == sitting_id:
            return sitting
    raise UnknownName("sitting", sitting_id, [s.id for s in book.sittings])


def sheet_of(book: Book, sitting_id: str, number: int) -> tuple[Sitting, Sheet]:
    """The sheet with its sitting, or an error that says which there are."""
    sitting = sitting_of(book, sitting_id)
    for sheet in sitting.sheets:
        if sheet.number == number:
            return sitting, sheet
    raise UnknownName("sheet", str(number), [str(s.number) for s in sitting.sheets])


def wanted_of(forecast: Forecast) -> dict[str, tuple[float, float]]:
    """Ends of the brackets of each aimed region [stops from the mid-tone]."""
    return {
        name: (aim.placement_stops - aim.tol_stops, aim.placement_stops + aim.tol_stops)
        for name, region in forecast.regions.items()
        if (aim := region.aim) is not None and aim.tol_stops is not None
    }


def sitting_href(sitting_id: str) -> str:
    """Address of a sitting."""
    return f"/sitting/{slug(sitting_id)}"


def turned_href(sitting: Sitting, planned: Settings, actual: Settings, plan: Plan = "") -> str:
    """Address of the sitting with what was turned by hand, and nothing else, written in it."""
    asked: Fields = {"plan": plan} if plan else {}
    asked |= differences(sitting, planned, actual)
    href = sitting_href(sitting.id)
    return f"{href}?{urlencode(asked)}" if asked else href


def _ledger(sitting: Sitting, number: int, planned: Settings, actual: Settings) -> str:
    asked = urlencode(differences(sitting, planned, actual))
    return f"{sitting_href(sitting.id)}/{number}/ledger?{asked}{'&' if asked else ''}region="


def header_line(book: Book, sitting: Sitting) -> str:
    """Who, when, where, on what."""
    paper = thing(book.papers, sitting.paper)
    camera = thing(book.kit.cameras, sitting.camera)
    first = ", ".join(
        part for part in (initials(book, sitting), day(sitting.when), sitting.place) if part
    )
    on = ", ".join(
        part
        for part in (
            paper_title(paper) if paper else sitting.paper,
            sheet_size(camera.format_mm) if camera else "",
        )
        if part
    )
    return f"{first}. {on}."


def sitting_view(
    book: Book,
    sitting: Sitting,
    advice: Advice,
    taught: Sequence[SheetTaught],
    curve: Curve,
    *,
    planned: Settings,
    actual: Settings,
    before: Settings | None,
    forecast: Forecast,
    lengths: Lengths = "metric",
    plan: Plan = "",
    chair: Row | None = None,
) -> SittingView:
    """Put the page together.

    Parameters
    ----------
    book, sitting : Book, Sitting
        The book and the sitting shown.
    advice : Advice
        What is advised for the next sheet.
    taught : sequence of SheetTaught
        What each read sheet taught.
    curve : sequence of CurvePoint
        Tone curve of the paper as believed.
    planned, actual : Settings
        What is proposed, and what will be recorded after turning by hand.
    before : Settings, optional
        How the set stands now; without it nothing is marked as changed.
    forecast : Forecast
        What `actual` is expected to show.
    lengths : {"metric", "imperial"}
        How lengths are printed.
    plan : {"", "stepped", "piece", "sheet"}
        What was chosen instead of what is advised.
    chair : Row, optional
        Where the chair stands for focus, if anybody asked.
    """
    paper = paper_of(book, sitting)
    piece = piece_planned(advice, plan)
    listed_ = set_list(
        book, sitting, planned=planned, actual=actual, before=before, lengths=lengths, chair=chair
    )
    heading, odds_line = _odds(advice, forecast, actual, piece)
    last = max(sitting.sheets, key=lambda s: s.number, default=None)
    lines = sheet_lines(sitting, taught, paper, curve)
    return SittingView(
        sitting=sitting,
        href=sitting_href(sitting.id),
        mark=advice.mark,
        number=advice.sheet_number,
        line=header_line(book, sitting),
        pencil=f"{advice.mark}; clip {clip_code(advice.sheet_number)}",
        set_list=listed_,
        planned=planned,
        meter=_meter(book, sitting, forecast, advice.sheet_number),
        meter_first=advice.meter_first,
        heading=heading,
        odds_line=odds_line,
        spoilers="" if listed_.yours or piece else _spoilers(advice),
        missing="" if advice.reachable else _missing(advice),
        steps=_steps(sitting, actual),
        can_step=advice.stepped_sheet is not None
        and actual.steps_pops is None
        and not (piece and advice.settings.steps_pops),  # the offer beside the piece is that one
        plan=plan,
        piece="" if piece is None else piece.region,
        offer=offer(sitting_href(sitting.id), advice, forecast, piece),
        good_until=_good_until(sitting, forecast),
        last_look=_last_look(sitting, planned, actual, plan, piece),
        ledger=_ledger(sitting, advice.sheet_number, planned, actual),
        tones=tones(paper, curve, forecast),
        aims_line=_aims_line(sitting),
        changed_title=f"Changed since {mark_of(last)}" if last else "What to set first",
        changes=_changes(book, sitting, advice),
        nothing_else=_nothing_else(advice),
        note=_note(advice, actual, piece),
        instead=tuple(
            Instead(
                one.text,
                odds(one.p_keeper),
                turned_href(sitting, planned, one.settings),
            )
            for one in advice.alternatives[:2]
        ),
        cautions=tuple(c for c in forecast.cautions if not (last and c == FLASH_CAUTION)),
        sheets=lines,
        waiting=tuple((line.mark, line.read_href) for line in lines if not line.is_read),
        dry=dry_again(book, sitting),
    )


def _odds(
    advice: Advice, forecast: Forecast, actual: Settings, piece: PieceAdvice | None
) -> tuple[str, str]:
    """The one large line, and a smaller one under it."""
    if piece is not None:
        return "First a test piece.", f"At the {region_name(piece.region).lower()}."
    if actual.steps_pops is not None:
        return "A stepped sheet first." if advice.sheet_number == 1 else "A stepped sheet.", ""
    p = forecast.p_keeper
    if p is None:
        return "No odds yet.", ""
    land = f"Tones land, {odds(p)}"
    if not advice.reachable:
        return f"{OUT_OF_REACH}.", f"{land} at the nearest."
    if p < STEPPED_BELOW and advice.stepped_sheet is not None:
        return "Better a stepped sheet.", f"{land} as it stands."
    return land, ""


def _aims_line(sitting: Sitting) -> str:
    """The look that was chosen, or what is aimed at."""
    if sitting.look:
        return f"{sitting.look[:1].lower()}{sitting.look[1:]}"
    aimed = [region_name(r).lower() for r, aim in sitting.aims.items() if aim.tol_stops]
    return listed(aimed) or "nothing yet"


def _note(advice: Advice, actual: Settings, piece: PieceAdvice | None) -> str:
    """What the sheet is for; the page has said in large type when it is a stepped one."""
    if piece is not None:
        return piece.text
    if advice.piece is not None and advice.piece.first:
        return ""  # the note speaks of the piece, and a sheet was chosen
    if actual.steps_pops is None:
        return advice.note
    said = advice.note.partition(": ")[2] or advice.note
    return said[:1].upper() + said[1:]


def _missing(advice: Advice) -> str:
    """What falls short; the page has said in large type that no dial reaches it."""
    said = advice.missing.removeprefix(f"{OUT_OF_REACH}: ")
    return said[:1].upper() + said[1:]


def _spoilers(advice: Advice) -> str:
    said = [
        f"{region_name(s.region).lower()} {one_in(s.p_misses)}, {s.likelier}"
        for s in sorted(advice.spoilers, key=lambda s: -s.p_misses)
        if worth_saying(s.p_misses)
    ]
    return f"What would spoil them: {'; '.join(said)}." if said else ""


def _steps(sitting: Sitting, actual: Settings) -> tuple[StepStrip, ...]:
    words = [(pops, openings(sitting, pops)) for pops in actual.steps_pops or ()]
    return tuple(StepStrip(pops, word, f"{pops} {word}") for pops, word in words)


def _good_until(sitting: Sitting, forecast: Forecast) -> str:
    if forecast.good_until:
        return f"Good until {forecast.good_until}."
    if any(light.kind in ("daylight", "window") for light in sitting.lights):
        return ""
    return "Good all day: no daylight in it."


def _last_look(
    sitting: Sitting, planned: Settings, actual: Settings, plan: Plan, piece: PieceAdvice | None
) -> str:
    if not has_seat(sitting) or actual.steps_pops is not None:
        return ""
    asked: Fields = {"plan": plan} if plan else {}
    asked |= {"piece": piece.region} if piece else {}
    asked |= differences(sitting, planned, actual)
    href = f"{sitting_href(sitting.id)}/last-look"
    return f"{href}?{urlencode(asked)}" if asked else href


def _changes(book: Book, sitting: Sitting, advice: Advice) -> tuple[tuple[str, str], ...]:
    return tuple(
        (change_title(book, sitting, change), change.why) for change in advice.changes[:2]
    )


def _nothing_else(advice: Advice) -> str:
    if not advice.changes and not advice.left_alone:
        return ""
    opening = "Nothing else." if advice.changes else "Nothing."
    return " ".join([opening, *advice.left_alone])


def _meter(book: Book, sitting: Sitting, forecast: Forecast, number: int) -> Meter | None:
    if not forecast.meter_shows:
        return None
    shows = forecast.meter_shows[0]
    mark = nearest_mark(shows.f_number)
    said = next(
        (
            r
            for r in reversed(sitting.meter_readings)
            if r.region == shows.region and r.before_sheet in (None, number)
        ),
        None,
    )
    owned = meter_at_hand(book.kit.meters)
    return Meter(
        meter=owned.id if owned else "",
        region=shows.region,
        title=f"Meter at the {_place(shows.region)}",
        mark=mark,
        caption=_meter_caption(book, shows, forecast),
        iso=shows.iso,
        lights_on=shows.lights_on,
        marks=third_stop_marks(mark),
        showed="" if said is None else showed(said),
    )


def _place(region: str) -> str:
    return {"key": "cheek", "shadow": "shadow cheek", "bg": "ground"}.get(region, region)


def _meter_caption(book: Book, shows: MeterShows, forecast: Forecast) -> str:
    owned = meter_at_hand(book.kit.meters)
    pops = forecast.settings.pops
    parts = [f"ISO {figure(shows.iso)}"]
    if owned is not None:
        parts.append(METER_KINDS[owned.kind])
    parts.append(f"{listed(shows.lights_on)} only" if len(shows.lights_on) == 1 else "all on")
    parts.append("one pop" if pops >= 1 else "")
    return ", ".join(part for part in parts if part)
