"""What else moved: which lights each answer leaves open, on which sheets.

The spreads are invented and stated in the table of answers; held here is what they reach.
"""

from __future__ import annotations

from typing import Any

import pytest

from stillroom.documents.book import MeterReading, Sheet, Sitting
from stillroom.errors import UnknownName
from stillroom.services.moved import (
    ANSWERS,
    NOT_FIRED,
    check_named,
    could_be,
    joined,
    lasting_moves,
    moves_at_meter,
    moves_of,
    moves_on,
    understood,
)
from stillroom.services.moved_told import widened
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

ROLES = ("key", "fill", "room")


def sitting_of(*moved: list[str] | dict[str, Any], **more: Any) -> Sitting:
    """A sitting with a sheet for each; a list is what moved."""
    said = [m if isinstance(m, dict) else {"what_else_moved": m} for m in moved]
    data = head_and_shoulders(**({"room_state": "curtains open"} | more))
    data["sittings"][0]["sheets"] = [scanned(n, 1.0, 1.5, **one) for n, one in enumerate(said, 1)]
    return book_of(data).sittings[0]


def reach(what: str) -> set[tuple[tuple[str, ...], tuple[str, ...], float]]:
    """Lights, regions and spread of what an answer leaves open on its own sheet."""
    moves = moves_on(sitting_of([what]), 1, ROLES)
    return {(m.roles, m.regions, m.sd_stops) for m in moves}


@pytest.mark.parametrize(
    ("what", "found"),
    [
        ("curtain", {(("room",), (), 1.5)}),
        ("door", {(("room",), (), 1.0)}),
        ("a cloud passed", {(("room",), (), 1.0)}),
        ("sitter", {((), ("key", "shadow", "forehead"), 0.3)}),
        ("card", {((), ("shadow",), 0.5)}),
        ("a stand was knocked", {(("key",), (), 0.5), (("fill",), (), 0.5)}),
        ("a stand was knocked: key", {(("key",), (), 0.5)}),
        ("a head was not charged: fill", {(("fill",), (), 1.0)}),
        ("fresh developer", {((), (), 0.15)}),
        ("other bottle", {((), (), 0.15)}),
        (NOT_FIRED, set()),
        (f"{NOT_FIRED}: key", set()),
        ("the cat", set()),
        ("curtain: key", set()),
    ],
)
def test_each_answer_reaches_the_lights_it_may_have_changed(what: str, found: set[Any]) -> None:
    assert reach(what) == found


def test_what_hangs_in_front_can_only_come_off_where_something_hangs() -> None:
    bare: dict[str, Any] = {"lights": {"key": {"modifiers": []}}}
    sitting = sitting_of({"what_else_moved": ["grid or cloth off"], "made": bare})
    assert [m.roles for m in moves_of(sitting, sitting.sheets[0], ROLES)] == [("fill",)]


def test_only_lights_that_are_lit_and_no_light_means_no_unknown() -> None:
    sitting = sitting_of(["curtain", "a stand was knocked", "sitter"])
    moves = moves_on(sitting, 1, ("key",))
    assert {m.roles for m in moves} == {(), ("key",)}
    assert moves_on(sitting, 1, ()) == ()


def test_a_meter_sees_what_moved_among_the_lights_and_not_the_baths() -> None:
    moves = moves_on(sitting_of(["fresh developer", "another batch", "card"]), 1, ROLES)
    assert [m.stage for m in moves] == ["paper", "paper", "light"]


def test_names_are_of_one_sitting_one_sheet_one_light() -> None:
    everything = [a.what for a in ANSWERS]
    sitting = sitting_of(everything, everything)
    names = [m.name for m in moves_on(sitting, 2, ROLES)]
    assert len(names) == len(set(names))
    assert "S1/2/curtain" in names
    assert "S1/1/a stand was knocked/key" in names
    once = sitting_of([*everything, *everything, "other bottle"])
    assert [m.name for m in moves_on(once, 1, ROLES)] == [
        m.name for m in moves_on(sitting_of(everything), 1, ROLES)
    ]


def test_what_lasts_goes_on_and_what_does_not_ends_with_its_sheet() -> None:
    sitting = sitting_of([], ["curtain", "sitter"], [])
    lasting = {m.name for m in lasting_moves(sitting, sitting.sheets[1], ROLES)}
    assert lasting == {"S1/2/curtain"}
    seen = [{m.name for m in moves_on(sitting, n, ROLES)} for n in (1, 2, 3, None)]
    assert seen == [set(), {"S1/2/curtain", "S1/2/sitter"}, lasting, lasting]


def test_what_was_said_of_the_light_of_the_place_ends_with_the_state_of_the_room() -> None:
    open_, shut = {"room_state": "curtains open"}, {"room_state": "curtains closed"}
    sitting = sitting_of(
        open_,
        open_ | {"what_else_moved": ["curtain", "a stand was knocked: key"]},
        shut | {"what_else_moved": ["curtain"]},
        open_,
    )
    curtain, stand = "S1/2/curtain", "S1/2/a stand was knocked/key"
    seen = [{m.name for m in moves_on(sitting, n, ROLES)} for n in (2, 3, 4, None)]
    # Of sheet 3 the state says already that the curtain was moved; it opens nothing of its own.
    assert seen == [{curtain, stand}, {stand}, {curtain, stand}, {curtain, stand}]
    evening = sitting.model_copy(update={"room_state": "evening"})
    assert {m.name for m in moves_on(evening, None, ROLES)} == {stand}


def test_a_meter_reading_has_what_lasted_until_then() -> None:
    sitting = sitting_of([], ["curtain", "sitter"], ["a stand was knocked: key"])

    def at(before: int | None, **more: Any) -> set[str]:
        shows = {"shows": {"lx": 100}, "region": "key", "lights_on": ["room"]}
        taken = MeterReading.model_validate(shows | {"before_sheet": before} | more)
        return {m.name for m in moves_at_meter(sitting, taken, ROLES)}

    assert at(2) == set()
    assert at(3) == {"S1/2/curtain"}
    assert at(4) == {"S1/2/curtain", "S1/3/a stand was knocked/key"}
    assert at(3, room_state="evening") == set()


def test_a_light_that_is_named_takes_the_place_of_none() -> None:
    assert joined(["curtain", NOT_FIRED], [f"{NOT_FIRED}: fill", "curtain"]) == (
        "curtain",
        f"{NOT_FIRED}: fill",
    )
    assert joined(["the cat"], []) == ("the cat",)


def test_a_light_that_does_not_stand_there_cannot_be_named() -> None:
    sitting = sitting_of([])
    check_named(sitting, ["a stand was knocked: fill", "the cat: key", "curtain"])
    with pytest.raises(UnknownName, match="no light called 'rim'"):
        check_named(sitting, ["a stand was knocked: rim"])


def test_the_lights_that_are_asked_for() -> None:
    sitting = sitting_of([])
    answers = {a.what: a for a in ANSWERS if a.is_each}
    asked = {what: could_be(sitting, sitting.sheets[0], a) for what, a in answers.items()}
    assert set(asked) == {
        "a stand was knocked",
        "grid or cloth off",
        NOT_FIRED,
        "a head was not charged",
    }
    assert set(asked.values()) == {("key", "fill")}


def test_capitals_and_blanks_are_no_matter() -> None:
    known = understood("  Curtain ")
    assert known is not None
    assert known[0].what == "curtain"


@pytest.mark.parametrize(
    ("sheet", "sentence"),
    [
        (
            {"what_else_moved": ["curtain"]},
            "Curtain: the light of the place may have changed by ±2⅓, from this sheet on.",
        ),
        (
            {"what_else_moved": ["sitter"]},
            "Sitter: the face may have changed by ±½, on this sheet only.",
        ),
        (
            {"what_else_moved": ["a stand was knocked: key"]},
            "A stand was knocked: the key light may have changed by ±¾, from this sheet on.",
        ),
        ({"what_else_moved": ["the cat"]}, "The cat: noted, and it changes nothing in what is"),
        ({"what_else_moved": [NOT_FIRED]}, "the tones of this sheet are left out of what is"),
        (
            {
                "what_else_moved": [f"{NOT_FIRED}: fill"],
                "made": {"lights": {"fill": {"on": False}}},
            },
            "A head did not fire: fill is written down as off, and the sheet teaches the rest.",
        ),
    ],
)
def test_each_answer_is_told(sheet: dict[str, Any], sentence: str) -> None:
    sitting = sitting_of(sheet)
    (said,) = widened(sitting, sitting.sheets[0])
    assert sentence in said


def test_an_answer_that_can_change_nothing_here_says_so() -> None:
    lights = head_and_shoulders()["sittings"][0]["lights"][:2]
    (said,) = widened(s := sitting_of(["curtain"], lights=lights), s.sheets[0])
    assert said == "Curtain: no light of this sheet could have changed by it."
    two = sitting_of(
        {"room_state": "curtains open"},
        {"room_state": "evening", "what_else_moved": ["curtain"]},
    )
    (said,) = widened(two, two.sheets[1])
    assert said == "Curtain: the room is in another state since, and each is learned apart."


def test_a_sheet_by_itself_says_nothing() -> None:
    sitting = sitting_of([])
    assert widened(sitting, Sheet.model_validate(scanned(1, 1.0, 1.5))) == ()
