"""What the sheets of a history showed, laid out in arrays for the likelihood.

Scans, patches, words, kept or not kept, and meter readings; spreads and cut points are worked
out here, for they depend on nothing unknown.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from proof.ledger import Occasion, Said, Sum, by_id, occasions

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

STEPPED_SD_STOPS = 0.12
"""Skin from strip to strip."""
BIAS_DENSITY = {"words": 0.07, "strip": 0.07, "scan": 0.015, "early_look": 0.10}
EARLY_SD_DENSITY = 0.25
WET_DENSITY = 0.04
NOTHING_STOPS = -60.0
ENDS = {"black": 0, "too_dark": 1, "as_wanted": 2, "too_light": 3, "bare_paper": 4}


@dataclass(slots=True)
class Rows:
    """Sums gathered as numbers (rows, lights) and weights (rows, lights, unknowns)."""

    lights: list[list[Sum]] = field(default_factory=list)

    def arrays(self, unknowns: list[str], rows: int, lights: int) -> tuple[Array, Array]:
        """As arrays of so many rows; lights that a row does not have give nothing."""
        c = np.full((rows, lights), NOTHING_STOPS)
        a = np.zeros((rows, lights, len(unknowns)))
        place = {name: i for i, name in enumerate(unknowns)}
        for i, row in enumerate(self.lights):
            for j, one in enumerate(row):
                c[i, j] = one.number
                for name, weight in one.weights.items():
                    a[i, j, place[name]] += weight
        return c, a

    def names(self) -> Iterator[str]:
        """Every unknown that bears on a row."""
        for row in self.lights:
            for one in row:
                yield from one.weights


@dataclass(slots=True)
class Reading:
    """One tone that was read: of which spot, and what it says."""

    spot: int
    biases: list[tuple[str, float]]
    density: float = 0.0
    sd: float = 1.0
    low: float = -math.inf
    high: float = math.inf
    low_sd: float = 1.0
    high_sd: float = 1.0
    share: float = 1.0


@dataclass(slots=True)
class Called:
    """A sheet called kept or not: its aimed spots."""

    spots: list[int]
    aims: list[float]
    tolerances: list[float]
    kept: bool


@dataclass(slots=True)
class Seen:
    """Everything seen in a history."""

    spots: Rows = field(default_factory=Rows)
    sheet: list[int] = field(default_factory=list)
    group: list[int] = field(default_factory=list)
    """Spots of one strip share a number."""
    veil: list[Sum] = field(default_factory=list)
    region_sd: list[float] = field(default_factory=list)
    scans: list[Reading] = field(default_factory=list)
    words: list[Reading] = field(default_factory=list)
    called: list[Called] = field(default_factory=list)
    levels: Rows = field(default_factory=Rows)
    level_value: list[float] = field(default_factory=list)
    level_sd: list[float] = field(default_factory=list)
    sheets: int = 0


# ---- spreads and cut points ----------------------------------------------------------------


def slope_where(density: float, paper: Said) -> float:
    """Slope of the batch's curve as it is said to be, where it has this density [per stop]."""
    share = (density - paper["dmin"]) / (paper["dmax"] - paper["dmin"])
    if not 0 < share < 1:
        return 0.0
    span = paper["dmax"] - paper["dmin"]
    return float(span * paper["contrast_per_stop"] * share * (1 - share))  # asymmetry 1


def widened(sd: float, region_sd: float, density: float, paper: Said) -> float:
    """Spread of a reading with the scatter of its region in it [density]."""
    return math.hypot(sd, region_sd * slope_where(density, paper))


def cut_points(word: str, aim: Said | None, paper: Said) -> tuple[float, float, float] | None:
    """Lower and upper density of a word and its share; None where it says nothing.

    From dark to light the words fill all densities; the two middle cuts never pass the outer
    ones. Where an aim itself lies beyond an outer cut, the end word and *as wanted* both say
    that the end was reached.
    """
    black, bare = paper["dmax"] - 0.10, paper["dmin"] + 0.08
    if aim is None or aim["tol_stops"] is None:
        only = {"black": (black, math.inf, 1.0), "bare_paper": (-math.inf, bare, 1.0)}
        return only.get(word)
    wanted, tol = aim["density"], aim["eye_tol_density"]
    top = float(np.clip(wanted + tol, bare, black))
    bottom = float(np.clip(wanted - tol, bare, black))
    cuts = [math.inf, black, top, bottom, bare, -math.inf]
    k = ENDS[word]
    high, low, share = cuts[k], cuts[k + 1], 1.0
    if wanted >= black and k <= 2:
        high, low, share = (0.0, 0.0, 1.0) if k == 1 else (math.inf, bottom, 0.5)
    if wanted <= bare and k >= 2:
        high, low, share = (0.0, 0.0, 1.0) if k == 3 else (top, -math.inf, 0.5)
    return low, high, share


def early_points(word: str, aim: Said | None) -> tuple[float, float, float] | None:
    """The same for an early look, which has three words only."""
    if aim is None or aim["tol_stops"] is None:
        return None
    top, bottom = aim["density"] + aim["eye_tol_density"], aim["density"] - aim["eye_tol_density"]
    three = {
        "too_dark": (top, math.inf, 1.0),
        "as_wanted": (bottom, top, 1.0),
        "too_light": (-math.inf, bottom, 1.0),
    }
    return three.get(word)


# ---- laying out ----------------------------------------------------------------------------


def look(history: Said) -> tuple[Seen, list[Occasion]]:
    """Lay out all that a history shows."""
    begin = history["begin"]
    found = Seen()
    every = occasions(begin)
    told = sorted(begin["past"], key=lambda p: float(p["sitting"]["day"]))
    for occasion, past in zip(every, told, strict=False):
        add(found, occasion, past["sheets"], past.get("meter_readings", ()))
    add(found, every[-1], history["records"], begin.get("meter_readings", ()))
    return found, every


def add(
    found: Seen, occasion: Occasion, sheets: list[Said], meters: list[Said] | tuple[Said, ...]
) -> None:
    """Add the sheets and meter readings of one sitting."""
    first = occasion.sitting.get("sheets_before", 0)
    for i, sheet in enumerate(sheets):
        add_sheet(found, occasion, sheet, first + i)
    for reading in meters:
        add_meter(found, occasion, reading)


def add_sheet(found: Seen, occasion: Occasion, sheet: Said, nth: int) -> None:
    """Add one sheet, whatever it shows."""
    made, said = sheet["settings"], sheet.get("reading") or {}
    number, kit = found.sheets, occasion.kit
    found.sheets += 1
    stepped = made["steps_pops"] is not None
    scatter = kit["region_scatter_sd_stops"]
    scatter = math.hypot(scatter, STEPPED_SD_STOPS) if stepped else scatter
    strips = [(s["step"], s["regions"]) for s in said.get("strips") or ()]
    if not stepped:
        strips = [(1, said.get("regions") or {})]
    called = sheet.get("kept") is not None and not stepped
    for step, regions in strips:
        wanted = {r: a for r, a in occasion.sitting["aims"].items() if a["tol_stops"] is not None}
        spoken_of = dict.fromkeys([*regions, *(wanted if called else ())])
        everything = occasion.sitting.get("veil_stops") is not None and spoken_of
        at: dict[str, int] = {}
        group = len(set(found.group))
        for region in occasion.regions if everything else spoken_of:
            at[region] = len(found.sheet)
            row = [
                occasion.gives(source, region, made, step=step, nth=nth)
                for source in occasion.sitting["sources"]
            ]
            found.spots.lights.append(row)
            found.sheet.append(number)
            found.group.append(group)
            found.veil.append(veil_of(occasion))
            found.region_sd.append(scatter)
        for region, value in regions.items():
            read(found, occasion, region, at[region], value)
        if called:
            spots = [at[r] for r in wanted]
            aims = [a["density"] for a in wanted.values()]
            found.called.append(
                Called(spots, aims, [a["tol_stops"] for a in wanted.values()], sheet["kept"])
            )


def veil_of(occasion: Occasion) -> Sum:
    """Log2 of the share of a strip's mean that lands everywhere."""
    share = occasion.sitting.get("veil_stops")
    total = Sum(NOTHING_STOPS if share is None else 0.0)
    if share is not None:
        sd = occasion.sitting["veil_sd_stops"]
        total.add_unknown(f"veil of {occasion.sitting['lens']}", share, sd)
    return total


def read(found: Seen, occasion: Occasion, region: str, spot: int, value: Said) -> None:
    """Add one reading of one region."""
    kit, paper = occasion.kit, occasion.paper
    density, scatter = value.get("density"), found.region_sd[spot]
    by = value.get("by") or ("words" if density is None else "scan")
    biases = [(f"bias by {by}", BIAS_DENSITY[by])] if by in BIAS_DENSITY else []
    if value.get("wet"):
        biases.append((f"wet {paper['id']}", WET_DENSITY))
    biases = [(name, sd * kit.get("reader_bias_scale", 1.0)) for name, sd in biases]
    if density is not None:
        sd = value.get("density_sd") or kit["scan_sd_density"]
        wide = widened(sd, scatter, density, paper)
        found.scans.append(Reading(spot, biases, density=density, sd=wide))
        return
    aim = occasion.sitting["aims"].get(region)
    early = by == "early_look"
    cuts = (
        early_points(value["verdict"], aim) if early else cut_points(value["verdict"], aim, paper)
    )
    if cuts is None:
        return
    low, high, share = cuts
    sd = EARLY_SD_DENSITY if early else kit["eye_sd_density"]
    low_sd, high_sd = (widened(sd, scatter, cut, paper) for cut in (low, high))
    found.words.append(
        Reading(spot, biases, low=low, high=high, low_sd=low_sd, high_sd=high_sd, share=share)
    )


def add_meter(found: Seen, occasion: Occasion, reading: Said) -> None:
    """Add a meter reading of some lights together."""
    sources = {s["role"]: s for s in occasion.sitting["sources"]}
    row = []
    for role in reading["sources"]:
        one = occasion.lands(sources[role], reading["region"], reading["settings"])
        bias = reading.get("bias_sd_stops", 0.15)
        one.add_unknown(f"bias of {reading.get('meter', 'meter')}", 0.0, bias)
        row.append(one)
    found.levels.lights.append(row)
    found.level_value.append(reading["log2_lxs"])
    found.level_sd.append(reading.get("sd_stops", 0.12))


def predicted(history: Said, plan: Said, region: str) -> list[Sum]:
    """What every light would give a region of the next sheet under a plan."""
    begin = history["begin"]
    occasion = occasions(begin)[-1]
    nth = begin["sitting"].get("sheets_before", 0) + len(history["records"])
    sources = begin["sitting"]["sources"]
    return [occasion.gives(source, region, plan, nth=nth) for source in sources]


def paper_of(begin: Said) -> Said:
    """The batch of the present sitting."""
    return by_id(begin["kit"]["papers"], begin["sitting"]["paper"])
