"""The day on a phone and a laptop, in both modes. Everything is invented."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from sitting_book import sitting_book, sitting_desk  # type: ignore[import-not-found]

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PAGES = ["/day?sitters=3", "/day?sheets=6&hands=2", "/day?sitters=0", "/day/bag?sitters=3"]
SIZES = ["phone", "laptop"]
Opener = Callable[..., Page]
Flaws = Callable[[Page, int], list[str]]


class Light(Protocol):
    most_green: int
    most_blue: int
    mean_red: float


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with sitting_desk(tmp_path_factory.mktemp("day"), sitting_book()) as opened:
        current = opened.current_sitting_id()
        assert current is not None
        opened.advice(current)  # worked out once, before a browser waits
        yield opened


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", PAGES)
def test_it_is_whole_on_every_screen(
    open_page: Opener, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, size=size)
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    assert flaws(page, 44) == []


@pytest.mark.parametrize("path", ["/day", "/day/bag"])
def test_in_safelight_it_is_dark_and_asks_for_the_lights(
    open_page: Opener, light_of: Callable[..., Light], path: str
) -> None:
    page = open_page(path, mode="safelight")
    expect(page.locator("h1")).to_have_text("This needs the lights on.")
    light = light_of(page)
    assert (light.most_green, light.most_blue) == (0, 0)
    assert light.mean_red < 0.04


def test_asked_by_keys_alone(open_page: Opener) -> None:
    page = open_page("/day?sitters=2")
    page.get_by_label("Sitters", exact=True).focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    expect(page.locator(".answer")).to_contain_text("3 sitters, through about")
    page.get_by_role("link", name="What to pack").focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("What to pack")
    expect(page.locator(".title p")).to_contain_text("For 3 sitters")


def test_every_sheet_has_its_lane_and_its_row(open_page: Opener) -> None:
    page = open_page("/day?sheets=6")
    expect(page.locator(".lane")).to_have_count(6)
    page.get_by_text("The times").click()
    rows = page.locator("table.ledger tbody tr")
    expect(rows).to_have_count(6)
    assert re.search(r"\d\d:\d\d", rows.first.inner_text())
    lefts = page.eval_on_selector_all(
        ".lane i.wet", "found => found.map(one => one.getBoundingClientRect().left)"
    )
    assert lefts == sorted(lefts)
