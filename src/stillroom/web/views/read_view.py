"""The Read page: what is asked of a finished sheet, and what was read before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.documents.book import Paper, ReadBy, Reading, Sheet, Sitting
from stillroom.documents.checks import WHOLE_FACE
from stillroom.documents.pieces import region_of_piece
from stillroom.services.moved import ANSWERS, NAMES, could_be, understood
from stillroom.services.stillness import tells_nothing
from stillroom.services.strip_reading import BARE, BLACK, steps_of
from stillroom.sitter import REGIONS, region_name
from stillroom.telling.figures import stops_figure
from stillroom.telling.names import openings
from stillroom.telling.sheets_view import (
    REASONS,
    counting,
    mark_of,
    piece_place,
    read_href,
    seen_figure,
    sheet_href,
)
from stillroom.telling.sitting_view import sitting_href
from stillroom.telling.strip import screen_tone
from stillroom.telling.tones import Curve, stops_at
from stillroom.telling.words import clock

MOST_ABREAST = 7
WORDS = (
    ("black", "Black"),
    ("too_dark", "Too dark"),
    ("as_wanted", "As wanted"),
    ("too_light", "Too light"),
    ("bare_paper", "Bare paper"),
)
EARLY_WORDS = (
    ("too_dark", "Too dark"),
    ("as_wanted", "About right"),
    ("too_light", "Too light"),
)
WAYS: tuple[tuple[ReadBy, str], ...] = (
    ("strip", "By the strip"),
    ("words", "Five words"),
    ("densitometer", "Densitometer"),
    ("scan", "Scan"),
    ("early_look", "Early look"),
)
EARLY_STATES = (("negative", "the negative"), ("pale", "the pale positive"))
MOVED_NOTE = (
    "Each answer leaves open the light it may have changed, from this sheet on. On this sheet "
    f"only: {', '.join(a.what for a in ANSWERS if not a.lasts and a.reach != 'none')}."
)


@dataclass(frozen=True, slots=True)
class StepButton:
    """One grey to tap."""

    value: str
    label: str
    tone: int
    stops: float | None
    is_end: bool = False


@dataclass(frozen=True, slots=True)
class Ask:
    """One region that is asked for."""

    field: str
    name: str
    wanted: str
    want_low: float | None
    want_high: float | None


@dataclass(frozen=True, slots=True)
class AskGroup:
    """The regions of a sheet, or of one strip of a stepped sheet."""

    title: str
    asks: tuple[Ask, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """One answer to what else moved, and the lights it may be said of."""

    what: str
    lights: tuple[tuple[str, str], ...] = ()
    """What is sent for a light, and its role; empty where it cannot be one of several."""


@dataclass(frozen=True, slots=True)
class Before:
    """A reading that was written down before."""

    title: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ReadView:
    """What the template shows."""

    mark: str
    line: str
    href: str
    back: str
    is_stepped: bool
    is_piece: bool
    groups: tuple[AskGroup, ...]
    buttons: tuple[StepButton, ...]
    columns: int
    """How many steps stand side by side on a phone."""
    is_own: bool
    density_range: str
    before: tuple[Before, ...]
    ways: tuple[tuple[ReadBy, str], ...]
    """How this sheet can be read; an early look is for a plain one."""
    face: str
    """Field of the whole face in an early look; empty where no face is aimed at."""
    moved_title: str
    moved: tuple[Moved, ...]
    moved_note: str
    reasons: tuple[str, ...]
    smear_href: str
    """Where to say how long an edge is drawn; empty where that tells nothing."""
    start: Mapping[str, tuple[str, ...]]
    """What stands in the form before anybody touched it."""


def read_view(
    sitting: Sitting,
    sheet: Sheet,
    paper: Paper,
    curve: Curve,
    wanted: Mapping[str, tuple[float, float]],
) -> ReadView:
    """Put the page together.

    Parameters
    ----------
    sitting, sheet, paper : Sitting, Sheet, Paper
        What is read.
    curve : sequence of CurvePoint
        Tone curve of the paper, to say where a step lies.
    wanted : mapping
        Region to the ends of its brackets [stops from the middle tone].
    """
    stands = counting(sheet)
    stepped = sheet.settings.steps_pops is not None
    earlier = max((s.number for s in sitting.sheets if s.number < sheet.number), default=None)
    before = next((mark_of(s) for s in sitting.sheets if s.number == earlier), "")
    return ReadView(
        mark=mark_of(sheet),
        line=_line(sitting, sheet, stands),
        href=read_href(sitting, sheet.number),
        back=sitting_href(sitting.id),
        is_stepped=stepped,
        is_piece=sheet.piece is not None,
        groups=_groups(sitting, sheet, wanted),
        buttons=step_buttons(paper, curve),
        columns=n if (n := len(steps_of(paper))) <= MOST_ABREAST else (n + 1) // 2,
        is_own=bool(paper.comparison_strip),
        density_range=f"{paper.dmin:.2f} to {paper.dmax:.2f}",
        before=tuple(_before(reading, curve) for reading in sheet.readings),
        ways=tuple(way for way in WAYS if not stepped or way[0] != "early_look"),
        face=WHOLE_FACE
        if sheet.piece is None and any(is_skin(r) for r in _asked(sitting, sheet))
        else "",
        moved_title=f"What else moved since {before}?" if before else "What else moved?",
        moved=_moved(sitting, sheet),
        moved_note=MOVED_NOTE,
        reasons=REASONS,
        smear_href=""
        if tells_nothing(sitting, sheet)
        else f"{sheet_href(sitting, sheet.number)}#smear",
        start=_start(sitting, sheet, stands),
    )


def _line(sitting: Sitting, sheet: Sheet, stands: Reading | None) -> str:
    mark = f"Mark on the back: {mark_of(sheet)}."
    if sheet.piece is not None:
        mark = f"{mark} A test piece: it shows {piece_place(sitting, sheet)} alone."
    if stands is None:
        return f"{mark} First look."
    if stands.state == "wet":
        return f"{mark} Read wet before; a dry reading replaces it."
    return f"{mark} Read dry before."


def _groups(
    sitting: Sitting, sheet: Sheet, wanted: Mapping[str, tuple[float, float]]
) -> tuple[AskGroup, ...]:
    regions = _asked(sitting, sheet)
    steps = sheet.settings.steps_pops
    if steps is None:
        return (AskGroup("", tuple(_ask(r, r, wanted.get(r)) for r in regions)),)
    return tuple(
        AskGroup(
            f"Strip {n}, {pops} {openings(sitting, pops)}",
            tuple(_ask(f"{pops}:{r}", r, None) for r in regions),
        )
        for n, pops in enumerate(steps, start=1)
    )


def is_skin(region: str) -> bool:
    """Whether a region is part of the face.

    Examples
    --------
    >>> is_skin("shadow"), is_skin("bg"), is_skin("left hand")
    (True, False, False)
    """
    return region in REGIONS and REGIONS[region].is_skin


def _moved(sitting: Sitting, sheet: Sheet) -> tuple[Moved, ...]:
    """Every answer that is understood, and what else was said of the sheet in free words."""
    listed = []
    for answer in ANSWERS:
        roles = could_be(sitting, sheet, answer) if answer.is_each else ()
        lights = tuple((f"{answer.what}{NAMES}{role}", role) for role in roles)
        listed.append(Moved(answer.what, lights if len(lights) > 1 else ()))
    own = [said for said in sheet.what_else_moved if understood(said) is None]
    return (*listed, *map(Moved, own))


def moved_in(ticked: Sequence[str], lights: Sequence[str]) -> tuple[str, ...]:
    """What moved, from the answers that were ticked and the lights that were ticked under them.

    Examples
    --------
    >>> moved_in(["curtain", "a stand was knocked"], ["a stand was knocked: key"])
    ('curtain', 'a stand was knocked: key')
    >>> moved_in(["curtain"], ["a stand was knocked: key"])
    ('curtain',)
    """
    found: list[str] = []
    for what in ticked:
        of_light = [one for one in lights if one.startswith(f"{what}{NAMES}")]
        found += of_light or [what]
    return tuple(dict.fromkeys(found))


def _asked(sitting: Sitting, sheet: Sheet) -> tuple[str, ...]:
    """Aimed regions; those nobody cares about are not asked for. Of a test piece its own."""
    if sheet.piece is not None:
        return (region_of_piece(sitting, sheet),)
    aimed = [r for r, aim in sitting.aims.items() if aim.tol_stops is not None]
    return tuple(aimed or sitting.aims)


def _ask(field: str, region: str, wanted: tuple[float, float] | None) -> Ask:
    if wanted is None:
        return Ask(field, region_name(region), "", None, None)
    low, high = wanted
    said = f"wanted {stops_figure(low)} to {stops_figure(high)}"
    return Ask(field, region_name(region), said, low, high)


def step_buttons(paper: Paper, curve: Curve) -> tuple[StepButton, ...]:
    """Black, the steps from dark to light, bare paper."""
    steps = steps_of(paper)
    inner = tuple(
        StepButton(str(s.step), str(s.step), screen_tone(s.density), stops_at(curve, s.density))
        for s in steps
    )
    return (
        StepButton(BLACK, "black", screen_tone(paper.dmax), None, is_end=True),
        *inner,
        StepButton(BARE, "bare", screen_tone(paper.dmin), None, is_end=True),
    )


def _before(reading: Reading, curve: Curve) -> Before:
    ways = dict(WAYS)
    how = ways.get(reading.by, "Early look").lower()
    at = f", {clock(reading.when)}" if reading.when else ""
    lines = [(region_name(r), seen_figure(seen, curve)) for r, seen in reading.regions.items()]
    lines += [
        (f"{region_name(r)}, strip of {strip.step}", seen_figure(seen, curve))
        for strip in reading.strips
        for r, seen in strip.regions.items()
    ]
    return Before(f"{reading.state.capitalize()}, {how}{at}", tuple(lines))


def _start(sitting: Sitting, sheet: Sheet, stands: Reading | None) -> dict[str, tuple[str, ...]]:
    last = next(
        (r.by for s in reversed(sitting.sheets) if (r := counting(s)) is not None), "strip"
    )
    box = {True: "yes", False: "no", None: ""}[sheet.kept]
    early = next((r.state for r in reversed(sheet.readings) if r.by == "early_look"), "negative")
    known = [understood(said) for said in sheet.what_else_moved]
    ticked = [
        said if answer is None else answer[0].what
        for said, answer in zip(sheet.what_else_moved, known, strict=True)
    ]
    named = [f"{answer[0].what}{NAMES}{answer[1]}" for answer in known if answer and answer[1]]
    return {
        "by": (last,),
        "state": ("dry" if stands is not None else "wet",),
        "box": (box,),
        "because": sheet.not_kept_because,
        "moved": tuple(ticked),
        "moved_light": tuple(named),
        "early": (early if early in dict(EARLY_STATES) else "negative",),
    }
