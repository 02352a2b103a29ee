"""Who comes in and what goes out, in a real browser: taps counted, sizes, both modes."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Locator, Page, expect

from stillroom.documents.book import Reading, RegionReading
from stillroom.documents.sitter_card import SitterCard
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from sitting_book import sitting_desk  # type: ignore[import-not-found]

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
Flaws = Callable[[Page, int], list[str]]
PAGES = ["/sitting/OM/next", "/sitter/OM", "/sitting/OM/3", "/safety", "/kit/lamps/strip"]
PATIENCE_MS = 30_000


class Light(Protocol):
    """What a picture of a screen would throw into the room."""

    most_green: int
    most_blue: int
    mean_red: float


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        lamp = {"id": "strip", "kind": "led", "intensity_cd": 900}
        opened.add_thing("lamps", lamp | {"uva_w_m2_1m": 4, "uv_peak_nm": 365})
        worked_out(opened)
        yield opened


def worked_out(desk: Desk) -> None:
    """Ask what the pages ask, before a browser waits for it."""
    for ask in (desk.advice, desk.several, desk.taught, desk.odd_sheets):
        ask("OM")


def choice(page: Page, group: str, name: str) -> Locator:
    """One answer of a group, by what it says."""
    role = page.get_by_role("group", name=group).or_(page.get_by_role("radiogroup", name=group))
    return role.locator("label", has_text=re.compile(f"^{re.escape(name)}$"))


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_the_card_is_five_taps_besides_the_initials(
    open_page: Opener, desk: Desk, *, script: bool
) -> None:
    page = open_page("/sitting/OM/next", size="phone", script=script)
    page.set_default_timeout(PATIENCE_MS)
    page.get_by_label("Initials").fill("J. B.")
    taps = [
        choice(page, "Said yes to", "a portrait"),
        choice(page, "Flash all right?", "yes"),
        choice(page, "Can sit still for", "2 s"),
        choice(page, "Skin", "2"),
        page.get_by_role("button", name="Sit down").locator("visible=true"),
    ]
    for tap in taps:
        expect(tap).to_be_visible()
        tap.click()
    expect(page.get_by_role("heading", name="JB 1")).to_be_visible(timeout=PATIENCE_MS)
    made = next(s for s in desk.book().sitters if s.initials == "J. B.")
    assert made.at_the_door == SitterCard(said_yes_to=("portrait",), flash_all_right="yes")
    assert (made.holds_still_s, made.skin.guess) == (2, "medium")


def test_what_the_paper_does_follows_the_grey_that_is_tapped(open_page: Opener) -> None:
    page = open_page("/sitting/OM/next", size="phone")
    lips = page.get_by_text(re.compile("^Lips: "))
    expect(lips.locator("visible=true")).to_have_count(1)
    choice(page, "Skin", "3").click()
    expect(lips.locator("visible=true")).to_have_count(0)
    expect(page.get_by_text(re.compile("^Denim: ")).locator("visible=true")).to_have_count(1)


def test_handing_over_is_four_taps_once_it_was_scanned(open_page: Opener, desk: Desk) -> None:
    scan = Reading(state="dry", by="scan", regions={"key": RegionReading(density=0.6)})
    desk.read_sheet("OM", 3, scan)
    worked_out(desk)
    page = open_page("/sitting/OM/3", size="phone")
    page.set_default_timeout(PATIENCE_MS)
    ticks = page.get_by_role("group", name="Seen to").locator("label")
    expect(ticks).to_have_count(4)
    for tick in (ticks.nth(1), ticks.nth(2), ticks.nth(3)):
        tick.click()
    page.get_by_role("button", name="Given").click()
    expect(page.get_by_text(re.compile("^Given, "))).to_be_visible()
    handed = next(s for s in desk.book().sittings[0].sheets if s.number == 3).hand_over
    assert handed is not None
    assert (handed.state, len(handed.seen_to)) == ("given", 4)


def test_a_no_to_flash_stands_beside_the_plan_in_both_modes(
    open_page: Opener, desk: Desk, light_of: Callable[..., Light]
) -> None:
    desk.write_sitter_card("OM", SitterCard(flash_all_right="no"))
    worked_out(desk)
    by_day = open_page("/sitting/OM", size="phone")
    expect(by_day.get_by_text("O. M. said no to flash").first).to_be_visible()
    in_the_dark = open_page("/sitting/OM", size="phone", mode="safelight")
    expect(in_the_dark.get_by_text("O. M. said no to flash").first).to_be_visible()
    seen = light_of(in_the_dark)
    assert (seen.most_green, seen.most_blue) == (0, 0)
    assert seen.mean_red <= 0.04


@pytest.mark.parametrize("size", ["phone", "laptop"])
@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, size=size)
    assert flaws(page, 44) == []


@pytest.mark.parametrize("path", PAGES)
def test_a_narrow_phone_still_fits(
    open_page: Opener, sideways: Callable[[Page], int], path: str
) -> None:
    page = open_page(path, size="phone")
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(page) == 0


@pytest.mark.parametrize("path", PAGES)
def test_in_the_dark_they_say_that_they_need_the_lights(
    open_page: Opener, light_of: Callable[..., Light], path: str
) -> None:
    page = open_page(path, size="phone", mode="safelight")
    expect(page.get_by_text("This needs the lights on")).to_be_visible()
    seen = light_of(page)
    assert (seen.most_green, seen.most_blue) == (0, 0)
