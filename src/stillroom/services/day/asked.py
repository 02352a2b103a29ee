"""What is asked of a day, checked, with what is left out filled in from the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from stillroom.documents.book import Book, Sitting
from stillroom.documents.kit import Camera
from stillroom.documents.to_domain import named
from stillroom.documents.wet import Process
from stillroom.errors import BadValue, NotPossible, in_range
from stillroom.services.holders import FITS_MM
from stillroom.services.processes import process_called, usual_process
from stillroom.services.sittings import going_on
from stillroom.wetline.day import MOST_SHEETS
from stillroom.wetline.day.line import whole

MOST_SITTERS = 60
MOST_EACH = 8
USUAL_BEGIN, USUAL_END = time(10), time(17)
EIGHT_BY_TEN_MM = (203.2, 254.0)


@dataclass(frozen=True, slots=True)
class DayAsked:
    """What somebody wants to know of a day; None is: as the book says, or as is usual.

    Parameters
    ----------
    sitting : str, optional
        Whose odds, camera, paper and lights count.
    sitters : int, optional
        How many come, 1 to 60; left out: as many as fit.
    exposed : int, optional
        Sheets that were exposed before, and no sitters, 1 to 400.
    each : int, optional
        Sheets carried for each sitter, 1 to 8.
    p_lands : float, optional
        Chance that one sheet lands [1].
    begins, ends : datetime, optional
        When the first sitter comes, and by when it has to be through.
    process : str, optional
        How sheets go through the line.
    temperature_c : float, optional
        Of the line [degrees C].
    tanks : int
        Tanks or drums, where sheets go through those, 1 to 20.
    developer_trays : int
        Trays of developer, where trays are used: with one it is used twice, 1 to 8.
    hands : int
        Pairs of hands, 1 to 8.
    holder_sides : int, optional
        Sides of holders at hand, 1 to 200.
    paper : int, optional
        Sheets of paper at hand, 1 to 10 000.
    litres : float, optional
        Of each bath at hand, 0.1 to 100 [L].
    together : int
        Sheets exposed before the first of them is read, 1 or 2.
    by_turns : int
        Sitters in the studio at once, 1 to 4.
    every_min : float, optional
        Sitters are asked for so far apart, 5 to 480 [min].

    Raises
    ------
    BadValue
        If a number cannot be.
    """

    sitting: str | None = None
    sitters: int | None = None
    exposed: int | None = None
    each: int | None = None
    p_lands: float | None = None
    begins: datetime | None = None
    ends: datetime | None = None
    process: str | None = None
    temperature_c: float | None = None
    tanks: int = 1
    developer_trays: int = 1
    hands: int = 1
    holder_sides: int | None = None
    paper: int | None = None
    litres: float | None = None
    together: int = 1
    by_turns: int = 1
    every_min: float | None = None

    def __post_init__(self) -> None:
        for name, value, most in (
            ("sitters", self.sitters, MOST_SITTERS),
            ("exposed", self.exposed, MOST_SHEETS),
            ("sheets for each sitter", self.each, MOST_EACH),
            ("tanks", self.tanks, 20),
            ("developer trays", self.developer_trays, 8),
            ("hands", self.hands, 8),
            ("holder sides", self.holder_sides, 200),
            ("paper", self.paper, 10_000),
            ("together", self.together, 2),
            ("by turns", self.by_turns, 4),
        ):
            if value is not None:
                whole(name, value, 1, most)
        if self.p_lands is not None:
            in_range("odds that a sheet lands", self.p_lands, 0.01, 1)
        if self.litres is not None:
            in_range("litres", self.litres, 0.1, 100, "L")
        if self.every_min is not None:
            in_range("minutes between sitters", self.every_min, 5, 480, "min")
        if self.exposed is not None and self.sitters is not None:
            raise BadValue("sitters", self.sitters, "sheets exposed before have no sitters")
        if (self.sitters or 0) * (self.each or 1) > MOST_SHEETS:
            total = (self.sitters or 0) * (self.each or 1)
            raise BadValue("sheets", total, f"no day holds more than {MOST_SHEETS}: ask for fewer")
        if self.begins is not None and self.ends is not None and self.ends <= self.begins:
            raise BadValue(
                "finish",
                f"{self.ends:%H:%M}",
                f"it has to come after the beginning at {self.begins:%H:%M}",
            )


@dataclass(frozen=True, slots=True)
class Ground:
    """What a day is planned on.

    Parameters
    ----------
    asked : DayAsked
        As it was asked.
    sitting : Sitting or None
        Whose lights and camera count.
    process : Process
        How sheets go through the line.
    temperature_c : float
        Of the line [degrees C].
    format_mm : tuple of float
        Sides of the sheet [mm].
    sides : int
        Holder sides [1].
    sides_there : int or None
        Those of the book; None where it names none.
    begins, ends : datetime
        The day.
    """

    asked: DayAsked
    sitting: Sitting | None
    process: Process
    temperature_c: float
    format_mm: tuple[float, float]
    sides: int
    sides_there: int | None
    begins: datetime
    ends: datetime


def ground_of(book: Book, asked: DayAsked, now: datetime) -> Ground:
    """Fill in what was left out.

    Raises
    ------
    UnknownName
        If the sitting or the process is not there.
    BadValue
        If the day ends before it begins.
    NotPossible
        If sheets were asked for that need several tanks of a process in trays.
    """
    sitting = leading_sitting(book, asked.sitting)
    camera = None if sitting is None else named("camera", sitting.camera, book.kit.cameras)
    paper = None if sitting is None else named("paper", sitting.paper, book.papers)
    process = (
        usual_process(book, paper, camera)
        if asked.process is None
        else process_called(book, asked.process)
    )
    if process.vessel == "trays" and asked.tanks > 1:
        raise NotPossible(
            f"Process {process.id} runs in trays, not in {asked.tanks} tanks: choose one in a "
            "tank or a drum."
        )
    begins, ends = _hours(asked, now)
    there = _sides(book, camera)
    return Ground(
        asked=asked,
        sitting=sitting,
        process=process,
        temperature_c=(
            process.temperature_c if asked.temperature_c is None else asked.temperature_c
        ),
        format_mm=EIGHT_BY_TEN_MM if camera is None else camera.format_mm,
        sides=asked.holder_sides or there or (2 if camera is None else camera.holder_sides),
        sides_there=there,
        begins=begins,
        ends=ends,
    )


def _hours(asked: DayAsked, now: datetime) -> tuple[datetime, datetime]:
    on: date = (asked.begins or asked.ends or now).date()
    begins = asked.begins or datetime.combine(on, USUAL_BEGIN, now.tzinfo)
    if asked.ends is None and asked.begins is not None and asked.begins.time() >= USUAL_END:
        return begins, begins + timedelta(hours=4)
    ends = asked.ends or datetime.combine(on, USUAL_END, now.tzinfo)
    if ends <= begins:
        raise BadValue(
            "finish", f"{ends:%H:%M}", f"it has to come after the beginning at {begins:%H:%M}"
        )
    return begins, ends


def leading_sitting(book: Book, sitting_id: str | None) -> Sitting | None:
    """The sitting whose odds and kit a day takes; None in a book without any.

    Parameters
    ----------
    book : Book
        The whole book.
    sitting_id : str or None
        As asked; else the latest that is not finished, else the latest.

    Raises
    ------
    UnknownName
        If it is not there.
    """
    if sitting_id is not None:
        return named("sitting", sitting_id, book.sittings)
    return going_on(book)


def _sides(book: Book, camera: Camera | None) -> int | None:
    """Sides of the holders in use that take the camera's sheet; None where there are none."""
    if camera is None:
        return None
    wanted = sorted(camera.format_mm)
    fit = [
        holder.sides
        for holder in book.kit.holders
        if not holder.retired
        and all(
            abs(a - b) <= FITS_MM for a, b in zip(sorted(holder.format_mm), wanted, strict=True)
        )
    ]
    return sum(fit) or None
