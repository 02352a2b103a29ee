"""The last look before the cap: a word or the meter, new seconds, and the sheet written down."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Settings, Sitting
from stillroom.documents.seats import SkySeen
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from seated_book import seated_book  # type: ignore[import-not-found]
from sitting_book import Forms, press, sitting_desk  # type: ignore[import-not-found]

LOOK = "/sitting/KS/last-look"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, seated_book()) as opened:
        yield opened


def page(client: TestClient, path: str = LOOK) -> str:
    return unescape(client.get(path).text)


def sitting(desk: Desk) -> Sitting:
    return next(one for one in desk.book().sittings if one.id == "KS")


def looked(client: TestClient, *button: str, at: str = LOOK) -> str:
    """Press one button of the look and return where it leads."""
    answer = press(client, at, (button[0], button[1]), at="/last-look")
    assert answer.status_code == 303
    return str(answer.headers["location"])


def seconds_on(shown: str) -> str:
    found = re.search(r'<h2 class="seconds"[^>]*>([^<]+)</h2>', shown)
    assert found
    return found[1]


def told(seconds_s: float | None) -> str:
    assert seconds_s is not None
    return f"{seconds_s:g} s"


def test_the_sitting_leads_to_it_with_what_was_turned(client: TestClient) -> None:
    sitting_page = page(client, "/sitting/KS?f=16&plan=sheet")
    found = re.search(r'href="(/sitting/KS/last-look[^"]*)">Last look', sitting_page)
    assert found
    assert 'At <span class="fs"><i>f⁄</i>16</span>' in page(client, unescape(found[1]))
    assert "Last look" not in page(client, "/sitting/OM")
    assert "Last look" not in page(client, "/sitting/KS?plan=stepped")


def test_it_tells_the_seconds_the_desk_tells(client: TestClient, desk: Desk) -> None:
    planned = desk.advice("KS").settings
    now = desk.look("KS", planned)
    shown = page(client)
    assert seconds_on(shown) == told(now.open_s)
    assert now.good_until is not None
    assert f"{now.good_until:%H:%M}; after that {told(now.then_s)}" in shown
    assert "K. S. can hold" in shown
    assert "8 s, long enough" in shown


def test_a_word_moves_the_seconds_and_nothing_else(client: TestClient, desk: Desk) -> None:
    planned = desk.advice("KS").settings
    before = desk.look("KS", planned)
    where = looked(client, "sky", "dull")
    shown, after = page(client, where), desk.look("KS", planned)
    assert sitting(desk).sky == SkySeen(word="dull")
    assert before.open_s != after.open_s
    assert seconds_on(shown) == told(after.open_s)
    assert 'value="dull" aria-pressed="true"' in shown
    assert "The light has gone down" in shown
    shoot = Forms(client.get(where).text).fields["/sitting/KS/shoot"]
    made = Settings.model_validate_json(shoot["planned"][0])
    assert made == planned.model_copy(update={"open_s": after.open_s})


def test_the_meter_at_the_cheek_is_written_down(client: TestClient, desk: Desk) -> None:
    now = desk.look("KS", desk.advice("KS").settings)
    assert now.meter
    shown = client.get(LOOK).text
    marks = [float(m) for m in re.findall(r'name="shows" value="([\d.]+)"', shown)]
    iso = float(Forms(shown).fields[LOOK]["iso"][0])
    # E = N^2 C / (S t), C = 250 for a flat disc (ISO 2720); t is one second
    exact = (now.meter.q50 * iso / 250) ** 0.5
    expected = min(marks, key=lambda mark: abs(mark - exact))
    assert re.search(rf'is-plan" name="shows" value="{expected}"', shown)
    brighter = str(marks[marks.index(expected) + 2])
    after = page(client, looked(client, "shows", brighter))
    assert "The light has gone up" in after
    (taken,) = sitting(desk).meter_readings
    assert (taken.shows.f_number, taken.shows.iso, taken.shows.seconds) == (
        float(brighter),
        iso,
        1,
    )
    assert taken.meter == "flat"
    assert seconds_on(after) != seconds_on(shown)


def test_cap_off_writes_the_sheet_down_with_its_seconds_and_sky(
    client: TestClient, desk: Desk
) -> None:
    after = looked(client, "sky", "dull")
    answer = press(client, after, at="/shoot")
    assert answer.status_code == 303
    sheet = sitting(desk).sheets[-1]
    assert sheet.sky == SkySeen(word="dull")
    assert told(sheet.settings.open_s) == seconds_on(page(client, after))
    assert sheet.made is None
    assert sheet.expected["key"].sd_stops > 0


def test_a_test_piece_stays_one(client: TestClient, desk: Desk) -> None:
    advice = desk.advice("KS")
    assert advice.piece is not None
    after = looked(client, "sky", "veiled", at=f"{LOOK}?plan=piece&piece=key")
    press(client, after, at="/shoot")
    piece = sitting(desk).sheets[-1].piece
    assert piece is not None
    assert piece.region == "key"


def test_below_two_seconds_a_smaller_stop_is_offered(client: TestClient, desk: Desk) -> None:
    wide = Settings(f_number=5.6, open_s=1)
    at = f"{LOOK}?planned={wide.model_dump_json()}"
    now = desk.look("KS", wide)
    assert now.open_s is not None
    assert now.open_s < 2
    shown = page(client, at)
    assert "Too short for a hand to be sure" in shown
    assert "±0.2 s" in shown
    found = re.search(r'href="(/sitting/KS/last-look[^"]*)"><span>', shown)
    assert found
    smaller = page(client, found[1])
    assert "Too short for a hand" not in smaller
    assert float(seconds_on(smaller).removesuffix(" s")) >= 2
    assert "The light has gone" not in smaller


def test_who_cannot_hold_so_long_is_said(client: TestClient, desk: Desk) -> None:
    desk.edit_sitter("KS", {"holds_still_s": 1})
    shown = page(client, looked(client, "sky", "dull"))
    assert f"1 s, too short for {seconds_on(shown)}" in shown
    desk.edit_sitter("KS", {"holds_still_s": None})
    assert "nobody said how long" in page(client)


def test_a_form_sent_twice_is_one_reading(client: TestClient, desk: Desk) -> None:
    fields = Forms(client.get(LOOK).text).fields[LOOK]
    first, second = (client.post(LOOK, data=fields | {"shows": "11"}) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert len(sitting(desk).meter_readings) == 1


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ({"sky": "stormy"}, "The sky is 'stormy': choose clear, veiled, middling, dull."),
        ({"shows": "dark"}, "The meter is 'dark': not a number;"),
        ({}, "The meter is '': not a number;"),
        ({"sky": "dull", "planned": "{"}, "The plan of this page"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(
    client: TestClient, desk: Desk, answer: dict[str, str], said: str
) -> None:
    fields = Forms(client.get(LOOK).text).fields[LOOK]
    back = client.post(LOOK, data=fields | answer)
    assert back.status_code == 422
    assert said in unescape(back.text)
    assert (sitting(desk).sky, sitting(desk).meter_readings) == (None, ())


def test_a_sitting_without_a_seat_has_none(client: TestClient) -> None:
    answer = client.get("/sitting/OM/last-look")
    assert answer.status_code == 409
    assert "No light of this sitting comes from sun and sky" in unescape(answer.text)


def test_a_spot_meter_is_not_asked_at_the_cheek(client: TestClient, desk: Desk) -> None:
    desk.retire_thing("meters", "flat")
    desk.add_thing("meters", {"id": "spot", "kind": "spot"})
    shown = page(client)
    assert "A spot meter sees what the skin sends back" in shown
    assert 'name="shows"' not in shown
    desk.add_thing("meters", {"id": "dome", "kind": "incident_dome"})
    assert "dome the way the face looks" in page(client)


def test_with_the_sun_down_it_says_so(client: TestClient, tmp_path: Path) -> None:
    night = seated_book(when="2026-11-13T20:00:00+00:00", finished=True)
    folder = tmp_path / "night"
    folder.mkdir()
    with sitting_desk(folder, night) as dark:
        client.app.state.desk = dark  # type: ignore[attr-defined]
        plan = Settings(f_number=5.6, open_s=4).model_dump_json()
        shown = page(client, f"{LOOK}?planned={plan}")
    assert "The sun is down there: no daylight to reckon with." in shown
    assert 'name="shows"' not in shown
    assert "Cap off, I count" in shown


def test_in_the_dark_it_asks_without_a_text_field(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    shown = page(client)
    assert "The sky now?" in shown
    assert 'type="text"' not in shown
    assert re.search(r"<(select|textarea)", shown) is None


def test_a_stepped_sheet_is_shot_from_the_sitting(client: TestClient) -> None:
    plan = Settings(f_number=5.6, open_s=1, steps_pops=(1, 2, 4)).model_dump_json()
    answer = client.get(f"{LOOK}?planned={plan}")
    assert answer.status_code == 409
    assert "A stepped sheet tells of many times" in answer.text
