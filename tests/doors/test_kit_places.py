"""Places and seats of daylight as things of the kit, by plain forms."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from fastapi.testclient import TestClient
from sitting_book import Answer, press  # type: ignore[import-not-found]

from stillroom.documents.seats import BeforeWindow
from stillroom.errors import StillroomError
from stillroom.services.beliefs import TermBelief
from stillroom.services.desk import Desk
from stillroom.web.views.kit_place import zones

Writes = Callable[[], int]
QUARRY = {
    "id": "quarry",
    "name": "Quarry Lane",
    "latitude_deg": 54.3,
    "longitude_deg": -1.5,
    "zone": "Europe/London",
}
WINDOW = {"faces_deg": 45, "width_m": 1.2345, "height_m": 1.5, "distance_m": 1.2}


def page_of(client: TestClient, path: str) -> str:
    return unescape(client.get(path).text)


def added(client: TestClient, key: str, **typed: str) -> Answer:
    answer: Answer = press(client, f"/kit/{key}/add", **typed)
    return answer


@pytest.fixture
def place(desk: Desk) -> str:
    return desk.add_thing("places", QUARRY).id


@pytest.fixture
def parlour(desk: Desk, place: str) -> str:
    return desk.add_thing("seats", {"id": "parlour", "place": place, "window": WINDOW}).id


# ── Places ──────────────────────────────────────────────────────────────────────────────────────


def test_a_place_is_added_in_degrees_and_minutes(client: TestClient, desk: Desk) -> None:
    answer = added(
        client,
        "places",
        name="Quarry Lane",
        latitude_deg="54° 18' N",
        longitude_deg="1° 30′ W",
        zone="Europe/London",
        altitude_m="600 ft",
        haze="hazy",
    )
    assert answer.status_code == 303
    (made,) = desk.book().kit.places
    assert (made.id, made.latitude_deg, made.longitude_deg) == ("Quarry Lane", 54.3, -1.5)
    assert (made.zone, made.haze) == ("Europe/London", "hazy")
    assert made.altitude_m == pytest.approx(182.88)  # 1 ft = 0.3048 m, 1959 agreement
    page = page_of(client, "/kit")
    assert "54° 18′ N, 1° 30′ W, clock of Europe/London, 183 m above the sea, hazy air" in page


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("latitude_deg", "95", "Latitude is '95': give a number from -90 to 90 °."),
        ("latitude_deg", "54 E", "Latitude is '54 E': a latitude is north or south;"),
        ("latitude_deg", "", "Latitude is '': it is needed; fill it in."),
        ("longitude_deg", "181 W", "Longitude is '181 W': give a number from -180 to 180 °."),
        ("longitude_deg", "here", "Longitude is 'here': not a longitude;"),
        ("zone", "Mars/Base", "Time zone is 'Mars/Base': no clock goes by that name;"),
        (
            "altitude_m",
            "9000 m",
            "Height above the sea is 9000.0: give a number from -500 to 5000 m",
        ),
    ],
)
def test_a_slip_is_said_in_one_sentence_and_nothing_typed_is_lost(
    client: TestClient, writes: Writes, field: str, typed: str, said: str
) -> None:
    fields = {
        "latitude_deg": "54.3",
        "longitude_deg": "-1.5",
        "zone": "Europe/London",
        "altitude_m": "180 m",
        "note": "by the quarry",
    }
    answer = added(client, "places", **fields | {field: typed})
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert said in page
    assert 'aria-invalid="true"' in page.split(f'id="f-{field}"')[1].split(">")[0]
    for name, value in (fields | {field: typed}).items():
        assert (
            (value in page.split("</textarea>")[0])
            if name == "note"
            else (f'name="{name}" value="{value}"' in page)
        )
    assert writes() == 0


def test_a_clock_that_does_not_go_with_the_longitude_is_doubted(client: TestClient) -> None:
    press(
        client,
        "/kit/places/add",
        latitude_deg="54.3",
        longitude_deg="150 E",
        zone="Europe/London",
    )
    assert "check the sign" in page_of(client, "/kit")


def test_time_zones_can_be_picked_from_a_list(client: TestClient) -> None:
    page = page_of(client, "/kit/places/add")
    assert 'list="l-zone"' in page
    assert '<option value="Europe/London">' in page
    assert {"UTC", "Asia/Tokyo"} <= set(zones())
    assert not any(name.startswith(("Etc/", "US/")) for name in zones())


def test_only_what_was_altered_of_a_place_is_written(client: TestClient, desk: Desk) -> None:
    desk.add_thing("places", QUARRY | {"latitude_deg": 54.30012345678901, "altitude_m": -3.25})
    press(client, "/kit/places/quarry", name="Quarry")
    made = desk.book().kit.places[0]
    assert (made.name, made.latitude_deg, made.altitude_m) == ("Quarry", 54.30012345678901, -3.25)


# ── Seats ───────────────────────────────────────────────────────────────────────────────────────


def test_without_a_place_the_place_comes_first(client: TestClient) -> None:
    answer = client.get("/kit/seats/add")
    assert (answer.status_code, answer.headers["location"]) == (303, "/kit/places/add")
    assert "write the place down first" in page_of(client, "/kit/places/add")


def test_a_window_is_added_with_taps_and_three_lengths(
    client: TestClient, desk: Desk, place: str
) -> None:
    answer = added(
        client,
        "seats",
        window_looks="NE",
        turned="half left",
        glass="laminated",
        width_m="3' 2\"",
        height_m="150 cm",
        distance_m="1.2 m",
    )
    assert answer.status_code == 303
    (made,) = desk.book().kit.seats
    assert (made.id, made.place, made.open_air) == ("Window to the north-east", place, None)
    window = made.window
    assert window is not None
    assert (window.faces_deg, window.turn_deg, window.glass) == (45, -45, "laminated")
    assert window.width_m == pytest.approx(38 * 0.0254)  # 1 in = 25.4 mm, 1959 agreement
    assert (window.height_m, window.distance_m, window.room) == (1.5, 1.2, None)
    told = "Quarry Lane, before a window to the north-east, 96.5 cm × 1.50 m, laminated glass"
    assert told in page_of(client, "/kit")


@pytest.mark.usefixtures("place")
def test_a_yard_is_added_with_taps_alone(client: TestClient, desk: Desk) -> None:
    answer = added(
        client,
        "seats",
        shape="open",
        looks="N",
        sun="no",
        ground_sunlit="no",
        free="most",
        ground="grass",
    )
    assert answer.status_code == 303
    (made,) = desk.book().kit.seats
    assert made.window is None
    assert made.open_air is not None
    assert (made.open_air.faces_deg, made.open_air.sun, made.open_air.ground_sunlit) == (
        0,
        False,
        False,
    )
    assert made.open_air.sky_share == 0.75
    # from memory: grass sends back 0.03 to 0.05 of what blue-sensitive paper sees
    assert made.open_air.ground_reflectance == pytest.approx(0.04, abs=0.01)
    assert not made.snow


@pytest.mark.usefixtures("place")
def test_snow_lies_all_around_until_it_is_gone(client: TestClient, desk: Desk) -> None:
    added(client, "seats", name="yard", shape="open", looks="N", ground="snow")
    assert "snow all around" in page_of(client, "/kit")
    assert (desk.book().kit.seats[0].snow, _open(desk).ground_reflectance) == (True, None)
    press(client, "/kit/seats/yard", ground="ordinary")
    assert (desk.book().kit.seats[0].snow, _open(desk).ground_reflectance) == (False, None)


def _open(desk: Desk) -> Any:
    return desk.book().kit.seats[0].open_air


@pytest.mark.usefixtures("place")
def test_a_typed_direction_goes_before_a_tapped_one_and_gives_way_to_a_later_tap(
    client: TestClient, desk: Desk
) -> None:
    added(client, "seats", name="yard", shape="open", looks="N", faces="47")
    assert _open(desk).faces_deg == 47
    page = page_of(client, "/kit/seats/yard")
    assert 'name="faces" value="47°"' in page
    press(client, "/kit/seats/yard", looks="E")
    assert _open(desk).faces_deg == 90


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"window_looks": ""}, "Which way does the window look? is '': it is needed"),
        ({"window_faces": "up"}, "Window looks, exactly is 'up': give a point of the compass"),
        ({"width_m": "90"}, "Width of the window is '90': a bare number; add its unit"),
        ({"distance_m": ""}, "Face from the glass is '': it is needed"),
        (
            {"obstruction_deg": "85"},
            "Houses opposite, up to is 85.0: give a number from 0 to 80 °",
        ),
        ({"room_width_m": "5.1 m"}, "Room, away from it is '': it is needed with the others"),
        ({"inner_reveal_m": "2 m"}, "that lies in the wall, 2 m deep; give a larger one"),
        ({"place": "moor"}, "At which place? is 'moor': choose one of: quarry"),
    ],
)
@pytest.mark.usefixtures("place")
def test_what_cannot_be_is_said_in_one_sentence_and_kept(
    client: TestClient, writes: Writes, typed: dict[str, str], said: str
) -> None:
    before = writes()
    fields = {"window_looks": "NE", "width_m": "1.2 m", "height_m": "1.5 m", "distance_m": "1 m"}
    answer = added(client, "seats", **fields | typed, note="behind the stove")
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert said in page
    assert "behind the stove" in page
    assert 'name="height_m" value="1.5 m"' in page
    assert writes() == before


@pytest.mark.usefixtures("place")
def test_what_belongs_to_the_other_kind_of_seat_is_not_read_and_not_lost(
    client: TestClient, desk: Desk
) -> None:
    answer = added(client, "seats", shape="open", looks="", width_m="12 furlongs")
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert "furlongs" in page
    assert "Width of the window is" not in page
    assert (
        added(client, "seats", shape="open", looks="S", width_m="12 furlongs").status_code == 303
    )
    assert _open(desk).faces_deg == 180


@pytest.mark.usefixtures("parlour")
def test_one_altered_length_leaves_the_digits_of_the_others(
    client: TestClient, desk: Desk
) -> None:
    client.post("/lengths", data={"lengths": "imperial"})
    press(client, "/kit/seats/parlour", distance_m="3 ft")
    window = desk.book().kit.seats[0].window
    assert window is not None
    assert window.width_m == 1.2345  # shown as 4 ft ¾ in, which would be 1.2383 m
    assert window.distance_m == pytest.approx(0.9144)
    assert window == BeforeWindow.model_validate(WINDOW | {"distance_m": window.distance_m})


def test_a_form_sent_back_untouched_changes_nothing(
    client: TestClient, desk: Desk, place: str
) -> None:
    seats = (
        {"id": "a", "place": place, "window": WINDOW | {
            "glass": "none", "panes": 2, "sill_m": 0.0, "offset_m": -0.333, "turn_deg": 30,
            "ground_reflectance": 0.33, "frame_share": 0.2, "face_height_m": 1.1,
            "outer_reveal_m": 0.15, "inner_reveal_m": 0.1, "obstruction_deg": 12.5,
            "room": {"width_m": 5.123, "depth_m": 4.2, "height_m": 2.8, "walls": "brick"}}},
        {"id": "b", "place": place, "snow": True, "off_sd_stops": 0.2, "open_air": {
            "faces_deg": 337.5, "sun": False, "ground_sunlit": False,
            "ground_reflectance": 0.5, "sky_share": 0.33, "skyline_deg": 12}},
        {"id": "c", "place": place, "open_air": {"faces_deg": 225, "ground_reflectance": 0.2}},
    )  # fmt: skip
    for seat in seats:
        desk.add_thing("seats", seat)
    before = desk.book().kit.seats
    for seat in seats:
        assert press(client, f"/kit/seats/{seat['id']}").status_code == 303
    assert desk.book().kit.seats == before


@pytest.mark.usefixtures("parlour")
def test_a_seat_moves_from_the_window_into_the_yard(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/kit/seats/parlour", shape="open", looks="W")
    assert answer.status_code == 303
    seat = desk.book().kit.seats[0]
    assert (seat.window, _open(desk).faces_deg) == (None, 270)


@pytest.mark.usefixtures("parlour")
def test_a_seat_says_how_well_it_is_known_before_and_after_sheets(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "from tape and compass" in page_of(client, "/kit")
    told = {
        "seat/parlour/curtains open": TermBelief(0.35, 0.1, 0.2, "known from sheets to ±⅙"),
        "seat/parlour/evening": TermBelief(0.35, 0.3, 0.0, "as entered"),
    }
    monkeypatch.setattr(type(desk), "kit_belief", lambda _: told)
    page = page_of(client, "/kit")
    assert "curtains open: known from sheets to ±⅙; evening: as entered" in page
    assert "from tape and compass" not in page


def test_a_place_that_a_seat_needs_is_refused_when_it_is_not_there(desk: Desk) -> None:
    with pytest.raises(StillroomError, match="place"):
        desk.add_thing("seats", {"id": "x", "place": "nowhere", "window": WINDOW})
