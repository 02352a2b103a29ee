"""Whether a sitter holds still, asked of a book. Everything in it is invented."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.camera import circle_for
from stillroom.documents.book import Book, LightSetting, Settings
from stillroom.documents.stillness import Stillness
from stillroom.errors import BadValue, StillroomError, UnknownName
from stillroom.services import Desk
from stillroom.services.stillness import held_as, held_odds, stillness
from stillroom.sitter import SUPPORTS, chance_held, chance_pops_held, motion_of, usual_motion
from stillroom.store import BookFile
from stillroom.telling.stillness_told import told
from stillroom.web.page import environment
from tests.unit.book_cases import book_of, head_and_shoulders

LAMP = {"role": "window", "kind": "window", "metered_lx": 400}
KEY = {"role": "key", "kit_id": "A", "modifiers": ["box"], "distance_m": 0.9}
OPEN_3S = Settings(f_number=8, open_s=3)


def sheet(number: int, smear_mm: float | None, **settings: Any) -> dict[str, Any]:
    return {
        "number": number,
        "settings": {"f_number": 8, "open_s": 3, **settings},
        "smear_mm": smear_mm,
    }


def by_window(
    *sheets: dict[str, Any],
    lights: tuple[dict[str, Any], ...] = (LAMP,),
    sitter: dict[str, Any] | None = None,
    **sitting: Any,
) -> Book:
    """O. M. by the window on 4x5, a quarter of life, in a head rest unless said otherwise."""
    data = head_and_shoulders(
        lights=list(lights),
        framing={"magnification": 0.25},
        sheets=list(sheets),
        **({"holding": {"support": "head_rest"}} | sitting),
    )
    data["sitters"][0] |= sitter or {}
    return book_of(data)


def test_the_answer_is_that_of_the_model() -> None:
    book = by_window()
    answer = stillness(book, "S1", OPEN_3S)
    allowed = circle_for("in_the_hand", 102, 127)
    assert (answer.allowed_mm, answer.viewing) == (allowed, "in_the_hand")
    wanted = chance_held(3.0, 0.25, allowed, usual_motion("head_rest"))
    assert answer.p_held == pytest.approx(float(wanted))
    assert [round(x.p_held, 1) for x in answer.longest] == [0.9, 0.7, 0.5]
    assert [x.open_s for x in answer.longest] == sorted(x.open_s for x in answer.longest)
    assert answer.smear.q05_mm < answer.smear.median_mm < answer.smear.q95_mm


def test_on_the_wall_more_is_allowed() -> None:
    wall = {"support": "head_rest", "viewing": "on_the_wall", "viewing_distance_m": 1.0}
    near = stillness(by_window(), "S1", OPEN_3S)
    far = stillness(by_window(holding=wall), "S1", OPEN_3S)
    assert far.allowed_mm > near.allowed_mm
    assert far.p_held > near.p_held
    assert stillness(by_window(), "S1", OPEN_3S, allowed_mm=5.0).viewing is None


def test_pops_and_openings_add_up_where_the_light_is_steady() -> None:
    once = stillness(by_window(), "S1", Settings(f_number=8, open_s=1))
    thrice = stillness(by_window(), "S1", Settings(f_number=8, open_s=1, pops=3))
    assert (once.open_s, thrice.open_s) == (1.0, 3.0)
    assert thrice.p_held < once.p_held


def test_one_pop_freezes_and_the_open_time_does_not_count() -> None:
    long = Settings(f_number=8, open_s=20)
    flash = stillness(by_window(lights=(KEY,)), "S1", long)
    assert flash.freezes
    assert flash.p_held > 0.99
    assert flash.p_blink < 0.1
    assert flash.ways == ()
    mixed = stillness(by_window(lights=(KEY, LAMP)), "S1", long)
    assert not mixed.freezes
    assert mixed.has_flash
    assert mixed.p_held < 0.2
    dark = Settings(f_number=8, open_s=20, lights={"window": LightSetting(on=False)})
    assert stillness(by_window(lights=(KEY, LAMP)), "S1", dark).freezes
    assert not stillness(by_window(lights=(KEY,)), "S1", Settings(f_number=8, pops=4)).freezes


def by_pops(pops: int, recycle_s: float | None = None, **holding: Any) -> Stillness:
    book = by_window(lights=(KEY,), holding={"support": "seated"} | holding)
    heads = tuple(x.model_copy(update={"recycle_s": recycle_s}) for x in book.kit.heads)
    book = book.model_copy(update={"kit": book.kit.model_copy(update={"heads": heads})})
    return stillness(book, "S1", Settings(f_number=8, pops=pops))


def test_pops_are_held_from_the_first_to_the_last_as_the_head_charges() -> None:
    once, twice, four = (by_pops(n, 2.0) for n in (1, 2, 4))
    assert (once.freezes, twice.freezes) == (True, False)
    assert (twice.open_s, four.open_s) == (2.0, 6.0)
    wanted = chance_pops_held(4, 2.0, 0.25, four.allowed_mm, usual_motion("seated"))
    assert four.p_held == pytest.approx(float(wanted))
    assert four.p_held < twice.p_held < once.p_held
    assert by_pops(4, 0.5).p_held > four.p_held
    assert by_pops(4, 0.0).p_held > 0.99
    assert by_pops(4).open_s > 0


def test_of_several_pops_each_may_meet_the_lids() -> None:
    once, four = by_pops(1, 2.0), by_pops(4, 2.0)
    assert four.p_blink == pytest.approx(1 - (1 - once.p_blink) ** 4)
    assert four.blink_share == 0.25


def test_the_longest_burst_is_answered() -> None:
    """63 times ten minutes: absurd, but each figure of it is allowed in a book."""
    answer = by_pops(64, 600.0)
    assert answer.open_s == 37_800
    assert answer.p_held < 0.01


def test_what_helps_of_several_pops() -> None:
    answer = by_pops(2, 3.0)
    assert [way.kind for way in answer.ways] == ["support", "support", "one_pop"]
    rest, _, single = answer.ways
    assert rest.p_held == pytest.approx(by_pops(2, 3.0, support="head_rest").p_held)
    assert rest.text.startswith("In a head rest through 2 pops in 3 s: ")
    assert single.cost_stops == 1.0
    view = told(answer)
    assert view.line.startswith("Blink and sway: holds through 2 pops in 3 s, ")
    assert view.longest == ()
    assert not any("steady light draws" in note for note in view.notes)


def test_unsaid_is_seated_and_says_so() -> None:
    answer = stillness(by_window(holding={}), "S1", OPEN_3S)
    assert (answer.support, answer.support_is_said) == ("seated", False)
    assert "reckoned as seated" in answer.sentence
    assert [w.support for w in answer.ways if w.kind == "support"] == [
        "head_rest",
        "seated_arms_on_table",
    ]
    asked = stillness(by_window(holding={}), "S1", OPEN_3S, support="leaning")
    assert (asked.support, asked.support_is_said) == ("leaning", True)


def test_each_way_keeps_what_it_promises() -> None:
    book = by_window(holding={"support": "standing"})
    answer = stillness(book, "S1", OPEN_3S)
    assert len(answer.ways) == len(SUPPORTS)
    for way in answer.ways:
        then = stillness(book, "S1", OPEN_3S, support=way.support, open_s=way.open_s)
        assert then.p_held == pytest.approx(way.p_held, abs=0.005)
        assert then.longest[1].open_s == pytest.approx(way.longest_s)
    shorter = answer.ways[-1]
    assert shorter.kind == "shorter"
    assert 2**shorter.cost_stops == pytest.approx(3 / shorter.open_s)


# ---- what is known of this sitter -----------------------------------------------------------


def test_word_child_and_sheets_count() -> None:
    usual = stillness(by_window(), "S1", OPEN_3S).p_held
    poor = stillness(by_window(sitter={"holds_still_s": 1}), "S1", OPEN_3S).p_held
    child = stillness(by_window(sitter={"is_child": True}), "S1", OPEN_3S).p_held
    still = stillness(by_window(sheet(1, 0), sheet(2, 0)), "S1", OPEN_3S)
    assert poor < usual
    assert child < usual < still.p_held
    assert still.sheets_counted == 2


def test_a_zero_word_is_no_word() -> None:
    assert stillness(by_window(sitter={"holds_still_s": 0}), "S1", OPEN_3S).holds_still_s is None


def test_smears_that_say_nothing_of_movement_are_left_out_and_told() -> None:
    lit = (KEY, LAMP)
    off = {"key": {"on": False}}
    book = by_window(
        sheet(1, 0.5),  # by flash too
        sheet(2, 0.5, lights=off),
        sheet(3, None, lights=off),
        sheet(4, 0.0, lights=off, open_s=4000),
        lights=lit,
    )
    answer = stillness(book, "S1", OPEN_3S)
    assert (answer.sheets_counted, answer.sheets_left_out) == (1, 2)
    assert any("2 sheets with a smear do not count" in note for note in told(answer).notes)


def test_sheets_of_later_sittings_and_other_sitters_do_not_count() -> None:
    data = head_and_shoulders(lights=[LAMP], framing={"magnification": 0.25})
    data["sitters"].append({"id": "TR", "initials": "T. R."})
    base = data["sittings"][0]
    data["sittings"] = [
        base,
        base | {"id": "later", "when": "2027-01-05T12:00:00+00:00", "sheets": [sheet(1, 0.9)]},
        base | {"id": "other", "sitters": ["TR"], "sheets": [sheet(1, 0.9)]},
    ]
    book = book_of(data)
    assert stillness(book, "S1", OPEN_3S).sheets_counted == 0
    assert stillness(book, "later", OPEN_3S).sheets_counted == 1


def test_where_nobody_said_how_an_earlier_sheet_was_held_it_is_taken_to_be_as_now() -> None:
    book = by_window(sheet(1, 0.3), holding={})
    sitting = book.sittings[0]
    assert held_as(book, sitting, support="head_rest").smears[0].support == "head_rest"
    assert held_as(book, sitting).smears[0].support == "seated"


def test_a_card_holds_still() -> None:
    book = by_window(sitter={"initials": "card"})
    answer = stillness(book, "S1", Settings(f_number=8, open_s=60))
    assert (answer.is_card, answer.p_held, answer.ways) == (True, 1.0, ())
    assert told(answer).line == "Blink and sway: a card holds still."


def test_nobody_named_is_the_sitter() -> None:
    book = by_window(sitters=[])
    assert stillness(book, "S1", OPEN_3S).sentence.startswith("The sitter, in a head rest")


# ---- for a search ---------------------------------------------------------------------------


def test_chances_for_a_search_are_those_of_the_answer() -> None:
    book = by_window(sheet(1, 0.3), sitter={"holds_still_s": 5})
    odds = held_odds(held_as(book, book.sittings[0]))
    times = np.array([0.125, 1.0, 3.0, 12.0])
    said = [stillness(book, "S1", OPEN_3S, open_s=float(t)).p_held for t in times]
    assert odds(times).tolist() == pytest.approx(said)
    assert float(odds(86_400.0)) == pytest.approx(float(odds(600.0)))
    assert float(odds(0.0)) > 0.99


def test_a_search_asks_thousands_at_once() -> None:
    book = by_window()
    odds = held_odds(held_as(book, book.sittings[0]))
    times = np.geomspace(0.01, 60, 20_000)
    assert odds(times).shape == (20_000,)
    motion = motion_of("head_rest")
    one = chance_held(float(times[777]), 0.25, 0.1, motion)
    assert float(odds(times)[777]) == pytest.approx(float(one))


# ---- what cannot be -------------------------------------------------------------------------


@pytest.mark.parametrize("open_s", [0.0, -1.0, 3600.0, float("nan"), float("inf")])
def test_no_open_time_of_sense_names_one_that_is(open_s: float) -> None:
    with pytest.raises(
        BadValue, match=r"open time is .*: give a number from 0.00001 to 600 s; so "
    ):
        stillness(by_window(), "S1", OPEN_3S, open_s=open_s)


@given(
    st.floats(allow_nan=True, allow_infinity=True),
    st.one_of(st.none(), st.floats(allow_nan=True, allow_infinity=True)),
)
def test_any_number_is_answered_or_refused_in_a_sentence(
    open_s: float, allowed_mm: float | None
) -> None:
    said = ""
    try:
        answer = stillness(BY_WINDOW, "S1", OPEN_3S, open_s=open_s, allowed_mm=allowed_mm)
    except StillroomError as error:
        said = str(error)
    else:
        said = answer.sentence
        assert 0 <= answer.p_held <= 1
    assert said.endswith(".")
    assert "\n" not in said


BY_WINDOW = by_window()


# ---- the desk and the page ------------------------------------------------------------------


def test_the_desk_writes_a_smear_and_takes_it_back(small: Book, store: BookFile) -> None:
    from datetime import UTC, datetime

    store.import_document(small)
    desk = Desk(store, lambda: datetime(2026, 11, 14, 16, tzinfo=UTC))
    number = desk.book().sittings[0].sheets[0].number
    before = desk.book().sittings[0].sheets[0]
    desk.measure_smear("OM", number, 0.4)
    after = desk.book().sittings[0].sheets[0]
    assert after.smear_mm == 0.4
    assert after.readings == before.readings
    desk.measure_smear("OM", number, None)
    assert desk.book().sittings[0].sheets[0].smear_mm is None
    for smear in (-0.1, 1000.0, float("nan")):
        with pytest.raises(StillroomError, match="smear_mm"):
            desk.measure_smear("OM", number, smear)
    with pytest.raises(UnknownName, match="sheet of sitting 'OM'"):
        desk.measure_smear("OM", 99, 0.4)


def test_the_desk_answers_for_the_next_sheet(desk: Desk) -> None:
    desk.set_holding("OM", support="head_rest")
    answer = desk.stillness("OM", open_s=2.0)
    assert (answer.sitting, answer.support) == ("OM", "head_rest")
    assert desk.stillness("OM", open_s=2.0) is answer
    desk.set_holding("OM", support="standing")
    assert desk.stillness("OM", open_s=2.0).p_held < answer.p_held
    with pytest.raises(UnknownName):
        desk.stillness("nobody")


def test_the_part_of_the_page_says_it_in_one_line_and_folds_the_rest() -> None:
    answer = stillness(by_window(holding={}), "S1", OPEN_3S)
    view = told(answer)
    html = environment().get_template("parts/stillness.html").render(stillness=view)
    assert view.line in html
    first, folded = html.split("<details", 1)
    assert all(way in first for way in view.ways)
    assert all(figure in folded for _, figure in view.rows)
    assert "%" not in html


def test_the_part_of_the_page_escapes_and_serves_a_card() -> None:
    card = told(stillness(by_window(sitter={"initials": "card"}), "S1", OPEN_3S))
    html = environment().get_template("parts/stillness.html").render(stillness=card)
    assert "<details" not in html
    assert "a card holds still" in html
