"""What stands in the cupboard: cameras, lenses, heads, lamps, modifiers, meters, rooms."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stillroom.documents.base import (
    DistanceM,
    DrawMm,
    EnergyWs,
    FNumber,
    FocalMm,
    Line,
    Name,
    Points,
    Share,
    SizeM,
    SpreadStops,
    Strict,
)
from stillroom.documents.filters import Filter
from stillroom.documents.holders import Holder
from stillroom.documents.seats import Place, Seat
from stillroom.documents.thing import Thing
from stillroom.documents.wet import Process

USUAL_MAINS_V = 230.0
"""Of the plugs, where no room says otherwise: common practice, no source."""


class Camera(Thing):
    """A camera body: what sheet it takes and how far it draws."""

    format_mm: tuple[
        Annotated[float, Field(ge=10, le=2000)], Annotated[float, Field(ge=10, le=2000)]
    ]
    draw_min_mm: DrawMm = 50.0
    draw_max_mm: DrawMm = 1000.0
    flare_share: Share = 0.02
    holder_sides: Annotated[int, Field(ge=1, le=200)] = 2
    fixed_back: bool = False
    """No ground glass to focus on, or no bellows: the sitter goes to where it is sharp."""
    sheet_behind_glass_mm: Annotated[float, Field(ge=-50, le=50)] = 0.0
    """How far the sheet stands behind where the ground glass was; a forgotten insert or spacer."""
    sheet_behind_glass_sd_mm: Annotated[float, Field(ge=0, le=20)] = 0.3
    """Half a millimetre more or less until it was checked: common practice, no source."""
    finder_above_mm: Annotated[float, Field(ge=-500, le=500)] = 0.0
    """How far the finder, where there is one, sits above the lens."""
    finder_right_mm: Annotated[float, Field(ge=-500, le=500)] = 0.0
    """How far it sits to the right of the lens, seen from behind the camera."""
    process: Name | None = None
    """How its sheets go through the wet line; left out: as their paper does."""


class Lens(Thing):
    """A lens: f-numbers as marked, widest first or last; the widest may have a true number."""

    focal_mm: FocalMm
    flange_at_infinity_mm: DrawMm | None = None
    """Draw at infinity focus; shorter than the focal length for telephoto construction."""
    f_numbers: Annotated[tuple[FNumber, ...], Field(min_length=1, max_length=40)]
    true_f_number_wide_open: FNumber | None = None
    pupil_ratio: Annotated[float, Field(ge=0.2, le=5)] = 1.0
    transmission_stops: Annotated[float, Field(ge=-10, le=0)] = -0.2
    transmission_sd_stops: SpreadStops = 0.15
    coverage_mm: Annotated[float, Field(ge=10, le=5000)] | None = None
    spectral: Literal["old", "modern", "own"] = "modern"
    own_transmission: Points = ()
    """With ``own``: wavelength [nm] and transmittance relative to the visible."""


class Dial(Strict):
    """A head's own scale. ``stops``: 0 is full and settings below it are negative."""

    kind: Literal["stops", "fraction", "energy"] = "stops"
    min: float = -7.0
    max: float = 0.0
    step: Annotated[float, Field(gt=0, le=100_000)] = 0.1


class Head(Thing):
    """A flash head; output: `full_log2_lxs_1m`, else energy x efficacy x reflector / 4 pi."""

    energy_ws: EnergyWs
    dial: Dial = Dial()
    efficacy_lm_s_per_ws: Annotated[float, Field(ge=1, le=200)] = 40.0
    reflector_factor: Annotated[float, Field(ge=0.2, le=50)] = 4.0
    full_log2_lxs_1m: Annotated[float, Field(ge=-5, le=30)] | None = None
    output_sd_stops: SpreadStops = 0.3
    recycle_s: Annotated[float, Field(ge=0, le=600)] | None = None
    pops_per_minute_full: Annotated[float, Field(gt=0, le=600)] | None = None
    modelling_w: Annotated[float, Field(ge=0, le=5000)] | None = None
    modelling_lm_per_w: Annotated[float, Field(ge=0.1, le=200)] = 15.0
    """Of the modelling lamp; of tungsten-halogen lamps, from memory."""
    mains_a: Annotated[float, Field(ge=0, le=200)] | None = None
    """What it draws from the mains while it charges; left out: it runs from a battery."""
    battery_pops_full: Annotated[int, Field(ge=1, le=100_000)] | None = None
    """Pops at full that one charge of its battery gives."""
    pops_in_a_row_full: Annotated[int, Field(ge=1, le=10_000)] | None = None
    """Pops at full before the tube must rest, by its handbook."""
    is_hired: bool = False
    """Not owned: its energy counts among what must be bought or hired."""


class Lamp(Thing):
    """A steady lamp, by its luminous intensity towards the sitter."""

    kind: Literal["tungsten", "led", "fluorescent", "other"] = "tungsten"
    intensity_cd: Annotated[float, Field(ge=0.1, le=10_000_000)]
    intensity_sd_stops: SpreadStops = 0.5
    power_w: Annotated[float, Field(ge=0, le=20_000)] | None = None
    uva_w_m2_1m: Annotated[float, Field(ge=0, le=10_000)] | None = None
    """What a meter for 315 to 400 nm shows one metre before it; left out: not measured."""
    uv_peak_nm: Annotated[float, Field(ge=200, le=420)] | None = None
    """Where its ultraviolet peaks, by its maker."""


class Modifier(Thing):
    """What stands between lamp and sitter; loss against the same head in its plain reflector."""

    kind: Line = "softbox"
    width_m: SizeM | None = None
    height_m: SizeM | None = None
    layers: Annotated[int, Field(ge=0, le=20)] = 1
    loss_stops: Annotated[float, Field(ge=-6, le=20)] = 0.0
    loss_sd_stops: SpreadStops = 0.5
    measured_at_m: DistanceM | None = None


class Meter(Thing):
    """A light meter and how far it is to be believed."""

    kind: Literal["incident_dome", "incident_flat", "spot"] = "incident_flat"
    bias_stops: Annotated[float, Field(ge=-5, le=5)] = 0.0
    bias_sd_stops: SpreadStops = 0.15
    sd_stops: SpreadStops = 0.12


class Scanner(Thing):
    """A scanner or densitometer, by the spread of one reading."""

    sd_density: Annotated[float, Field(ge=0.001, le=1)] = 0.04


class Room(Thing):
    """A room and the named states of its own light."""

    states: tuple[Line, ...] = ("curtains open", "curtains closed", "evening")
    width_m: SizeM | None = None
    depth_m: SizeM | None = None
    circuit_a: Annotated[float, Field(ge=1, le=200)] | None = None
    """What one circuit of the house may carry."""
    circuits: Annotated[int, Field(ge=1, le=40)] = 1
    mains_v: Annotated[float, Field(ge=90, le=480)] = USUAL_MAINS_V


class Kit(Strict):
    """Everything that is owned."""

    cameras: tuple[Camera, ...] = ()
    lenses: tuple[Lens, ...] = ()
    heads: tuple[Head, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    modifiers: tuple[Modifier, ...] = ()
    meters: tuple[Meter, ...] = ()
    scanners: tuple[Scanner, ...] = ()
    rooms: tuple[Room, ...] = ()
    places: tuple[Place, ...] = ()
    seats: tuple[Seat, ...] = ()
    filters: tuple[Filter, ...] = ()
    processes: tuple[Process, ...] = ()
    holders: tuple[Holder, ...] = ()
