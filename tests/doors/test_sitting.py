"""The Sitting page as a browser without script sees it, on a real desk."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Made, Sheet, Sitting
from stillroom.services.desk import Desk
from stillroom.web.app import create_app

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import Forms, press, sitting_book, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def sheets(desk: Desk) -> tuple[Sheet, ...]:
    return desk.book().sittings[0].sheets


def test_the_page_shows_every_value_the_odds_and_no_percentage(client: TestClient) -> None:
    page = client.get("/sitting/OM").text
    for said in ("OM 5", "Key, head A", "below full", "cloth to cheek", "Rim, head C", "Camera"):
        assert said in page
    assert "in 10" in page or re.search(r"1 in \d+", page)
    assert "%" not in re.sub(r'(?s)<style.*?</style>|style="[^"]*"|href="[^"]*"', "", page)
    assert "Read OM 4" in page


def test_the_same_again_is_one_press_and_records_what_was_said(
    client: TestClient, desk: Desk
) -> None:
    said = desk.advice("OM")
    answer = press(client, "/sitting/OM?plan=sheet", at="/shoot")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/sitting/OM/5/count"
    made = sheets(desk)[-1]
    assert (made.number, made.mark, made.settings, made.made) == (5, "OM 5", said.settings, None)
    assert made.p_tones_land == said.forecast.p_keeper
    assert made.expected["key"].q50 == said.forecast.regions["key"].placement_stops.q50


def test_a_dial_that_was_really_another_is_recorded_as_made(
    client: TestClient, desk: Desk
) -> None:
    planned = desk.advice("OM").settings
    turned = press(client, "/sitting/OM", ("turn", "key.dial=-1.5"), at="/shoot")
    assert turned.status_code == 303
    where = turned.headers["location"]
    assert parse_qs(urlsplit(where).query) == {"key.dial": ["-1.5"]}
    assert "1.5" in client.get(where).text
    assert "Recorded as you set it" in client.get(where).text
    press(client, where, at="/shoot")
    shot = sheets(desk)[-1]
    assert shot.settings == planned
    assert shot.made == Made.model_validate({"lights": {"key": {"dial": -1.5}}})


def test_turning_one_thing_keeps_what_was_turned_before(client: TestClient, desk: Desk) -> None:
    first = press(client, "/sitting/OM", ("turn", "key.dial=-1.5"), at="/shoot").headers[
        "location"
    ]
    second = press(client, first, ("turn", "rim.with=strip"), at="/shoot").headers["location"]
    third = press(client, second, ("turn", "f=8"), at="/shoot").headers["location"]
    press(client, third, at="/shoot")
    made = sheets(desk)[-1].made
    assert made is not None
    assert made.f_number == 8
    assert made.lights["rim"].modifiers == ("strip",)
    assert made.lights["key"].dial == -1.5


def test_a_value_set_back_to_the_plan_is_no_difference(client: TestClient, desk: Desk) -> None:
    advised = desk.advice("OM").settings.lights["key"].dial
    away = press(client, "/sitting/OM", ("turn", "key.dial=-1.5"), at="/shoot").headers["location"]
    back = press(client, away, ("turn", f"key.dial={advised:g}"), at="/shoot").headers["location"]
    assert back == "/sitting/OM"


def test_a_light_switched_off_lights_nothing_and_is_recorded(
    client: TestClient, desk: Desk
) -> None:
    where = press(client, "/sitting/OM", ("turn", "rim.on=no"), at="/shoot").headers["location"]
    press(client, where, at="/shoot")
    made = sheets(desk)[-1].made
    assert made is not None
    assert made.lights["rim"].on is False


def test_a_distance_is_read_in_any_wording(client: TestClient) -> None:
    answer = press(
        client, "/sitting/OM", ("turn", "typed"), at="/shoot", **{"typed:key.at": "2 ft 6 in"}
    )
    assert answer.status_code == 303
    assert parse_qs(urlsplit(answer.headers["location"]).query) == {"key.at": ["0.762"]}


def test_a_length_that_is_none_comes_back_as_it_was_typed(client: TestClient, desk: Desk) -> None:
    answer = press(
        client, "/sitting/OM", ("turn", "typed"), at="/shoot", **{"typed:key.at": "near"}
    )
    assert answer.status_code == 422
    assert "not a length; write it like 90 cm" in answer.text
    assert 'value="near"' in answer.text
    assert len(sheets(desk)) == 4


def test_a_double_tap_makes_one_sheet(client: TestClient, desk: Desk) -> None:
    forms = Forms(client.get("/sitting/OM").text)
    fields = forms.fields["/sitting/OM/shoot"]
    first, again = (client.post("/sitting/OM/shoot", data=fields) for _ in range(2))
    assert (first.status_code, again.status_code) == (303, 303)
    assert len(sheets(desk)) == 5


def test_a_room_state_is_said_before_the_next_sheet(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/sitting/OM", ("turn", "room=curtains closed"), at="/shoot")
    assert answer.status_code == 303
    assert desk.book().sittings[0].room_state == "curtains closed"


def test_a_meter_reading_is_written_with_the_set_as_it_stands(
    client: TestClient, desk: Desk
) -> None:
    before = len(desk.book().sittings[0].meter_readings)
    where = press(client, "/sitting/OM", ("turn", "key.dial=-1.5"), at="/shoot").headers[
        "location"
    ]
    answer = press(client, where, ("shows", "11.0"), at="/shoot")
    assert answer.status_code == 303
    assert "key.dial=-1.5" in answer.headers["location"]
    readings = desk.book().sittings[0].meter_readings
    assert len(readings) == before + 1
    last = readings[-1]
    assert (last.region, last.shows.f_number, last.before_sheet) == ("key", 11, 5)
    assert last.meter == "flat"
    assert last.settings is not None
    assert last.settings.lights["key"].dial == -1.5


def test_locks_and_efforts_are_hers(client: TestClient, desk: Desk) -> None:
    answer = press(
        client,
        "/sitting/OM",
        at="/locks",
        locked=["key", "stop"],
        **{"effort:stand": "9"},
    )
    assert answer.status_code == 303
    sitting = desk.book().sittings[0]
    assert sitting.locks == ("key", "stop")
    assert sitting.efforts["stand"] == 9
    standing = desk.forecast("OM").settings.lights["key"].dial
    assert desk.advice("OM").settings.lights["key"].dial == standing


def test_an_effort_that_is_no_number_is_refused(client: TestClient) -> None:
    answer = press(client, "/sitting/OM", at="/locks", **{"effort:dial": "much"})
    assert answer.status_code == 422
    assert "not a number" in answer.text


def test_what_was_really_set_can_be_put_right_later(client: TestClient, desk: Desk) -> None:
    answer = press(client, "/sitting/OM/3", ("turn", "pops=2"), at="/made")
    assert answer.status_code == 303
    made = sheets(desk)[2].made
    assert made is not None
    assert made.pops == 2
    press(client, "/sitting/OM/3", ("turn", "pops=1"), at="/made")
    assert sheets(desk)[2].made is None


def test_a_sheet_shows_what_was_expected_and_seen(client: TestClient) -> None:
    page = client.get("/sitting/OM/3").text
    assert "In the box" in page
    assert "bare" in page
    assert "/sitting/OM/3/ledger?region=key" in page


def test_every_figure_opens_the_ledger(client: TestClient) -> None:
    page = client.get("/sitting/OM").text
    ledgers = set(re.findall(r'href="(/sitting/OM/5/ledger\?region=[a-z]+)"', page))
    assert {"key", "shadow", "rim"} <= {where.rpartition("=")[2] for where in ledgers}
    assert all(client.get(where).status_code == 200 for where in ledgers)


def test_sittings_are_listed_by_day(client: TestClient) -> None:
    page = client.get("/sittings").text
    assert "Saturday 14 November 2026" in page
    assert "4 sheets, 1 in the box, 1 to read" in page


def test_names_that_are_not_there_are_answered_in_a_sentence(client: TestClient) -> None:
    for where in ("/sitting/none", "/sitting/OM/99", "/sitting/none/aims", "/sitting/none/next"):
        answer = client.get(where)
        assert answer.status_code == 404
        assert "There is no" in answer.text


@pytest.mark.parametrize("query", ["key.dial=NaN", "f=0", "pops=1000", "s=-1", "key.at=1e9"])
def test_a_setting_no_hand_can_make_is_refused(client: TestClient, query: str) -> None:
    answer = client.get(f"/sitting/OM?{query}")
    assert answer.status_code == 422
    assert "Traceback" not in answer.text


def test_an_id_with_a_slash_has_an_address_too(tmp_path: Path) -> None:
    book = sitting_book()
    told = book.sittings[0].model_dump(exclude_unset=True) | {"id": "OM 14/11"}
    odd = book.model_copy(update={"sittings": (Sitting.model_validate(told),)})
    (tmp_path / "odd").mkdir()
    with sitting_desk(tmp_path / "odd", odd) as desk:
        client = TestClient(
            create_app(desk),
            base_url="http://127.0.0.1",
            headers={"origin": "http://127.0.0.1"},
            follow_redirects=False,
        )
        found = re.search(r'href="(/sitting/[^"]+)"', client.get("/sittings").text)
        assert found
        counted = press(client, found[1], at="/shoot").headers["location"]
        assert counted == f"{found[1]}/5/count"
        assert client.get(counted).status_code == 200
        assert len(sheets(desk)) == 5


def test_what_somebody_wrote_is_never_markup(client: TestClient, desk: Desk) -> None:
    desk.edit_sitter("OM", {"initials": "<b>&"})
    page = client.get("/sitting/OM").text
    assert "<b>&" not in page
    assert "&lt;b&gt;&amp;" in page


def test_in_the_dark_the_sitting_is_shown_and_nothing_can_be_typed(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    page = client.get("/sitting/OM").text
    assert 'data-mode="safelight"' in page
    fields = re.findall(r"<(?:input|select|textarea)[^>]*>", page)
    assert all('type="hidden"' in field for field in fields)
    assert "<img" not in page
    assert "Shoot OM 5" in page


@pytest.mark.parametrize("where", ["/read/OM/4", "/sitting/OM/aims", "/sitting/OM/next"])
def test_the_other_pages_need_the_lights_on(client: TestClient, where: str) -> None:
    client.cookies.set("mode", "safelight")
    page = client.get(where).text
    assert "This needs the lights on" in page
    assert "<input" not in page.replace('<input type="hidden"', "")
