"""The bare ledger: one sitting compiled to stops.

A document, with its millimetres and watt-seconds, compiles into these records; an outside
simulator may bring them ready made. Everything that believes or advises sees only the
`Layout` built from them (`stillroom.exposure.layout`), so there is one engine.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

SourceKind = Literal["flash", "continuous", "veil"]
ReadBy = Literal["", "words", "strip", "scan", "densitometer", "early_look"]
Verdict = Literal["black", "too_dark", "as_wanted", "too_light", "bare_paper", "cant_tell"]


@dataclass(frozen=True, slots=True)
class BarePaper:
    """A batch of paper: speed is ``log2(EI / 10)``; spreads are standard deviations."""

    id: str
    speed_log2: float
    speed_sd_stops: float
    contrast_per_stop: float
    contrast_log_sd: float
    asym_log_sd: float
    dmin: float
    dmax: float
    dmin_sd: float
    dmax_sd: float


@dataclass(frozen=True, slots=True)
class BareHead:
    """A flash head: log2 lx·s at 1 m at full, and the stops its dial can reach."""

    id: str
    full_log2_lxs_1m: float
    sd_stops: float
    dial_min: float
    dial_max: float
    dial_step: float
    dial_settings: tuple[float, ...] = ()
    """Every setting in stops, ascending, where the dial's steps are uneven."""


@dataclass(frozen=True, slots=True)
class BareModifier:
    """Something in front of a head, as a loss in stops."""

    id: str
    loss_stops: float
    sd_stops: float


@dataclass(frozen=True, slots=True)
class BareFilter:
    """A filter on the lens: what it takes from one paper in one light, and does to its contrast.

    `contrast_log` is the natural logarithm of contrast with it over contrast without.
    """

    id: str
    loss_stops: float
    loss_sd_stops: float
    contrast_log: float = 0.0
    contrast_log_sd: float = 0.0


@dataclass(frozen=True, slots=True)
class BareLens:
    """A lens at one framing: f-numbers are taken literally, magnification is m over P."""

    id: str
    f_numbers: tuple[float, ...]
    transmission_stops: float
    sd_stops: float
    magnification: float


@dataclass(frozen=True, slots=True)
class BareKit:
    """All kit a run of sittings may name, and the scatter every sheet is subject to."""

    papers: tuple[BarePaper, ...]
    heads: tuple[BareHead, ...]
    modifiers: tuple[BareModifier, ...]
    lenses: tuple[BareLens, ...]
    filters: tuple[BareFilter, ...] = ()
    pop_loss_per_doubling_stops: float = 0.05
    pop_loss_sd: float = 0.04
    reciprocity_loss_per_doubling_stops: float = 0.10
    reciprocity_sd: float = 0.05
    process_scatter_sd_stops: float = 0.15
    setting_scatter_sd_stops: float = 0.10
    region_scatter_sd_stops: float = 0.07
    drift_sd_stops_per_sqrt_day: float = 0.12
    drift_most_sd_stops: float = 10.0
    """Drift alone makes nobody less sure of a batch than this."""
    spoiled_rate: float = 0.03
    scan_sd_density: float = 0.04
    eye_sd_density: float = 0.08
    dial_slope_sd: float = 0.03
    """How far a stop on a dial may be from a stop of light, head by head."""
    stated_sd_stops: float = 0.0
    """How far stated outputs and losses may all be off in one direction, each by as much."""
    fresh_mix_sd_stops: float = 0.10
    """How far one day's baths work above or below the usual."""
    fatigue_sd_stops_per_sheet: float = 0.02
    scatter_log_sd: float = 0.2
    """How well the scatter from sheet to sheet is known (natural log)."""
    reader_bias_scale: float = 1.0
    """How large the biases of readers are against the usual; 0 where readings have none."""


@dataclass(frozen=True, slots=True)
class BareDaylight:
    """What may have the light of a seat off: the seat, its kind of sky, the day."""

    seat: str
    sky: str
    seat_sd_stops: float
    sky_sd_stops: float
    day_sd_stops: float


@dataclass(frozen=True, slots=True)
class BareSource:
    """One light, and what it gives each region relative to its own reference, in stops."""

    role: str
    kind: SourceKind
    head: str | None
    modifiers: tuple[str, ...]
    distance_m: float | None
    log2_lx: float | None
    sd_stops: float
    geo: str
    actinic_stops: float
    actinic_sd_stops: float
    region_stops: Mapping[str, float]
    region_sd_stops: Mapping[str, float]
    state: str | None = None
    """State of the room's own light; levels of different states are learned apart."""
    daylight: BareDaylight | None = None
    """Where the level is that of sun and sky at a seat: what of it is learned for other days."""
    from_mid_tone: bool = False
    """A veil whose level was found by test on the paper: `log2_lx` counts from its mid-tone in the
    usual baths [stops], so its speed is in it already."""


@dataclass(frozen=True, slots=True)
class BareAim:
    """Where a region should fall: a density, or a placement in stops from the mid-tone."""

    tol_stops: float | None
    eye_tol_density: float
    density: float | None = None
    placement_stops: float | None = None


@dataclass(frozen=True, slots=True)
class BareShared:
    """One unknown that moves several regions or sources together, such as skin."""

    name: str
    sd_stops: float
    regions: tuple[str, ...]
    sources: tuple[str, ...]
    mean_stops: float = 0.0
    life: Literal["sitting", "sitter"] = "sitting"


@dataclass(frozen=True, slots=True)
class BareSitting:
    """One sitting, compiled."""

    id: str
    day: float
    paper: str
    lens: str
    f_default: float
    seconds_default: float
    sources: tuple[BareSource, ...]
    aims: Mapping[str, BareAim]
    cls: str | None = None
    set: str | None = None
    seconds_choices: tuple[float, ...] = ()
    shared: tuple[BareShared, ...] = ()
    veil_stops: float | None = None
    """Log2 of the share of the frame's mean exposure that lands everywhere."""
    veil_sd_stops: float = 1.0
    bath: str = ""
    """Whose baths the sheets go through; left out: those of the day."""
    sheets_before: int = 0
    """How many sheets had gone through those baths before the first of this sitting."""
    filter: str | None = None
    """What is on the lens."""


@dataclass(frozen=True, slots=True)
class BareSettings:
    """What is set for one sheet; `steps_pops` makes it a stepped sheet."""

    dial_stops: Mapping[str, float]
    f_number: float
    pops: int
    seconds: float
    steps_pops: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class BareRegionReading:
    """A density or a verdict of one region, by which method, of a wet sheet or a dry one."""

    density: float | None = None
    density_sd: float | None = None
    verdict: Verdict | None = None
    by: ReadBy = ""
    """Left out: a verdict is by words, a density by scan."""
    wet: bool = False


@dataclass(frozen=True, slots=True)
class BareReading:
    """What a sheet showed: by region, or for a stepped sheet by strip and region."""

    regions: Mapping[str, BareRegionReading] = field(default_factory=dict)
    strips: tuple[tuple[int, Mapping[str, BareRegionReading]], ...] = ()


@dataclass(frozen=True, slots=True)
class BareSheet:
    """One sheet as made and, when it was read, what it showed."""

    settings: BareSettings
    reading: BareReading | None = None
    kept: bool | None = None
    real: bool = False
    """It was said that nothing went wrong: this sheet cannot be a spoiled one."""


@dataclass(frozen=True, slots=True)
class BareMove:
    """Something moved: an unknown of its own for some lights and regions; none named means all.

    `mean_stops` is what it is expected to do.
    """

    name: str
    label: str
    sd_stops: float
    roles: tuple[str, ...] = ()
    regions: tuple[str, ...] = ()
    stage: Literal["light", "sitter", "paper"] = "light"
    """Where in the chain; a meter sees what moved among the lights only."""
    mean_stops: float = 0.0


@dataclass(frozen=True, slots=True)
class BareBathReading:
    """A control strip: the baths now less the baths at a reference run [stops]."""

    value_stops: float
    sd_stops: float
    reference: str
    nth: int
    """How many sheets had gone through the baths before it."""


@dataclass(frozen=True, slots=True)
class BareMeterReading:
    """An incident meter at a region: photopic log2 lx·s of some of the sources together."""

    region: str
    sources: tuple[str, ...]
    settings: BareSettings
    log2_lxs: float
    sd_stops: float
    meter: str
    bias_sd_stops: float


@dataclass(frozen=True, slots=True)
class BarePast:
    """A sitting that is over, with its sheets and meter readings."""

    sitting: BareSitting
    sheets: tuple[BareSheet, ...]
    meter_readings: tuple[BareMeterReading, ...] = ()
