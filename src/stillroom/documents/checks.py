"""Whether the parts of a book go together: names that exist once, numbers that fit their thing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TypeVar

from stillroom.documents.base import Points
from stillroom.documents.book import (
    Aim,
    Book,
    ControlStrip,
    Light,
    LightSetting,
    Made,
    MeterReading,
    Paper,
    Reading,
    Settings,
    Sheet,
    Sitter,
    Sitting,
)
from stillroom.documents.kit import Head, Kit, Lens
from stillroom.documents.making import as_made
from stillroom.documents.on_lens import check_on_lens
from stillroom.documents.pieces import check_only, check_piece
from stillroom.documents.seats import Place, Seat, SkySeen
from stillroom.documents.thing import Thing
from stillroom.errors import BadValue, DuplicateName, OutOfRange, UnknownName, shown

KNOWN_REGIONS = ("key", "shadow", "forehead", "rim", "hair", "cloth", "bg")
"""Regions that need no aim to be read; any other must have one in its sitting."""

WHOLE_FACE = "face"
"""What an early look may speak of instead of a region."""
F_MARK_SHARE = 0.01  # 8 and 8.0 are one mark, 5.6 and 5.4 are not
DENSITY_BEYOND = 0.15  # a reading beyond Dmin or Dmax by more is a slip or another paper
DIAL_SLACK = 1e-6  # what adding tenths leaves behind
_FINISHED = ("wet", "dry")

Named = TypeVar("Named", bound=Thing | Sitter)


def check_references(book: Book) -> None:
    """Check that every name in a book exists and stands for one thing, and that numbers fit.

    Parameters
    ----------
    book : Book
        A book whose parts are valid each by itself.

    Raises
    ------
    UnknownName
        If something is named that is not there.
    DuplicateName
        If a name is given twice.
    BadValue
        If a number does not fit the thing it belongs to: a dial reading off its scale, an
        f-number that the lens has no mark for, a density beyond the paper.

    Examples
    --------
    >>> check_references(Book())
    """
    kit = book.kit
    for kind in Kit.model_fields:
        _once(kind, (thing.id for thing in getattr(kit, kind)))
    _once("papers", (paper.id for paper in book.papers))
    _once("sitters", (sitter.id for sitter in book.sitters))
    _once("sittings", (sitting.id for sitting in book.sittings))
    _once("mixes", (mix.id for mix in book.mixes))
    for head in kit.heads:
        check_dial(head)
    for paper in book.papers:
        _once(
            f"steps on the comparison strip of paper {shown(paper.id)}",
            (str(step.step) for step in paper.comparison_strip),
        )
        _check_curve(paper.own_response, f"own_response of paper {shown(paper.id)}")
    for lens in kit.lenses:
        _check_curve(lens.own_transmission, f"own_transmission of lens {shown(lens.id)}")
    for place in kit.places:
        check_place(place)
    for seat in kit.seats:
        check_seat(kit, seat)
    _check_holders(book)
    for sitting in book.sittings:
        check_sitting(book, sitting)


def _check_curve(points: Points, name: str) -> None:
    if not points:
        return
    import numpy as np  # noqa: PLC0415 - only a curve pays for it

    from stillroom.quantity.spectra import Spectrum  # noqa: PLC0415 - the same

    wavelength_nm, values = zip(*points, strict=True)
    Spectrum(name, np.array(wavelength_nm), np.array(values))  # refuses what is no curve


def check_place(place: Place) -> None:
    """Check that a place has a clock that is kept somewhere.

    Raises
    ------
    BadValue
        If there is no such time zone.
    """
    from stillroom.documents.to_daylight import place_of  # noqa: PLC0415 - only a place pays

    try:
        place_of(place)
    except BadValue as error:
        raise BadValue(f"zone of place {shown(place.id)}", place.zone, error.reason) from None


def check_seat(kit: Kit, seat: Seat) -> None:
    """Check that a seat is somewhere, and that light can reach it.

    Raises
    ------
    UnknownName
        If there is no such place, or no such surface in its room.
    BadValue
        If no light of its window reaches the face, or the face is in the wall.
    """
    from stillroom.documents.to_daylight import seat_there  # noqa: PLC0415 - only a seat pays

    of = f"seat {shown(seat.id)}"
    place = _one("place", seat.place, kit.places, of)
    try:
        seat_there(seat, place)
    except BadValue as error:
        raise BadValue(f"{error.name} of {of}", error.value, error.reason) from None


def _check_holders(book: Book) -> None:
    for holder in book.kit.holders:
        for side, holds in holder.holds.items():
            if holds.paper is not None:
                of = f"side {side} of holder {shown(holder.id)}"
                _one("paper", holds.paper, book.papers, of)


def check_dial(head: Head) -> None:
    """Check that a head's dial is a scale: min below max, and room for one step.

    Raises
    ------
    BadValue
        If it is not.
    """
    dial, of = head.dial, f"of the dial of head {shown(head.id)}"
    if dial.min >= dial.max:
        raise BadValue(f"min {of}", dial.min, f"it must lie below max, which is {dial.max:g}")
    if dial.step > dial.max - dial.min + DIAL_SLACK:
        raise BadValue(f"step {of}", dial.step, f"give at most {dial.max - dial.min:g}")
    if dial.kind != "stops" and dial.min <= 0:
        raise BadValue(f"min {of}", dial.min, f"a dial in {dial.kind} starts above 0")


def check_sitting(book: Book, sitting: Sitting) -> None:
    """Check one sitting against the book it belongs to (see `check_references`).

    Parameters
    ----------
    book : Book
        The kit, papers, sitters and other sittings it may name.
    sitting : Sitting
        The sitting, in the book already or not.

    Raises
    ------
    UnknownName, DuplicateName, BadValue
        As `check_references`.
    """
    of = f"sitting {shown(sitting.id)}"
    paper = _one("paper", sitting.paper, book.papers, of)
    _one("camera", sitting.camera, book.kit.cameras, of)
    _one("lens", sitting.lens, book.kit.lenses, of)
    _once(f"sitters of {of}", sitting.sitters)
    for sitter in sitting.sitters:
        _one("sitter", sitter, book.sitters, of)
    _once(f"lights of {of}", (light.role for light in sitting.lights))
    for light in sitting.lights:
        _check_light(book.kit, light, f"light {shown(light.role)} of {of}")
    for region, aim in sitting.aims.items():
        _check_aim(book, sitting, paper, aim, f"aim {shown(region)} of {of}")
    if sitting.stands is not None:
        check_settings(book, sitting, sitting.stands, f"stands of {of}")
    _check_sky(sitting.sky, of)
    _once(f"sheets of {of}", (str(sheet.number) for sheet in sitting.sheets))
    for sheet in sitting.sheets:
        _check_sheet(book, sitting, paper, sheet, f"sheet {sheet.number} of {of}")
    for i, metered in enumerate(sitting.meter_readings, 1):
        _check_metered(book, sitting, metered, f"meter reading no. {i} of {of}")
    for i, strip in enumerate(sitting.control_strips, 1):
        _check_control_strip(paper, strip, f"control strip no. {i} of {of}")


def check_settings(book: Book, sitting: Sitting, settings: Settings | Made, of: str) -> None:
    """Check that a hand can set these settings on this sitting's lens and lights.

    Parameters
    ----------
    book : Book
        The kit.
    sitting : Sitting
        The sitting they are for.
    settings : Settings or Made
        What is to be set, or was.
    of : str
        What they are called in a message.

    Raises
    ------
    UnknownName
        If a light, modifier or filter is not there.
    BadValue
        If the lens has no such mark, a dial no such reading, or the paper no use for the filter.
    """
    lens = _one("lens", sitting.lens, book.kit.lenses, of)
    if settings.f_number is not None:
        _check_f_number(lens, settings.f_number, f"f_number of {of}")
    lights = {light.role: light for light in sitting.lights}
    paper = _one("paper", sitting.paper, book.papers, of)
    check_on_lens(book.kit, paper, lights, settings, of)
    for role, setting in settings.lights.items():
        _known("light", role, lights, of)
        _check_light_setting(book.kit, lights[role], setting, f"light {shown(role)} of {of}")


def marked_f_number(lens: Lens, f_number: float) -> float | None:
    """The mark of `lens` within 1 % of an f-number, or None.

    Parameters
    ----------
    lens : Lens
        The lens.
    f_number : float
        F-number as it was given [1].

    Returns
    -------
    float or None
        The nearest mark [1].

    Examples
    --------
    >>> marked_f_number(Lens(id="tele", focal_mm=300, f_numbers=(5.6, 8)), 8.04)
    8.0
    """
    nearest = min(lens.f_numbers, key=lambda mark: abs(mark - f_number))
    return nearest if abs(nearest - f_number) <= F_MARK_SHARE * nearest else None


def _check_f_number(lens: Lens, f_number: float, name: str) -> None:
    if marked_f_number(lens, f_number) is None:
        raise BadValue(name, f_number, marks_of(lens))


def marks_of(lens: Lens) -> str:
    """What a lens is marked, as it stands in a message."""
    marks = ", ".join(f"{mark:g}" for mark in lens.f_numbers)
    return f"lens {shown(lens.id)} is marked {marks}; choose a mark"


def _check_metered(book: Book, sitting: Sitting, metered: MeterReading, at: str) -> None:
    kinds = {light.role: light.kind for light in sitting.lights}
    _known_region(sitting, metered.region, at)
    _once(f"lights on in {at}", metered.lights_on)
    for role in metered.lights_on:
        _known("light", role, kinds, at)
        if metered.shows.f_number is None and kinds[role] == "head":
            raise BadValue(
                f"lights_on of {at}",
                role,
                "lx and EV tell of steady light; give the f_number and iso a flash showed",
            )
    _check_sky(metered.sky, at)
    if metered.meter is not None:
        meter = _one("meter", metered.meter, book.kit.meters, at)
        if meter.kind == "spot":
            raise BadValue(
                f"meter of {at}",
                meter.id,
                "it is a spot meter, which mixes skin and light; take an incident one",
            )
    if metered.settings is not None:
        check_settings(book, sitting, metered.settings, f"settings of {at}")


def _check_light(kit: Kit, light: Light, of: str) -> None:
    if light.kit_id is not None and light.kind == "head":
        _one("head", light.kit_id, kit.heads, of)
    elif light.kit_id is not None and light.kind == "lamp":
        _one("lamp", light.kit_id, kit.lamps, of)
    elif light.kit_id is not None and light.kind in ("daylight", "window"):
        _one("seat", light.kit_id, kit.seats, of)
    elif light.kit_id is not None and light.kind == "room":
        _one("room", light.kit_id, kit.rooms, of)
    for modifier in light.modifiers:
        _one("modifier", modifier, kit.modifiers, of)


def _check_light_setting(kit: Kit, light: Light, setting: LightSetting, of: str) -> None:
    for modifier in setting.modifiers or ():
        _one("modifier", modifier, kit.modifiers, of)
    if setting.dial is None:
        return
    if light.kind != "head" or light.kit_id is None:
        raise BadValue(f"dial of {of}", setting.dial, "only a head has a dial; leave it out")
    dial = _one("head", light.kit_id, kit.heads, of).dial
    if not dial.min - DIAL_SLACK <= setting.dial <= dial.max + DIAL_SLACK:
        raise OutOfRange(f"dial of {of}", setting.dial, dial.min, dial.max, _DIAL_UNITS[dial.kind])


_DIAL_UNITS = {"stops": "stops", "fraction": "of full", "energy": "W·s"}


def _check_aim(book: Book, sitting: Sitting, paper: Paper, aim: Aim, of: str) -> None:
    if aim.density is not None and not paper.dmin <= aim.density <= paper.dmax:
        raise BadValue(
            f"density of {of}",
            aim.density,
            f"paper {shown(paper.id)} goes from {paper.dmin:g} to {paper.dmax:g}; aim within it",
        )
    if aim.from_sheet is not None:
        own = [sheet.mark for sheet in sitting.sheets]
        marks = dict.fromkeys(
            [s.mark for other in book.sittings for s in other.sheets if s.mark]
            + [mark for mark in own if mark]
        )
        _known("sheet", aim.from_sheet, marks, of)
    if aim.for_reflectance is not None and aim.relative_to != "skin":
        raise BadValue(
            f"for_reflectance of {of}",
            aim.for_reflectance,
            "it goes with relative_to skin; leave it out or set that",
        )


def _check_sheet(book: Book, sitting: Sitting, paper: Paper, sheet: Sheet, of: str) -> None:
    check_settings(book, sitting, sheet.settings, f"settings of {of}")
    if sheet.made is not None:
        check_settings(book, sitting, sheet.made, f"made of {of}")
    check_lit(sitting, sheet)
    _check_sky(sheet.sky, of)
    check_piece(sheet, _one("camera", sitting.camera, book.kit.cameras, of), of)
    if sheet.piece is not None and sheet.piece.region is not None:
        _known_region(sitting, sheet.piece.region, f"the piece of {of}")
    if sheet.kept and sheet.not_kept_because:
        raise BadValue(
            f"not_kept_because of {of}",
            ", ".join(sheet.not_kept_because),
            "the sheet is kept; leave the reasons out or set kept to false",
        )
    for i, reading in enumerate(sheet.readings, 1):
        check_reading(sitting, paper, sheet, reading, f"reading no. {i} of {of}")


def check_lit(sitting: Sitting, sheet: Sheet) -> None:
    """Check that some light was on when a sheet was made: without any it has no ledger.

    Raises
    ------
    BadValue
        If every light of the sitting was off.
    """
    lights = as_made(sheet.settings, sheet.made).lights
    if not any(lights.get(light.role, LightSetting()).on for light in sitting.lights):
        raise BadValue(
            f"lights of sheet {sheet.number} of sitting {shown(sitting.id)}",
            "all off",
            "paper sees nothing so; say which light was on",
        )


def check_reading(sitting: Sitting, paper: Paper, sheet: Sheet, reading: Reading, of: str) -> None:
    """Check that a reading can belong to its sheet.

    Parameters
    ----------
    sitting : Sitting
        The sitting, for its regions.
    paper : Paper
        The paper, for its Dmin and Dmax.
    sheet : Sheet
        The sheet, for its strips.
    reading : Reading
        What was read.
    of : str
        What it is called in a message.

    Raises
    ------
    UnknownName
        If a region is neither known nor aimed at.
    BadValue
        If a density lies beyond the paper, a strip was not exposed, or a test piece is said to
        show another region than its own.
    DuplicateName
        If a strip is read twice.
    """
    steps = sheet.settings.steps_pops or ()
    _once(f"strips of {of}", (str(strip.step) for strip in reading.strips))
    for strip in reading.strips:
        if strip.step not in steps:
            exposed = ", ".join(map(str, steps)) or "none, it is not a stepped sheet"
            raise BadValue(f"step of a strip of {of}", strip.step, f"the strips are {exposed}")
    check_only(sitting, sheet, reading, of)
    parts = [(reading.regions, of)]
    parts += [(strip.regions, f"strip {strip.step} of {of}") for strip in reading.strips]
    for regions, where in parts:
        for region, seen in regions.items():
            if region == WHOLE_FACE and reading.by == "early_look":
                continue
            _known_region(sitting, region, where)
            if reading.state in _FINISHED:
                _check_density(
                    paper, seen.density, f"density of region {shown(region)} of {where}"
                )


def _check_control_strip(paper: Paper, strip: ControlStrip, of: str) -> None:
    if not strip.steps:
        raise BadValue(f"steps of {of}", "none", "read one step at least")
    for step, density in strip.steps.items():
        _check_density(paper, density, f"density of step {shown(step)} of {of}")


def _check_density(paper: Paper, density: float | None, name: str) -> None:
    if density is None:
        return
    low, high = paper.dmin - DENSITY_BEYOND, paper.dmax + DENSITY_BEYOND
    if not low <= density <= high:
        raise BadValue(
            name,
            density,
            f"paper {shown(paper.id)} is held to read from {low:.2f} to {high:.2f}; read it "
            "again, or correct the dmin and dmax of the paper",
        )


def _check_sky(seen: SkySeen | None, of: str) -> None:
    if seen is None:
        return
    from stillroom.documents.to_daylight import sky_of  # noqa: PLC0415 - only a sky pays for it

    try:
        sky_of(seen)
    except BadValue as error:
        raise BadValue(f"{error.name} of {of}", error.value, error.reason) from None


def _known_region(sitting: Sitting, region: str, of: str) -> None:
    if region not in KNOWN_REGIONS:
        _known("region", region, dict.fromkeys((*KNOWN_REGIONS, *sitting.aims)), of)


def _one(kind: str, name: str, things: Iterable[Named], of: str) -> Named:
    by_id = {thing.id: thing for thing in things}
    _known(kind, name, by_id, of)
    return by_id[name]


def _known(kind: str, name: str, known: Collection[str], of: str) -> None:
    if name not in known:
        raise UnknownName(f"{kind} (for {of})", name, known)


def _once(kind: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise DuplicateName(kind, name)
        seen.add(name)
