"""What is asked of an odd sheet, in a real browser: lights, sizes, keyboard, no script."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
sys.path.insert(0, str(Path(__file__).parents[1] / "unit" / "services"))
from odd_book import odd_book, sheet_of  # type: ignore[import-not-found]
from sitting_book import sitting_desk  # type: ignore[import-not-found]

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
BOOK = odd_book(2, rim=0.95, bg=1.84)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path, BOOK) as opened:
        yield opened


@pytest.mark.parametrize("size", ["phone", "laptop"])
@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_it_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Callable[[Page, int], list[str]], mode: str, size: str
) -> None:
    page = open_page("/sitting/OM", mode=mode, size=size)
    expect(page.get_by_role("button", name="It was my slip")).to_be_visible()
    if mode == "studio":
        assert flaws(page, 44) == []


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_in_the_dark_every_target_is_large_and_no_field_asks_for_words(
    open_page: Opener, too_small: Callable[[Page, int], list[str]], size: str
) -> None:
    page = open_page("/sitting/OM", mode="safelight", size=size)
    assert [x for x in too_small(page, 72) if "slip" in x or "answer" in x] == []
    assert page.locator(".odd input:not([type=radio], [type=hidden]), .odd textarea").count() == 0


def test_it_can_be_answered_from_the_keyboard_without_script(
    open_page: Opener, desk: Desk
) -> None:
    page = open_page("/sitting/OM", script=False)
    page.locator("[name=slip]").first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="It was my slip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Written down of OM 2")).to_be_visible()
    assert sheet_of(desk.book()).odd_is == "slip"


def test_the_label_leads_to_the_question(open_page: Opener) -> None:
    page = open_page("/sitting/OM", size="phone")
    page.get_by_role("link", name="OM 2 contradicts the rest: what happened?").click()
    expect(page.locator("#odd-2")).to_be_in_viewport()
