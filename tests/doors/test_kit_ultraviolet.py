"""The check of ultraviolet on a lamp's page; the lamps are invented."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk

LAMP = "/kit/lamps/strip"


@pytest.fixture
def lamp(desk: Desk) -> str:
    desk.add_thing("lamps", {"id": "strip", "name": "strip", "kind": "led", "intensity_cd": 900})
    return LAMP


def page(client: TestClient, path: str) -> str:
    return unescape(client.get(path).text)


def test_of_a_lamp_nobody_measured_nothing_is_claimed(client: TestClient, lamp: str) -> None:
    shown = page(client, lamp)
    assert "Nothing is known of this lamp’s ultraviolet" in shown
    assert "eight hours" not in shown.split('id="h-uv"', 1)[1]


def test_what_a_meter_showed_is_written_down_and_checked(
    client: TestClient, desk: Desk, lamp: str, form_id: Callable[[str], str]
) -> None:
    data = {"form_id": form_id(lamp), "kind": "led", "name": "strip", "intensity_cd": "900"}
    data |= {"uva_w_m2_1m": "4", "uv_peak_nm": "365"}
    assert client.post(lamp, data=data).status_code == 303
    kept = desk.book().kit.lamps[-1]
    assert (kept.uva_w_m2_1m, kept.uv_peak_nm) == (4, 365)
    section = page(client, lamp).split('id="h-uv"', 1)[1]
    assert "Measured: 4 W/m² at 1 m" in section
    assert "41 min" in section  # 10 000 J/m² over 4 W/m²
    assert "A check, not a clearance" in section
    assert "10 W/m²" in section


def test_a_hot_lamp_is_reckoned_as_if_bare(client: TestClient, desk: Desk) -> None:
    desk.add_thing("lamps", {"id": "hot", "name": "hot", "kind": "tungsten", "intensity_cd": 2000})
    section = page(client, "/kit/lamps/hot").split('id="h-uv"', 1)[1]
    assert "behind no glass" in section
    assert "49 min" in section


@pytest.mark.parametrize(("field", "value"), [("uva_w_m2_1m", "-1"), ("uv_peak_nm", "555")])
def test_what_cannot_be_is_refused_beside_its_field(  # noqa: PLR0917 - fixtures and a case
    client: TestClient,
    desk: Desk,
    lamp: str,
    form_id: Callable[[str], str],
    field: str,
    value: str,
) -> None:
    data = {"form_id": form_id(lamp), "kind": "led", "name": "strip", "intensity_cd": "900"}
    assert client.post(lamp, data=data | {field: value}).status_code == 422
    assert getattr(desk.book().kit.lamps[-1], field) is None


def test_heads_have_no_such_check(client: TestClient) -> None:
    assert "h-uv" not in client.get("/kit/heads/A").text
