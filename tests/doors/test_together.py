"""Several sheets in hand, as a browser without script meets them, on a real desk."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Reading, Sheet
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from sitting_book import Forms, press, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        yield opened


def section(client: TestClient) -> str:
    """The part of the page that speaks of several sheets, as text."""
    found = re.search(
        r'(?s)<section class="sect pair".*?</section>', client.get("/sitting/OM").text
    )
    assert found
    return " ".join(re.sub(r"<[^>]+>", " ", found[0]).split())


def made(desk: Desk) -> tuple[Sheet, ...]:
    return desk.book().sittings[0].sheets


def plan(client: TestClient, count: int) -> None:
    answer = press(client, "/sitting/OM", ("count", str(count)), at="/together")
    assert answer.status_code == 303


def test_what_is_dear_is_asked_once_and_can_be_changed(client: TestClient, desk: Desk) -> None:
    assert "What is dear today?" in section(client)
    press(client, "/sitting/OM", ("dear", "time"), at="/dear")
    assert desk.book().sittings[0].dear == "time"
    assert "What is dear today?" not in section(client)
    assert re.search(r"Time is dear: (one|two|three|four) a round costs least\.", section(client))
    press(client, "/sitting/OM", ("dear", "paper"), at="/dear")
    assert desk.book().sittings[0].dear == "paper"
    assert "Paper is dear: one a round costs least." in section(client)


def test_dear_time_and_poor_odds_propose_the_pair(client: TestClient, desk: Desk) -> None:
    """Before the set list, where it cannot be missed; dear paper leaves it below."""
    p = desk.advice("OM").forecast.p_keeper
    assert p is not None
    assert p < 0.6

    def comes_first() -> bool:
        page = client.get("/sitting/OM").text
        return page.index('id="together"') < page.index('id="h-set"')

    assert not comes_first()
    desk.set_dear("OM", "paper")
    assert not comes_first()
    desk.set_dear("OM", "time")
    assert comes_first()


@pytest.mark.parametrize("count", [2, 3, 4])
def test_one_tap_plans_and_every_sheet_is_made_as_planned(
    client: TestClient, desk: Desk, count: int
) -> None:
    said = desk.several("OM", count)
    plan(client, count)
    for at, settings in enumerate(said.settings):
        assert f"{said.marks[at]}" in client.get("/sitting/OM").text
        assert press(client, "/sitting/OM", at="/shoot").status_code == 303
        sheet = made(desk)[-1]
        assert (sheet.mark, sheet.settings, sheet.made) == (said.marks[at], settings, None)
        if at == 0:
            assert sheet.p_tones_land == said.forecast.sheets[0].p_keeper
    assert "Two sheets in hand" in section(client)


def spread_the_rims(desk: Desk) -> None:
    """Another rim for the second planned; whether the advice spreads them hangs on a hair."""
    kept = desk.planned_together("OM")
    assert kept is not None
    first = kept.settings[0]
    rim = first.lights["rim"]
    assert rim.dial is not None
    halved = rim.model_copy(update={"dial": rim.dial / 2})
    other = first.model_copy(update={"lights": {**first.lights, "rim": halved}})
    spread = kept.model_copy(update={"settings": (first, other)})
    desk._store.set_preference("together/OM", spread.model_dump_json())


def test_two_marks_and_a_column_each_only_for_what_differs(client: TestClient, desk: Desk) -> None:
    settings = desk.several("OM").settings
    plan(client, 2)
    assert ("What differs" in section(client)) == (settings[0] != settings[1])
    spread_the_rims(desk)
    text = section(client)
    assert "OM 5" in text
    assert "OM 6" in text
    assert re.search(r"What differs OM 5 OM 6 Rim dial \S+ of full \S+ of full One", text)
    assert "Key" not in text


def test_what_is_not_known_yet_is_said(client: TestClient, desk: Desk) -> None:
    plan(client, 2)
    spread_the_rims(desk)
    answer = press(client, "/sitting/OM", at="/shoot")
    assert "Then OM 6, as planned." in client.get(answer.headers["location"]).text
    page = client.get("/sitting/OM").text
    assert "Planned before OM 5 was seen: what came of it is not known here yet." in page
    assert "Read OM 5" in page
    assert "OM 5, made" in section(client)


def test_a_reading_between_gives_the_plan_up_and_says_so(client: TestClient, desk: Desk) -> None:
    plan(client, 2)
    press(client, "/sitting/OM", at="/shoot")
    seen = Reading.model_validate({"by": "strip", "regions": {"key": {"density": 0.4}}})
    desk.read_sheet("OM", 5, seen)
    assert "given up: more is known since" in section(client)
    press(client, "/sitting/OM", at="/shoot")
    assert made(desk)[-1].settings == desk.book().sittings[0].sheets[-1].settings
    assert "given up" not in section(client)


def test_the_plan_can_be_given_up_by_hand(client: TestClient, desk: Desk) -> None:
    plan(client, 3)
    press(client, "/sitting/OM", ("count", "1"), at="/together")
    assert "Two sheets in hand" in section(client)
    assert desk.planned_together("OM") is None


def test_what_was_turned_by_hand_is_made_and_the_next_stays_planned(
    client: TestClient, desk: Desk
) -> None:
    second = desk.several("OM").settings[1]
    plan(client, 2)
    turned = press(client, "/sitting/OM", ("turn", "f=8"), at="/shoot").headers["location"]
    press(client, turned, at="/shoot")
    first = made(desk)[-1].made
    assert first is not None
    assert first.f_number == 8
    press(client, "/sitting/OM", at="/shoot")
    assert made(desk)[-1].settings == second
    assert made(desk)[-1].made is None


def test_nothing_to_type_in_the_dark(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    for planned in (False, True):
        if planned:
            plan(client, 2)
        page = client.get("/sitting/OM").text
        found = re.search(r'(?s)<section class="sect pair".*?</section>', page)
        assert found
        kinds = re.findall(r"<(?:input|textarea|select)[^>]*", found[0])
        assert all('type="hidden"' in one for one in kinds)


@pytest.mark.parametrize(("where", "field"), [("together", "count"), ("dear", "dear")])
def test_what_cannot_be_chosen_is_refused(client: TestClient, where: str, field: str) -> None:
    action = f"/sitting/OM/{where}"
    fields = Forms(client.get("/sitting/OM").text).fields[action]
    answer = client.post(action, data={**fields, field: "9"})
    assert answer.status_code == 422


def test_a_form_sent_twice_plans_once(client: TestClient, desk: Desk) -> None:
    action = "/sitting/OM/together"
    fields = {**Forms(client.get("/sitting/OM").text).fields[action], "count": "2"}
    for _ in range(2):
        assert client.post(action, data=fields, follow_redirects=False).status_code == 303
    planned = desk.planned_together("OM")
    assert planned is not None
    assert planned.first == 5
