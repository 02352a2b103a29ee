"""A test piece from advice to belief: offered, made, read, and believed as one region is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from stillroom.advice import Look, NextPiece, NextSheet, PieceCost, PieceLook, next_sheet
from stillroom.documents.answers import Advice
from stillroom.documents.book import Reading, Settings
from stillroom.documents.piece import Piece
from stillroom.errors import BadValue, NotPossible, OutOfRange, UnknownName
from stillroom.services import Desk, advising
from stillroom.services.pieces import piece_cost
from stillroom.services.plan import advise, advise_several
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

EIGHT = Settings.model_validate({"f_number": 8, "lights": {"key": {"dial": -1.0}}})
KEY = Piece(region="key")


def new_batch(*sheets: dict[str, Any], **sitting: Any) -> dict[str, Any]:
    """A batch that nobody knows; read by the strip where nothing was read before."""
    data = head_and_shoulders(**sitting)
    data["sittings"][0]["sheets"] = list(sheets)
    return data


def ask(data: dict[str, Any]) -> Advice:
    return advise(book_of(data), "S1")


def saving(sheets: float) -> Any:
    """The engine's plan with a test piece that is said to save so much."""

    def planned(*args: Any, **how: Any) -> NextSheet:
        plan = next_sheet(*args, **how)
        look = PieceLook("key", Look(0.6, 1.8), 1.4, 1.2, 0.4)
        piece = NextPiece(look, how["piece"], 2.4, plan.stepped, sheets, is_first=sheets > 0.1)
        settings = plan.best.settings if piece.is_first else plan.settings
        return NextSheet(
            settings,
            plan.odds,
            plan.best,
            plan.trials,
            plan.stepped_option,
            plan.ahead,
            piece,
        )

    return planned


# ---- advice ----------------------------------------------------------------------------------


def test_paper_dear_has_a_piece_offered_and_time_dear_none() -> None:
    offered = ask(new_batch(dear="paper")).piece
    assert offered is not None
    assert offered.region in ("key", "shadow")
    assert offered.settings.steps_pops is None
    assert offered.share == 0.2
    assert offered.saves_sheets > 0
    assert offered.rounds == pytest.approx(offered.paper_sheets + 0.8)
    assert offered.sd_after_stops < offered.sd_now_stops
    assert "a fifth of a sheet of paper" in offered.text
    assert "25 minutes" in offered.text
    assert ask(new_batch(dear="time")).piece is None


def test_one_that_comes_first_is_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advising, "next_sheet", saving(0.3))
    advice = ask(new_batch())
    assert advice.piece is not None
    assert advice.piece.first
    assert advice.settings == advice.piece.settings
    assert advice.note.startswith("Test piece first, at the key cheek")
    assert advice.spoilers == ()
    several = advise_several(book_of(new_batch()), "S1", 2, advice)
    assert several.piece == advice.piece
    assert several.note.startswith("A test piece first would cost less")


def test_while_a_piece_waits_to_be_read_nothing_else_is_tried() -> None:
    waits = ask(new_batch(scanned(1, None, None, mark="OM 1", piece={"region": "key"})))
    assert waits.note.startswith("Read OM 1 first, the test piece")
    assert waits.piece is None
    assert waits.stepped_sheet is None
    assert waits.not_yet_read == (1,)


def test_after_a_piece_comes_a_sheet() -> None:
    """Played out, a second piece in a row costs more than it saves (docs/learning.md)."""
    read = scanned(1, 1.75, None)  # nearly black: so much is open that another would be offered
    assert ask(new_batch(read)).piece is not None
    assert ask(new_batch(read | {"piece": {"region": "key"}})).piece is None


def test_pieces_are_as_large_as_the_last_one() -> None:
    """By hand: 40 x 60 of 102 x 127 mm is 0.185 of a sheet."""
    sized = {"region": "key", "width_mm": 40, "height_mm": 60}
    book = book_of(new_batch(scanned(1, 0.9, None, piece=sized), scanned(2, 0.9, 1.2)))
    cost = piece_cost(book, book.sittings[0])
    assert cost.share == pytest.approx(2400 / (102 * 127))
    plain = book_of(new_batch(scanned(1, 0.9, None), dear="time"))
    assert piece_cost(plain, plain.sittings[0]) == PieceCost(0.2, "time")


# ---- what is believed of it ------------------------------------------------------------------


def believed(data: dict[str, Any]) -> tuple[np.ndarray, np.ndarray]:
    belief = Worktable(book_of(data), "S1").posterior().belief
    return np.asarray(belief.mean), np.asarray(belief.covariance)


@pytest.mark.parametrize("region", ["key", "shadow"])
@pytest.mark.parametrize("after", [False, True])
def test_it_teaches_what_a_sheet_teaches_of_which_only_that_region_is_read(
    region: str, *, after: bool
) -> None:
    """The same numbers, not nearly: also with a whole sheet made after it."""
    densities = {"key": None, "shadow": None} | {region: 0.9}
    more = [scanned(2, 0.8, 1.4)] if after else []
    sheet = scanned(1, densities["key"], densities["shadow"])
    whole = believed(new_batch(sheet, *more))
    piece = believed(new_batch(sheet | {"piece": {"region": region}}, *more))
    for one, other in zip(whole, piece, strict=True):
        assert np.array_equal(one, other)
    unread, _ = believed(new_batch(scanned(1, None, None), *more))
    assert abs(unread[0] - piece[0][0]) > 1e-3  # the paper's speed


def test_the_next_sheet_is_advised_alike_after_either() -> None:
    sheet = scanned(1, 0.9, None, mark="OM 1")
    one, other = ask(new_batch(sheet)), ask(new_batch(sheet | {"piece": {"region": "key"}}))
    assert one.model_copy(update={"piece": None}) == other


# ---- made and read ---------------------------------------------------------------------------


def test_it_is_written_down_with_its_region_and_never_with_odds(desk: Desk) -> None:
    number = desk.shoot("OM", EIGHT, "f-1", piece=KEY)
    sheet = desk.book().sittings[0].sheets[-1]
    assert (sheet.number, sheet.mark) == (number, "OM 3")
    assert sheet.piece == KEY
    assert sheet.p_tones_land is None
    assert list(sheet.expected) == ["key"]


def test_without_a_region_it_lies_where_least_is_forgiven(desk: Desk) -> None:
    desk.shoot("OM", EIGHT, expected={}, piece=Piece())
    sitting = desk.book().sittings[0]
    made = sitting.sheets[-1].piece
    assert made is not None
    tol = {r: a.tol_stops for r, a in sitting.aims.items() if a.tol_stops is not None}
    assert made.region is not None
    assert tol[made.region] == min(tol.values())


@pytest.mark.parametrize("region", ["nose", "bg"])
def test_only_where_something_is_aimed(desk: Desk, region: str) -> None:
    aims = desk.book().sittings[0].aims
    assert region not in aims or aims[region].tol_stops is None
    with pytest.raises(UnknownName, match=r"aimed region \(for the test piece\)") as caught:
        desk.shoot("OM", EIGHT, piece=Piece(region=region))
    assert region in str(caught.value)
    assert "key" in str(caught.value)
    assert len(desk.book().sittings[0].sheets) == 2


def test_no_larger_than_a_sheet_and_no_stepped_one(desk: Desk) -> None:
    with pytest.raises(OutOfRange, match=r"width_mm of the piece of this sheet is 900.0"):
        desk.shoot("OM", EIGHT, piece=Piece(region="key", width_mm=900, height_mm=50))
    stepped = EIGHT.model_copy(update={"steps_pops": (1, 2)})
    with pytest.raises(BadValue, match="make a stepped sheet or a piece"):
        desk.shoot("OM", stepped, piece=KEY)
    assert len(desk.book().sittings[0].sheets) == 2


def test_it_is_read_at_its_region_alone_and_never_kept(desk: Desk) -> None:
    number = desk.shoot("OM", EIGHT, piece=KEY)
    both = {"key": {"density": 0.9}, "shadow": {"density": 1.4}}
    with pytest.raises(BadValue, match="the test piece shows key alone"):
        desk.read_sheet("OM", number, Reading.model_validate({"regions": both}))
    only = Reading.model_validate({"regions": {"key": both["key"]}})
    for kept in (True, False):
        with pytest.raises(BadValue, match="a test piece never goes in the box"):
            desk.read_sheet("OM", number, only, kept=kept)
    assert desk.book().sittings[0].sheets[-1].readings == ()
    desk.read_sheet("OM", number, only)
    sheet = desk.book().sittings[0].sheets[-1]
    assert (len(sheet.readings), sheet.kept) == (1, None)


def test_where_nothing_is_aimed_it_has_no_place(desk: Desk) -> None:
    sitting = desk.book().sittings[0]
    none = {r: a.model_copy(update={"tol_stops": None}) for r, a in sitting.aims.items()}
    desk.set_aims("OM", none)
    with pytest.raises(NotPossible, match="no place"):
        desk.shoot("OM", EIGHT, piece=Piece())


def test_a_piece_is_no_sheet_of_a_plan_for_several(desk: Desk) -> None:
    plan = desk.plan_together("OM", 2)
    assert desk.plan_holds("OM", plan)
    desk.shoot("OM", EIGHT, piece=KEY)
    assert not desk.plan_holds("OM", plan)
