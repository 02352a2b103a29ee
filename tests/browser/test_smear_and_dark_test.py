"""A smear and a dark test by hand: pages as they are seen, tapped and lit."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from sitting_book import sitting_desk  # type: ignore[import-not-found]

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
PAGE, LEAST_PX = "/sitting/OM/dark-test", 44
PATIENCE_MS = 60_000
"""Answers of the engine take their time on a machine that is busy; no promise of the tool."""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        opened.dark_test("OM")  # worked out once, before a browser waits
        opened.taught("OM")
        opened.odd_sheets("OM")
        yield opened


def smear_of(desk: Desk) -> float | None:
    return next(s.smear_mm for s in desk.book().sittings[0].sheets if s.number == 3)


@pytest.mark.parametrize(("size", "script"), [("phone", True), ("laptop", False)])
def test_a_smear_in_two_taps_or_typed(
    open_page: Opener,
    desk: Desk,
    flaws: Callable[[Page, int], list[str]],
    size: str,
    *,
    script: bool,
) -> None:
    page = open_page("/sitting/OM/3", size=size, script=script)
    page.set_default_timeout(PATIENCE_MS)
    page.locator("#smear > summary").click()
    page.get_by_role("button", name="0.2 mm", exact=True).click()
    expect(page.locator(".said")).to_contain_text("a smear of 0.2 mm is written down")
    assert smear_of(desk) == 0.2
    fold = page.locator("#smear")
    expect(fold).to_contain_text("A smear of 0.2 mm is written down.")
    if script:
        assert flaws(page, LEAST_PX) == []
    fold.get_by_role("textbox").fill("0.35")
    fold.get_by_role("textbox").press("Enter")
    expect(fold).to_contain_text("A smear of 0.35 mm is written down.")
    fold.get_by_role("button", name="Take it back").click()
    expect(page.locator(".said")).to_contain_text("the smear is taken back")
    assert smear_of(desk) is None


@pytest.mark.parametrize(("size", "script"), [("phone", True), ("laptop", False)])
def test_a_dark_test_is_made_and_read(
    open_page: Opener,
    desk: Desk,
    flaws: Callable[[Page, int], list[str]],
    size: str,
    *,
    script: bool,
) -> None:
    page = open_page(PAGE, size=size, script=script)
    page.set_default_timeout(PATIENCE_MS)
    if script:
        assert flaws(page, LEAST_PX) == []
    page.get_by_role("button", name="It was made so").click()
    expect(page.locator(".said")).to_contain_text("not read yet")
    if script:
        assert flaws(page, LEAST_PX) == []
    page.locator(".holes label", has_text="black").click()
    page.get_by_role("button", name="Write it down").click()
    number = desk.book().sittings[0].sheets[-1].number
    sentence = desk.dark_test_says("OM", number).sentence
    expect(page.locator(f"#t-{number}")).to_contain_text(sentence, timeout=PATIENCE_MS)
    if script:
        assert flaws(page, LEAST_PX) == []


@pytest.mark.parametrize("is_made", [False, True])
def test_in_the_dark_it_throws_no_light_but_red(
    open_page: Opener,
    desk: Desk,
    flaws: Callable[[Page, int], list[str]],
    light_of: Callable[[Page], tuple[int, int, float]],
    *,
    is_made: bool,
) -> None:
    if is_made:
        desk.make_dark_test("OM")
    page = open_page(PAGE, mode="safelight", size="phone")
    green, blue, _ = light_of(page)
    assert (green, blue) == (0, 0)
    assert flaws(page, 72) == []
    # what is typed in lights the room by itself: none is there
    assert page.locator("main input:not([type=hidden])").count() == 0
