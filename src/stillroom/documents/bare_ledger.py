"""The bare ledger as JSON: strict models, and the way to and from `stillroom.exposure`."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from stillroom.documents.bare_source import SourceModel
from stillroom.documents.base import Density, Name, SpreadStops, Stops, Strict
from stillroom.exposure import (
    BareAim,
    BareFilter,
    BareHead,
    BareKit,
    BareLens,
    BareMeterReading,
    BareModifier,
    BarePaper,
    BarePast,
    BareReading,
    BareRegionReading,
    BareSettings,
    BareShared,
    BareSheet,
    BareSitting,
    DialScale,
    ReadBy,
)

LogSpread = Annotated[float, Field(ge=0, le=3)]
Positive = Annotated[float, Field(gt=0, le=10_000)]
Seconds = Annotated[float, Field(ge=0.00001, le=86_400)]
DialStops = Annotated[float, Field(ge=-20, le=0)]
PopCount = Annotated[int, Field(ge=1, le=64)]


class PaperModel(Strict):
    """A batch of paper."""

    id: Name
    speed_log2: Annotated[float, Field(ge=-12, le=12)]
    speed_sd_stops: SpreadStops
    contrast_per_stop: Annotated[float, Field(ge=0.1, le=10)]
    contrast_log_sd: LogSpread
    asym_log_sd: LogSpread
    dmin: Density
    dmax: Density
    dmin_sd: Annotated[float, Field(ge=0, le=1)]
    dmax_sd: Annotated[float, Field(ge=0, le=1)]

    @model_validator(mode="after")
    def _room_between(self) -> Self:
        if self.dmax - self.dmin < 0.3:
            msg = f"dmax {self.dmax:g} must lie at least 0.3 above dmin {self.dmin:g}"
            raise ValueError(msg)
        return self


class HeadModel(Strict):
    """A flash head."""

    id: Name
    full_log2_lxs_1m: Stops
    sd_stops: SpreadStops
    dial_min: Annotated[float, Field(ge=-20, le=0)]
    dial_max: Annotated[float, Field(ge=-20, le=0)]
    dial_step: Annotated[float, Field(gt=0.001, le=5)]
    dial_settings: Annotated[tuple[DialStops, ...], Field(max_length=1000)] = ()

    @model_validator(mode="after")
    def _order(self) -> Self:
        if self.dial_min >= self.dial_max:
            msg = f"dial_min {self.dial_min:g} must lie below dial_max {self.dial_max:g}"
            raise ValueError(msg)
        listed = self.dial_settings
        if listed and (list(listed) != sorted(set(listed)) or not self._holds(listed)):
            msg = "dial_settings must rise from one to the next between dial_min and dial_max"
            raise ValueError(msg)
        if not listed and not len(DialScale(self.dial_min, self.dial_max, self.dial_step).steps()):
            msg = f"no whole dial_step of {self.dial_step:g} lies between dial_min and dial_max"
            raise ValueError(msg)
        return self

    def _holds(self, dials: tuple[float, ...]) -> bool:
        """Whether all these lie on the dial."""
        slack = 1e-6
        return self.dial_min - slack <= dials[0] and dials[-1] <= self.dial_max + slack


class ModifierModel(Strict):
    """A modifier."""

    id: Name
    loss_stops: Stops
    sd_stops: SpreadStops


class FilterModel(Strict):
    """A filter on the lens, for the papers and the light of these sittings."""

    id: Name
    loss_stops: Stops
    loss_sd_stops: SpreadStops
    contrast_log: Annotated[float, Field(ge=-3, le=3)] = 0.0
    contrast_log_sd: LogSpread = 0.0


class LensModel(Strict):
    """A lens at one framing."""

    id: Name
    f_numbers: Annotated[tuple[Positive, ...], Field(min_length=1, max_length=60)]
    transmission_stops: Stops
    sd_stops: SpreadStops
    magnification: Annotated[float, Field(ge=0, le=20)]


class KitModel(Strict):
    """The kit of a run of sittings."""

    papers: Annotated[tuple[PaperModel, ...], Field(min_length=1)]
    heads: tuple[HeadModel, ...] = ()
    modifiers: tuple[ModifierModel, ...] = ()
    lenses: Annotated[tuple[LensModel, ...], Field(min_length=1)]
    filters: tuple[FilterModel, ...] = ()
    pop_loss_per_doubling_stops: Annotated[float, Field(ge=-1, le=1)] = 0.05
    pop_loss_sd: SpreadStops = 0.04
    reciprocity_loss_per_doubling_stops: Annotated[float, Field(ge=-1, le=1)] = 0.10
    reciprocity_sd: SpreadStops = 0.05
    process_scatter_sd_stops: Annotated[float, Field(ge=0.01, le=3)] = 0.15
    setting_scatter_sd_stops: Annotated[float, Field(ge=0, le=3)] = 0.10
    region_scatter_sd_stops: Annotated[float, Field(ge=0.005, le=3)] = 0.07
    drift_sd_stops_per_sqrt_day: SpreadStops = 0.12
    drift_most_sd_stops: SpreadStops = 10.0
    spoiled_rate: Annotated[float, Field(ge=0, le=0.5)] = 0.03
    scan_sd_density: Annotated[float, Field(ge=0.005, le=1)] = 0.04
    eye_sd_density: Annotated[float, Field(ge=0.01, le=1)] = 0.08
    dial_slope_sd: Annotated[float, Field(ge=0, le=0.5)] = 0.03
    stated_sd_stops: SpreadStops = 0.0
    fresh_mix_sd_stops: SpreadStops = 0.10
    fatigue_sd_stops_per_sheet: SpreadStops = 0.02
    scatter_log_sd: Annotated[float, Field(ge=0, le=1)] = 0.2
    reader_bias_scale: Annotated[float, Field(ge=0, le=10)] = 1.0

    @model_validator(mode="after")
    def _once_each(self) -> Self:
        for kind, things in (
            ("papers", self.papers),
            ("heads", self.heads),
            ("modifiers", self.modifiers),
            ("lenses", self.lenses),
            ("filters", self.filters),
        ):
            ids = [t.id for t in things]
            twice = sorted({i for i in ids if ids.count(i) > 1})
            if twice:
                msg = f"two of the {kind} are called {twice[0]!r}: give each its own id"
                raise ValueError(msg)
        return self

    def bare(self) -> BareKit:
        """As the engine's record."""
        numbers = self.model_dump(exclude={"papers", "heads", "modifiers", "lenses", "filters"})
        return BareKit(
            papers=tuple(BarePaper(**p.model_dump()) for p in self.papers),
            heads=tuple(BareHead(**h.model_dump()) for h in self.heads),
            modifiers=tuple(BareModifier(**m.model_dump()) for m in self.modifiers),
            lenses=tuple(BareLens(**x.model_dump()) for x in self.lenses),
            filters=tuple(BareFilter(**x.model_dump()) for x in self.filters),
            **numbers,
        )


class AimModel(Strict):
    """Where a region should fall; `tol_stops` null means that it is not aimed."""

    density: Density | None = None
    placement_stops: Annotated[float, Field(ge=-12, le=12)] | None = None
    tol_stops: Annotated[float, Field(gt=0, le=5)] | None
    eye_tol_density: Annotated[float, Field(gt=0, le=1)]

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.density is None) == (self.placement_stops is None):
            msg = "an aim takes exactly one of density and placement_stops"
            raise ValueError(msg)
        return self


class SharedModel(Strict):
    """One unknown that several regions and sources share, such as skin."""

    name: Name
    sd_stops: SpreadStops
    regions: tuple[Name, ...]
    sources: tuple[Name, ...]
    mean_stops: Stops = 0.0
    life: Literal["sitting", "sitter"] = "sitting"


class SittingModel(Strict):
    """One sitting in stops."""

    id: Name
    cls: str | None = None
    day: Annotated[float, Field(ge=-1_000_000, le=1_000_000)]
    paper: Name
    lens: Name
    f_default: Positive
    seconds_default: Seconds
    seconds_choices: Annotated[tuple[Seconds, ...], Field(max_length=64)] = ()
    sources: Annotated[tuple[SourceModel, ...], Field(min_length=1, max_length=16)]
    aims: dict[Name, AimModel]
    shared: tuple[SharedModel, ...] = ()
    veil_stops: Annotated[float, Field(ge=-40, le=0)] | None = None
    veil_sd_stops: SpreadStops = 1.0
    set: Name | None = None
    bath: Annotated[str, Field(max_length=200)] = ""
    sheets_before: Annotated[int, Field(ge=0, le=100_000)] = 0
    filter: Name | None = None

    @model_validator(mode="after")
    def _once_each(self) -> Self:
        roles = [s.role for s in self.sources]
        twice = sorted({r for r in roles if roles.count(r) > 1})
        if twice:
            msg = f"two sources have the role {twice[0]!r}: give each its own role"
            raise ValueError(msg)
        lit: set[str] = set().union(*(s.region_stops for s in self.sources))
        dark = sorted(region for region in self.aims if region not in lit)
        if dark:
            msg = f"aims names {dark[0]!r}, which region_stops of no source has"
            raise ValueError(msg)
        names = [shared.name for shared in self.shared]
        for shared in self.shared:
            if names.count(shared.name) > 1:
                msg = f"two shared terms are called {shared.name!r}: give each its own name"
                raise ValueError(msg)
            if lit.isdisjoint(shared.regions) or set(roles).isdisjoint(shared.sources):
                msg = f"shared term {shared.name!r} moves no region and source of this sitting"
                raise ValueError(msg)
        return self

    def bare(self) -> BareSitting:
        """As the engine's record."""
        plain = self.model_dump(exclude={"sources", "aims", "shared"})
        return BareSitting(
            sources=tuple(s.bare() for s in self.sources),
            aims={r: BareAim(**a.model_dump()) for r, a in self.aims.items()},
            shared=tuple(BareShared(**s.model_dump()) for s in self.shared),
            **plain,
        )


class SettingsModel(Strict):
    """What is set for one sheet."""

    dial_stops: dict[Name, DialStops] = {}
    f_number: Positive
    pops: PopCount = 1
    seconds: Seconds
    steps_pops: Annotated[tuple[PopCount, ...], Field(min_length=1, max_length=12)] | None = None

    @model_validator(mode="after")
    def _steps_once(self) -> Self:
        steps = self.steps_pops or ()
        if len(set(steps)) < len(steps):
            msg = "steps_pops holds a step twice: give each strip its own multiple"
            raise ValueError(msg)
        return self

    def bare(self) -> BareSettings:
        """As the engine's record."""
        return BareSettings(**self.model_dump())


class RegionReadingModel(Strict):
    """What one region showed."""

    density: Annotated[float, Field(ge=-0.3, le=4)] | None = None
    density_sd: Annotated[float, Field(gt=0, le=1)] | None = None
    verdict: (
        Literal["black", "too_dark", "as_wanted", "too_light", "bare_paper", "cant_tell"] | None
    ) = None
    by: ReadBy = ""
    wet: bool = False

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.density is None) == (self.verdict is None):
            msg = "a region reads exactly one of density and verdict"
            raise ValueError(msg)
        return self


class StripModel(Strict):
    """One strip of a stepped sheet."""

    step: PopCount
    regions: dict[Name, RegionReadingModel]


class ReadingModel(Strict):
    """What a sheet showed."""

    regions: dict[Name, RegionReadingModel] | None = None
    strips: tuple[StripModel, ...] | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.regions is None) == (self.strips is None):
            msg = "a reading has exactly one of regions and strips"
            raise ValueError(msg)
        steps = [s.step for s in self.strips or ()]
        if len(set(steps)) < len(steps):
            msg = "a strip is read twice: give each step once"
            raise ValueError(msg)
        return self

    def bare(self) -> BareReading:
        """As the engine's record."""

        def regions(found: dict[str, RegionReadingModel]) -> dict[str, BareRegionReading]:
            return {r: BareRegionReading(**v.model_dump()) for r, v in found.items()}

        strips = tuple((s.step, regions(s.regions)) for s in self.strips or ())
        return BareReading(regions(self.regions or {}), strips)


class SheetModel(Strict):
    """A sheet of a sitting that is over."""

    settings: SettingsModel
    reading: ReadingModel | None = None
    kept: bool | None = None

    def bare(self) -> BareSheet:
        """As the engine's record."""
        reading = None if self.reading is None else self.reading.bare()
        return BareSheet(self.settings.bare(), reading, self.kept)


class MeterReadingModel(Strict):
    """An incident meter reading of some sources together, at a region."""

    region: Name
    sources: Annotated[tuple[Name, ...], Field(min_length=1)]
    settings: SettingsModel
    log2_lxs: Stops
    sd_stops: Annotated[float, Field(gt=0, le=10)] = 0.12
    meter: Name = "meter"
    bias_sd_stops: SpreadStops = 0.15

    @model_validator(mode="after")
    def _once_each(self) -> Self:
        twice = sorted({s for s in self.sources if self.sources.count(s) > 1})
        if twice:
            msg = f"a meter reading names the source {twice[0]!r} twice"
            raise ValueError(msg)
        return self

    def bare(self) -> BareMeterReading:
        """As the engine's record."""
        plain = self.model_dump(exclude={"settings"})
        return BareMeterReading(settings=self.settings.bare(), **plain)


class PastModel(Strict):
    """A sitting that is over."""

    sitting: SittingModel
    sheets: tuple[SheetModel, ...] = ()
    meter_readings: tuple[MeterReadingModel, ...] = ()

    def bare(self) -> BarePast:
        """As the engine's record."""
        return BarePast(
            self.sitting.bare(),
            tuple(s.bare() for s in self.sheets),
            tuple(m.bare() for m in self.meter_readings),
        )


MOST_PAST_SHEETS = 500


class Begin(Strict):
    """Start afresh with a kit, a sitting and what came before."""

    op: Literal["begin"]
    kit: KitModel
    sitting: SittingModel
    mode: Literal["scan", "eye", "patch"] = "scan"
    past: tuple[PastModel, ...] = ()
    meter_readings: tuple[MeterReadingModel, ...] = ()

    @model_validator(mode="after")
    def _not_too_many(self) -> Self:
        sheets = sum(len(p.sheets) for p in self.past)
        if sheets > MOST_PAST_SHEETS:
            msg = f"past holds {sheets} sheets; at most {MOST_PAST_SHEETS} can be taken in"
            raise ValueError(msg)
        return self


class Plan(Strict):
    """What to set for the next sheet."""

    op: Literal["plan"]
    count: Annotated[int, Field(ge=1, le=4)] = 1


class Record(Strict):
    """A sheet was made and read."""

    op: Literal["record"]
    settings: SettingsModel
    reading: ReadingModel | None = None
    kept: bool | None = None

    def bare(self) -> BareSheet:
        """As the engine's record."""
        reading = None if self.reading is None else self.reading.bare()
        return BareSheet(self.settings.bare(), reading, self.kept)


class ForecastOp(Strict):
    """What to expect of settings the outside chose."""

    op: Literal["forecast"]
    settings: SettingsModel


class Chains(Strict):
    """What is believed of the chains."""

    op: Literal["chains"]


OPS: dict[str, type[Strict]] = {
    "begin": Begin,
    "plan": Plan,
    "record": Record,
    "forecast": ForecastOp,
    "chains": Chains,
}


class LedgerDocument(Strict):
    """A bare ledger on its own: a kit and a sitting (`stillroom predict --bare` writes one)."""

    stillroom: Literal["ledger/1"] = "ledger/1"
    kit: KitModel
    sitting: SittingModel


def ledger_document(kit: BareKit, sitting: BareSitting) -> LedgerDocument:
    """The engine's records as the document that describes them."""
    return LedgerDocument.model_validate({"kit": asdict(kit), "sitting": asdict(sitting)})
