"""Shoot, count and holders through the door: a sheet, its side, its open time, what failed."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Reading, Sheet
from stillroom.documents.making import as_made
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import Forms, press, sitting_desk  # type: ignore[import-not-found]

PAPER = "sorrel-2/7"
COUNT = "/sitting/OM/4/count"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def add_holders(desk: Desk, *loaded: str) -> None:
    for name in ("1", "2"):
        desk.add_thing("holders", {"id": name, "format_mm": (130, 180)})
    for key in loaded:
        desk.load_side(key, PAPER)


def sheets(desk: Desk) -> tuple[Sheet, ...]:
    return desk.book().sittings[0].sheets


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def states(desk: Desk) -> dict[str, str]:
    return {side.key: side.state for side in desk.holder_sides()}


# ── The count ────────────────────────────────────────────────────────────────────────────────────


def test_shoot_leads_to_the_count_and_says_that_the_sheet_is_written_down(
    client: TestClient, desk: Desk
) -> None:
    answer = press(client, "/sitting/OM?plan=sheet", at="/shoot")
    assert answer.headers["location"] == "/sitting/OM/5/count"
    page = words(client.get(answer.headers["location"]).text)
    assert "OM 5 is written down as it was made." in page
    assert "Pencil OM 5; clip 5, top left, two nicks." in page
    assert len(sheets(desk)) == 5


@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_the_count_lists_what_is_set_and_what_is_called(client: TestClient, mode: str) -> None:
    client.cookies.set("mode", mode)
    page = client.get(f"{COUNT}?fires=cap_in_dark").text
    assert page.count("data-tick") == 5
    assert "0.6 below full" in page
    said = words(page)
    assert re.search(r"Chair .* lens board to lower lid", said)
    assert "Lights out, cap off, pop, cap on, lights." in said
    assert re.search(r"5 s Cap off 5\.5 s Pop 6 s Cap on", said)
    assert re.search(r"No pop before every head is charged: [\d.]+ s from pop to pop", said)


def test_a_sheet_shot_before_leads_back_to_its_count(client: TestClient) -> None:
    assert f'href="{COUNT}">Back to the count of OM 4<' in client.get("/sitting/OM").text


def test_what_was_measured_is_written_down_with_its_spread(client: TestClient, desk: Desk) -> None:
    answer = press(
        client,
        f"{COUNT}?fires=cap_in_dark",
        ("fired", "all"),
        open_s="1.234",
        openings="1",
        pressed="yes",
    )
    assert answer.status_code == 303
    sheet = sheets(desk)[-1]
    assert sheet.made is not None
    assert sheet.made.model_dump(exclude_unset=True) == {"open_s": 1.234}
    assert sheet.open_sd_s == pytest.approx(0.1)
    assert sheet.what_else_moved == ()
    assert "It was counted before: open 1.23 s ± 0.1 s." in words(client.get(COUNT).text)


def test_by_the_count_a_hand_misses_more(client: TestClient, desk: Desk) -> None:
    press(client, f"{COUNT}?fires=cap_in_dark", ("fired", "all"), open_s="1", pressed="no")
    assert sheets(desk)[-1].open_sd_s == pytest.approx(0.2)


def test_a_head_that_did_not_fire_is_off_and_the_rest_teaches(
    client: TestClient, desk: Desk
) -> None:
    press(client, f"{COUNT}?fires=cap_in_dark", ("fired", "rim"), open_s="1.5")
    sheet = sheets(desk)[-1]
    assert sheet.what_else_moved == ("a head did not fire: rim",)
    made = as_made(sheet.settings, sheet.made)
    assert (made.lights["rim"].on, made.open_s) == (False, 1.5)
    press(client, f"{COUNT}?fires=cap_in_dark", ("fired", "all"))  # it was said by mistake
    sheet = sheets(desk)[-1]
    assert sheet.what_else_moved == ()
    made = as_made(sheet.settings, sheet.made)
    assert (made.lights["rim"].on, made.open_s) == (True, 1.5)


def test_nobody_saw_which(client: TestClient, desk: Desk) -> None:
    answer = press(client, COUNT, ("fired", "unknown"))
    assert sheets(desk)[-1].what_else_moved == ("a head did not fire",)
    assert "nobody knows which" in words(client.get(answer.headers["location"]).text)


def test_what_else_moved_before_stays(client: TestClient, desk: Desk) -> None:
    desk.read_sheet("OM", 4, Reading(), what_else_moved=["curtain"])
    press(client, COUNT, ("fired", "key"))
    assert sheets(desk)[-1].what_else_moved == ("curtain", "a head did not fire: key")


def test_a_form_sent_twice_is_written_once(client: TestClient, desk: Desk) -> None:
    fields = Forms(client.get(f"{COUNT}?fires=cap_in_dark").text).fields[COUNT]
    one = {**fields, "fired": "all", "open_s": "1.1"}
    two = {**fields, "fired": "all", "open_s": "2.2"}
    for said in (one, two):
        assert client.post(COUNT, data=said).status_code == 303
    made = sheets(desk)[-1].made
    assert made is not None
    assert made.open_s == 1.1


def test_another_time_by_hand_forgets_the_spread_and_anything_else_keeps_it(
    client: TestClient, desk: Desk
) -> None:
    press(client, f"{COUNT}?fires=cap_in_dark", ("fired", "all"), open_s="1.1")
    made = sheets(desk)[-1].made
    assert made is not None
    desk.correct_made("OM", 4, made.model_copy(update={"pops": 2}))
    assert sheets(desk)[-1].open_sd_s == pytest.approx(0.2)
    desk.correct_made("OM", 4, made.model_copy(update={"open_s": 3.0}))
    assert sheets(desk)[-1].open_sd_s is None


@pytest.mark.parametrize(
    ("asked", "said", "sentence"),
    [
        ("cap_in_dark", {"open_s": "0.001"}, "open time is 0.001"),
        ("cap_in_dark", {"open_s": "99999"}, "open time is 99999"),
        ("cap_in_dark", {"open_s": "soon"}, "Open time"),
        ("cap_in_dark", {"open_s": "1", "openings": "0"}, "openings is 0"),
        ("cap_in_dark", {"fired": "sun"}, "sun"),
        ("sync_shutter", {"open_s": "1"}, "the shutter keeps its own time"),
        ("sync_shutter", {"fires": "by wish"}, "way to fire"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_written(
    client: TestClient, desk: Desk, asked: str, said: dict[str, str], sentence: str
) -> None:
    before = desk.book()
    fields = Forms(client.get(f"{COUNT}?fires={asked}").text).fields[COUNT]
    answer = client.post(COUNT, data={**fields, "fired": "all", **said})
    assert answer.status_code in (404, 422)
    assert sentence in unescape(answer.text)
    assert desk.book() == before


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/sitting/OM/9/count", 404),
        (f"{COUNT}?fires=by+wish", 404),
        (f"{COUNT}?delay=soon", 422),
        (f"{COUNT}?delay=-3", 422),
        (f"{COUNT}?delay=nan", 422),
    ],
)
def test_an_address_that_cannot_be_is_refused(client: TestClient, path: str, status: int) -> None:
    assert client.get(path).status_code == status


# ── Holders ──────────────────────────────────────────────────────────────────────────────────────


def test_the_set_list_names_the_side_and_shoot_takes_it(client: TestClient, desk: Desk) -> None:
    add_holders(desk, "1 B", "2 A")
    assert "holder 1, side B" in words(client.get("/sitting/OM").text)
    count = press(client, "/sitting/OM", at="/shoot").headers["location"]
    assert sheets(desk)[-1].holder_side == "1 B"
    assert "Holder holder 1, side B" in words(client.get(count).text)
    assert "holder 2, side A" in words(client.get("/sitting/OM").text)


def test_another_loaded_side_is_a_tap_more(client: TestClient, desk: Desk) -> None:
    add_holders(desk, "1 A", "2 B")
    fields = Forms(client.get("/sitting/OM").text).fields["/sitting/OM/shoot"]
    assert 'form="make" name="holder" value="2 B"' in client.get("/sitting/OM").text
    client.post("/sitting/OM/shoot", data={**fields, "holder": "2 B"})
    assert sheets(desk)[-1].holder_side == "2 B"


def test_no_side_is_exposed_twice_and_what_was_turned_is_not_lost(
    client: TestClient, desk: Desk
) -> None:
    add_holders(desk, "1 A")
    press(client, "/sitting/OM", at="/shoot")
    turned = press(client, "/sitting/OM", ("turn", "f=8"), at="/shoot").headers["location"]
    fields = Forms(client.get(turned).text).fields["/sitting/OM/shoot"]
    answer = client.post("/sitting/OM/shoot", data=fields)
    assert answer.status_code == 422
    assert len(sheets(desk)) == 5
    said = words(answer.text)
    assert "No loaded side is left (holder 1, side A holds OM 5)" in said
    again = Forms(answer.text).fields["/sitting/OM/shoot"]
    assert again["f"] == ["8"]
    answer = client.post("/sitting/OM/shoot", data={**again, "loaded": "1 A"})
    assert answer.headers["location"] == "/sitting/OM/6/count"
    sheet = sheets(desk)[-1]
    assert sheet.holder_side == "1 A"
    assert as_made(sheet.settings, sheet.made).f_number == 8


def test_without_a_holder_it_is_made_too(client: TestClient, desk: Desk) -> None:
    add_holders(desk)
    fields = Forms(client.get("/sitting/OM").text).fields["/sitting/OM/shoot"]
    assert client.post("/sitting/OM/shoot", data=fields).status_code == 422
    fields = Forms(client.get("/sitting/OM").text).fields["/sitting/OM/shoot"]
    assert client.post("/sitting/OM/shoot", data={**fields, "holder": "none"}).status_code == 303
    assert sheets(desk)[-1].holder_side is None


def test_sides_are_loaded_and_unloaded_with_marks_and_clips_shown(
    client: TestClient, desk: Desk
) -> None:
    add_holders(desk)
    press(client, "/holders", ("do", "load:1 A"))
    press(client, "/holders", ("do", "load:2 A"), paper="lovage/1")
    page = words(client.get("/holders").text)
    assert "Sorrel No. 2, will be OM 5 Pencil OM 5, clip 5, top left, two nicks" in page
    assert "Sides: 2 loaded, 2 empty." in page
    press(client, "/sitting/OM", at="/shoot")
    page = words(client.get("/holders").text)
    assert "OM 5, exposed, since 12:00 On its back: OM 5, clip 5" in page
    press(client, "/holders", ("do", "unload:1 A"))
    assert states(desk) == {"1 A": "empty", "1 B": "empty", "2 A": "loaded", "2 B": "empty"}
    press(client, "/holders", ("do", "load all"))
    assert set(states(desk).values()) == {"loaded"}


def test_in_the_dark_holders_have_buttons_alone(client: TestClient, desk: Desk) -> None:
    add_holders(desk, "1 A")
    client.cookies.set("mode", "safelight")
    page = client.get("/holders").text
    main = page[page.index("<main") : page.index("</main>")]
    assert re.findall(r"<input(?![^>]*hidden)|<select|<textarea", main) == []
    press(client, "/holders", ("do", "load:2 B"))
    assert next(s.paper for s in desk.holder_sides() if s.key == "2 B") == PAPER


@pytest.mark.parametrize("do", ["burn:1 A", "load:7 A", ""])
def test_what_no_button_says_is_refused(client: TestClient, desk: Desk, do: str) -> None:
    add_holders(desk)
    fields = Forms(client.get("/holders").text).fields["/holders"]
    assert client.post("/holders", data={**fields, "do": do}).status_code in (404, 422)
    assert set(states(desk).values()) == {"empty"}


def test_a_holder_is_added_in_the_kit_and_keeps_what_is_in_it_when_changed(
    client: TestClient, desk: Desk
) -> None:
    assert "Add a holder" in client.get("/kit").text
    press(client, "/kit/holders/add", number="2", sheet="13x18 cm")
    (holder,) = desk.book().kit.holders
    assert (holder.id, holder.name, holder.format_mm) == ("2", "2", (130, 180))
    desk.load_side("2 B", PAPER)
    press(client, "/kit/holders/2", insert="13 × 18 in 18 × 24", spacer_mm="1.5")
    (holder,) = desk.book().kit.holders
    assert (holder.insert, holder.spacer_mm) == ("13 × 18 in 18 × 24", 1.5)
    assert holder.holds["B"].state == "loaded"
    assert "insert 13 × 18 in 18 × 24, spacer 1.5 mm" in client.get("/holders").text


def test_without_a_holder_the_page_says_what_one_is_for(client: TestClient) -> None:
    assert "no side is exposed twice" in client.get("/holders").text
