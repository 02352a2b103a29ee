"""Which of a sheet's readings count, and as what."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable

from stillroom.documents import book as doc
from stillroom.documents.checks import WHOLE_FACE
from stillroom.errors import BadValue, UnknownName
from stillroom.exposure import BareAim, BareReading, BareRegionReading
from stillroom.paper import PaperBatch
from stillroom.quantity import REFERENCE_REFLECTANCE
from stillroom.reading import SD_DENSITY
from stillroom.services.fired import is_left_out
from stillroom.services.marks import sheet_marked
from stillroom.sitter import REGIONS, Sitter, skin_stops

STATES = ("dry", "wet")
"""States a reading of the finished tone may have, the better first; a dry reading replaces a
wet one and never adds to it."""
METHODS = ("densitometer", "scan", "strip", "words")
WET_SD_DENSITY = 0.02
"""How much more a wet tone scatters, apart from what wet does to the paper; invented."""
CURVE_END = 0.02
"""How near a density aim may lie to an end of the curve before it is moved along it."""
EARLY_STATES = ("pale", "negative")
"""States of an early look, the one nearer to the finished sheet first."""
_EARLY_WORDS: dict[str, doc.Verdict] = {
    "black": "too_dark",
    "too_dark": "too_dark",
    "as_wanted": "as_wanted",
    "too_light": "too_light",
    "bare_paper": "too_light",
}

Best = list[tuple[doc.Reading, dict[str, doc.RegionReading]]]
"""Readings, each with what counts of it."""


def best_regions(readings: Iterable[doc.Reading]) -> Best:
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


def best_strips(readings: Iterable[doc.Reading]) -> dict[int, Best]:
    """What counts of a stepped sheet, by the multiples of its strips and region by region."""
    by_step: dict[int, list[doc.Reading]] = {}
    for reading in readings:
        for strip in reading.strips:
            only = {"regions": strip.regions, "strips": ()}
            by_step.setdefault(strip.step, []).append(reading.model_copy(update=only))
    found = {step: best_regions(by_step[step]) for step in sorted(by_step)}
    return {step: best for step, best in found.items() if best}


def early_looks(sheet: doc.Sheet, aimed: Iterable[str] = ()) -> dict[str, doc.Verdict]:
    """What an early look said of each region that nobody read on the finished sheet.

    Parameters
    ----------
    sheet : Sheet
        The sheet; an early look at a stepped one says nothing of any strip.
    aimed : iterable of str
        Regions of its sitting with an aim; what was said of the whole face counts for the first
        of them that is skin.

    Returns
    -------
    dict
        Region to one of ``too_dark``, ``as_wanted``, ``too_light``.

    Notes
    -----
    A look at the pale positive stands before one at the negative; of equals the last. Red light
    and half a process hide the ends, so *black* says no more than *too dark*.
    """
    if sheet.settings.steps_pops is not None:
        return {}

    def rank(reading: doc.Reading) -> int:
        known = reading.state in EARLY_STATES
        return EARLY_STATES.index(reading.state) if known else len(EARLY_STATES)

    looks = [r for r in reversed(sheet.readings) if r.by == "early_look"]
    said: dict[str, doc.Verdict] = {}
    for look in sorted(looks, key=rank):
        for region, value in look.regions.items():
            if value.verdict in _EARLY_WORDS:
                said.setdefault(region, _EARLY_WORDS[value.verdict])
    face = said.pop(WHOLE_FACE, None)
    of_face = next((r for r in aimed if r in REGIONS and REGIONS[r].is_skin), None)
    if face is not None and of_face is not None:
        said.setdefault(of_face, face)
    read = {
        region
        for _, found in best_regions(sheet.readings)
        for region, value in found.items()
        if _tells(value)
    }
    return {region: word for region, word in said.items() if region not in read}


def is_read(sheet: doc.Sheet) -> bool:
    """Whether its finished tones were read; an early look is no such reading."""
    return any(r.by in METHODS and r.state in STATES for r in sheet.readings)


def teaches(sheet: doc.Sheet) -> bool:
    """Whether what it shows is learned from: nobody said that it was made otherwise."""
    return not is_left_out(sheet) and sheet.odd_is != "slip"


def bare_reading(book: doc.Book, sheet: doc.Sheet) -> BareReading | None:
    """What a sheet showed in the engine's terms; None when nothing counts."""
    if not teaches(sheet):
        return None
    if sheet.settings.steps_pops is not None:
        strips = tuple(
            (step, _bare_regions(book, best)) for step, best in best_strips(sheet.readings).items()
        )
        return BareReading(strips=strips) if strips else None
    regions = _bare_regions(book, best_regions(sheet.readings))
    for region, word in early_looks(sheet, _aimed(book, sheet)).items():
        regions[region] = BareRegionReading(verdict=word, by="early_look")
    return BareReading(regions) if regions else None


def _aimed(book: doc.Book, sheet: doc.Sheet) -> tuple[str, ...]:
    """The aimed regions of the sitting a sheet belongs to, in the order of the picture."""
    if not any(WHOLE_FACE in r.regions for r in sheet.readings):
        return ()
    mine = next((s for s in book.sittings if any(x is sheet for x in s.sheets)), None)
    aims = {} if mine is None else mine.aims
    return tuple(r for r in REGIONS if r in aims and aims[r].tol_stops is not None)


def _bare_regions(book: doc.Book, best: Best) -> dict[str, BareRegionReading]:
    return {
        region: _region(book, reading, value)
        for reading, found in best
        for region, value in found.items()
    }


def _region(book: doc.Book, reading: doc.Reading, value: doc.RegionReading) -> BareRegionReading:
    wet = reading.state == "wet"
    if value.density is None:
        return BareRegionReading(verdict=value.verdict, by=reading.by, wet=wet)
    sd = value.density_sd or SD_DENSITY.get(reading.by, SD_DENSITY["strip"])
    if value.density_sd is None and reading.by == "scan" and book.kit.scanners:
        sd = book.kit.scanners[0].sd_density
    if wet:
        sd = math.hypot(sd, WET_SD_DENSITY)
    return BareRegionReading(density=value.density, density_sd=sd, by=reading.by, wet=wet)


def landed(sheet: doc.Sheet) -> bool | None:
    """What the box says of the tones: binned for its tones, or kept and not otherwise read."""
    if not teaches(sheet):
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


def aims_from_sheets(book: doc.Book, sitting: doc.Sitting) -> dict[str, float]:
    """Densities that a sitting's aims take from other sheets, by region.

    One that cannot be found is left out: it is told when the sitting is laid out.
    """
    found = {}
    for region, aim in sitting.aims.items():
        if aim.from_sheet is not None:
            with contextlib.suppress(BadValue, UnknownName):
                found[region] = _density_of_sheet(book, sitting, aim.from_sheet, region)
    return found


def _density_of_sheet(book: doc.Book, near: doc.Sitting, mark: str, region: str) -> float:
    _, sheet = sheet_marked(book, mark, near)
    for _, found in best_regions(sheet.readings):
        value = found.get(region)
        if value is not None and value.density is not None:
            return value.density
    raise BadValue(
        f"from_sheet of {region}", mark, "no density of that region was read on that sheet"
    )
