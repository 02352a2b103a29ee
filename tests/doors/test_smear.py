"""How far an edge is drawn long, measured on a finished sheet, by plain forms. All is invented."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from sitting_book import press, sitting_book, sitting_desk  # type: ignore[import-not-found]

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.services.chair import card_said
from stillroom.services.desk import Desk

Writes = Callable[[], int]
BY_WINDOW, BY_FLASH, CARD = 4, 3, 2


def window_book() -> Book:
    """The example: on sheet 4 the heads were off and the lens was open for 3 s."""
    book: dict[str, Any] = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    sitting = book["sittings"][0]
    sheets = {sheet["number"]: sheet for sheet in sitting["sheets"]}
    off = {light["role"]: {"on": False} for light in sitting["lights"] if light["kind"] == "head"}
    sheets[BY_WINDOW]["settings"] = {"lights": off, "f_number": 5.6, "open_s": 3.0}
    sheets[CARD]["what_else_moved"] = [card_said(0.85)]
    return read_book(json.dumps(book))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, window_book()) as opened:
        yield opened


def smear_of(desk: Desk, number: int) -> float | None:
    sheets = desk.book().sittings[0].sheets
    return next(sheet.smear_mm for sheet in sheets if sheet.number == number)


def page_of(client: TestClient, number: int) -> str:
    return unescape(client.get(f"/sitting/OM/{number}").text)


def told(client: TestClient, number: int, button: str, **typed: str) -> Any:
    return press(client, f"/sitting/OM/{number}", ("width", button), at="/smear", **typed)


def test_a_tap_writes_it_down_and_it_counts_for_the_sitter(client: TestClient, desk: Desk) -> None:
    before = desk.stillness("OM")
    assert told(client, BY_WINDOW, "0.2").status_code == 303
    assert smear_of(desk, BY_WINDOW) == 0.2
    page = page_of(client, BY_WINDOW)
    assert "A smear of 0.2 mm is written down." in page
    assert 'value="0.2" aria-pressed="true"' in page
    after = desk.stillness("OM")
    assert (before.sheets_counted, after.sheets_counted) == (0, 1)


def test_none_seen_is_said_too_and_can_be_taken_back(client: TestClient, desk: Desk) -> None:
    told(client, BY_WINDOW, "0")
    assert smear_of(desk, BY_WINDOW) == 0
    assert "That no smear is seen is written down." in page_of(client, BY_WINDOW)
    told(client, BY_WINDOW, "back")
    assert smear_of(desk, BY_WINDOW) is None
    form = page_of(client, BY_WINDOW).split('id="smear"')[1].partition("</details>")[0]
    assert "is written down" not in form
    assert 'aria-pressed="true"' not in form


def test_a_measured_width_is_typed(client: TestClient, desk: Desk) -> None:
    assert told(client, BY_WINDOW, "typed", typed_mm="0,35").status_code == 303
    assert smear_of(desk, BY_WINDOW) == 0.35


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "idth of the smear is '': not a number"),
        ("wide", "idth of the smear is 'wide': not a number"),
        ("-0.1", "idth of the smear is -0.1: give a number from 0 to 100 mm"),
        ("101", "idth of the smear is 101.0: give a number from 0 to 100 mm"),
    ],
)
def test_what_is_no_width_is_said_and_kept(
    client: TestClient, writes: Writes, typed: str, said: str
) -> None:
    answer = told(client, BY_WINDOW, "typed", typed_mm=typed)
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert said in page
    assert f'name="typed_mm" value="{typed}"' in page
    assert writes() == 0


def test_where_it_tells_nothing_that_is_said(client: TestClient, desk: Desk) -> None:
    assert "A flash froze part of the picture" in page_of(client, BY_FLASH)
    told(client, BY_FLASH, "0.5")
    assert smear_of(desk, BY_FLASH) == 0.5
    assert desk.stillness("OM").sheets_counted == 0
    assert desk.stillness("OM").sheets_left_out == 1


def test_a_card_does_not_move(client: TestClient, desk: Desk) -> None:
    assert 'id="smear"' not in page_of(client, CARD)
    desk.measure_smear("OM", CARD, 0.3)
    assert desk.stillness("OM").sheets_counted == 0


def test_reading_a_sheet_leads_there_where_it_tells_something(client: TestClient) -> None:
    assert f"/sitting/OM/{BY_WINDOW}#smear" in client.get(f"/read/OM/{BY_WINDOW}").text
    assert "#smear" not in client.get(f"/read/OM/{BY_FLASH}").text


def test_a_form_sent_twice_writes_once(client: TestClient, writes: Writes) -> None:
    page = client.get(f"/sitting/OM/{BY_WINDOW}").text.split('id="smear"')[1]
    form_id = page.split('name="form_id" value="')[1].split('"')[0]
    for _ in range(2):
        sent = {"form_id": form_id, "width": "0.1"}
        assert client.post(f"/sitting/OM/{BY_WINDOW}/smear", data=sent).status_code == 303
    assert writes() == 1


def test_it_is_not_measured_in_the_dark(client: TestClient) -> None:
    client.cookies.set("mode", "safelight")
    page = page_of(client, BY_WINDOW)
    assert "needs the lights on" in page
    assert 'id="smear"' not in page
