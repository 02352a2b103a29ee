"""A sitting by daylight: the sky in two taps, the seat of a light, good until."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.book import Light, Sheet, Sitting
from stillroom.documents.seats import SkySeen
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from seated_book import seated_book  # type: ignore[import-not-found]
from sitting_book import press, sitting_desk  # type: ignore[import-not-found]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, seated_book()) as opened:
        yield opened


def page(client: TestClient, path: str = "/sitting/KS") -> str:
    return unescape(client.get(path).text)


def sitting(desk: Desk, name: str = "KS") -> Sitting:
    return next(one for one in desk.book().sittings if one.id == name)


def light(desk: Desk, role: str, of: str = "KS") -> Light:
    return next(one for one in sitting(desk, of).lights if one.role == role)


def last(desk: Desk) -> Sheet:
    return sitting(desk).sheets[-1]


def tapped(client: TestClient, what: str, at: str = "/sitting/KS") -> None:
    answer = press(client, at, ("turn", what), at="/shoot" if at.count("/") == 2 else "/made")
    assert answer.status_code == 303


def test_the_set_list_says_the_seat_and_the_sky(client: TestClient) -> None:
    shown = page(client)
    assert "<dt>Key, window</dt>" in shown
    assert "parlour window</span>" in shown
    assert "face 1.20 m from the glass" in shown
    assert "<dt>Sky</dt>" in shown
    assert "nobody looked yet" in shown
    assert "<dt>Sky</dt>" not in page(client, "/sitting/OM")


def test_the_sky_is_written_down_by_a_word_and_with_each_sheet(
    client: TestClient, desk: Desk
) -> None:
    tapped(client, "sky=dull")
    assert sitting(desk).sky == SkySeen(word="dull")
    assert "as seen" in page(client)
    press(client, "/sitting/KS", at="/shoot")
    tapped(client, "sky=clear")
    assert (last(desk).sky, sitting(desk).sky) == (SkySeen(word="dull"), SkySeen(word="clear"))


def test_the_sky_of_a_sheet_is_put_right_on_its_own_page(client: TestClient, desk: Desk) -> None:
    press(client, "/sitting/KS", at="/shoot")
    assert last(desk).sky == SkySeen(word="middling")
    tapped(client, "sky=veiled", "/sitting/KS/1")
    assert last(desk).sky == SkySeen(word="veiled")
    assert sitting(desk).sky is None
    shown = page(client, "/sitting/KS/1")
    assert 'value="sky=veiled" formaction="/sitting/KS/1/made" class="is-now"' in shown
    assert 'value="key.seat=' not in shown


def test_a_sky_that_was_counted_is_shown_and_a_word_that_is_none_refused(
    client: TestClient, desk: Desk
) -> None:
    desk.set_sky("KS", SkySeen(okta=5, sun="no"))
    shown = page(client)
    assert "5 eighths, sun hidden" in shown
    posted = {"turn": "sky=stormy", "planned": desk.advice("KS").settings.model_dump_json()}
    answer = client.post("/sitting/KS/turn", data=posted)
    assert answer.status_code == 422
    said = "The sky is 'stormy': choose clear, veiled, middling, dull."
    assert said in unescape(answer.text)
    assert sitting(desk).sky == SkySeen(okta=5, sun="no")


def test_a_light_takes_another_seat_in_two_taps(client: TestClient, desk: Desk) -> None:
    tapped(client, "key.seat=yard")
    assert (light(desk, "key").kind, light(desk, "key").kit_id) == ("daylight", "yard")
    assert "<dt>Key, daylight</dt>" in page(client)
    assert "in the open" in page(client)


def test_a_metered_window_may_be_that_of_a_seat(client: TestClient, desk: Desk) -> None:
    assert "110 lx" in page(client, "/sitting/OM")
    tapped(client, "room.seat=parlour", "/sitting/OM")
    assert light(desk, "room", "OM").kit_id == "parlour"
    assert "<dt>Sky</dt>" in page(client, "/sitting/OM")


def test_without_seats_a_metered_window_stays_as_it_is(client: TestClient, desk: Desk) -> None:
    desk.take_level("KS", "key", 500)
    for seat in ("parlour", "yard"):
        desk.retire_thing("seats", seat)
    shown = page(client)
    assert "500 lx" in shown
    assert "key.seat" not in shown


def test_what_a_meter_showed_is_typed_instead_of_a_seat(client: TestClient, desk: Desk) -> None:
    answer = press(
        client, "/sitting/KS", ("turn", "typed"), at="/shoot", **{"typed:key.seat": "800 lx"}
    )
    assert answer.status_code == 303
    assert (light(desk, "key").kit_id, light(desk, "key").metered_lx) == (None, 800)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("bright", "What a meter showed of key is 'bright': not a number"),
        ("0", "the level of key, in lx, is 0.0: give a number from 0.001 to 200000."),
    ],
)
def test_what_is_no_level_comes_back_with_what_was_typed(
    client: TestClient, desk: Desk, typed: str, said: str
) -> None:
    answer = press(
        client, "/sitting/KS", ("turn", "typed"), at="/shoot", **{"typed:key.seat": typed}
    )
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert f'name="typed:key.seat" value="{typed}"' in unescape(answer.text)
    assert light(desk, "key").kit_id == "parlour"


def test_good_until_is_told_as_the_forecast_has_it(client: TestClient, desk: Desk) -> None:
    text = desk.advice("KS").forecast.good_until
    assert text
    assert f"Good until {text}." in page(client)
    assert "Good all day" not in page(client)


def test_a_meter_reading_tells_the_sky_it_was_taken_under(client: TestClient, desk: Desk) -> None:
    desk.set_sky("KS", SkySeen(word="veiled"))
    press(client, "/sitting/KS/last-look", ("shows", "20.0"), at="/last-look")
    assert re.search(r"Key cheek, key on[^<]*: f/20 at ISO \d+, sky veiled", page(client))
    assert ", sky" not in page(client, "/sitting/OM")
