"""What a sitter says at the door, and a sheet on its way out; the people are invented."""

from __future__ import annotations

from datetime import date

import pytest

from stillroom.documents.book import Book
from stillroom.documents.sitter_card import SitterCard
from stillroom.errors import StillroomError, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile


def sitter(desk: Desk) -> SitterCard:
    return desk.book().sitters[0].at_the_door


def test_nothing_is_a_yes_that_was_not_said(desk: Desk) -> None:
    assert sitter(desk) == SitterCard(said_yes_to=(), flash_all_right=None)


def test_a_card_is_written_whole_and_a_yes_can_be_taken_back(desk: Desk) -> None:
    who = desk.book().sitters[0]
    card = SitterCard(said_yes_to=("portrait", "may_be_shown"), flash_all_right="no")
    desk.write_sitter_card(who.id, card, holds_still_s=2)
    after = desk.book().sitters[0]
    assert after.at_the_door == card
    assert after.holds_still_s == 2
    assert (after.skin, after.initials) == (who.skin, who.initials)
    desk.write_sitter_card(who.id, SitterCard(said_yes_to=("portrait",)))
    assert desk.book().sitters[0].at_the_door == SitterCard(said_yes_to=("portrait",))
    assert desk.book().sitters[0].holds_still_s == 2
    with pytest.raises(UnknownName):
        desk.write_sitter_card("nobody", card)


def test_earlier_cards_stay_in_the_history(desk: Desk, store: BookFile) -> None:
    who = desk.book().sitters[0].id
    desk.write_sitter_card(who, SitterCard(said_yes_to=("may_be_shown",)))
    desk.write_sitter_card(who, SitterCard())
    said = [entry.part for entry in store.history("sitters", who)]
    assert [getattr(part, "at_the_door").said_yes_to for part in said] == [  # noqa: B009
        (),
        ("may_be_shown",),
        (),
    ]


def test_a_sheet_is_handed_over_and_what_was_said_before_stays(
    desk: Desk, store: BookFile
) -> None:
    before = desk.book().sittings[0].sheets[0]
    assert before.hand_over is None
    desk.hand_over("OM", before.number, "promised", ["dry_scan"])
    desk.hand_over("OM", before.number, "given", ["dry_scan", "back_copied"])
    after = desk.book().sittings[0].sheets[0]
    handed = after.hand_over
    assert handed is not None
    assert (handed.state, handed.seen_to) == ("given", ("dry_scan", "back_copied"))
    assert handed.when is not None
    assert handed.when.date() == date(2026, 11, 14)
    assert after.model_copy(update={"hand_over": None}) == before
    states = [
        said and said.state
        for entry in store.sheet_history("OM", before.number)
        for said in (getattr(entry.part, "hand_over"),)  # noqa: B009
    ]
    assert states == [None, "promised", "given"]


@pytest.mark.parametrize(
    ("state", "seen_to"),
    [("lost", []), ("given", ["framed"]), ("given", ["dry_scan", "dry_scan"])],
)
def test_what_nobody_offered_is_refused_in_a_sentence(
    desk: Desk, state: str, seen_to: list[str]
) -> None:
    with pytest.raises(StillroomError) as said:
        desk.hand_over("OM", 1, state, seen_to)  # type: ignore[arg-type]
    assert "\n" not in str(said.value)
    assert desk.book().sittings[0].sheets[0].hand_over is None


def test_a_sheet_that_is_not_there_is_named(desk: Desk) -> None:
    with pytest.raises(UnknownName, match="sheet of sitting 'OM'"):
        desk.hand_over("OM", 99, "given")


def test_a_form_sent_twice_is_written_once(small: Book, desk: Desk, store: BookFile) -> None:
    for _ in range(2):
        desk.hand_over("OM", small.sittings[0].sheets[0].number, "given", (), "form-1")
    assert len(store.sheet_history("OM", small.sittings[0].sheets[0].number)) == 2
