"""The document of a book: kit, papers, sitters, sittings (version ``book/1``)."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from stillroom.documents.base import (
    Density,
    DistanceM,
    DrawMm,
    ExposureIndex,
    FNumber,
    Line,
    Name,
    OpenS,
    Points,
    Pops,
    SpreadStops,
    Strict,
    Text,
)
from stillroom.documents.filters import PreFlashStops
from stillroom.documents.hand_over import HandOver
from stillroom.documents.holding import Holding
from stillroom.documents.kit import Kit
from stillroom.documents.mixing import Mix
from stillroom.documents.piece import Piece
from stillroom.documents.seats import SkySeen
from stillroom.documents.shows import Shows
from stillroom.documents.sitter_card import SitterCard
from stillroom.documents.thing import Thing
from stillroom.documents.wet import WetRun

Verdict = Literal["black", "too_dark", "as_wanted", "too_light", "bare_paper", "cant_tell"]
Reason = Literal["tones", "face", "focus", "blemish"]
State = Literal["negative", "pale", "wet", "dry"]
ReadBy = Literal["words", "strip", "densitometer", "scan", "early_look"]
LightKind = Literal["head", "lamp", "daylight", "window", "room"]


class StripStep(Strict):
    """One punched step of a comparison strip."""

    step: Annotated[int, Field(ge=1, le=40)]
    density: Density


class Paper(Thing):
    """One batch of one paper; an id such as ``sorrel-2/7`` names paper and batch together."""

    batch: Line = ""
    response: Literal["graded", "variable_contrast", "own"] = "graded"
    own_response: Points = ()
    """With ``own``: wavelength [nm] and relative response per unit energy."""
    grade: Annotated[float, Field(ge=0, le=5)] | None = None
    surface: Literal["glossy", "pearl", "matt"] = "glossy"
    ei: ExposureIndex
    ei_sd_stops: SpreadStops = 1.0
    contrast_per_stop: Annotated[float, Field(ge=0.2, le=8)] = 1.5
    contrast_log_sd: Annotated[float, Field(ge=0, le=2)] = 0.35
    asymmetry_log_sd: Annotated[float, Field(ge=0, le=2)] = 0.3
    dmin: Density = 0.08
    dmin_sd: Annotated[float, Field(ge=0, le=1)] = 0.03
    dmax: Density = 1.9
    dmax_sd: Annotated[float, Field(ge=0, le=1)] = 0.1
    comparison_strip: tuple[StripStep, ...] = ()
    process: Name | None = None
    """How its sheets go through the wet line; left out: the usual one of the tool."""

    @model_validator(mode="after")
    def _room_between(self) -> Self:
        if self.dmax - self.dmin < 0.3:
            msg = f"dmax {self.dmax:g} must lie at least 0.3 above dmin {self.dmin:g}"
            raise ValueError(msg)
        return self


class Skin(Strict):
    """Skin in the paper's band: a reflectance that was found, or a guess by eye."""

    actinic_reflectance: Annotated[float, Field(ge=0.01, le=0.9)] | None = None
    guess: Literal["light", "medium", "dark", "unknown"] | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.actinic_reflectance is None) == (self.guess is None):
            msg = "skin takes exactly one of actinic_reflectance and guess"
            raise ValueError(msg)
        return self


class Sitter(Strict):
    """Who sits; initials are enough."""

    id: Name
    initials: Line
    skin: Skin = Skin(guess="unknown")
    holds_still_s: Annotated[float, Field(ge=0, le=600)] | None = None
    is_child: bool = False
    at_the_door: SitterCard = SitterCard()
    note: Text = ""


class Framing(Strict):
    """How large the sitter stands on the sheet: exactly one way of saying it."""

    magnification: Annotated[float, Field(ge=0.001, le=5)] | None = None
    subject_distance_m: DistanceM | None = None
    draw_mm: DrawMm | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        given = [self.magnification, self.subject_distance_m, self.draw_mm]
        if sum(v is not None for v in given) != 1:
            msg = "framing takes exactly one of magnification, subject_distance_m and draw_mm"
            raise ValueError(msg)
        return self


class Light(Strict):
    """One light of a sitting and where it stands."""

    role: Name
    kind: LightKind = "head"
    kit_id: Name | None = None
    modifiers: tuple[Name, ...] = ()
    distance_m: DistanceM | None = None
    facing_deg: Annotated[float, Field(ge=0, lt=90)] = 0.0
    metered_lx: Annotated[float, Field(ge=0.001, le=200_000)] | None = None
    metered_sd_stops: SpreadStops = 1.5
    geo: Name | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind in ("head", "lamp"):
            if self.kit_id is None:
                msg = f"light {self.role!r} of kind {self.kind!r} needs kit_id"
                raise ValueError(msg)
            if self.distance_m is None:
                msg = f"light {self.role!r} of kind {self.kind!r} needs distance_m"
                raise ValueError(msg)
        elif self.kind == "room" and self.metered_lx is None:
            msg = f"light {self.role!r} of kind {self.kind!r} needs metered_lx"
            raise ValueError(msg)
        elif self.kind != "room" and (self.metered_lx is None) == (self.kit_id is None):
            msg = (
                f"light {self.role!r} of kind {self.kind!r} takes exactly one of kit_id (a seat) "
                "and metered_lx"
            )
            raise ValueError(msg)
        return self


class Aim(Strict):
    """Where a region should fall: exactly one of a placement, a density, or as on a sheet."""

    placement_stops: Annotated[float, Field(ge=-8, le=8)] | None = None
    density: Density | None = None
    from_sheet: Line | None = None
    relative_to: Literal["skin", "paper"] = "paper"
    for_reflectance: Annotated[float, Field(ge=0.0001, le=100)] | None = None
    """With ``relative_to`` skin: the skin the aim was written for (else the sitter's own)."""
    tol_stops: Annotated[float, Field(gt=0, le=4)] | None = 1 / 3
    eye_tol_density: Annotated[float, Field(gt=0, le=1)] = 0.15

    @model_validator(mode="after")
    def _one(self) -> Self:
        given = [self.placement_stops, self.density, self.from_sheet]
        if sum(v is not None for v in given) != 1:
            msg = "an aim takes exactly one of placement_stops, density and from_sheet"
            raise ValueError(msg)
        return self


class LightSetting(Strict):
    """How one light is set; what is left out stands as the sitting says."""

    dial: float | None = None
    distance_m: DistanceM | None = None
    modifiers: tuple[Name, ...] | None = None
    on: bool = True


class Settings(Strict):
    """Everything a hand sets for one sheet."""

    lights: dict[Name, LightSetting] = {}
    f_number: FNumber
    pops: Pops = 1
    open_s: OpenS = 0.125
    opening: Literal["per_pop", "held_open"] = "per_pop"
    steps_pops: Annotated[tuple[Pops, ...], Field(min_length=2, max_length=8)] | None = None
    filter: Name | None = None
    pre_flash_stops: PreFlashStops | None = None


class Made(Strict):
    """What was really set, where it differed from `Settings`; a null filter or flash is none."""

    lights: dict[Name, LightSetting] = {}
    f_number: FNumber | None = None
    pops: Pops | None = None
    open_s: OpenS | None = None
    opening: Literal["per_pop", "held_open"] | None = None
    filter: Name | None = None
    pre_flash_stops: PreFlashStops | None = None


class MeterReading(Strict):
    """One meter reading at a region, with the lights that were on and how they were set."""

    when: AwareDatetime | None = None
    region: Name
    lights_on: Annotated[tuple[Name, ...], Field(min_length=1)]
    meter: Name | None = None
    shows: Shows
    settings: Settings | None = None
    """How the set stood; left out: as planned for the next sheet."""
    before_sheet: Annotated[int, Field(ge=1, le=10_000)] | None = None
    room_state: Line = ""
    """The state of the room's own light when it was taken; left out: the sitting's."""
    sky: SkySeen | None = None
    """The sky when it was taken; left out: the sitting's."""


class RegionReading(Strict):
    """What one region showed: exactly one of a density and a verdict."""

    density: Density | None = None
    density_sd: Annotated[float, Field(gt=0, le=1)] | None = None
    verdict: Verdict | None = None
    steps: tuple[Annotated[int, Field(ge=1, le=40)], ...] = ()
    """The steps of the comparison strip that vanished against it, kept as they were read."""

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.density is None) == (self.verdict is None):
            msg = "a region reads exactly one of density and verdict"
            raise ValueError(msg)
        return self


class StripReading(Strict):
    """One strip of a stepped sheet; `step` is its multiple of the single exposure."""

    step: Pops
    regions: dict[Name, RegionReading]


class Reading(Strict):
    """One look at a finished (or unfinished) sheet."""

    when: AwareDatetime | None = None
    state: State = "wet"
    by: ReadBy = "words"
    regions: dict[Name, RegionReading] = {}
    strips: tuple[StripReading, ...] = ()


class Expected(Strict):
    """What was said of a region before the sheet was made."""

    mean_stops: float
    sd_stops: float
    q05: float
    q50: float
    q95: float


class Sheet(Strict):
    """One piece of paper, exposed."""

    number: Annotated[int, Field(ge=1, le=10_000)]
    mark: Line = ""
    clip: Annotated[int, Field(ge=1, le=8)] | None = None
    holder_side: Line | None = None
    room_state: Line = ""
    """The state of the room's own light when it was made; left out: the sitting's."""
    sky: SkySeen | None = None
    """The sky when it was made; left out: the sitting's."""
    piece: Piece | None = None
    """Left out: a whole sheet."""
    when: AwareDatetime | None = None
    settings: Settings
    made: Made | None = None
    open_sd_s: Annotated[float, Field(ge=0, le=600)] | None = None
    """How far the open time as made may be off, one standard deviation, each opening alike; left
    out: nobody measured it, and it is taken as it stands."""
    what_else_moved: tuple[Line, ...] = ()
    readings: tuple[Reading, ...] = ()
    kept: bool | None = None
    not_kept_because: tuple[Reason, ...] = ()
    bench: dict[str, Line] = {}
    """What older documents say of the bench in free words: read and kept, and used by nothing."""
    wet: WetRun | None = None
    """How it went through the wet line."""
    smear_mm: Annotated[float, Field(ge=0, le=100)] | None = None
    """How wide the sitter's movement is on the sheet, measured; 0: none is seen."""
    expected: dict[Name, Expected] = {}
    p_tones_land: Annotated[float, Field(ge=0, le=1)] | None = None
    odd_is: Literal["slip", "real"] | None = None
    """What was said of a reading that contradicts the rest: a slip teaches nothing of exposure,
    a real one counts in full."""
    odd_cause: Line = ""
    hand_over: HandOver | None = None
    note: Text = ""


class ControlStrip(Strict):
    """An offcut exposed beforehand under one lamp, run through the line to read the bath alone."""

    when: AwareDatetime
    steps: dict[str, Density]
    """Density of each step, by its name; the steps of one lot of strips were exposed alike."""
    density_sd: Annotated[float, Field(gt=0, le=1)] | None = None  # left out: a densitometer's
    reference: bool = False
    """The run that others are compared with; else the first of the paper."""


class Sitting(Strict):
    """One session with one sitter (or a test session)."""

    id: Name
    when: AwareDatetime
    place: Line = ""
    paper: Name
    camera: Name
    lens: Name
    sitters: tuple[Name, ...] = ()
    room_state: Line = ""
    sky: SkySeen | None = None
    """Left out: middling."""
    planned_for: AwareDatetime | None = None
    """The moment the next sheet is planned for, where daylight counts; left out: the latest that
    is written down."""
    set: Name | None = None
    """Sittings with the same set share where things stand."""
    framing: Framing
    holding: Holding = Holding()
    """How the sitter is held and focused on, how it fires, and how the picture is looked at."""
    lights: Annotated[tuple[Light, ...], Field(min_length=1, max_length=12)]
    aims: Annotated[dict[Name, Aim], Field(min_length=1, max_length=16)]
    stands: Settings | None = None
    """How the set stood before the first sheet."""
    stands_after: Annotated[int, Field(ge=0, le=10_000)] = 0
    """The sheet after which it stood so; until a later one was made, `stands` is how it stands."""
    look: Line = ""
    meter_readings: tuple[MeterReading, ...] = ()
    efforts: dict[Name, Annotated[float, Field(ge=0, le=100)]] = {}
    locks: tuple[Name, ...] = ()
    dear: Literal["paper", "time"] = "paper"
    control_strips: tuple[ControlStrip, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    finished: bool = False


class Choice(Strict):
    """What the photographer says of one term from a moment on, over what sheets say.

    ``hold``: it is as now believed, and sheets no longer move it. ``forget``: what sheets taught
    of it so far is dropped. ``learn``: it is no longer held.
    """

    term: Line
    """A term of the ledger by its name: ``head/A/output``, ``modifier/octa/loss``, ..."""
    choice: Literal["hold", "forget", "learn"]
    when: AwareDatetime
    figure: Annotated[float, Field(ge=-60, le=60)] | None = None
    """What it is held at, in the term's own unit; left out: as was believed then."""


class Book(Strict):
    """A whole book, as photographers, files and pages use it."""

    stillroom: Literal["book/1"] = "book/1"
    kit: Kit = Kit()
    papers: tuple[Paper, ...] = ()
    sitters: tuple[Sitter, ...] = ()
    sittings: tuple[Sitting, ...] = ()
    choices: tuple[Choice, ...] = ()
    mixes: tuple[Mix, ...] = ()
    """Baths that were mixed, earliest written down first."""
