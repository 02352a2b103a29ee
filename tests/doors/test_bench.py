"""The bench behind its page: facts taken once, what it is made of, what a kept page needs."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk
from stillroom.web.pages.bench import EVENTS_MOST, KEPT

DARK = {"mode": "safelight"}
SHEET = {"sitting": "OM", "sheet": 3}


def event(kind: str, at: str, run: str = "run-1", **more: Any) -> dict[str, Any]:
    return {"id": str(uuid.uuid4()), "kind": kind, "run": run, "at": f"2026-11-14T{at}Z", **more}


def begin() -> dict[str, Any]:
    told = event("begin", "12:00:00", process="rc-trays/permanganate", temperature_c=20.0)
    return told | SHEET


@pytest.fixture
def unread(client: TestClient, desk: Desk) -> TestClient:
    """A browser on a book whose third sheet waits for the line."""
    sitting = desk.book().sittings[0]
    number = desk.shoot(sitting.id, sitting.sheets[-1].settings, "one-time-number-of-a-form")
    assert number == SHEET["sheet"]
    return client


def send(client: TestClient, *events: Mapping[str, Any]) -> dict[str, Any]:
    answer = client.post("/bench/events", json={"events": events})
    assert answer.status_code == 200
    told: dict[str, Any] = answer.json()
    return told


def test_an_event_is_taken_once_however_often_it_is_sent(unread: TestClient, desk: Desk) -> None:
    told = [
        begin(),
        event("longer", "12:00:30", step="first_development", seconds=10),
        event("step", "12:02:10", step="first_wash"),
    ]
    for _ in range(3):
        answer = send(unread, *told)
        assert sorted(answer["taken"]) == sorted(one["id"] for one in told)
        assert answer["refused"] == []
    (run,) = desk.bench().runs
    assert [(s.step, s.longer_s) for s in run.steps] == [
        ("first_development", 10),
        ("first_wash", 0),
    ]


def test_one_that_is_refused_takes_no_other_with_it(unread: TestClient, desk: Desk) -> None:
    stray, first = event("stop", "12:01:00", run="nobody"), begin()
    answer = send(unread, stray, first)
    assert answer["taken"] == [first["id"]]
    ((refused,),) = (answer["refused"],)
    assert refused["id"] == stray["id"]
    assert re.fullmatch(r"Nothing is known of run 'nobody'.*\.", refused["sentence"])
    assert len(desk.bench().runs) == 1


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"not json", "What the bench sent"),
        (b'{"events": "none"}', "no list of events"),
        (b'{"events": [1]}', "no list of events"),
        (b"[]", "no list of events"),
        (json.dumps({"events": [{}] * (EVENTS_MOST + 1)}).encode(), "at most 2000"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(client: TestClient, body: bytes, said: str) -> None:
    answer = client.post(
        "/bench/events", content=body, headers={"content-type": "application/json"}
    )
    assert answer.status_code == 422
    assert said in answer.json()["sentence"]


def test_events_from_a_page_of_another_place_are_not_let_in(
    unread: TestClient, desk: Desk
) -> None:
    answer = unread.post(
        "/bench/events", json={"events": [begin()]}, headers={"origin": "http://elsewhere.test"}
    )
    assert answer.status_code == 403
    assert desk.bench().runs == ()


def test_an_open_page_asks_for_what_a_fresh_one_is_given(client: TestClient, desk: Desk) -> None:
    assert client.get("/bench/plan").json() == desk.bench().model_dump(mode="json")


@pytest.mark.parametrize("cookies", [{}, DARK])
def test_the_page_is_for_both_lights(client: TestClient, cookies: dict[str, str]) -> None:
    client.cookies.update(cookies)
    page = client.get("/bench").text
    assert "This needs the lights on" not in page
    assert "The line runs by itself when this page may run script." in page
    assert "Gloves" in page
    main = page.split("<main")[1].split("</main>")[0]
    if cookies:
        assert not re.search(r"<(?:textarea|select|img)\b", main)


def test_process_and_temperature_are_kept(client: TestClient, desk: Desk) -> None:
    client.post("/bench/set", data={"process": "fibre-trays/dichromate"})
    client.post("/bench/set", data={"temperature_c": "18.5"})
    kept = desk.bench()
    assert (kept.process.id, kept.temperature_c) == ("fibre-trays/dichromate", 18.5)


def test_a_line_of_forty_five_degrees_is_one_sentence(client: TestClient, desk: Desk) -> None:
    before = desk.bench().temperature_c
    answer = client.post("/bench/set", data={"temperature_c": "45"})
    assert answer.status_code in (400, 422)
    assert "45" in answer.text
    assert desk.bench().temperature_c == before


def test_the_worker_may_keep_the_bench_and_nothing_more(client: TestClient) -> None:
    answer = client.get("/bench/worker.js")
    assert answer.headers["service-worker-allowed"] == "/bench"
    assert answer.headers["content-type"].startswith("text/javascript")
    for address in re.findall(r"'(/static/[^']+)'", answer.text):
        assert client.get(address).status_code == 200


def test_all_that_the_page_asks_for_is_kept(client: TestClient) -> None:
    static = files("stillroom.web").joinpath("static")
    asked = set(re.findall(r"/static/([\w.-]+)\?", client.get("/bench").text))
    found: set[str] = set()
    while asked - found:
        name = (asked - found).pop()
        found.add(name)
        if name.endswith(".js"):
            asked |= set(re.findall(r"from '\./([\w.-]+)'", static.joinpath(name).read_text()))
    assert found == set(KEPT)


# ── The coin test ───────────────────────────────────────────────────────────────────────────


def note(client: TestClient) -> str:
    client.cookies.update(DARK)
    found = re.search(r'class="lamp-note">(.*?)<', client.get("/bench").text)
    assert found
    return found[1].strip()


def coin(client: TestClient, first: int, paper: str = "sorrel-2/7") -> int:
    form = re.search(r'name="form_id" value="([^"]+)"', client.get("/bench/coin").text)
    assert form
    said = {"form_id": form[1], "paper": paper, "first": str(first)}
    return client.post("/bench/coin", data=said, follow_redirects=False).status_code


def test_a_screen_that_was_not_tested_says_so(client: TestClient) -> None:
    assert note(client).startswith("This screen is not a safelight until it has passed the coin")


def test_a_coin_test_answers_the_notice_for_this_brightness_and_dimmer(client: TestClient) -> None:
    client.cookies.set("dim", "1")
    assert coin(client, 0) == 303
    said = note(client)
    assert said.startswith("No coin showed in 12 minutes with Sorrel No. 2 glossy, batch 7 on Sat")
    assert "safe" not in said.lower()
    client.cookies.set("dim", "2")
    assert note(client) == said
    client.cookies.set("dim", "0")
    assert note(client).startswith("This screen is not a safelight")


def test_a_screen_that_showed_a_coin_is_told_so_as_bright_and_brighter(client: TestClient) -> None:
    client.cookies.set("dim", "1")
    coin(client, 4)
    assert note(client).startswith("A coin showed after 4 minutes with Sorrel No. 2")
    client.cookies.set("dim", "0")
    assert note(client).startswith("A coin showed after 4 minutes")
    client.cookies.set("dim", "2")
    assert note(client).startswith("This screen is not a safelight")


def test_another_screen_and_another_paper_have_tests_of_their_own(
    client: TestClient, desk: Desk
) -> None:
    other = next(p.id for p in desk.book().papers if p.id != "sorrel-2/7")
    coin(client, 0, other)
    assert note(client).startswith("This screen is not a safelight")
    coin(client, 0)
    assert note(client).startswith("No coin showed")
    client.cookies.delete("screen")
    assert note(client).startswith("This screen is not a safelight")


@pytest.mark.parametrize("first", ["3", "", "-2"])
def test_a_coin_that_was_not_laid_is_one_sentence(client: TestClient, first: str) -> None:
    said = {"form_id": "0123456789abcdef", "paper": "sorrel-2/7", "first": first}
    answer = client.post("/bench/coin", data=said)
    assert answer.status_code in (400, 422)
    assert "The first coin" in answer.text


def test_a_year_of_coin_tests_still_fits(client: TestClient) -> None:
    for _ in range(4):
        for dim in ("0", "1", "2"):
            client.cookies.set("dim", dim)
            client.cookies.delete("screen")
            assert coin(client, 0) == 303
