"""Daylight as a browser without script sees it: the year, today, the next days, the calendar."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from quarry_lane import open_desk  # type: ignore[import-not-found]
from seated_book import seated_book  # type: ignore[import-not-found]

from stillroom.documents.book import Book
from stillroom.services.desk import Desk
from stillroom.telling.daylight_words import year_phrase
from stillroom.web.app import create_app

LIMITS = ["1", "2", "3", "4", "6", "8"]


# Nothing here writes but a preference, which is put back: what is believed is worked out once.
@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with open_desk(tmp_path_factory.mktemp("daylight"), seated_book()) as opened:
        yield opened


@pytest.fixture(scope="module")
def app(desk: Desk) -> FastAPI:
    return create_app(desk)


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    """A browser on this machine, with no cookies yet."""
    with TestClient(
        app,
        base_url="http://127.0.0.1",
        headers={"origin": "http://127.0.0.1"},
        follow_redirects=False,
    ) as made:
        yield made


def page_of(client: TestClient, path: str = "/daylight") -> str:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return unescape(answer.text)


def words(page: str) -> str:
    """What a reader reads of the main part, without drawings."""
    main = page.split("<main")[1].split("</main>", maxsplit=1)[0]
    main = re.sub(r"<svg.*?</svg>", " ", main, flags=re.DOTALL)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", main))


def asked_by_hand(desk: Desk) -> Any:
    usual = desk.daylight_default()
    assert usual is not None
    return usual


def test_it_stands_between_sitting_and_papers(client: TestClient) -> None:
    nav = page_of(client).split("<nav")[1].split("</nav>")[0]
    assert re.findall(r">([A-Z]\w+)</a>", nav) == ["Sitting", "Bench", "Daylight", "Papers", "Kit"]
    assert 'href="/daylight" aria-current="page" aria-keyshortcuts="d"' in nav


def test_the_sentence_is_that_of_the_desk(client: TestClient, desk: Desk) -> None:
    page = page_of(client)
    year = desk.daylight_year(asked_by_hand(desk))
    assert year.within_s == 8  # what the sitter of the current sitting holds
    said = re.search(r'role="status" data-answer>([^<]+)<', page)
    assert said
    assert said[1].startswith(f"In 8 s: {year_phrase(year, 8)}. ")
    assert "How long can K. S. hold still?" in page
    assert "K. S. said 8 s." in page


def test_limits_are_radios_of_the_one_form_and_each_has_its_answer(client: TestClient) -> None:
    page = page_of(client)
    radios = re.findall(
        r'<input type="radio" name="within" form="ask" value="([^"]+)" data-key="[^"]*" '
        r'data-says="In ([^:]+) s:[^"]*"( checked)?>',
        page,
    )
    assert [value for value, _, _ in radios] == LIMITS
    assert [said for _, said, _ in radios] == LIMITS
    assert [value for value, _, checked in radios if checked] == ["8"]
    assert '<form id="ask" method="get" action="/daylight">' in page


@pytest.mark.parametrize("limit", ["1", "3", "2.5"])
def test_a_limit_in_the_address_is_the_one_heavy_line(client: TestClient, limit: str) -> None:
    page = page_of(client, f"/daylight?within={limit}&f=5.6")
    assert f"In {limit} s: " in words(page)
    heavy = re.findall(r'<use class="limit" data-limit(?: href="#iso-([^"]+)")?/>', page)
    assert len(heavy) == 1
    key = limit.replace(".", "-")
    assert (heavy[0] == key) == (f'<g id="iso-{key}">' in page)
    assert f">{limit} s or less<" in page


def test_the_table_of_months_is_that_of_the_desk(client: TestClient, desk: Desk) -> None:
    page = page_of(client, "/daylight?within=4")
    table = page.split("months-table")[1].split("</table>")[0]
    rows = re.findall(r'<th scope="row">(\w+)</th>(.*?)</tr>', table, flags=re.DOTALL)
    year = desk.daylight_year(asked_by_hand(desk))
    assert len(rows) == 12
    for (name, cells), month in zip(rows, year.months, strict=True):
        assert name == f"{month.date:%b}"
        stretch = month.within["4"]
        wanted = f"{stretch.begins:%H:%M} to {stretch.ends:%H:%M}" if stretch else "never"
        assert f">{wanted}<" in cells


def test_today_is_told_with_its_curve_its_range_and_a_table(
    client: TestClient, desk: Desk
) -> None:
    page = page_of(client)
    now = desk.daylight_now(asked_by_hand(desk))
    assert now.good_until is not None
    assert f"Good until {now.good_until:%H:%M} at " in words(page)
    assert 'class="band"' in page
    assert "nine in ten from" in page.split("day-curve")[1].split(">")[0]
    assert "Seconds needed today, hour by hour" in page
    assert 'href="/sitting/KS/last-look"' in page
    for way in now.ways:
        assert way.text[1:] in words(page)
    for caution in now.cautions:
        assert caution in words(page)


def test_the_next_days_are_those_of_the_desk(client: TestClient, desk: Desk) -> None:
    page = page_of(client, "/daylight?within=8")
    when = desk.daylight_when(asked_by_hand(desk), 14, 8.0)
    table = page.split("days-table")[1].split("</table>")[0]
    rows = re.findall(r'<th scope="row">([^<]+)</th>(.*?)</tr>', table, flags=re.DOTALL)
    assert len(rows) == 14
    for (_, cells), day in zip(rows, when.days, strict=True):
        shown = re.findall(r'<td class="n">([^<]*)</td>', cells)
        assert len(shown) == len(day.by_sky)
        for text, stretches in zip(shown, day.by_sky.values(), strict=True):
            assert text == (
                ", ".join(f"{s.begins:%H:%M} to {s.ends:%H:%M}" for s in stretches) or "never"
            )


def test_the_hours_as_a_calendar(client: TestClient, desk: Desk) -> None:
    page = page_of(client, "/daylight?within=8&sitting=plan")
    links = re.findall(r'<a href="(/daylight/hours\.ics\?[^"]+)" download>(\w+) sky</a>', page)
    assert [sky for _, sky in links] == ["clear", "middling", "dull"]
    for where, sky in links:
        answer = client.get(where)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
        assert answer.headers["content-disposition"].endswith(f'daylight-8s-{sky}.ics"')
        assert answer.text.startswith("BEGIN:VCALENDAR\r\n")
        plan = asked_by_hand(desk)
        from dataclasses import replace

        when = desk.daylight_when(replace(plan, sitting_id=None, sky=None), 14, 8.0)
        events = sum(len(day.by_sky[sky]) for day in when.days)
        assert answer.text.count("BEGIN:VEVENT") == events


def test_a_sky_the_calendar_has_not_is_said(client: TestClient) -> None:
    answer = client.get("/daylight/hours.ics?under=green")
    assert answer.status_code in (404, 422)
    assert "planned sky" in unescape(answer.text)


def test_everything_can_be_asked_by_the_address(client: TestClient) -> None:
    page = page_of(
        client,
        "/daylight?sitting=plan&seat=yard&paper=lovage/1&f=8&sky=dull&sitter=TR&within=3",
    )
    read = words(page)
    assert "Quarry Lane, yard wall, at f⁄8 on Lovage pearl" in read
    assert "under a dull sky" in read
    for name, value in [
        ("sitting", "plan"), ("seat", "yard"), ("paper", "lovage/1"), ("f", "8"),
        ("sky", "dull"), ("sitter", "TR"),
    ]:  # fmt: skip
        select = page.split(f'<select id="ask-{name}"')[1].split("</select>")[0]
        assert f'<option value="{value}" selected>' in select
    assert "Last look" not in read


def test_an_empty_form_asks_as_usual(client: TestClient) -> None:
    plain = words(page_of(client))
    empty = words(page_of(client, "/daylight?sitting=KS&seat=&paper=&lens=&f=&sky=&sitter="))
    assert plain == empty


@pytest.mark.parametrize(
    ("query", "status", "says"),
    [
        ("seat=moon", 404, "There is no seat called 'moon'; known here: parlour, yard."),
        ("within=0", 422, "limit is 0.0: give a number from 0.1 to 600 s"),
        ("sky=green", 422, "Sky is 'green': choose one of: clear, veiled, middling, dull."),
        ("f=wide", 422, "f-stop is 'wide': not a number"),
    ],
)
def test_what_cannot_be_asked_is_said_in_a_sentence(
    client: TestClient, query: str, status: int, says: str
) -> None:
    answer = client.get(f"/daylight?{query}")
    assert answer.status_code == status
    assert says in unescape(answer.text)


def test_a_mark_the_lens_has_not_is_told(client: TestClient) -> None:
    assert "has no mark f/4: f/5.6 is taken." in words(page_of(client, "/daylight?f=4"))


def test_a_book_without_a_place_leads_to_the_kit(tmp_path: Path) -> None:
    with (
        open_desk(tmp_path / "none", Book(stillroom="book/1")) as empty,
        TestClient(create_app(empty), base_url="http://127.0.0.1") as client,
    ):
        page = page_of(client)
        assert "Say where on earth this is, and where the sitter sits." in page
        ways = re.findall(r'<a class="btn(?: main)?" href="([^"]+)">Add', page)
        assert ways == [
            "/kit/places/add", "/kit/seats/add", "/papers/add", "/kit/lenses/add",
            "/kit/cameras/add",
        ]  # fmt: skip
        for way in ways:
            assert client.get(way).status_code == 200
        assert client.get("/daylight/hours.ics").status_code == 409


def test_a_place_without_a_seat_asks_for_the_seat(tmp_path: Path) -> None:
    book = seated_book()
    kit = book.kit.model_copy(update={"seats": ()})
    book = book.model_copy(
        update={"kit": kit, "sittings": tuple(s for s in book.sittings if s.id != "KS")}
    )
    with (
        open_desk(tmp_path / "none", book) as opened,
        TestClient(create_app(opened), base_url="http://127.0.0.1") as client,
    ):
        page = words(page_of(client))
    assert "Say what else a sheet by daylight is made with." in page
    assert "A place is written down" in page
    assert "Add a seat" in page


def test_it_needs_the_lights_on(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    page = page_of(client)
    assert "<h1>This needs the lights on.</h1>" in page
    assert "<svg" not in page.split("<main")[1]


def test_letters_can_be_turned_off(client: TestClient) -> None:
    assert 'aria-keyshortcuts="d"' in page_of(client, "/kit")
    answer = client.post("/letters", data={"letters": "off", "back": "/daylight"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/daylight")
    assert "aria-keyshortcuts" not in page_of(client, "/kit")
    assert client.post("/letters", data={"letters": "maybe"}).status_code == 422
    client.post("/letters", data={"letters": "on", "back": "/daylight"})
    assert 'aria-keyshortcuts="d"' in page_of(client, "/kit")


def test_the_first_picture_is_sent_before_the_rest_is_asked_for(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.get("/daylight")  # beliefs are worked out once a book
    from stillroom.web import page as frame

    sent: list[str] = []
    asked: list[int] = []
    parts = frame._parts

    def watched(pieces: Any) -> Any:
        for part in parts(pieces):
            sent.append(part)
            yield part

    now = desk.daylight_now

    def late(*given: Any, **named: Any) -> Any:
        asked.append(len(sent))
        return now(*given, **named)

    monkeypatch.setattr(frame, "_parts", watched)
    monkeypatch.setattr(desk, "daylight_now", late)
    assert client.get("/daylight?f=16").status_code == 200
    assert asked == [1]
    assert 'class="year-map"' in sent[0]
    assert "data-answer" in sent[0]
    assert "Today’s plan goes stale" not in sent[0]


@pytest.mark.slow
def test_the_first_picture_comes_soon(client: TestClient) -> None:
    client.get("/daylight")
    best = 9.0
    for mark in ("8", "11", "16", "22"):  # each a question that was not asked before
        begun = time.perf_counter()
        with client.stream("GET", f"/daylight?f={mark}") as answer:
            for part in answer.iter_text():
                if "year-map" in part:
                    break
        best = min(best, time.perf_counter() - begun)
    assert best < 1.0  # 0.3 s by itself; a busy machine of tests takes longer
