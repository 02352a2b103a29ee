"""The light in the room, by plain forms."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

DARK = {"mode": "safelight"}


def back_of(page: str) -> str:
    """Where the mode's own form leads back to."""
    found = re.search(r'data-modes>\s*<input type="hidden" name="back" value="([^"]*)"', page)
    assert found
    return found[1]


def test_going_dark_is_one_tap_and_lasts(client: TestClient) -> None:
    answer = client.post("/mode", data={"mode": "safelight", "back": "/sitting/OM"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/sitting/OM")
    assert 'data-mode="safelight"' in client.get("/nothing").text
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert "max-age=31536000" in cookie  # a year: forgotten, the next page would be bright


def test_going_bright_is_asked_first(client: TestClient) -> None:
    client.cookies.update(DARK)
    asked = client.post("/mode", data={"mode": "studio", "back": "/sitting/OM"})
    assert asked.status_code == 200
    assert "Studio light?" in asked.text
    assert 'data-mode="safelight"' in asked.text
    assert "set-cookie" not in asked.headers
    answer = client.post(
        "/mode", data={"mode": "studio", "back": "/sitting/OM", "confirmed": "yes"}
    )
    assert answer.status_code == 303
    assert "mode=studio" in answer.headers["set-cookie"]


def test_a_page_that_is_not_for_the_dark_leads_to_one_that_is(client: TestClient) -> None:
    assert back_of(client.get("/kit").text) == "/"
    assert back_of(client.get("/sitting/OM").text) == "/sitting/OM"


def test_in_the_dark_only_sitting_and_bench_are_named(client: TestClient) -> None:
    client.cookies.update(DARK)
    page = client.get("/kit").text
    nav = page.split("<nav")[1].split("</nav>")[0]
    assert re.findall(r">([A-Z]\w+)</a>", nav) == ["Sitting", "Bench"]
    assert "This screen is not a safelight until it has passed the coin test" in page


@pytest.mark.parametrize(
    "path", ["/start", "/kit", "/kit/heads/add", "/papers", "/papers/sorrel-2~7"]
)
def test_nothing_bright_is_shown_in_the_dark(client: TestClient, path: str) -> None:
    client.cookies.update(DARK)
    page = client.get(path).text
    assert "<h1>This needs the lights on.</h1>" in page
    main = page.split("<main")[1].split("</main>")[0]
    assert not re.search(r"<(?:input|textarea|select|img|svg)\b", main)


def test_the_root_is_black_before_any_style_sheet(client: TestClient) -> None:
    client.cookies.update(DARK)
    page = client.get("/kit").text
    inline = page.index('[data-mode="safelight"] { background: #000')
    assert inline < page.index('rel="stylesheet"')
    assert page.index('<html lang="en" data-mode="safelight"') < inline
    assert '<meta name="theme-color" content="#000000">' in page


@pytest.mark.parametrize(("shown", "next_step"), [("0", "1"), ("1", "2"), ("2", "0"), ("9", "1")])
def test_the_dimmer_goes_round(client: TestClient, shown: str, next_step: str) -> None:
    client.cookies.update({**DARK, "dim": shown})
    page = client.get("/kit").text
    assert f'name="dim" value="{next_step}"' in page
    answer = client.post("/dim", data={"dim": next_step, "back": "/kit"})
    assert f"dim={next_step}" in answer.headers["set-cookie"]


@pytest.mark.parametrize(
    ("path", "data"),
    [
        ("/mode", {"mode": "daylight"}),
        ("/dim", {"dim": "3"}),
        ("/lengths", {"lengths": "cubits"}),
    ],
)
def test_no_other_light_or_length_is_taken(
    client: TestClient, path: str, data: dict[str, str]
) -> None:
    answer = client.post(path, data=data)
    assert answer.status_code == 422
    assert "choose" in answer.text
