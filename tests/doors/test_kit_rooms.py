"""Rooms as things of the kit, and which of them a sitting is in. All is invented."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]

from stillroom.documents.kit import Room
from stillroom.services.desk import Desk
from stillroom.services.ghost_answers import room_of

Writes = Callable[[], int]
STATES = ("curtains open", "curtains closed", "evening")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def page_of(client: TestClient, path: str) -> str:
    return unescape(client.get(path).text)


def rooms(desk: Desk) -> dict[str, Room]:
    return {room.id: room for room in desk.book().kit.rooms}


def in_which(desk: Desk) -> str | None:
    room = room_of(desk.book(), desk.book().sittings[0])
    return None if room is None else room.id


def test_a_room_is_added_with_two_taps(client: TestClient, desk: Desk) -> None:
    before = rooms(desk)
    answer = press(client, "/kit/rooms/add", mains="120", breaker="15")
    assert answer.status_code == 303
    (made,) = (room for name, room in rooms(desk).items() if name not in before)
    assert (made.mains_v, made.circuit_a, made.circuits) == (120, 15, 1)
    assert made.states == STATES
    assert "120 V, 1 circuit of 15 A; curtains open, curtains closed" in page_of(client, "/kit")


def test_what_is_typed_goes_before_what_is_tapped(client: TestClient, desk: Desk) -> None:
    press(
        client,
        "/kit/rooms/add",
        name="ice house",
        states="blind down, lamp on ; blind down,",
        mains="230",
        mains_v="240",
        breaker="16",
        circuit_a="12,5",
        circuits="2",
        width_m="16 ft",
        depth_m="4.2 m",
        note="brick",
    )
    made = rooms(desk)["ice house"]
    assert made.states == ("blind down", "lamp on")
    assert (made.mains_v, made.circuit_a, made.circuits) == (240, 12.5, 2)
    assert made.width_m == pytest.approx(4.8768)  # 1 ft = 0.3048 m, 1959 agreement
    assert (made.depth_m, made.note) == (4.2, "brick")


def test_of_a_circuit_that_is_not_known_nothing_is_written(client: TestClient, desk: Desk) -> None:
    press(client, "/kit/rooms/add", name="attic")
    assert rooms(desk)["attic"].circuit_a is None
    assert "230 V, 1 circuit; curtains open" in page_of(client, "/kit")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"circuit_a": "900"}, "One circuit carries is 900.0: give a number from 1 to 200 A"),
        ({"circuits": "1.5"}, "Circuits in reach is '1.5': give a whole number"),
        ({"mains_v": "12"}, "Mains is 12.0: give a number from 90 to 480 V"),
        ({"breaker": "17"}, "What may one circuit carry? is '17': choose one of"),
        ({"width_m": "5"}, "a bare number; add its unit"),
        ({"states": "x" * 201}, "200"),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_is_kept(
    client: TestClient, writes: Writes, typed: dict[str, str], said: str
) -> None:
    answer = press(client, "/kit/rooms/add", **{"note": "by the stove"} | typed)
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert said in page
    assert "by the stove" in page
    assert writes() == 0


def test_only_what_was_altered_is_written(client: TestClient, desk: Desk) -> None:
    told = {"id": "shed", "states": ("dark",), "width_m": 5.1234, "circuit_a": 13, "circuits": 3}
    desk.add_thing("rooms", told)
    assert press(client, "/kit/rooms/shed").status_code == 303
    assert rooms(desk)["shed"] == Room.model_validate(told)
    press(client, "/kit/rooms/shed", circuit_a="", states="dark, door open")
    made = rooms(desk)["shed"]
    assert (made.circuit_a, made.circuits, made.width_m) == (None, 3, 5.1234)
    assert made.states == ("dark", "door open")
    press(client, "/kit/rooms/shed", states="")
    assert rooms(desk)["shed"].states == STATES


OFFERED = 'name="room" value="{}"'
"""How the form of a sitting offers a room; forms of a meter name states of it otherwise."""


def test_which_room_is_asked_only_where_there_are_several(client: TestClient, desk: Desk) -> None:
    (only,) = rooms(desk)
    assert OFFERED.format(only) not in page_of(client, "/sitting/OM")
    assert in_which(desk) == only
    told = {"id": "shed", "states": ("shed dark",), "circuits": 2}
    desk.add_thing("rooms", told)
    page = page_of(client, "/sitting/OM")
    assert OFFERED.format(only) in page
    assert OFFERED.format("shed") in page
    assert "shed dark" not in page
    assert in_which(desk) is None
    answer = press(client, "/sitting/OM", at="/holding", room="shed")
    assert answer.status_code == 303
    assert desk.book().sittings[0].holding.room == "shed"
    assert in_which(desk) == "shed"
    page = page_of(client, "/sitting/OM")
    assert OFFERED.format("shed") + " checked" in page
    assert "shed dark" in page
    press(client, "/sitting/OM", at="/holding", room="")
    assert in_which(desk) is None


def test_a_room_that_is_not_in_the_kit_is_refused(client: TestClient, desk: Desk) -> None:
    desk.add_thing("rooms", {"id": "shed"})
    before = desk.book()
    answer = press(client, "/sitting/OM", at="/holding", room="cellar")
    assert answer.status_code == 422
    assert "The room is 'cellar': choose one of" in unescape(answer.text)
    assert desk.book() == before


def test_a_room_that_was_put_away_is_no_longer_asked_for(client: TestClient, desk: Desk) -> None:
    (first,) = rooms(desk)
    desk.add_thing("rooms", {"id": "shed"})
    press(client, f"/kit/rooms/{first}", ("put", "away"), at="/put")
    assert in_which(desk) == "shed"
    assert OFFERED.format(first) not in page_of(client, "/sitting/OM")
    desk.set_holding("OM", room=first)
    assert in_which(desk) == first  # what was said of a sitting stays
    assert OFFERED.format(first) + " checked" in page_of(client, "/sitting/OM")
