"""What is written stays, what is corrected is written again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from stillroom.documents.book import Book, MeterReading, Paper, Reading, Settings, Sheet, Sitter
from stillroom.documents.kit import Head, Kit, Lens
from stillroom.documents.read import read_book
from stillroom.errors import BookError, DuplicateName, NotPossible, UnknownName
from stillroom.store import BookFile, open_book, restore_book

SMALL = read_book((Path(__file__).parents[1] / "data/quarry_lane_small.json").read_bytes())


class Clock:
    """A clock that a test turns."""

    def __init__(self) -> None:
        self.now = datetime(2026, 11, 14, 10, 30, tzinfo=ZoneInfo("Europe/London"))

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[BookFile]:
    with open_book(tmp_path / "book.db", clock=clock) as opened:
        yield opened


@pytest.fixture
def small(book: BookFile) -> BookFile:
    book.import_document(SMALL)
    return book


def too_light(region: str = "key") -> Reading:
    return Reading.model_validate({"regions": {region: {"verdict": "too_light"}}})


def test_a_new_book_is_empty(book: BookFile) -> None:
    assert book.load() == Book()


def test_a_document_comes_back_as_it_went_in(small: BookFile) -> None:
    assert small.load() == SMALL
    assert read_book(small.export_document()) == SMALL


def test_only_what_was_said_is_kept(small: BookFile) -> None:
    made = small.load().sittings[0].sheets[1].made
    assert made is not None
    assert made.model_fields_set == {"f_number"}  # it differed; the rest was as planned
    assert '"made":{"f_number":8.0}' in small.export_document().replace("\n", "").replace(" ", "")
    small.set_kept("OM", 2, kept=True)
    again = small.load().sittings[0].sheets[1].made
    assert again is not None
    assert again.model_fields_set == {"f_number"}


def test_the_moment_of_the_last_write_is_known(book: BookFile, clock: Clock) -> None:
    assert book.written_at() is None
    book.put_sitter(Sitter(id="JB", initials="J. B."))
    assert book.written_at() == clock.now
    book.set_preference("dim", "1")
    book.memo.put("k", b"v")
    assert book.load() == Book(sitters=(Sitter(id="JB", initials="J. B."),))


def test_nothing_is_read_again_while_nothing_is_written(small: BookFile) -> None:
    first = small.load()
    assert small.load() is first
    small.put_sitter(Sitter(id="JB", initials="J. B."))
    assert [s.id for s in small.load().sitters] == ["OM", "TR", "JB"]


def test_the_same_thing_again_is_no_new_version(small: BookFile) -> None:
    before = small.revision()
    small.put_paper(SMALL.papers[0])
    assert small.revision() == before
    assert len(small.history("papers", "sorrel-2/7")) == 1


def test_a_correction_leaves_the_earlier_version(small: BookFile, clock: Clock) -> None:
    clock.now = datetime(2027, 7, 1, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    paper = SMALL.papers[0].model_copy(update={"ei": 2.5})
    small.put_paper(paper)
    assert small.load().papers == (paper, SMALL.papers[1])
    first, second = small.history("papers", "sorrel-2/7")
    assert (first.part, second.part) == (SMALL.papers[0], paper)
    assert (first.zone, second.zone) == ("Europe/London", "+02:00")
    assert second.at == datetime(2027, 7, 1, 10, 0, 1, tzinfo=UTC)


def test_a_sheet_is_corrected_by_a_new_row_and_keeps_its_readings(small: BookFile) -> None:
    sheet = SMALL.sittings[0].sheets[1]
    corrected = sheet.model_copy(update={"made": None, "readings": ()})
    small.correct_sheet("OM", corrected)
    assert small.load().sittings[0].sheets[1] == sheet.model_copy(update={"made": None})
    versions = [v.part for v in small.sheet_history("OM", 2)]
    assert versions == [sheet.model_copy(update={"readings": ()}), corrected]


def test_kept_and_why_not(small: BookFile) -> None:
    small.set_kept(
        "OM", 2, kept=False, reasons=("face",), what_else_moved=("card",), note="a blink"
    )
    small.set_kept("OM", 2, kept=False, reasons=("face", "tones"))
    sheet = small.load().sittings[0].sheets[1]
    assert (sheet.kept, sheet.not_kept_because, sheet.what_else_moved, sheet.note) == (
        False,
        ("face", "tones"),
        (),
        "a blink",
    )
    assert len(small.sheet_history("OM", 2)) == 3


def test_a_reading_taken_back_stays_in_the_history(small: BookFile) -> None:
    small.add_reading("OM", 2, too_light())
    assert small.withdraw_last_reading("OM") == 2
    assert small.load() == SMALL
    assert small.withdraw_last_reading("OM") == 2
    history = small.reading_history("OM", 2)
    assert [v.withdrawn for v in history] == [False, True, True]
    assert history[2].part == too_light()


def test_no_reading_to_take_back(small: BookFile) -> None:
    assert [small.withdraw_last_reading("OM") for _ in range(3)] == [2, 2, 1]
    with pytest.raises(NotPossible, match="Sitting 'OM' has no reading to take back"):
        small.withdraw_last_reading("OM")


def test_a_sheet_number_is_given_once(small: BookFile) -> None:
    sheet = Sheet(number=2, settings=Settings(f_number=8))
    with pytest.raises(DuplicateName, match="Two of the sheets of sitting 'OM' are called '2'"):
        small.add_sheet("OM", sheet)
    assert small.load() == SMALL


def test_what_is_not_there_is_named(small: BookFile) -> None:
    with pytest.raises(UnknownName, match="no sheet of sitting 'OM' called '7'; known here: 1, 2"):
        small.add_reading("OM", 7, too_light())
    with pytest.raises(UnknownName, match="no sitting called 'JB'; known here: OM"):
        small.add_sheet("JB", Sheet(number=1, settings=Settings(f_number=8)))
    with pytest.raises(UnknownName, match="no lens called 'x'; known here: tele300"):
        small.history("lenses", "x")
    with pytest.raises(UnknownName, match="no kind of thing called 'hats'"):
        small.history("hats", "x")
    with pytest.raises(UnknownName, match="no kind of kit called 'papers'"):
        small.put_thing("papers", Lens(id="x", focal_mm=300, f_numbers=(8,)))


def test_a_sitting_written_again_keeps_sheets_and_meter_readings(small: BookFile) -> None:
    sitting = SMALL.sittings[0].model_copy(update={"room_state": "evening"})
    small.put_sitting(sitting)
    assert small.load().sittings[0] == sitting
    metered = MeterReading.model_validate(
        {"region": "rim", "lights_on": ["rim"], "shows": {"f_number": 8, "iso": 50}}
    )
    small.add_meter_reading("OM", metered)
    assert small.load().sittings[0].meter_readings == (*sitting.meter_readings, metered)


def test_a_meter_reading_put_right_stays_in_its_place(small: BookFile, tmp_path: Path) -> None:
    (first,) = SMALL.sittings[0].meter_readings
    second = MeterReading.model_validate(
        {"region": "rim", "lights_on": ["rim"], "shows": {"f_number": 8, "iso": 50}}
    )
    small.add_meter_reading("OM", second)
    for state in ("evening", "curtains closed"):
        right = first.model_copy(update={"room_state": state})
        small.correct_meter_reading("OM", 1, right)
        assert small.load().sittings[0].meter_readings == (right, second)
    held = small.load().sittings[0].meter_readings
    rows = small._rows.all("SELECT data FROM meter_reading ORDER BY meter_reading_id")
    assert "room_state" not in rows[0][0]  # the row it was taken in is as it was
    with pytest.raises(UnknownName, match="no meter reading of sitting 'OM' called '3'"):
        small.correct_meter_reading("OM", 3, second)
    with open_book(tmp_path / "other.db", clock=small._rows.clock) as other:
        other.import_document(small.load())
        assert other.load().sittings[0].meter_readings == held
        other.import_document(SMALL, replace=True)
        assert other.load() == SMALL


def test_all_or_nothing(small: BookFile) -> None:
    def fail() -> None:
        with small.transaction():
            small.put_sitter(Sitter(id="JB", initials="J. B."))
            assert len(small.load().sitters) == 3
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert small.load() == SMALL
    small.put_sitter(Sitter(id="KS", initials="K. S."))  # takes the row number JB had
    assert [s.initials for s in small.load().sitters] == ["O. M.", "T. R.", "K. S."]


def test_an_inner_failure_takes_back_only_the_inner(small: BookFile) -> None:
    def fail() -> None:
        with small.transaction():
            small.put_sitter(Sitter(id="KS", initials="K. S."))
            assert len(small.load().sitters) == 4
            raise RuntimeError

    with small.transaction():
        small.put_sitter(Sitter(id="JB", initials="J. B."))
        with pytest.raises(RuntimeError):
            fail()
    assert [s.id for s in small.load().sitters] == ["OM", "TR", "JB"]


def test_a_form_sent_twice_writes_once(small: BookFile) -> None:
    def write() -> int:
        number = len(small.load().sittings[0].sheets) + 1
        small.add_sheet("OM", Sheet(number=number, settings=Settings(f_number=8)))
        return number

    assert [small.once("f-1", "shoot", write) for _ in range(2)] == [3, 3]
    assert small.once("f-2", "shoot", write) == 4
    assert [small.once("", "shoot", write) for _ in range(2)] == [5, 6]
    with pytest.raises(NotPossible, match="used for something else already"):
        small.once("f-1", "read", write)
    assert len(small.load().sittings[0].sheets) == 6


def test_a_form_that_failed_may_be_sent_again(small: BookFile) -> None:
    def fail() -> int:
        small.put_sitter(Sitter(id="JB", initials="J. B."))
        raise NotPossible("no.")

    with pytest.raises(NotPossible):
        small.once("f-1", "shoot", fail)
    assert small.load() == SMALL
    assert small.once("f-1", "shoot", lambda: 7) == 7


def test_old_forms_are_cleared_away(small: BookFile, clock: Clock) -> None:
    small.once("f-1", "shoot", lambda: 1)
    clock.now += timedelta(days=61)
    small.once("f-2", "shoot", lambda: 2)
    assert small.once("f-1", "shoot", lambda: 3) == 3


def test_preferences(book: BookFile) -> None:
    assert book.preference("length unit", "metric") == "metric"
    book.set_preference("length unit", "imperial")
    book.set_preference("length unit", "metric")
    book.set_preference("dim", "2")
    assert (book.preference("length unit"), book.preference("dim")) == ("metric", "2")


def test_merging_adds_what_is_new_and_leaves_what_is_the_same(small: BookFile) -> None:
    data = json.loads(SMALL.model_dump_json())
    data["sittings"][0]["sheets"].append({"number": 3, "settings": {"f_number": 8}})
    data["kit"]["heads"].append({"id": "B", "energy_ws": 1200})
    data["sittings"][0]["meter_readings"].append(
        {"region": "rim", "lights_on": ["rim"], "shows": {"f_number": 8, "iso": 50}}
    )
    more = read_book(json.dumps(data))
    assert small.import_document(more) is None
    assert small.load() == more
    small.import_document(more)
    assert small.load() == more
    assert len(small.history("heads", "A")) == 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"papers": (SMALL.papers[0].model_copy(update={"ei": 9.0}),)},
            "papers are called 'sorrel",
        ),
        (
            {
                "sittings": (
                    SMALL.sittings[0].model_copy(
                        update={"sheets": (Sheet(number=2, settings=Settings(f_number=8)),)}
                    ),
                )
            },
            "sheets of sitting 'OM' are called '2'",
        ),
    ],
)
def test_merging_refuses_two_stories_of_one_thing(
    small: BookFile, change: dict[str, object], sentence: str
) -> None:
    with pytest.raises(DuplicateName, match=sentence):
        small.import_document(SMALL.model_copy(update=change))
    assert small.load() == SMALL


def test_a_document_that_does_not_go_together_leaves_no_trace(small: BookFile) -> None:
    sitting = SMALL.sittings[0].model_copy(update={"id": "TR", "lens": "box", "sheets": ()})
    with pytest.raises(UnknownName, match="no lens"):
        small.import_document(Book(sitters=(Sitter(id="JB", initials=""),), sittings=(sitting,)))
    assert small.load() == SMALL


def test_replacing_keeps_a_copy_of_the_earlier_book(small: BookFile, clock: Clock) -> None:
    small.set_preference("length unit", "imperial")
    small.once("f-1", "shoot", lambda: 1)
    other = Book(papers=(Paper(id="tansy/1", ei=2.2),))
    copies = [small.import_document(other, replace=True) for _ in range(2)]
    assert [c.name for c in copies if c] == ["book.before-import.db", "book.before-import-2.db"]
    assert small.load() == other
    assert small.preference("length unit") == "imperial"
    assert copies[0] is not None
    with open_book(copies[0], clock=clock) as earlier:
        assert earlier.load() == SMALL


def test_replacing_with_a_bad_document_changes_nothing(small: BookFile) -> None:
    twice = Book(kit=Kit(heads=(Head(id="A", energy_ws=9), Head(id="A", energy_ws=8))))
    with pytest.raises(DuplicateName):
        small.import_document(twice, replace=True)
    assert small.load() == SMALL


def test_a_backup_is_a_whole_book_in_one_file(
    small: BookFile, tmp_path: Path, clock: Clock
) -> None:
    small.memo.put("k", b"v")
    small.backup(tmp_path / "copy.db")
    assert {p.name for p in tmp_path.glob("copy*")} == {"copy.db"}
    with open_book(tmp_path / "copy.db", clock=clock) as copy:
        assert copy.load() == SMALL
        assert copy.memo.get("k") is None
        assert copy.damage() == ()
    with pytest.raises(BookError, match="is there already: choose another name"):
        small.backup(tmp_path / "copy.db")
    with pytest.raises(BookError, match="cannot be opened there"):
        small.backup(tmp_path / "nowhere" / "copy.db")


def test_restoring_keeps_the_book_it_replaces(
    small: BookFile, tmp_path: Path, clock: Clock
) -> None:
    small.backup(tmp_path / "copy.db")
    small.put_sitter(Sitter(id="JB", initials="J. B."))
    later = small.load()
    kept = restore_book(tmp_path / "copy.db", small.path)
    assert small.load() == SMALL  # who has it open sees it too
    assert kept is not None
    with open_book(kept, clock=clock) as earlier:
        assert earlier.load() == later


def test_restoring_over_a_damaged_file(small: BookFile, tmp_path: Path, clock: Clock) -> None:
    small.backup(tmp_path / "copy.db")
    broken = tmp_path / "broken.db"
    broken.write_bytes(b"SQLite format 3\0" + b"\xff" * 5000)
    kept = restore_book(tmp_path / "copy.db", broken)
    assert kept is not None
    assert kept.read_bytes()[16:20] == b"\xff" * 4
    with open_book(broken, clock=clock) as restored:
        assert restored.load() == SMALL


def test_restoring_from_what_is_no_backup(small: BookFile, tmp_path: Path) -> None:
    letter = tmp_path / "letter.db"
    letter.write_text("Dear Sir", encoding="utf-8")
    for source, sentence in (
        (letter, f"The book {letter}: this is not a Stillroom book"),
        (tmp_path / "none.db", "There is no file"),
        (small.path, "is the book itself"),
    ):
        with pytest.raises(BookError) as caught:
            restore_book(source, small.path)
        assert sentence in str(caught.value)
    assert small.load() == SMALL
