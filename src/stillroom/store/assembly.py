"""From rows to the document of a book: the latest of everything."""

from __future__ import annotations

from collections import defaultdict
from typing import Any, TypeVar

from stillroom.documents.base import Strict
from stillroom.documents.book import Book, Choice, MeterReading, Reading, Sheet, Sitting
from stillroom.documents.kit import Kit
from stillroom.documents.wet import BenchEvent
from stillroom.documents.wet_fold import run_of_sheet
from stillroom.store.parts import ITEMS, MIXES, PAPERS, SITTERS, SITTINGS, THINGS, parsed
from stillroom.store.rows import Rows

Part = TypeVar("Part", bound=Strict)

_ITEMS = """
    SELECT item.item_id, item.kind, item.id, max(item_version.version_id), item_version.data
    FROM item JOIN item_version USING (item_id) GROUP BY item.item_id ORDER BY item.item_id"""
_SHEETS = """
    SELECT sheet.sheet_id, sheet.sitting_item_id, max(sheet_version.version_id), sheet_version.data
    FROM sheet JOIN sheet_version USING (sheet_id) GROUP BY sheet.sheet_id ORDER BY sheet.number"""
_READINGS = """
    SELECT reading_id, sheet_id, data FROM reading
    WHERE reading_id NOT IN (SELECT reading_id FROM reading_withdrawn) ORDER BY reading_id"""
_METER_READINGS = """
    SELECT meter_reading_id, sitting_item_id, data FROM meter_reading ORDER BY meter_reading_id"""
_METER_READINGS_PUT_RIGHT = """
    SELECT meter_reading_id, max(version_id), data FROM meter_reading_version
    GROUP BY meter_reading_id"""

_BENCH_EVENTS = """
    SELECT bench_event_id, sheet_id, data FROM bench_event ORDER BY bench_event_id"""

_CHOICES = "SELECT choice_id, data FROM choice ORDER BY choice_id"


class Assembly:
    """Puts a book together, parsing each row once, for a row is never changed."""

    def __init__(self, rows: Rows) -> None:
        self._rows = rows
        self._parts: dict[tuple[str, int], Strict] = {}
        self._book: tuple[int, Book] | None = None
        self._undone = 0

    def book(self) -> Book:
        """The book as it stands; the same object while nothing was written.

        Raises
        ------
        BookError
            If a row does not hold what it should.
        """
        if self._undone != self._rows.undone:  # numbers of rows that were undone come again
            self._undone = self._rows.undone
            self._parts.clear()
            self._book = None
        revision = self._rows.revision()
        if self._book is None or self._book[0] != revision:
            self._book = revision, self._put_together()
        return self._book[1]

    def _put_together(self) -> Book:
        readings = self._by_owner("reading", Reading, _READINGS)
        metered = self._metered()
        wet = self._by_owner("bench_event", BenchEvent, _BENCH_EVENTS)
        sheets: dict[int, list[Sheet]] = defaultdict(list)
        for sheet_id, sitting, row, data in self._rows.all(_SHEETS):
            sheet = self._part("sheet_version", Sheet, row, data)
            told: dict[str, Any] = {"readings": tuple(readings[sheet_id])}
            if sheet_id in wet:
                told["wet"] = run_of_sheet(wet[sheet_id], sheet.mark)
            sheets[sitting].append(_with(sheet, **told))
        items: dict[str, list[Any]] = {kind: [] for kind in ITEMS}
        for item, kind, _, row, data in self._rows.all(_ITEMS):
            part = self._part("item_version", ITEMS[kind], row, data)
            if isinstance(part, Sitting):
                part = _with(part, sheets=tuple(sheets[item]), meter_readings=tuple(metered[item]))
            items[kind].append(part)
        choices = [self._part("choice", Choice, *row) for row in self._rows.all(_CHOICES)]
        said: dict[str, Any] = {"choices": tuple(choices)} if choices else {}
        if items[MIXES]:
            said["mixes"] = tuple(items[MIXES])
        return Book(
            stillroom="book/1",  # said, so that it is written
            kit=Kit(**{kind: tuple(items[kind]) for kind in THINGS}),
            papers=tuple(items[PAPERS]),
            sitters=tuple(items[SITTERS]),
            sittings=tuple(items[SITTINGS]),
            **said,
        )

    def _by_owner(self, table: str, model: type[Part], sql: str) -> dict[int, list[Part]]:
        found: dict[int, list[Part]] = defaultdict(list)
        for row, owner, data in self._rows.all(sql):
            found[owner].append(self._part(table, model, row, data))
        return found

    def _metered(self) -> dict[int, list[MeterReading]]:
        """Meter readings of each sitting as they were last put right, in the order taken."""
        found: dict[int, list[MeterReading]] = defaultdict(list)
        rows = self._rows.all(_METER_READINGS_PUT_RIGHT)
        put_right = {reading: (version, data) for reading, version, data in rows}
        for row, owner, data in self._rows.all(_METER_READINGS):
            if row in put_right:
                later = self._part("meter_reading_version", MeterReading, *put_right[row])
                found[owner].append(later)
            else:
                found[owner].append(self._part("meter_reading", MeterReading, row, data))
        return found

    def _part(self, table: str, model: type[Part], row: int, data: str) -> Part:
        part = self._parts.get((table, row))
        if not isinstance(part, model):
            part = parsed(model, data, f"row {row} of {table}")
            self._parts[table, row] = part
        return part


def _with(part: Part, **update: object) -> Part:
    """The same part with members that are valid by themselves."""
    return part.model_copy(update=update)
