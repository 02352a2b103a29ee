"""Sheets so far: box or bin, expected against seen, and what each one taught."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents.answers import SheetTaught
from stillroom.documents.book import Book, Expected, Paper, Reading, RegionReading, Sheet, Sitting
from stillroom.documents.pieces import region_of_piece
from stillroom.quantity import range_text
from stillroom.services.chair import card_reflectance
from stillroom.services.readings import best_regions, best_strips
from stillroom.sitter import region_name
from stillroom.telling.figures import listed, stops_figure
from stillroom.telling.names import initials, openings, slug
from stillroom.telling.strip import screen_tone
from stillroom.telling.tones import Curve, stops_at
from stillroom.telling.words import day

VERDICTS = {
    "black": "black",
    "too_dark": "too dark",
    "as_wanted": "as wanted",
    "too_light": "too light",
    "bare_paper": "bare",
    "cant_tell": "can’t tell",
}
REASONS = ("tones", "face", "focus", "blemish")


@dataclass(frozen=True, slots=True)
class Seen:
    """One region of a sheet: what was expected of it and what it showed."""

    region: str
    name: str
    expected: str
    expected_range: str
    seen: str
    tone: int | None


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One sheet in the run of a sitting."""

    number: int
    mark: str
    box: str
    regions: tuple[Seen, ...]
    taught: str
    odd: str
    note: str
    moved: str
    is_read: bool
    is_stepped: bool
    piece: str
    """What it shows where it is a test piece, such as ``the key cheek``; empty for a sheet."""
    href: str
    read_href: str

    @property
    def has_expected(self) -> bool:
        """Whether anything was said of it before it was made."""
        return any(s.expected for s in self.regions)

    @property
    def title(self) -> str:
        """What the table of a stepped sheet is about."""
        return region_name(self.regions[0].region) if self.is_stepped and self.regions else ""

    @property
    def tones(self) -> dict[str, int]:
        """Greys that were read, for the little picture."""
        return {s.region: s.tone for s in self.regions if s.tone is not None}


@dataclass(frozen=True, slots=True)
class DryAgain:
    """Sheets of one sitting read wet only."""

    title: str
    sheets: tuple[tuple[str, str], ...]
    """Mark and address."""


def counting(sheet: Sheet) -> Reading | None:
    """The reading that stands: dry before wet, the latest of its kind; an early look is none."""
    finished = [r for r in sheet.readings if r.by != "early_look" and r.state in ("wet", "dry")]
    dry = [r for r in finished if r.state == "dry"]
    return next(reversed(dry or finished), None)


def standing_regions(sheet: Sheet) -> dict[str, RegionReading]:
    """What stands of each region of a plain sheet."""
    return {
        region: seen
        for _, found in best_regions(sheet.readings)
        for region, seen in found.items()
        if seen.verdict != "cant_tell"
    }


def standing_strips(sheet: Sheet) -> dict[int, dict[str, RegionReading]]:
    """What stands of each strip of a stepped sheet, by its multiple of the first."""
    return {
        step: {region: seen for _, found in best for region, seen in found.items()}
        for step, best in best_strips(sheet.readings).items()
    }


def mark_of(sheet: Sheet) -> str:
    """What is pencilled on the back."""
    return sheet.mark or str(sheet.number)


def sheet_href(sitting: Sitting, number: int) -> str:
    """Address of one sheet."""
    return f"/sitting/{slug(sitting.id)}/{number}"


def read_href(sitting: Sitting, number: int) -> str:
    """Address where one sheet is read."""
    return f"/read/{slug(sitting.id)}/{number}"


def dark_test_href(sitting: Sitting) -> str:
    """Address where dark tests of a sitting are planned, made and read."""
    return f"/sitting/{slug(sitting.id)}/dark-test"


def sheet_lines(
    sitting: Sitting, taught: Sequence[SheetTaught], paper: Paper, curve: Curve
) -> tuple[SheetLine, ...]:
    """One line a sheet, in the order they were made."""
    lessons = {t.number: t for t in taught}
    return tuple(
        _line(sitting, sheet, lessons.get(sheet.number), paper, curve)
        for sheet in sorted(sitting.sheets, key=lambda s: s.number)
    )


def _line(
    sitting: Sitting, sheet: Sheet, lesson: SheetTaught | None, paper: Paper, curve: Curve
) -> SheetLine:
    reading = counting(sheet)
    return SheetLine(
        number=sheet.number,
        mark=mark_of(sheet),
        box=_and_gone(sheet, _box(sitting, sheet, is_read=reading is not None)),
        regions=seen_of(sitting, sheet, paper, curve),
        taught=lesson.sentence if lesson else "",
        odd=(lesson.odd if lesson else "") or "",
        note=sheet.note,
        moved=listed(sheet.what_else_moved),
        is_read=reading is not None,
        is_stepped=sheet.settings.steps_pops is not None,
        piece=piece_place(sitting, sheet),
        href=sheet_href(sitting, sheet.number),
        read_href=read_href(sitting, sheet.number)
        if card_reflectance(sheet) is None
        else dark_test_href(sitting),
    )


def piece_place(sitting: Sitting, sheet: Sheet) -> str:
    """Where a test piece was taped; empty for a whole sheet."""
    return (
        ""
        if sheet.piece is None
        else f"the {region_name(region_of_piece(sitting, sheet)).lower()}"
    )


def _box(sitting: Sitting, sheet: Sheet, *, is_read: bool) -> str:
    if sheet.piece is not None:
        said = f"test piece, {region_name(region_of_piece(sitting, sheet)).lower()}"
        return said if is_read else f"{said}, not read yet"
    if sheet.settings.steps_pops is not None:
        return "stepped sheet"
    if sheet.kept is True:
        return "in the box"
    if sheet.kept is False:
        because = [reason for reason in REASONS if reason in sheet.not_kept_because]
        return f"bin: {', '.join(because)}" if because else "bin"
    return "" if is_read else "not read yet"


def _and_gone(sheet: Sheet, box: str) -> str:
    """Box or bin, and what became of it since where it is no longer just here."""
    state = sheet.hand_over.state if sheet.hand_over else "here"
    return ", ".join(part for part in (box, "" if state == "here" else state) if part)


def seen_of(sitting: Sitting, sheet: Sheet, paper: Paper, curve: Curve) -> tuple[Seen, ...]:
    """Expected against seen, region by region; of a stepped sheet one region, strip by strip."""
    if sheet.settings.steps_pops is not None:
        return _strips_seen(sitting, sheet, paper, curve)
    regions = standing_regions(sheet)
    names = dict.fromkeys([*sheet.expected, *regions])
    return tuple(
        Seen(
            region=name,
            name=region_name(name),
            expected=_expected(sheet.expected.get(name)),
            expected_range=_expected_range(sheet.expected.get(name)),
            seen=seen_figure(regions.get(name), curve),
            tone=_tone(regions.get(name), paper),
        )
        for name in names
    )


def _strips_seen(sitting: Sitting, sheet: Sheet, paper: Paper, curve: Curve) -> tuple[Seen, ...]:
    strips = standing_strips(sheet)
    counts = Counter(region for regions in strips.values() for region in regions)
    shown = max(counts, key=lambda region: counts[region], default="")
    read = {step: regions.get(shown) for step, regions in strips.items()}
    return tuple(
        Seen(
            region=shown,
            name=f"{pops} {openings(sitting, pops)}",
            expected="",
            expected_range="",
            seen=seen_figure(read.get(pops), curve),
            tone=_tone(read.get(pops), paper),
        )
        for pops in sheet.settings.steps_pops or ()
        if shown
    )


def _expected(expected: Expected | None) -> str:
    return "" if expected is None else stops_figure(expected.q50)


def _expected_range(expected: Expected | None) -> str:
    return "" if expected is None else range_text((expected.q95 - expected.q05) / 2)


def seen_figure(reading: RegionReading | None, curve: Curve) -> str:
    """What one region showed, in stops where a density says so."""
    if reading is None:
        return ""
    if reading.verdict is not None:
        return VERDICTS[reading.verdict]
    assert reading.density is not None  # noqa: S101 - the document has one of the two
    placed = stops_at(curve, reading.density)
    if placed is not None:
        return stops_figure(placed)
    return "bare" if reading.density < (curve[0].density + curve[-1].density) / 2 else "black"


def _tone(reading: RegionReading | None, paper: Paper) -> int | None:
    if reading is None:
        return None
    if reading.density is not None:
        return screen_tone(reading.density)
    ends = {"black": paper.dmax, "bare_paper": paper.dmin}
    return screen_tone(ends[reading.verdict]) if reading.verdict in ends else None


def dry_again(book: Book, sitting: Sitting) -> tuple[DryAgain, ...]:
    """Sheets read wet only, of this sitting and of others until that day; then the promised."""
    others = [s for s in book.sittings if s.id != sitting.id and s.when <= sitting.when]
    found = []
    for one in [sitting, *sorted(others, key=lambda s: s.when, reverse=True)]:
        wet = [s for s in one.sheets if (r := counting(s)) is not None and r.state == "wet"]
        if not wet:
            continue
        if one.id == sitting.id:
            title = "Read again when dry"
        elif one.when.date() == sitting.when.date():
            title = f"{initials(book, one)}, earlier today"
        else:
            title = f"{initials(book, one)}, {day(one.when)}"
        sheets = tuple((mark_of(s), read_href(one, s.number)) for s in wet)
        found.append(DryAgain(title, sheets))
    owed = promised(book)
    return (*found[:4], *([DryAgain("Promised", owed)] if owed else []))


def promised(book: Book) -> tuple[tuple[str, str], ...]:
    """Sheets that were promised to somebody and not given yet, the latest sitting first."""
    return tuple(
        (mark_of(sheet), f"{sheet_href(sitting, sheet.number)}#hand-over")
        for sitting in sorted(book.sittings, key=lambda s: s.when, reverse=True)
        for sheet in sitting.sheets
        if sheet.hand_over is not None and sheet.hand_over.state == "promised"
    )
