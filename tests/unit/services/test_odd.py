"""Odd sheets of a book: which slips are named, what an answer writes, and that it can be changed.

The book is the invented example with one tone read otherwise.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from stillroom.belief import ODD_FROM, Case, Explanation, Slip, Weighed, compare
from stillroom.documents.book import Book, Made
from stillroom.documents.kit import Modifier
from stillroom.documents.odd import OddSheet, OddSheets
from stillroom.errors import NotPossible, UnknownName
from stillroom.services.demo import demo_book, demo_now
from stillroom.services.desk import Desk
from stillroom.services.odd import odd_sheets, put_right, without_sheet
from stillroom.services.odd_answers import answered_slip, taken_back
from stillroom.services.odd_words import likeliest_slip_sentence, what_would_tell
from stillroom.services.planner import engine
from stillroom.services.worktable import Worktable
from stillroom.store import open_book

sys.path.insert(0, str(Path(__file__).parent))
from odd_book import odd_book, sheet_of  # type: ignore[import-not-found]

pytestmark = pytest.mark.slow

RIM_LOW = odd_book(2, rim=0.95, bg=1.84)
RIM_DEAD = odd_book(3, rim=1.75, bg=1.86)
NO_OCTA = odd_book(3, key=0.25, shadow=1.5, rim=0.3, bg=1.6)


@contextmanager
def desk_with(folder: Path, book: Book) -> Iterator[Desk]:
    with open_book(folder / "odd.db", clock=demo_now) as store:
        store.import_document(book)
        yield Desk(store, demo_now, REMEMBERING)


class Remembering:
    """The real engine; which sheets of one and the same book are odd is not worked out again."""

    def __init__(self) -> None:
        self._said: dict[str, OddSheets] = {}

    def __getattr__(self, verb: str) -> Any:
        return getattr(engine(), verb)

    def odd_sheets(self, book: Book, sitting_id: str, *, memo: object = None) -> OddSheets:
        del memo  # the real memory would be of another test's file
        key = book.model_dump_json()
        if key not in self._said:
            self._said[key] = odd_sheets(book, sitting_id)
        return self._said[key]


REMEMBERING = Remembering()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with desk_with(tmp_path, RIM_LOW) as opened:
        yield opened


@pytest.fixture(scope="module")
def found() -> OddSheets:
    return REMEMBERING.odd_sheets(RIM_LOW, "OM")


def only(found: OddSheets) -> OddSheet:
    assert len(found.sheets) == 1
    return found.sheets[0]


# ---- what is said --------------------------------------------------------------------------


def test_the_example_has_no_odd_sheet() -> None:
    """Its third portrait was set otherwise, and that is written down as made."""
    assert odd_sheets(demo_book(), "OM").sheets == ()
    assert odd_sheets(demo_book(), "JB").sheets == ()


def test_an_odd_sheet_names_two_to_four_slips_with_their_odds(found: OddSheets) -> None:
    odd = only(found)
    assert (odd.number, odd.mark, odd.answer) == (2, "OM 2", None)
    assert odd.sentence == "Rim edge came out 1⅔ darker than everything else says."
    assert 2 <= len(odd.slips) <= 4
    chances = [slip.odds for slip in odd.slips]
    assert chances == sorted(chances, reverse=True)
    together = sum(chances) + odd.odds_scatter + odd.odds_something_else
    assert together == pytest.approx(1.0, abs=1e-6)


def test_a_slip_is_told_in_the_photographers_words(found: OddSheets) -> None:
    first = only(found).slips[0]
    assert first.id == "dial-rim"
    assert first.sentence == (
        "The rim dial stood 2 lower than written: rim edge would be 2 darker, and it is. "
        "Key cheek would stay, and it does. This would tell: read the rim dial as it stands."
    )
    assert first.made == Made.model_validate({"lights": {"rim": {"dial": -2.1}}})


def test_slips_that_give_the_same_sheet_name_each_other(found: OddSheets) -> None:
    slips = {slip.id: slip for slip in only(found).slips}
    assert slips["dial-rim"].same_as == ("not_charged-rim",)
    assert slips["not_charged-rim"].same_as == ("dial-rim",)
    assert slips["not_charged-rim"].made is None


def test_a_head_that_did_not_fire_is_told_by_the_tones_it_lights() -> None:
    first = only(REMEMBERING.odd_sheets(RIM_DEAD, "OM")).slips[0]
    assert first.id == "not_fired-rim"
    assert first.sentence.startswith("The rim head did not fire: rim edge would be near black")


def test_the_sheet_is_held_against_the_others_and_not_against_itself() -> None:
    """What is named for sheet 2 does not change with what the third sheet's own dial was."""
    table = Worktable(RIM_LOW, "OM")
    assert table.posterior().p_spoiled(1) < ODD_FROM  # one tone alone moves no whole sheet
    assert only(REMEMBERING.odd_sheets(RIM_LOW, "OM")).number == 2


class _Memo:
    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def get(self, key: str) -> bytes | None:
        return self.kept.get(key)

    def put(self, key: str, value: bytes) -> None:
        self.kept[key] = value


def test_the_answer_is_remembered_and_a_damaged_memory_is_not_believed() -> None:
    memo = _Memo()
    told = odd_sheets(RIM_LOW, "OM", memo=memo)
    (key,) = [k for k in memo.kept if k.startswith("odd:")]
    assert odd_sheets(RIM_LOW, "OM", memo=memo) == told
    memo.kept[key] = b"{}"
    assert odd_sheets(RIM_LOW, "OM", memo=memo) == told


# ---- it was my slip ------------------------------------------------------------------------


def test_a_slip_of_a_setting_is_written_as_made_and_teaches_again(desk: Desk) -> None:
    assert desk.say_slip("OM", 2, "dial-rim") == "the rim dial stood 2 lower than written"
    sheet = sheet_of(desk.book())
    assert sheet.made == Made.model_validate({"lights": {"rim": {"dial": -2.1}}})
    assert (sheet.odd_is, sheet.odd_cause) == (None, "the rim dial stood 2 lower than written")
    table = Worktable(desk.book(), "OM")
    assert table.laid_sheets()[1].sheet.reading is not None
    assert table.laid_sheets()[1].sheet.settings.dial_stops["rim"] == pytest.approx(-2.1)
    assert only(desk.odd_sheets("OM")).answer == "put_right"


def test_a_slip_no_setting_tells_leaves_the_tones_out(desk: Desk) -> None:
    desk.say_slip("OM", 2, "not_charged-rim")
    sheet = sheet_of(desk.book())
    assert (sheet.made, sheet.odd_is) == (None, "slip")
    assert sheet.odd_cause.startswith("the rim head was not charged")
    assert Worktable(desk.book(), "OM").laid_sheets()[1].sheet.reading is None
    assert only(desk.odd_sheets("OM")).answer == "slip"


def test_nobody_need_know_which_slip_it_was(desk: Desk) -> None:
    desk.say_slip("OM", 2, "something-else")
    assert sheet_of(desk.book()).odd_is == "slip"
    assert Worktable(desk.book(), "OM").laid_sheets()[1].sheet.reading is None


def test_a_dead_head_is_on_again_for_the_next_sheet(tmp_path: Path) -> None:
    with desk_with(tmp_path, RIM_DEAD) as desk:
        desk.say_slip("OM", 3, "not_fired-rim")
        sheet = sheet_of(desk.book(), 3)
        assert sheet.made is not None
        assert sheet.made.lights["rim"].on is False
        assert sheet.made.lights["key"].dial == -2.4  # what was noted before stays
        table = Worktable(desk.book(), "OM")
        laid = table.laid_sheets()[2]
        assert laid.sheet.reading is not None
        assert "rim" not in laid.layout.roles
        assert "rim" in table.layout(table.standing()).roles


def test_a_box_that_was_off_hangs_again_for_the_next_sheet(tmp_path: Path) -> None:
    with desk_with(tmp_path, NO_OCTA) as desk:
        desk.say_slip("OM", 3, "modifier_off-key-octa")
        sheet = sheet_of(desk.book(), 3)
        assert sheet.made is not None
        assert sheet.made.lights["key"].modifiers == ()
        table = Worktable(desk.book(), "OM")
        key = next(s for s in table.layout(table.standing()).sitting.sources if s.role == "key")
        assert key.modifiers == ("octa",)


def test_the_room_can_have_been_otherwise(found: OddSheets) -> None:
    """Its light is too faint in this picture to be named, so the answer is put together here."""
    table = Worktable(RIM_LOW, "OM")
    room = Weighed(Explanation(Slip.ROOM, "curtains open"), 0.5, -1.0, Case(1.0), (), ())
    assert put_right(table, sheet_of(RIM_LOW), room) == (None, "curtains open")
    # The first sheet's room is the one that the light of the place was metered in.
    assert put_right(table, sheet_of(RIM_LOW, 1), room) == (None, "")
    odd = only(found)
    slip = odd.slips[0].model_copy(
        update={"id": "room-curtains_open", "made": None, "room_state": "curtains open"}
    )
    told = found.model_copy(update={"sheets": (odd.model_copy(update={"slips": (slip,)}),)})
    answered = answered_slip(table.sitting, sheet_of(RIM_LOW), slip.id, told)
    assert (answered.room_state, answered.odd_is) == ("curtains open", None)
    assert taken_back(answered, answered, sheet_of(RIM_LOW)).room_state == (
        sheet_of(RIM_LOW).room_state
    )


def weighed(kind: Slip, value: float, subject: str = "") -> Weighed:
    return Weighed(Explanation(kind, subject), 0.5, -1.0, Case(1.0, value), (), ())


def test_an_open_time_and_a_second_exposure_are_written_as_they_were() -> None:
    table = Worktable(RIM_LOW, "OM")
    sheet = sheet_of(RIM_LOW)  # two pops of 1/8 s
    held = sheet.settings.model_copy(update={"opening": "held_open", "open_s": 2.0})
    open_sheet = sheet.model_copy(update={"settings": held})
    late, twice = weighed(Slip.TIME, 3.0), weighed(Slip.TWICE, 2.0)
    assert put_right(table, open_sheet, late) == (Made(open_s=3.0), "")
    assert put_right(table, open_sheet, twice) == (Made(pops=4, open_s=4.0), "")
    assert put_right(table, sheet, twice) == (Made(pops=4), "")


def test_more_pops_than_a_book_can_hold_leave_the_tones_out() -> None:
    table = Worktable(RIM_LOW, "OM")
    many = sheet_of(RIM_LOW).settings.model_copy(update={"pops": 40})
    sheet = sheet_of(RIM_LOW).model_copy(update={"settings": many})
    assert put_right(table, sheet, weighed(Slip.TWICE, 2.0)) == (None, "")
    assert put_right(table, sheet, weighed(Slip.POPS, 80.0)) == (None, "")


@pytest.mark.parametrize("kind", [k for k in Slip if k not in {Slip.SCATTER, Slip.SPOILED}])
def test_every_slip_has_a_check_that_would_tell(kind: Slip) -> None:
    told = what_would_tell(weighed(kind, 1.0, "key"))
    assert told.startswith("This would tell: ")
    assert "{" not in told


def test_what_a_head_wore_the_time_before_may_have_been_left_on() -> None:
    """The key's head wore a cloth besides in a sitting before that taught nothing."""
    book = odd_book(3, key=1.78, shadow=1.80, rim=0.36, bg=1.88)
    cloth = Modifier(id="cloth", name="cloth", loss_stops=1.5, loss_sd_stops=0.4)
    before, now = book.sittings
    unread = tuple(s.model_copy(update={"readings": ()}) for s in before.sheets)

    def named(*hung: str) -> set[str]:
        lights = tuple(
            x.model_copy(update={"modifiers": hung}) if x.kit_id == "A" else x
            for x in before.lights
        )
        nothing = {"lights": lights, "sheets": unread, "meter_readings": ()}
        wore = before.model_copy(update=nothing)
        kit = book.kit.model_copy(update={"modifiers": (*book.kit.modifiers, cloth)})
        other = book.model_copy(update={"kit": kit, "sittings": (wore, now)})
        return {slip.id for slip in only(odd_sheets(other, "OM")).slips}

    assert "modifier_on-key-cloth" in named("octa", "cloth")
    assert "modifier_on-key-cloth" not in named("octa")


# ---- it is real ----------------------------------------------------------------------------


def test_what_is_real_counts_in_full(desk: Desk) -> None:
    desk.say_real("OM", 2)
    assert sheet_of(desk.book()).odd_is == "real"
    table = Worktable(desk.book(), "OM")
    laid = table.laid_sheets()[1].sheet
    assert laid.real
    assert laid.reading is not None
    assert table.posterior().p_spoiled(1) == 0.0
    assert only(desk.odd_sheets("OM")).answer == "real"


# ---- nothing is overwritten ----------------------------------------------------------------


def test_an_answer_is_a_further_version_and_can_be_taken_back(desk: Desk) -> None:
    before = desk.book()
    asked = desk.odd_sheets("OM")
    desk.say_slip("OM", 2, "dial-rim")
    desk.ask_again("OM", 2)
    assert sheet_of(desk.book()).made == sheet_of(before).made
    assert desk.odd_sheets("OM") == asked
    history = desk._store.sheet_history("OM", 2)
    assert len(history) == 3
    assert history[1].part.odd_cause  # type: ignore[attr-defined]


def test_an_answer_can_be_changed(desk: Desk) -> None:
    desk.say_slip("OM", 2, "dial-rim")
    desk.say_real("OM", 2)
    sheet = sheet_of(desk.book())
    assert (sheet.made, sheet.odd_is, sheet.odd_cause) == (None, "real", "")
    desk.say_slip("OM", 2, "dial-rim")
    assert sheet_of(desk.book()).made is not None
    assert sheet_of(desk.book()).odd_is is None


def test_what_was_put_right_by_hand_since_is_not_taken_back(desk: Desk) -> None:
    desk.say_slip("OM", 2, "dial-rim")
    by_hand = Made.model_validate({"lights": {"rim": {"dial": -2.3}}})
    desk.correct_made("OM", 2, by_hand)
    desk.ask_again("OM", 2)
    assert sheet_of(desk.book()).made == by_hand


def test_a_form_is_answered_once(desk: Desk) -> None:
    for _ in range(2):
        assert desk.say_slip("OM", 2, "dial-rim", "form-1").startswith("the rim dial")
    assert len(desk._store.sheet_history("OM", 2)) == 2


def test_what_cannot_be_is_refused_and_nothing_is_written(desk: Desk) -> None:
    before = desk.book()
    with pytest.raises(UnknownName, match=r"slip called 'the cat'.*dial-rim.*something-else"):
        desk.say_slip("OM", 2, "the cat")
    with pytest.raises(NotPossible, match="does not contradict the others"):
        desk.say_slip("OM", 1, "dial-rim")
    with pytest.raises(NotPossible, match="Nothing was answered of sheet 2"):
        desk.ask_again("OM", 2)
    with pytest.raises(UnknownName, match="9"):
        desk.say_real("OM", 9)
    assert desk.book() == before


def test_an_answer_leaves_the_readings_as_they_are(found: OddSheets) -> None:
    sitting = next(s for s in RIM_LOW.sittings if s.id == "OM")
    sheet = answered_slip(sitting, sheet_of(RIM_LOW), "dial-rim", found)
    assert sheet.made is not None
    assert sheet.readings == sheet_of(RIM_LOW).readings


def test_the_bare_ledger_is_told_in_one_sentence() -> None:
    table = Worktable(RIM_LOW, "OM")
    comparison = compare(without_sheet(table, 2), table.laid_sheets()[1])
    assert comparison is not None
    said = likeliest_slip_sentence(comparison, 2)
    assert said is not None
    # The likeliest shortage lies between 1⅔ and 2 stops: which one hangs on the last digits.
    assert said.replace("charged, 1⅔ short", "charged, 2 short") == (
        "Sheet 2 contradicts everything else and is held apart; likeliest that the rim dial stood "
        "2 lower than written or the rim head was not charged, 2 short, which looks the same: "
        "rim would be 2 darker."
    )
