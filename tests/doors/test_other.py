"""The page Other camera, as a browser without script meets it. Everything here is invented."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.kit import Camera, Lens
from stillroom.documents.sitter_card import SitterCard
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import sitting_book, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    book = sitting_book()
    large = Camera(id="box", name="box camera", format_mm=(203.2, 254), draw_max_mm=720)
    lens = Lens(id="long", focal_mm=360, f_numbers=(6.3, 8, 11, 16, 22, 32), coverage_mm=420)
    kit = book.kit.model_copy(
        update={"cameras": (*book.kit.cameras, large), "lenses": (*book.kit.lenses, lens)}
    )
    with sitting_desk(tmp_path, book.model_copy(update={"kit": kit})) as opened:
        yield opened


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_price_the_ways_and_what_carries(client: TestClient) -> None:
    page = client.get("/other")
    assert page.status_code == 200
    text = text_of(page.text)
    assert re.search(r"In the hand it asks for \S+ stops? more than the", text)
    assert re.search(r"On the wall it asks for", text)
    assert re.search(r"(One way|Two ways|Three ways|Four ways|Five ways|No way)", text)
    assert "What carries over" in text
    assert page.text.count('<span class="rank"') <= 5


def test_the_wall_asks_less_and_is_chosen_in_the_address(client: TestClient, desk: Desk) -> None:
    ways = desk.ways("OM", "box", "long", viewing="on_the_wall")
    assert ways.on_the_wall.stops < ways.in_the_hand.stops
    page = client.get("/other?viewing=on_the_wall&camera=box&lens=long")
    assert ways.headline in text_of(page.text)
    assert re.search(r'value="on_the_wall" checked', page.text)


def test_ways_stand_as_the_desk_ranks_them(client: TestClient, desk: Desk) -> None:
    ways = desk.ways("OM", "box", "long", viewing="in_the_hand").ways
    text = client.get("/other?camera=box&lens=long").text
    places = [text.index(way.title) for way in ways]
    assert places == sorted(places)
    for way in ways:
        assert (f"<s>{way.title}</s>" in text) == (not way.feasible)
        assert way.why in text


def test_a_sitter_who_wants_no_flash_is_told_of(client: TestClient, desk: Desk) -> None:
    assert "no to flash" not in client.get("/other?camera=box&lens=long").text
    desk.write_sitter_card("OM", SitterCard(flash_all_right="no"))
    assert "O. M. said no to flash" in text_of(client.get("/other?camera=box&lens=long").text)


def test_what_the_kit_does_not_have_is_not_asked(client: TestClient) -> None:
    assert client.get("/other?camera=submarine&lens=none").status_code == 200


def test_a_framing_beyond_the_bellows_is_said_with_what_they_reach(
    client: TestClient, desk: Desk
) -> None:
    desk.edit_thing("cameras", "box", {"draw_max_mm": 420.0})
    text = text_of(client.get("/other?camera=box&lens=long").text)
    assert re.search(r"would take 1:\S+, which the long cannot reach on this camera", text)
    assert "reckoned at 1:6.0" in text


def test_a_camera_no_lens_focuses_on_is_refused_in_a_sentence(
    client: TestClient, desk: Desk
) -> None:
    desk.edit_thing("cameras", "box", {"draw_min_mm": 100.0, "draw_max_mm": 150.0})
    page = client.get("/other?camera=box&lens=long")
    assert page.status_code == 422
    assert "shorter lens" in text_of(page.text)


def test_a_kit_with_one_camera_leads_to_the_kit(client: TestClient, desk: Desk) -> None:
    for camera in desk.book().kit.cameras:
        if camera.id != desk.book().sittings[0].camera:
            desk.retire_thing("cameras", camera.id)
    page = client.get("/other").text
    assert "There is one camera in the kit." in page
    assert 'href="/kit/cameras/new"' in page


def test_in_safelight_it_wants_the_lights_on(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    assert "needs the lights on" in client.get("/other").text
