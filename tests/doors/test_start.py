"""The first run: a first sheet from a few taps, or none."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from quarry_lane import NOON, open_desk  # type: ignore[import-not-found]
from seated_book import PARLOUR, PLACE, YARD  # type: ignore[import-not-found]

from stillroom.documents.book import Book
from stillroom.services.desk import Desk
from stillroom.web.app import create_app

FormId = Callable[[str], str]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """An empty book."""
    with open_desk(tmp_path, Book()) as opened:
        yield opened


def test_an_empty_book_starts_here(client: TestClient) -> None:
    assert client.get("/").headers["location"] == "/start"
    page = client.get("/start").text
    assert re.search(r'<a href="/start" aria-current="page"[^>]*>Start</a>', page)
    assert ">Sitting</a>" not in page


def test_every_question_has_an_answer_already(client: TestClient) -> None:
    page = client.get("/start").text
    for name in ("light", "strength", "paper", "camera", "steps"):
        answers = re.findall(rf'<input type="radio" name="{name}"[^>]*>', page)
        assert len(answers) >= 3
        assert sum("checked" in answer for answer in answers) == 1
    assert "required" not in page.split("<form class=")[1].split("</form>")[0]


def test_what_it_leads_to_is_worked_out_before_anything_is_written(
    client: TestClient, desk: Desk
) -> None:
    page = unescape(client.get("/start").text)
    assert "<i>f⁄</i>5.6" in page  # a 300 mm lens for 13 x 18 cm, common practice
    assert re.search(r"<b>1, [\d, ]+</b><small>pops; one offcut each", page)
    assert desk.book() == Book()


def test_more_is_known_when_more_is_answered(client: TestClient) -> None:
    def sure(query: str) -> float:
        page = client.get(f"/start?{query}").text
        found = re.search(r"known to about ±(\d*)([⅓½⅔]?)", page)
        assert found
        return int(found[1] or 0) + {"": 0, "⅓": 1 / 3, "½": 0.5, "⅔": 2 / 3}[found[2]]

    nothing = sure("light=flash&paper=unknown&strength=unknown")
    something = sure("light=flash&paper=graded&strength=1000")
    assert something < nothing


def test_steady_light_is_told_in_seconds(client: TestClient) -> None:
    page = unescape(client.get("/start?light=daylight&steps=slide").text)
    assert re.search(r"<b>[\d.]+ s, [\d.]+ s", page)
    assert "dark slide drawn a strip at a time" in page


def test_a_first_sheet_without_one_letter_typed(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    answer = client.post(
        "/start",
        data={
            "form_id": form_id("/start"),
            "light": "flash",
            "strength": "1000",
            "paper": "graded",
            "camera": "8x10 in",
            "steps": "pieces",
        },
    )
    assert answer.status_code == 303
    book = desk.book()
    assert answer.headers["location"] == f"/sitting/{book.sittings[0].id}"
    assert book.kit.heads[0].energy_ws == 1000
    assert book.kit.cameras[0].format_mm == pytest.approx((203.2, 254.0))  # 8 x 10 in
    assert client.get("/").headers["location"] == answer.headers["location"]


def test_skipping_everything_still_makes_a_sheet(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    answer = client.post("/start", data={"form_id": form_id("/start"), "skip": "yes"})
    assert answer.status_code == 303
    assert len(desk.book().sittings) == 1


def test_what_is_typed_goes_before_what_is_tapped(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    client.post(
        "/start",
        data={
            "form_id": form_id("/start"),
            "light": "flash",
            "strength": "500",
            "energy_ws": "640",
            "lens_mm": "240",
            "widest_f": "f/6,8",
            "distance_m": "2 ft 4",
        },
    )
    book = desk.book()
    assert book.kit.heads[0].energy_ws == 640
    assert book.kit.lenses[0].f_numbers[0] == 6.8
    assert book.sittings[0].lights[0].distance_m == pytest.approx(28 * 0.0254)


def test_a_wrong_answer_comes_back_marked_and_nothing_is_written(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    answer = client.post(
        "/start",
        data={
            "form_id": form_id("/start"),
            "light": "lamps",
            "paper": "graded",
            "lens_mm": "three hundred",
        },
    )
    assert answer.status_code == 422
    assert 'value="three hundred"' in answer.text
    assert 'id="e-lens_mm"' in answer.text
    assert re.search(r'name="light" value="lamps" checked', answer.text)
    assert '<details class="fold" open>' in answer.text
    assert desk.book() == Book()


def test_a_double_tap_makes_one_sitting(client: TestClient, desk: Desk, form_id: FormId) -> None:
    data = {"form_id": form_id("/start"), "skip": "yes"}
    places = {client.post("/start", data=data).headers["location"] for _ in range(3)}
    assert len(places) == len(desk.book().sittings) == 1


def test_the_way_to_the_demo(desk: Desk) -> None:
    with TestClient(create_app(desk), base_url="http://127.0.0.1") as client:
        assert "<kbd>stillroom demo</kbd>" in client.get("/start").text
    with TestClient(create_app(desk, is_demo=True), base_url="http://127.0.0.1") as client:
        page = client.get("/start").text
        assert "Open the demo sitting" in page
        assert "<kbd>" not in page


@pytest.fixture
def parlour(desk: Desk) -> str:
    """A book with a window seat and a yard, and nothing made yet."""
    for kind, thing in (("places", PLACE), ("seats", PARLOUR), ("seats", YARD)):
        desk.add_thing(kind, thing)
    return str(PARLOUR["id"])


def test_without_a_seat_daylight_is_a_guess_of_what_a_meter_shows(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    assert "On which seat?" not in client.get("/start").text
    client.post("/start", data={"form_id": form_id("/start"), "light": "daylight"})
    (light,) = desk.book().sittings[0].lights
    assert light.kit_id is None
    assert light.metered_lx is not None


def test_with_a_seat_daylight_is_that_of_the_seat(
    client: TestClient, desk: Desk, form_id: FormId, parlour: str
) -> None:
    page = client.get("/start").text
    assert "On which seat?" in page
    assert re.search(rf'name="seat" value="{parlour}" checked', page)
    data = {"form_id": form_id("/start"), "light": "daylight", "seat": parlour}
    assert client.post("/start", data=data).status_code == 303
    (light,) = desk.book().sittings[0].lights
    assert (light.kind, light.kit_id, light.metered_lx) == ("window", parlour, None)
    assert "Sky" in client.get("/sitting/first").text


@pytest.mark.usefixtures("parlour")
def test_another_place_than_the_seats_is_a_guess_again(
    client: TestClient, desk: Desk, form_id: FormId
) -> None:
    data = {"form_id": form_id("/start"), "light": "daylight", "seat": "no seat"}
    client.post("/start", data=data)
    assert desk.book().sittings[0].lights[0].metered_lx is not None


@pytest.mark.usefixtures("parlour")
def test_flash_asks_for_no_seat(client: TestClient, desk: Desk, form_id: FormId) -> None:
    data = {"form_id": form_id("/start"), "light": "flash", "seat": "yard"}
    client.post("/start", data=data)
    (light,) = desk.book().sittings[0].lights
    assert (light.kind, desk.book().kit.heads[0].id) == ("head", light.kit_id)


@pytest.mark.parametrize("hour", [3, 12])
def test_what_a_seat_leads_to_is_worked_out_by_day_and_by_night(tmp_path: Path, hour: int) -> None:
    with open_desk(tmp_path, Book()) as desk:
        for kind, thing in (("places", PLACE), ("seats", YARD)):
            desk.add_thing(kind, thing)
        desk._clock = lambda: NOON.replace(hour=hour)
        client = TestClient(create_app(desk), base_url="http://127.0.0.1")
        page = client.get("/start?light=daylight&seat=yard").text
        assert "What you will get" in page
        assert desk.book().sittings == ()
