"""What the sheets and meter readings of one sitting say, laid out for the arithmetic."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.belief.named import Belief
from stillroom.belief.words import early_interval, word_interval
from stillroom.errors import BadValue, UnknownName
from stillroom.exposure import (
    SHEET_SCATTER,
    BareBathReading,
    BareMeterReading,
    BareRegionReading,
    BareSheet,
    Layout,
    Life,
    Term,
)
from stillroom.paper import density_slope, placement
from stillroom.quantity import FloatArray

IntArray = NDArray[np.intp]

NO_SOURCE_STOPS = -60.0
"""A light that a sheet's layout does not have."""
READER_BIAS_DENSITY = {"words": 0.07, "strip": 0.07, "scan": 0.015, "early_look": 0.10}
"""How far a way of reading may be off through and through; a densitometer is taken as right."""
WET_DENSITY = 0.04
"""How far a paper's wet tones may lie from its dry ones."""
EARLY_LOOK_SD_DENSITY = 0.25
BATH_REFERENCE_SD_STOPS = 0.10
"""How far the baths of a control strip's reference run may lie from the usual."""


@dataclass(frozen=True, slots=True)
class LaidSheet:
    """A sheet with the layout it was made under."""

    layout: Layout
    sheet: BareSheet


@dataclass(frozen=True, slots=True)
class LaidMeterReading:
    """A meter reading with the layout it was taken under."""

    layout: Layout
    reading: BareMeterReading


@dataclass(frozen=True, slots=True)
class LaidBathReading:
    """A control strip with the layout of the day it went through the baths."""

    layout: Layout
    reading: BareBathReading


@dataclass(frozen=True, slots=True)
class Aims:
    """Aims of some regions, as arrays (regions,); a placement aim has NaN for density."""

    density: FloatArray
    placement: FloatArray
    tol: FloatArray


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything observed in one sitting, in terms of belief's names.

    Spots are the (strip, region) pairs that something is said about. Shapes: `c` (spots,
    sources), `a` (spots, sources, terms); `sheet` (spots,) numbers the sheets. To the paper's log
    contrast `filter_c` (spots,) and `filter_a` (spots, terms) are added, nothing where no filter
    was on the lens. `density_bias` and `word_bias` (readings, terms) say whose bias is in a
    reading. `scatter` is the term that widens the scatter from sheet to sheet. Levels are
    readings of light alone, by a meter, or of one term alone, by a control strip.
    """

    belief: Belief
    curve: IntArray
    veil: int
    sheets: int
    c: FloatArray
    a: FloatArray
    filter_c: FloatArray
    filter_a: FloatArray
    sheet: IntArray
    strip: IntArray
    region_sd: FloatArray
    density_spot: IntArray
    density: FloatArray
    density_sd: FloatArray
    density_bias: FloatArray
    word_spot: IntArray
    word_low: FloatArray
    word_high: FloatArray
    word_share: FloatArray
    word_low_sd: FloatArray
    word_high_sd: FloatArray
    word_bias: FloatArray
    kept: tuple[tuple[IntArray, Aims, bool], ...]
    level_c: FloatArray
    level_a: FloatArray
    level_value: FloatArray
    level_sd: FloatArray
    scatter: int
    sheet_sd: float
    spoiled_rate: FloatArray
    spoiled_sd: float


def meter_term(reading: BareMeterReading) -> Term:
    """The bias of a meter, as a term of its own."""
    label = f"bias of {reading.meter}"
    return Term(
        f"meter/{reading.meter}/bias", label, 0.0, reading.bias_sd_stops, Life.KIT, "meter"
    )


def reader_term(by: str, scale: float) -> Term | None:
    """The bias of one way of reading tones, as a term of its own; None where there is none."""
    sd = READER_BIAS_DENSITY.get(by, 0.0) * scale
    if sd == 0:
        return None
    return Term(f"eye/{by}", READERS[by], 0.0, sd, Life.KIT, "reader")


READERS = {
    "words": "bias of the eye by words [density]",
    "strip": "bias of the eye by the strip [density]",
    "scan": "bias of the scanner [density]",
    "early_look": "bias of an early look [density]",
}


def bias_terms(value: BareRegionReading, layout: Layout) -> list[Term]:
    """Whose bias is in one reading of one region."""
    scale = layout.kit.reader_bias_scale
    by = value.by or ("scan" if value.density is not None else "words")
    found = reader_term(by, scale)
    terms = [] if found is None else [found]
    if value.wet and scale > 0:
        paper = layout.sitting.paper
        label = "wet tone less dry tone [density]"
        name = f"eye/wet/{paper}"
        terms.append(Term(name, label, 0.0, WET_DENSITY * scale, Life.PAPER, "reader"))
    return terms


def bath_reference_term(reading: BareBathReading) -> Term:
    """The baths of the reference run, as a term of its own."""
    name = f"bath_reference/{reading.reference}"
    label = "baths of the reference run"
    return Term(name, label, 0.0, BATH_REFERENCE_SD_STOPS, Life.PAPER, "control strip")


def gather(
    before: Belief,
    layout: Layout,
    sheets: Sequence[LaidSheet],
    meters: Sequence[LaidMeterReading],
    baths: Sequence[LaidBathReading] = (),
) -> Evidence:
    """Lay out what the sheets and meter readings of one sitting say.

    Parameters
    ----------
    before : Belief
        What was believed before the sitting.
    layout : Layout
        As the sitting stands now; its terms are in the belief even when nothing was read.
    sheets, meters, baths : sequences
        In the order they were made; each with the layout it was made under.

    Raises
    ------
    UnknownName
        If a reading names a region that the sitting does not have.
    """
    belief = before.extended(layout.terms)
    for laid in sheets:
        belief = belief.extended(laid.layout.terms)
        for value in _region_readings(laid.sheet):
            belief = belief.extended(bias_terms(value, laid.layout))
    for metered in meters:
        belief = belief.extended(metered.layout.terms)
        belief = belief.extended([meter_term(metered.reading)])
    for strip in baths:
        belief = belief.extended(strip.layout.terms)
        belief = belief.extended([bath_reference_term(strip.reading)])
    layouts = [layout, *(s.layout for s in sheets), *(m.layout for m in meters)]
    builder = _Builder(belief, layout, max(len(x.roles) for x in layouts))
    for number, laid in enumerate(sheets):
        builder.add_sheet(number, laid)
    for taken in meters:
        builder.add_meter(taken)
    for strip in baths:
        builder.add_bath(strip)
    real = np.array([laid.sheet.real for laid in sheets], dtype=bool)
    return builder.evidence(real)


def _region_readings(sheet: BareSheet) -> Iterator[BareRegionReading]:
    if sheet.reading is not None:
        yield from sheet.reading.regions.values()
        for _, regions in sheet.reading.strips:
            yield from regions.values()


class _Builder:
    def __init__(self, belief: Belief, layout: Layout, sources: int) -> None:
        self.belief = belief
        self.layout = layout
        self.sources = sources
        self.where = {name: i for i, name in enumerate(belief.names)}
        at = belief.positions(t.name for t in layout.terms)
        self.curve = at[layout.curve.four]
        self.veil = -1 if layout.veil is None else int(at[layout.veil])
        m = belief.mean
        self.nominal = (
            math.exp(m[self.curve[0]]),
            math.exp(m[self.curve[1]]),
            float(m[self.curve[2]]),
            float(m[self.curve[3]]),
        )
        self.spots: dict[tuple[int, int, str], int] = {}
        self.c: list[FloatArray] = []
        self.a: list[FloatArray] = []
        self.filter_c: list[float] = []
        self.filter_a: list[FloatArray] = []
        self.sheet: list[int] = []
        self.strip: list[int] = []
        self.region_sd: list[float] = []
        self.densities: list[tuple[int, float, float]] = []
        self.density_bias: list[FloatArray] = []
        self.words: list[tuple[int, float, float, float, float, float]] = []
        self.word_bias: list[FloatArray] = []
        self.kept: list[tuple[IntArray, Aims, bool]] = []
        self.levels: list[tuple[FloatArray, FloatArray, float, float]] = []
        self.strips = 0

    def _filter_of(self, layout: Layout) -> tuple[float, FloatArray]:
        """What the filter of a sheet adds to its log contrast: a figure, and a row of terms."""
        row = np.zeros(len(self.belief.names))
        if layout.curve.filter_off is not None:
            row[self.where[layout.terms[layout.curve.filter_off].name]] = 1.0
        return layout.curve.filter_log, row

    def _nominal_of(self, layout: Layout) -> tuple[float, float, float, float]:
        """The curve that is believed before the sitting, behind the filter of a sheet."""
        if layout.curve.filter_off is None:
            return self.nominal
        start, row = self._filter_of(layout)
        contrast, asymmetry, dmin, dmax = self.nominal
        return contrast * math.exp(start + row @ self.belief.mean), asymmetry, dmin, dmax

    # ---- spots ----------------------------------------------------------------------------

    def _add_strips(self, number: int, laid: LaidSheet) -> int:
        """All strips of a sheet with all regions; returns the number of the first strip."""
        layout = laid.layout
        rows = layout.rows(laid.sheet.settings)
        columns = np.array([self.where[t.name] for t in layout.terms])
        first = self.strips
        stepped = laid.sheet.settings.steps_pops is not None
        scatter = layout.scatter
        sd = scatter.region_sd_stops
        if stepped:
            sd = math.hypot(sd, scatter.stepped_region_sd_stops)
        contrast_c, contrast_a = self._filter_of(layout)
        for k in range(rows.c.shape[0]):
            for i, region in enumerate(layout.regions):
                c = np.full(self.sources, NO_SOURCE_STOPS)
                c[: rows.c.shape[2]] = rows.c[k, i]
                a = np.zeros((self.sources, len(self.belief.names)))
                a[: rows.c.shape[2], columns] = rows.a[k, i]
                self.spots[number, first + k, region] = len(self.c)
                self.c.append(c)
                self.a.append(a)
                self.filter_c.append(contrast_c)
                self.filter_a.append(contrast_a)
                self.sheet.append(number)
                self.strip.append(first + k)
                self.region_sd.append(sd)
        self.strips += rows.c.shape[0]
        return first

    def add_sheet(self, number: int, laid: LaidSheet) -> None:
        sheet = laid.sheet
        reading = sheet.reading
        says_kept = sheet.kept is not None and sheet.settings.steps_pops is None
        if reading is None and not says_kept:
            return
        first = self._add_strips(number, laid)
        if reading is not None:
            steps = sheet.settings.steps_pops or ()
            for step, regions in reading.strips:
                if step not in steps:
                    exposed = ", ".join(map(str, steps)) or "none, it is not a stepped sheet"
                    raise BadValue("step", step, f"the strips of this sheet are {exposed}")
                self._read(number, first + steps.index(step), laid.layout, regions)
            if steps and reading.regions:
                raise BadValue("regions", list(reading.regions), "read a stepped sheet by strips")
            self._read(number, first, laid.layout, reading.regions)
        if says_kept:
            self._kept(number, first, laid)

    def _read(
        self,
        number: int,
        strip: int,
        layout: Layout,
        regions: Mapping[str, BareRegionReading],
    ) -> None:
        nominal = self._nominal_of(layout)
        dmin, dmax = nominal[2:]
        for region, value in regions.items():
            spot = self.spots.get((number, strip, region))
            if spot is None:
                raise UnknownName("region", region, layout.regions)
            region_sd = self.region_sd[spot]
            if value.density is not None:
                sd = value.density_sd or layout.kit.scan_sd_density
                wide = _widened(sd, region_sd, value.density, nominal)
                self.densities.append((spot, value.density, wide))
                self.density_bias.append(self._bias(value, layout))
            elif value.verdict is not None:
                aim = layout.aims.get(region)
                wanted, tol = None, 0.0
                if aim is not None and aim.tol_stops is not None:
                    wanted, tol = layout.aim_density(region, nominal), aim.eye_tol_density
                early = value.by == "early_look"
                if early:
                    interval = early_interval(value.verdict, wanted, tol)
                else:
                    interval = word_interval(value.verdict, wanted, tol, dmin, dmax)
                if interval is not None:
                    sd = EARLY_LOOK_SD_DENSITY if early else layout.kit.eye_sd_density
                    low, high = interval.low, interval.high
                    ends = [_widened(sd, region_sd, cut, nominal) for cut in (low, high)]
                    self.words.append((spot, low, high, interval.share, ends[0], ends[1]))
                    self.word_bias.append(self._bias(value, layout))

    def _bias(self, value: BareRegionReading, layout: Layout) -> FloatArray:
        row = np.zeros(len(self.belief.names))
        for term in bias_terms(value, layout):
            row[self.where[term.name]] = 1.0
        return row

    def _kept(self, number: int, first: int, laid: LaidSheet) -> None:
        aimed = [r for r, a in laid.layout.aims.items() if a.tol_stops is not None]
        if aimed:
            spots = np.array([self.spots[number, first, r] for r in aimed], dtype=np.intp)
            kept = laid.sheet.kept
            self.kept.append((spots, aims_of(laid.layout, aimed), bool(kept)))

    def add_meter(self, metered: LaidMeterReading) -> None:
        reading = metered.reading
        layout = metered.layout
        if reading.region not in layout.regions:
            raise UnknownName("region", reading.region, layout.regions)
        part_c, part_a = layout.incident_rows(reading.settings, reading.region, reading.sources)
        c = np.full(self.sources, NO_SOURCE_STOPS)
        c[: len(part_c)] = part_c
        a = np.zeros((self.sources, len(self.belief.names)))
        columns = np.array([self.where[t.name] for t in layout.terms])
        a[: len(part_c), columns] = part_a
        a[: len(part_c), self.where[meter_term(reading).name]] = 1.0
        self.levels.append((c, a, reading.log2_lxs, reading.sd_stops))

    def add_bath(self, strip: LaidBathReading) -> None:
        reading, base = strip.reading, f"bath/{strip.layout.bath}"
        c = np.full(self.sources, NO_SOURCE_STOPS)
        a = np.zeros((self.sources, len(self.belief.names)))
        c[0] = 0.0
        a[0, self.where[f"{base}/mix"]] = 1.0
        a[0, self.where[f"{base}/fatigue"]] = reading.nth
        a[0, self.where[bath_reference_term(reading).name]] -= 1.0
        self.levels.append((c, a, reading.value_stops, reading.sd_stops))

    # ---- done -----------------------------------------------------------------------------

    def evidence(self, real: NDArray[np.bool_]) -> Evidence:
        terms = len(self.belief.names)
        said = self._spots_spoken_of()
        density = np.array(self.densities).reshape(-1, 3)
        words = np.array(self.words).reshape(-1, 6)
        spot = np.array(said, dtype=np.intp)
        renumber = {old: new for new, old in enumerate(said)}
        kept = tuple(
            (np.array([renumber[i] for i in at], dtype=np.intp), aims, value)
            for at, aims, value in self.kept
        )
        scatter = self.layout.scatter
        return Evidence(
            belief=self.belief,
            curve=self.curve,
            veil=self.veil,
            sheets=len(real),
            c=np.array(self.c).reshape(-1, self.sources)[spot],
            a=np.array(self.a).reshape(-1, self.sources, terms)[spot],
            filter_c=np.array(self.filter_c)[spot],
            filter_a=np.array(self.filter_a).reshape(-1, terms)[spot],
            sheet=np.array(self.sheet, dtype=np.intp)[spot],
            strip=np.array(self.strip, dtype=np.intp)[spot],
            region_sd=np.array(self.region_sd)[spot],
            density_spot=np.array([renumber[int(i)] for i in density[:, 0]], dtype=np.intp),
            density=density[:, 1],
            density_sd=density[:, 2],
            density_bias=np.array(self.density_bias).reshape(-1, terms),
            word_spot=np.array([renumber[int(i)] for i in words[:, 0]], dtype=np.intp),
            word_low=words[:, 1],
            word_high=words[:, 2],
            word_share=words[:, 3],
            word_low_sd=words[:, 4],
            word_high_sd=words[:, 5],
            word_bias=np.array(self.word_bias).reshape(-1, terms),
            kept=kept,
            level_c=np.array([m[0] for m in self.levels]).reshape(-1, self.sources),
            level_a=np.array([m[1] for m in self.levels]).reshape(-1, self.sources, terms),
            level_value=np.array([m[2] for m in self.levels]),
            level_sd=np.array([m[3] for m in self.levels]),
            scatter=self.where[SHEET_SCATTER],
            sheet_sd=scatter.sheet_sd_stops,
            spoiled_rate=np.where(real, 0.0, scatter.spoiled_rate),
            spoiled_sd=scatter.spoiled_sd_stops,
        )

    def _spots_spoken_of(self) -> list[int]:
        """Spots something is said about; with veil, all regions of their strips."""
        said = {int(d[0]) for d in self.densities} | {int(w[0]) for w in self.words}
        for at, _, _ in self.kept:
            said |= {int(i) for i in at}
        if self.veil >= 0:
            strips = {self.strip[i] for i in said}
            said = {i for i, strip in enumerate(self.strip) if strip in strips}
        return sorted(said)


def _widened(
    sd: float, region_sd: float, density: float, curve: tuple[float, float, float, float]
) -> float:
    """Spread of a reading at a density, the region's own scatter in it [density]."""
    return math.hypot(sd, region_sd * slope_at_density(density, *curve))


def slope_at_density(
    density: float, contrast: float, asymmetry: float, dmin: float, dmax: float
) -> float:
    """Slope of the nominal curve where it has this density, 0 beyond its ends [per stop]."""
    if not dmin < density < dmax:
        return 0.0
    shape = (contrast, asymmetry, dmin, dmax)
    return abs(float(density_slope(placement(density, *shape), *shape)))


def aims_of(layout: Layout, regions: Sequence[str]) -> Aims:
    """The aims of the given regions as arrays."""

    def column(values: list[float | None]) -> FloatArray:
        return np.array([math.nan if v is None else v for v in values])

    aims = [layout.aims[r] for r in regions]
    return Aims(
        column([a.density for a in aims]),
        column([a.placement_stops for a in aims]),
        column([a.tol_stops for a in aims]),
    )
