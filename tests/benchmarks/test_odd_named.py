"""Which slips are named, in sittings of the benchmark's world: seeds that nothing is published of.

The world draws truth, slips and readings without the code under test. All of it is invented.
"""

from __future__ import annotations

import pytest

from benchmarks.odd import run_seed
from benchmarks.odd_world import KINDS, SITTING, World, book_of
from benchmarks.world.truth import ROUGH
from stillroom.documents import book as doc
from stillroom.documents.odd import OddSheets
from stillroom.services.odd import odd_sheets
from stillroom.services.odd_answers import answered_slip

pytestmark = pytest.mark.slow
SEEDS = {
    "dial_key": (0, 11),
    "dial_fill": (19,),
    "modifier_off": (4, 9),
    "modifier_on": (0, 9),
    "stop": (2, 9),
    "pops": (2, 9),
    "dead_key": (1, 9),
    "dead_rim": (2, 9),
    "dead_fill": (2, 9),
    "uncharged": (0, 9),
    "room": (2, 6),
    "room_first": (17, 2),
    "room_bright": (2, 10),
    "cap_bright": (6, 13),
    "twice": (2, 9),
    "batch": (1, 13),
    "batch_first": (1, 16),
    "wrong_side": (1, 9),
    "thin": (0, 10),
    "tired": (9, 11),
    "leak": (2, 10),
}
"""Sittings in which the slip changes a tone enough to be told; a late cap in a faint room does not
in any that was tried."""


def of_seed(seed: int) -> World:
    return World(ROUGH, seed)


def good(world: World, number: int) -> doc.Sheet:
    return world.sheet(number, "scan")


def wrong(world: World, number: int, kind: str) -> doc.Sheet:
    return world.sheet(number, "scan", world.slip(KINDS[kind]))


def found(*sheets: doc.Sheet) -> OddSheets:
    return odd_sheets(book_of(sheets=sheets), SITTING)


def asked(said: OddSheets) -> list[int]:
    return [sheet.number for sheet in said.sheets if sheet.answer is None]


def test_every_kind_is_tried() -> None:
    assert set(SEEDS) | {"cap", "knocked"} == set(KINDS)


@pytest.mark.parametrize("kind", SEEDS)
def test_the_slip_is_named_among_the_first_three_by_scan(kind: str) -> None:
    named = []
    for seed in SEEDS[kind]:
        (_, outcome) = run_seed("rough", seed, "scan", [kind])
        named.append(any(KINDS[kind].is_named(slip) for slip in outcome.named[:3]))
    assert any(named)


def test_a_knock_is_named_behind_what_gives_the_same_light_more_often() -> None:
    """A cloth, a dial and a charge come before it: it was third in no sitting that was tried."""
    (_, outcome) = run_seed("rough", 16, "scan", ["knocked"])
    assert outcome.named[-1] == "knocked-key"
    assert {"dial-key", "not_charged-key"} < set(outcome.named)


@pytest.mark.parametrize("how", ["scan", "strip", "words"])
def test_sheets_without_a_slip_are_not_odd(how: str) -> None:
    for seed in range(4):
        (clean,) = (o for o in run_seed("rough", seed, how, ["stop"]) if o.kind == "none")  # type: ignore[arg-type]
        assert clean.odd == ()


# ---- contradictions -----------------------------------------------------------------------------


def test_what_went_wrong_on_every_sheet_contradicts_nothing() -> None:
    world = of_seed(4)
    assert found(*(wrong(world, n, "modifier_off") for n in (1, 2, 3, 4))).sheets == ()


def test_two_sheets_contradict_each_other_and_one_answer_settles_both() -> None:
    world = of_seed(9)
    sheets = good(world, 1), wrong(world, 2, "modifier_off")
    both = found(*sheets)
    assert asked(both) == [1, 2]
    told = "sheets contradict each other: answer first for the one you are surer of"
    assert all(told in sheet.sentence for sheet in both.sheets)
    sitting = book_of(sheets=sheets).sittings[0]
    answered = answered_slip(sitting, sheets[1], "modifier_off-key-box", both)
    after = found(sheets[0], answered)
    assert asked(after) == []
    assert told not in after.sheets[0].sentence


def test_two_slips_of_one_sitting_are_each_named() -> None:
    world = of_seed(9)
    said = found(
        good(world, 1),
        good(world, 2),
        wrong(world, 3, "dead_rim"),
        wrong(world, 4, "modifier_off"),
    )
    assert asked(said) == [3, 4]
    assert said.sheets[0].slips[0].id == "not_fired-rim"
    assert said.sheets[1].slips[0].id == "modifier_off-key-box"


def test_what_is_said_to_be_real_is_not_asked_again() -> None:
    world = of_seed(9)
    real = wrong(world, 4, "modifier_off").model_copy(update={"odd_is": "real"})
    said = found(*(good(world, n) for n in (1, 2, 3)), real)
    assert asked(said) == []
    assert [sheet.answer for sheet in said.sheets] == ["real"]


def test_a_curtain_and_a_late_cap_are_said_to_give_the_same_sheet() -> None:
    world = World(ROUGH, 13, bright=True)
    sheets = (*(good(world, n) for n in (1, 2, 3)), wrong(world, 4, "cap_bright"))
    (sheet,) = odd_sheets(world.book(sheets), SITTING).sheets
    slips = {slip.id: slip for slip in sheet.slips}
    assert "room-curtains_open" in slips["time"].same_as
    assert "time the opening once more" in slips["time"].sentence
    assert "look at curtains and lamps" in slips["room-curtains_open"].sentence
