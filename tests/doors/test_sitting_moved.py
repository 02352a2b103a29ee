"""What else moved, early looks and the room, as a browser without script sends them."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Book, Reading, Sheet
from stillroom.documents.read import read_book
from stillroom.services.desk import Desk
from stillroom.services.moved import ANSWERS, NOT_FIRED

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import Forms, press, sitting_book, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def sheet(desk: Desk, number: int = 4) -> Sheet:
    found: Sheet = desk.book().sittings[0].sheets[number - 1]
    return found


# ---- early looks ----------------------------------------------------------------------------


def test_an_early_look_is_three_words_at_the_negative_or_the_pale(
    client: TestClient, desk: Desk
) -> None:
    answer = press(
        client, "/read/OM/4", by="early_look", early="pale", **{"e:key": "too_dark", "e:rim": ""}
    )
    assert answer.headers["location"] == "/sitting/OM"
    reading = sheet(desk).readings[-1]
    assert (reading.state, reading.by) == ("pale", "early_look")
    assert {r: v.verdict for r, v in reading.regions.items()} == {"key": "too_dark"}
    press(client, "/read/OM/4", by="early_look", **{"e:face": "as_wanted"})
    assert sheet(desk).readings[-1].state == "pale"  # as it was left
    assert sheet(desk).readings[-1].regions["face"].verdict == "as_wanted"


def test_a_sheet_looked_at_early_waits_to_be_read(client: TestClient, desk: Desk) -> None:
    before = desk.forecast("OM", sheet(desk).settings).regions["key"].placement_stops
    press(client, "/read/OM/4", by="early_look", **{"e:key": "too_dark"})
    after = desk.forecast("OM", sheet(desk).settings).regions["key"].placement_stops
    assert after.q50 < before.q50
    page = client.get("/sitting/OM").text
    assert '<a href="/read/OM/4">Read OM 4</a>' in page
    assert "Written down before" in client.get("/read/OM/4").text
    press(client, "/read/OM/4", **{"s:key": "4"})
    assert "Read OM 4</a>" not in client.get("/sitting/OM").text


def test_what_an_early_look_cannot_be_is_refused(client: TestClient, desk: Desk) -> None:
    answer = press(
        client, "/read/OM/4", by="early_look", **{"e:key": "black", "e:rim": "too_dark"}
    )
    assert answer.status_code == 422
    assert "choose too_dark, as_wanted, too_light" in answer.text
    kept = Forms(answer.text).fields["/read/OM/4"]
    assert (kept["by"], kept["e:rim"]) == (["early_look"], ["too_dark"])
    assert sheet(desk).readings == ()
    stepped = client.get("/read/OM/1").text
    assert "Early look" not in stepped
    fields = Forms(stepped).fields["/read/OM/1"] | {"by": ["early_look"]}
    assert client.post("/read/OM/1", data=fields).status_code == 422


def test_red_light_is_spoken_of(client: TestClient) -> None:
    assert "Red light makes everything look darker than it is" in client.get("/read/OM/4").text


# ---- what else moved ------------------------------------------------------------------------


def test_every_answer_can_be_tapped_and_lights_are_asked_where_there_are_several(
    client: TestClient,
) -> None:
    page = client.get("/read/OM/4").text
    for answer in ANSWERS:
        assert f'name="moved" value="{answer.what}"' in page
    assert 'name="moved_light" value="a stand was knocked: rim"' in page
    assert "curtain: " not in page


def test_the_light_that_is_named_is_written_down(client: TestClient, desk: Desk) -> None:
    stand, fired = "a stand was knocked", NOT_FIRED
    press(
        client,
        "/read/OM/4",
        box="yes",
        moved=["curtain", stand],
        moved_light=[f"{stand}: key", f"{fired}: rim"],  # the second was ticked and hidden again
    )
    assert sheet(desk).what_else_moved == ("curtain", f"{stand}: key")
    again = Forms(client.get("/read/OM/4").text).fields["/read/OM/4"]
    assert again["moved"] == ["curtain", stand]
    assert again["moved_light"] == [f"{stand}: key"]
    press(client, "/read/OM/4")
    assert sheet(desk).what_else_moved == ("curtain", f"{stand}: key")


def test_free_words_stay_and_are_said_to_change_nothing(client: TestClient, desk: Desk) -> None:
    desk.read_sheet("OM", 4, Reading(), what_else_moved=("the cat",))
    press(client, "/read/OM/4", box="yes")
    assert sheet(desk).what_else_moved == ("the cat",)
    assert "The cat: noted, and it changes nothing" in client.get("/sitting/OM/4").text


def test_a_head_that_did_not_fire_is_off_on_its_own_page(client: TestClient, desk: Desk) -> None:
    press(
        client,
        "/read/OM/4",
        moved=[NOT_FIRED],
        moved_light=[f"{NOT_FIRED}: rim"],
        **{"s:key": "4"},
    )
    made = sheet(desk).made
    assert made is not None
    assert not made.lights["rim"].on
    page = client.get("/sitting/OM/4").text
    assert "A head did not fire: rim is written down as off" in page
    fields = Forms(client.get("/read/OM/4").text).fields["/read/OM/4"]
    client.post("/read/OM/4", data=fields | {"moved": [], "moved_light": [], "box": "yes"})
    assert sheet(desk).made is None


def test_a_light_that_is_not_there_cannot_be_named(client: TestClient, desk: Desk) -> None:
    answer = press(
        client,
        "/read/OM/4",
        box="yes",
        moved=["a stand was knocked"],
        moved_light=["a stand was knocked: sun"],
    )
    assert answer.status_code == 422
    assert "no light called &#39;sun&#39;" in answer.text
    assert sheet(desk).kept is None


# ---- the room -------------------------------------------------------------------------------


def book_in_a_room_of(lx: float, open_s: float) -> Book:
    """The same with a window that gives so much, and sheets that were open for so long."""
    data = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    room = data["sittings"][0]["lights"][-1]
    assert room["kind"] == "window"
    room["metered_lx"] = lx
    for one in data["sittings"][0]["sheets"]:
        one["settings"]["open_s"] = open_s
    return read_book(json.dumps(data))


def test_a_curtain_is_answered_before_the_next_sheet(client: TestClient, desk: Desk) -> None:
    desk.correct_room_state("OM", 4, "curtains open")  # as the desk writes it when it is made
    press(client, "/read/OM/4", box="no", because="tones", moved=["curtain"])
    page = client.get("/sitting/OM").text
    assert "How is the room now?" in page
    assert "The curtain moved before OM 4. Window light carried" in page
    assert "; without it −" in page
    made = [s.model_dump() for s in desk.book().sittings[0].sheets]
    metered = desk.book().sittings[0].meter_readings
    press(client, "/sitting/OM", ("turn", "room=curtains closed"), at="/shoot")
    sitting = desk.book().sittings[0]
    assert sitting.room_state == "curtains closed"
    assert [s.model_dump() for s in sitting.sheets] == made
    assert sitting.meter_readings == metered
    assert "How is the room now?" not in client.get("/sitting/OM").text


def test_nothing_is_asked_where_the_room_carries_little_or_nothing_moved(
    client: TestClient, tmp_path: Path
) -> None:
    assert "How is the room now?" not in client.get("/sitting/OM").text
    dim = tmp_path / "dim"
    dim.mkdir()
    with sitting_desk(dim, book_in_a_room_of(0.5, 0.125)) as evening:
        evening.read_sheet("OM", 4, Reading(), what_else_moved=("curtain",))
        assert evening.room_carried("OM") == ""


def test_the_room_a_sheet_was_made_in_is_put_right_on_its_page(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, "/sitting/OM/4", ("turn", "room=evening"), at="/made")
    assert answer.headers["location"] == "/sitting/OM/4"
    sitting = desk.book().sittings[0]
    assert [s.room_state for s in sitting.sheets] == ["", "", "", "evening"]
    assert sitting.room_state == "curtains open"
    assert sheet(desk).made is None


def test_a_meter_reading_keeps_the_room_it_was_taken_in(client: TestClient, desk: Desk) -> None:
    before = len(desk.book().sittings[0].meter_readings)
    desk.set_room_state("OM", "evening")
    press(client, "/sitting/OM", ("shows", "11.0"), at="/shoot")
    desk.set_room_state("OM", "curtains closed")
    taken = desk.book().sittings[0].meter_readings
    assert len(taken) == before + 1
    assert taken[-1].room_state == "evening"
    page = client.get("/sitting/OM").text
    assert "Key cheek, key on, before OM 5: f/11 at ISO 100. Room: evening." in page
    nth = len(taken)
    answer = press(
        client, "/sitting/OM", ("room", f"{nth}=curtains closed"), at="/sitting/OM/metered"
    )
    assert answer.status_code == 303
    rooms = [m.room_state for m in desk.book().sittings[0].meter_readings]
    assert rooms[-1] == "curtains closed"
    assert rooms[:-1] == [m.room_state for m in taken[:-1]]
    fields = Forms(page).fields["/sitting/OM/metered"]
    for wrong in ("9=evening", "x=evening", ""):
        assert client.post("/sitting/OM/metered", data=fields | {"room": wrong}).status_code in (
            404,
            422,
        )
