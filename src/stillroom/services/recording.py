"""One entry into the book: a sheet as made, what it shows, what a meter showed."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from stillroom.documents.answers import Advice
from stillroom.documents.book import (
    Book,
    LightSetting,
    Made,
    MeterReading,
    Reading,
    Reason,
    Settings,
    Sitting,
)
from stillroom.documents.making import as_made, camera_made
from stillroom.documents.piece import Piece
from stillroom.documents.read import validated
from stillroom.errors import NotPossible, UnknownName
from stillroom.services.desk import Desk, expected_of
from stillroom.services.desk_base import find
from stillroom.services.marks import last_number
from stillroom.services.moved import joined
from stillroom.services.pieces import plain_of
from stillroom.store import BookFile, open_book

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Entry:
    """What is to be written down of one sheet or one metering.

    Attributes
    ----------
    number : int or None
        Sheet it is about; None: a new one where something was set, else the last one.
    as_advised : bool
        Whether a new sheet was made though nothing was set otherwise than advised.
    made : Made
        What was set, as far as it was said.
    steps_pops : tuple of int, optional
        Strips of a stepped sheet.
    piece : Piece, optional
        A test piece instead of a sheet; without a region it lies as advised, else where the
        tolerance is least.
    readings : tuple of Reading
        What it shows.
    kept : bool or None
        Whether it goes in the box; None: not said.
    because, moved : tuple of str
        Why not, and what else moved.
    room_state : str or None
        State of the room's own light when the sheet was made or the meter read; None: as the
        sitting says, or as it stands already.
    note : str or None
        A note; None leaves the one there is.
    metered : MeterReading or None
        What a meter showed.
    odd : str or None
        What is said of a sheet that contradicts the rest: the id of a slip, ``real``, or
        ``again`` to be asked again.
    """

    number: int | None = None
    as_advised: bool = False
    made: Made = field(default_factory=Made)
    steps_pops: tuple[int, ...] | None = None
    piece: Piece | None = None
    readings: tuple[Reading, ...] = ()
    kept: bool | None = None
    because: tuple[Reason, ...] = ()
    moved: tuple[str, ...] = ()
    room_state: str | None = None
    note: str | None = None
    metered: MeterReading | None = None
    odd: str | None = None

    @property
    def is_set(self) -> bool:
        """Whether it says how a sheet was made."""
        of_its_own = (self.steps_pops, self.piece)
        return (
            self.as_advised
            or any(said is not None for said in of_its_own)
            or bool(self.made.model_fields_set)
        )

    @property
    def is_seen(self) -> bool:
        """Whether it says what a sheet shows or what became of it."""
        said = (self.readings, self.because, self.moved)
        return any(said) or self.kept is not None or self.note is not None


def enter(store: BookFile, desk: Desk, sitting_id: str, entry: Entry) -> int | None:
    """Write an entry into a book, all of it or nothing.

    Parameters
    ----------
    store : BookFile
        The open book.
    desk : Desk
        Its desk.
    sitting_id : str
        The sitting.
    entry : Entry
        What is to be written.

    Returns
    -------
    int or None
        The sheet it is about; None where only a meter reading was written.

    Raises
    ------
    NotPossible
        If it says nothing, or there is no such sheet yet.
    UnknownName, BadValue
        If a part of it cannot be.
    """
    sitting = find("sitting", sitting_id, desk.book().sittings)
    only_metered = (
        entry.metered is not None
        and entry.number is None
        and not entry.as_advised
        and entry.steps_pops is None
        and entry.piece is None
        and not entry.is_seen
        and entry.odd is None
    )
    writes: list[Callable[[], None]] = []
    if entry.metered is not None:
        writes.append(_metered(desk, sitting, entry, only_metered=only_metered))
    number = None
    if not only_metered:
        number = _number(sitting, entry)
        if number > last_number(sitting):
            writes.append(_new_sheet(desk, sitting, entry))
        elif entry.is_set:
            writes.append(_put_right(desk, sitting, entry, number))
        if entry.room_state is not None:
            room = entry.room_state
            writes.append(lambda: desk.correct_room_state(sitting_id, number, room))
        if entry.is_seen:
            writes.append(lambda: _seen(desk, sitting_id, number, entry))
        if entry.odd is not None:
            odd = entry.odd
            writes.append(lambda: _odd(desk, sitting_id, number, odd))
    with store.transaction():
        for write in writes:
            write()
    return number


def _odd(desk: Desk, sitting_id: str, number: int, said: str) -> None:
    if said == "real":
        desk.say_real(sitting_id, number)
    elif said == "again":
        desk.ask_again(sitting_id, number)
    else:
        desk.say_slip(sitting_id, number, said)


def entered(
    document: Book, clock: Callable[[], datetime], write: Callable[[BookFile, Desk], Result]
) -> tuple[Book, Result]:
    """A document with something written into it, and what the writing returned.

    Parameters
    ----------
    document : Book
        Stays as it is.
    clock : callable
        The moment now, with its zone.
    write : callable
        Writes into a passing book that holds the document.
    """
    with (
        tempfile.TemporaryDirectory(prefix="stillroom-") as folder,
        open_book(Path(folder) / "passing.db", clock=clock) as store,
    ):
        store.import_document(document)
        result = write(store, Desk(store, clock))
        return store.load(), result


def _number(sitting: Sitting, entry: Entry) -> int:
    last = last_number(sitting)
    if entry.number is not None:
        known = [str(s.number) for s in sitting.sheets]
        if str(entry.number) not in known and entry.number != last + 1:
            raise UnknownName("sheet", str(entry.number), [*known, f"{last + 1} (the next)"])
        return entry.number
    if entry.is_set:
        return last + 1
    if not entry.is_seen and entry.room_state is None and entry.odd is None:
        raise NotPossible(
            "Nothing was said of a sheet: say what was set, what it shows, or what a meter showed."
        )
    if last == 0:
        raise NotPossible(
            f"Sitting {sitting.id} has no sheet yet: say how one was made, or that it was made "
            "as advised."
        )
    return last


def _new_sheet(desk: Desk, sitting: Sitting, entry: Entry) -> Callable[[], None]:
    advice = desk.advice(sitting.id)
    planned, forecast, piece = advice.settings, advice.forecast, entry.piece
    if piece is not None:
        planned, piece = _piece_planned(advice, piece)
        forecast = desk.forecast(sitting.id, planned)
    if entry.steps_pops is not None and entry.steps_pops != planned.steps_pops:
        steps = {"steps_pops": entry.steps_pops}
        planned = validated(Settings, {**planned.model_dump(exclude_unset=True), **steps})
        forecast = desk.forecast(sitting.id, planned)
    made = _otherwise(planned, entry.made)

    def write() -> None:
        desk.shoot(
            sitting.id,
            planned,
            expected=expected_of(forecast),
            p_tones_land=forecast.p_keeper,
            made=made,
            piece=piece,
        )

    return write


def _piece_planned(advice: Advice, piece: Piece) -> tuple[Settings, Piece]:
    """How a test piece is made where nothing else is said, and where it lies."""
    if advice.piece is None:
        return plain_of(advice.settings), piece
    region = piece.region or advice.piece.region
    return advice.piece.settings, piece.model_copy(update={"region": region})


def _put_right(desk: Desk, sitting: Sitting, entry: Entry, number: int) -> Callable[[], None]:
    sheet = next(s for s in sitting.sheets if s.number == number)
    if entry.steps_pops is not None or entry.as_advised or entry.piece is not None:
        raise NotPossible(
            f"Sheet {number} is made already: only what was set otherwise can be put right."
        )
    before = sheet.made or Made()
    lights = {**before.lights}
    for role, said in entry.made.lights.items():
        lights[role] = _over(lights.get(role, LightSetting()), said)
    camera = {**camera_made(before), **camera_made(entry.made)}
    made = Made.model_validate({**camera, "lights": lights})
    return lambda: desk.correct_made(sitting.id, number, made)


def _otherwise(planned: Settings, said: Made) -> Made | None:
    """What was said and differs from the plan; None when nothing does."""
    lights = {}
    for role, setting in said.lights.items():
        plan = planned.lights.get(role, LightSetting())
        changes = {
            name: getattr(setting, name)
            for name in setting.model_fields_set
            if getattr(setting, name) != getattr(plan, name)
        }
        if changes:
            lights[role] = LightSetting(**changes)
    camera = {
        name: value for name, value in camera_made(said).items() if value != getattr(planned, name)
    }
    if not lights and not camera:
        return None
    return Made.model_validate({"lights": lights, **camera} if lights else camera)


def _over(before: LightSetting, said: LightSetting) -> LightSetting:
    return before.model_copy(update={k: getattr(said, k) for k in said.model_fields_set})


def _seen(desk: Desk, sitting_id: str, number: int, entry: Entry) -> None:
    sitting = find("sitting", sitting_id, desk.book().sittings)
    sheet = next(s for s in sitting.sheets if s.number == number)
    kept = sheet.kept if entry.kept is None else entry.kept
    because = sheet.not_kept_because if entry.kept is None else entry.because
    for reading in entry.readings or (Reading(),):
        desk.read_sheet(
            sitting_id,
            number,
            reading,
            kept=kept,
            because=because,
            what_else_moved=joined(sheet.what_else_moved, entry.moved),
            note=entry.note,
        )


def _metered(
    desk: Desk, sitting: Sitting, entry: Entry, *, only_metered: bool
) -> Callable[[], None]:
    taken = entry.metered
    assert taken is not None  # noqa: S101 - narrows the type; the caller looked
    settings = desk.advice(sitting.id).settings
    if only_metered:
        settings = as_made(settings, entry.made)
    settings = settings.model_copy(update={"steps_pops": None, "pops": 1})
    said: dict[str, object] = {"settings": settings}
    if entry.room_state is not None:
        said["room_state"] = entry.room_state
    return lambda: desk.meter(sitting.id, taken.model_copy(update=said))
