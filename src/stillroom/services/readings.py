"""Which of a sheet's readings count, and as what."""

from __future__ import annotations

import math

from stillroom.documents import book as doc
from stillroom.errors import BadValue
from stillroom.exposure import BareAim, BareReading, BareRegionReading
from stillroom.paper import PaperBatch
from stillroom.quantity import REFERENCE_REFLECTANCE
from stillroom.services.marks import sheet_marked
from stillroom.sitter import Sitter, skin_stops

STATES = ("dry", "wet")
"""States a reading of the finished tone may have, the better first; a dry reading replaces a
wet one and never adds to it. Early looks are kept and not yet learned from."""
METHODS = ("densitometer", "scan", "strip", "words")
SD_DENSITY = {"densitometer": 0.03, "scan": 0.04, "strip": 0.08}
"""Spread of one reading by method; invented, plausible. Words have their own."""
WET_SD_DENSITY = 0.05
"""How far a wet tone may lie from the dry one; invented, plausible."""
CURVE_END = 0.02
"""How near a density aim may lie to an end of the curve before it is moved along it."""
NOT_FIRED = "a head did not fire"
"""Said of a sheet, this keeps its tones out of what is learned."""


def best_regions(
    readings: tuple[doc.Reading, ...],
) -> list[tuple[doc.Reading, dict[str, doc.RegionReading]]]:
    """The reading that counts for each region: dry before wet, then by method, latest last."""

    def rank(item: tuple[int, doc.Reading]) -> tuple[int, int, int]:
        at, reading = item
        return (STATES.index(reading.state), METHODS.index(reading.by), -at)

    usable = [(i, r) for i, r in enumerate(readings) if r.state in STATES and r.by in METHODS]
    seen: set[tuple[str, str, str]] = set()
    standing = []
    for _, reading in sorted(usable, key=rank):
        last = {
            k: v for k, v in reading.regions.items() if (reading.state, reading.by, k) not in seen
        }
        seen |= {(reading.state, reading.by, region) for region in last}
        standing.append((reading, last))
    taken: set[str] = set()
    best = []
    for telling in (True, False):  # whoever could not tell takes nothing from one who could
        for reading, regions in standing:
            fresh = {k: v for k, v in regions.items() if _tells(v) is telling and k not in taken}
            if fresh:
                best.append((reading, fresh))
                taken |= set(fresh)
    return best


def _tells(value: doc.RegionReading) -> bool:
    return value.verdict != "cant_tell"


def best_strips(readings: tuple[doc.Reading, ...]) -> doc.Reading | None:
    """The reading of a stepped sheet that counts."""
    usable = [r for r in readings if r.strips and r.state in STATES and r.by in METHODS]
    if not usable:
        return None
    return min(reversed(usable), key=lambda r: (STATES.index(r.state), METHODS.index(r.by)))


def bare_reading(book: doc.Book, sheet: doc.Sheet) -> BareReading | None:
    """What a sheet showed in the engine's terms; None when nothing counts."""
    if NOT_FIRED in sheet.what_else_moved:
        return None
    if sheet.settings.steps_pops is not None:
        reading = best_strips(sheet.readings)
        if reading is None:
            return None
        return BareReading(
            strips=tuple(
                (s.step, {k: _region(book, reading, v) for k, v in s.regions.items()})
                for s in reading.strips
            )
        )
    regions = {
        region: _region(book, reading, value)
        for reading, found in best_regions(sheet.readings)
        for region, value in found.items()
    }
    return BareReading(regions) if regions else None


def _region(book: doc.Book, reading: doc.Reading, value: doc.RegionReading) -> BareRegionReading:
    if value.density is None:
        return BareRegionReading(verdict=value.verdict)
    sd = value.density_sd or SD_DENSITY.get(reading.by, SD_DENSITY["strip"])
    if value.density_sd is None and reading.by == "scan" and book.kit.scanners:
        sd = book.kit.scanners[0].sd_density
    if reading.state == "wet":
        sd = math.hypot(sd, WET_SD_DENSITY)
    return BareRegionReading(density=value.density, density_sd=sd)


def landed(sheet: doc.Sheet) -> bool | None:
    """What the box says of the tones: binned for its tones, or kept and not otherwise read."""
    if NOT_FIRED in sheet.what_else_moved:
        return None
    if sheet.kept is False and "tones" in sheet.not_kept_because:
        return False
    values = [v for _, regions in best_regions(sheet.readings) for v in regions.values()]
    return True if sheet.kept and not any(map(_tells, values)) else None


def bare_aims(
    book: doc.Book, sitting: doc.Sitting, sitter: Sitter, batch: PaperBatch
) -> dict[str, BareAim]:
    """The aims of a sitting in the engine's terms, for its sitter's skin."""
    found = {}
    for region, aim in sitting.aims.items():
        density = aim.density
        if aim.from_sheet is not None:
            density = _density_of_sheet(book, sitting, aim.from_sheet, region)
        found[region] = _aim(sitter, batch, aim, density)
    return found


def _aim(sitter: Sitter, batch: PaperBatch, aim: doc.Aim, density: float | None) -> BareAim:
    shift = 0.0
    if aim.relative_to == "skin" and aim.for_reflectance is not None:
        # A reference that several sitters have moved may lie beyond what skin can be.
        written_for = math.log2(aim.for_reflectance / REFERENCE_REFLECTANCE)
        shift = skin_stops(sitter).value - written_for
    if density is None:
        return BareAim(
            aim.tol_stops,
            aim.eye_tol_density,
            placement_stops=(aim.placement_stops or 0.0) + shift,
        )
    if not shift:
        return BareAim(aim.tol_stops, aim.eye_tol_density, density=density)
    # Another skin moves the tone along the curve, as far as the batch's curve is given.
    curve = batch.curve()
    inside = min(max(density, curve.dmin + CURVE_END), curve.dmax - CURVE_END)
    placement = curve.placement(inside) + shift
    return BareAim(aim.tol_stops, aim.eye_tol_density, placement_stops=placement)


def _density_of_sheet(book: doc.Book, near: doc.Sitting, mark: str, region: str) -> float:
    _, sheet = sheet_marked(book, mark, near)
    for _, found in best_regions(sheet.readings):
        value = found.get(region)
        if value is not None and value.density is not None:
            return value.density
    raise BadValue(
        f"from_sheet of {region}", mark, "no density of that region was read on that sheet"
    )
