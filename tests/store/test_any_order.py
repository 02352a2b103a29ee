"""Whatever is written in whatever order: the book reads back the same, and nothing is lost."""

from __future__ import annotations

import contextlib
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.documents.book import Book, MeterReading, Reading, Settings, Sheet
from stillroom.documents.read import read_book
from stillroom.errors import DuplicateName, NotPossible
from stillroom.store import BookFile, Version, open_book

SMALL = read_book((Path(__file__).parents[1] / "data/quarry_lane_small.json").read_bytes())
PAPERS = ["sorrel-2/7", "lovage/1", "tansy/1"]

writes = st.one_of(
    st.tuples(st.just("paper"), st.sampled_from(PAPERS), st.floats(1, 10)),
    st.tuples(st.just("state"), st.sampled_from(["curtains open", "evening"])),
    st.tuples(st.just("sheet"), st.integers(1, 5), st.sampled_from([5.6, 8.0, 11.0])),
    st.tuples(st.just("correct"), st.integers(1, 3), st.integers(1, 8)),
    st.tuples(st.just("read"), st.integers(1, 3), st.floats(0.1, 1.8)),
    st.tuples(st.just("take back")),
    st.tuples(st.just("keep"), st.integers(1, 3), st.sampled_from([True, False, None])),
    st.tuples(st.just("meter"), st.floats(10, 1000)),
    st.tuples(st.just("meter again"), st.integers(1, 3), st.sampled_from(["evening", ""])),
    st.tuples(st.just("undone"), st.floats(1, 10)),
    st.tuples(st.just("reopen")),
)


class Shadow:
    """The same book kept by hand, in plain lists."""

    def __init__(self) -> None:
        self.data: Any = SMALL.model_dump()
        for part in ("papers", "sittings"):
            self.data[part] = list(self.data[part])
        self.sitting = self.data["sittings"][0]
        for part in ("sheets", "meter_readings"):
            self.sitting[part] = list(self.sitting[part])
        self.read_in_order = [1, 2, 2]

    def sheet(self, number: int) -> Any:
        return next((s for s in self.sitting["sheets"] if s["number"] == number), None)

    def book(self) -> Book:
        self.sitting["sheets"].sort(key=lambda sheet: sheet["number"])
        return Book.model_validate(self.data)


def write(file: BookFile, shadow: Shadow, step: tuple[Any, ...]) -> None:
    verb, *rest = step
    if verb == "paper":
        paper = SMALL.papers[0].model_copy(update={"id": rest[0], "ei": rest[1]})
        file.put_paper(paper)
        papers = shadow.data["papers"]
        places = [i for i, known in enumerate(papers) if known["id"] == rest[0]]
        if places:
            papers[places[0]] = paper.model_dump()
        else:
            papers.append(paper.model_dump())
    elif verb == "state":
        file.put_sitting(file.load().sittings[0].model_copy(update={"room_state": rest[0]}))
        shadow.sitting["room_state"] = rest[0]
    elif verb == "sheet":
        sheet = Sheet(number=rest[0], settings=Settings(f_number=rest[1]))
        try:
            file.add_sheet("OM", sheet)
        except DuplicateName:
            assert shadow.sheet(rest[0]) is not None
        else:
            shadow.sitting["sheets"].append(sheet.model_dump())
    elif verb in ("meter", "meter again", "take back", "undone"):
        write_sitting(file, shadow, step)
    elif rest and shadow.sheet(rest[0]) is not None:
        if verb == "read":
            shadow.read_in_order.append(rest[0])
        write_sheet(file, shadow.sheet(rest[0]), step)


def write_sitting(file: BookFile, shadow: Shadow, step: tuple[Any, ...]) -> None:
    verb, *rest = step
    if verb == "meter":
        metered = MeterReading.model_validate(
            {"region": "key", "lights_on": ["key"], "shows": {"lx": rest[0]}}
        )
        file.add_meter_reading("OM", metered)
        shadow.sitting["meter_readings"].append(metered.model_dump())
    elif verb == "meter again" and rest[0] <= len(shadow.sitting["meter_readings"]):
        known = shadow.sitting["meter_readings"][rest[0] - 1]
        metered = MeterReading.model_validate(known | {"room_state": rest[1]})
        file.correct_meter_reading("OM", rest[0], metered)
        shadow.sitting["meter_readings"][rest[0] - 1] = metered.model_dump()
    elif verb == "take back" and shadow.read_in_order:
        number = shadow.read_in_order.pop()
        assert file.withdraw_last_reading("OM") == number
        shadow.sheet(number)["readings"] = list(shadow.sheet(number)["readings"])[:-1]
    elif verb == "undone":
        with contextlib.suppress(NotPossible):
            change_of_mind(file, rest[0])


def change_of_mind(file: BookFile, ei: float) -> None:
    with file.transaction():
        file.put_paper(SMALL.papers[0].model_copy(update={"ei": ei}))
        file.load()
        raise NotPossible("never mind.")


def write_sheet(file: BookFile, sheet: Any, step: tuple[Any, ...]) -> None:
    verb, number, *rest = step
    if verb == "correct":
        sheet["settings"] = {**sheet["settings"], "pops": rest[0]}
        file.correct_sheet("OM", Sheet.model_validate(sheet))
    elif verb == "read":
        reading = Reading.model_validate({"regions": {"key": {"density": rest[0]}}})
        file.add_reading("OM", number, reading)
        sheet["readings"] = [*sheet["readings"], reading.model_dump()]
    elif verb == "keep":
        file.set_kept("OM", number, kept=rest[0])
        sheet |= {"kept": rest[0], "not_kept_because": (), "what_else_moved": ()}


def everything(file: BookFile) -> dict[str, tuple[Version, ...]]:
    book = file.load()
    found = {f"paper {p.id}": file.history("papers", p.id) for p in book.papers}
    found["sitting"] = file.history("sittings", "OM")
    for sheet in book.sittings[0].sheets:
        found[f"sheet {sheet.number}"] = file.sheet_history("OM", sheet.number)
        found[f"readings {sheet.number}"] = file.reading_history("OM", sheet.number)
    return found


@given(st.lists(writes, max_size=25))
@settings(max_examples=40)
def test_any_order_of_writes_reads_back_the_same_and_loses_nothing(
    steps: list[tuple[Any, ...]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        moments = iter(range(100_000))

        def clock() -> datetime:
            return datetime.fromtimestamp(1_800_000_000 + next(moments), UTC)

        path = Path(folder, "book.db")
        file, shadow = open_book(path, clock=clock), Shadow()
        try:
            file._rows.db.execute("PRAGMA synchronous = OFF")  # the disk is not what is tried
            file.import_document(SMALL)
            before = everything(file)
            for step in steps:
                if step[0] == "reopen":
                    file.close()
                    file = open_book(path, clock=clock)
                write(file, shadow, step)
                assert file.load() == shadow.book()
                now = everything(file)
                for name, versions in before.items():
                    kept = [(v.at, v.zone, v.part) for v in now[name][: len(versions)]]
                    assert kept == [(v.at, v.zone, v.part) for v in versions]
                before = now
            assert file.damage() == ()
        finally:
            file.close()
