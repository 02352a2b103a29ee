"""Chemistry in a real browser: both lights, sizes, print, no script. Everything is invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk
from stillroom.services.mixing import Asked
from stillroom.wetline.chemistry import Bottle

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
Flaws = Callable[[Page, int], list[str]]
ROOT = "/bench/chemistry"
STRONG = f"{ROOT}/mix/dichromate-strong"


@pytest.fixture
def baths(desk: Desk) -> str:
    """Three baths in the line, one past its life; the id of the bleach."""
    desk.mix_written("developer-first", 1000, steps=("first_development",))
    desk.mix_written("clear-dichromate", 1000, used_before=30)
    return desk.mix_written(
        "dichromate-strong", 1000, asked=Asked(stock=Bottle("sulfuric acid", 37))
    )


@pytest.mark.parametrize("size", ["phone", "laptop"])
@pytest.mark.parametrize("path", [ROOT, STRONG, f"{STRONG}?volume=-1&bottle=98+%25", "label"])
@pytest.mark.usefixtures("baths")
def test_it_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Flaws, baths: str, path: str, size: str
) -> None:
    where = f"{ROOT}/label/{baths}" if path == "label" else path
    page = open_page(where, size=size)
    for fold in page.locator("summary").all():
        fold.click()
    assert flaws(page, 44) == []


@pytest.mark.parametrize("size", ["phone", "laptop"])
@pytest.mark.usefixtures("baths")
def test_in_the_dark_it_is_red_and_its_targets_are_large(
    open_page: Opener, light_of: Callable[..., Any], flaws: Flaws, size: str
) -> None:
    page = open_page(ROOT, mode="safelight", size=size)
    expect(page.get_by_text("This needs the lights on.")).to_be_visible()
    assert flaws(page, 72) == []
    for full, most in ((True, 0.04), (False, 0.045)):
        green, blue, red = light_of(page, full=full)
        assert (green, blue) == (0, 0)
        assert red <= most


@pytest.mark.parametrize("width", [320, 768, 1024])
@pytest.mark.usefixtures("baths")
def test_nothing_runs_over_the_side(
    open_page: Opener, sideways: Callable[[Page], int], width: int
) -> None:
    page = open_page(ROOT)
    page.set_viewport_size({"width": width, "height": 800})
    for path in (ROOT, STRONG):
        page.goto(path)
        assert sideways(page) == 0


def test_a_bath_is_mixed_and_stands_without_script(open_page: Opener, desk: Desk) -> None:
    page = open_page(ROOT, script=False)
    page.get_by_role("link", name="Acid dichromate bleach, strong").click()
    page.get_by_label("Your sulfuric acid, as its label says").fill("37 %")
    page.get_by_role("button", name="List it").click()
    expect(page.get_by_role("cell", name="45.7 ml")).to_be_visible()
    page.get_by_role("button", name="It is mixed, and stands in the line").click()
    expect(page.get_by_text("is written down. Print its label")).to_be_visible()
    page.get_by_role("link", name="Its label").click()
    expect(page.get_by_role("article")).to_contain_text("Danger")
    assert desk.baths()[0].recipe == "dichromate-strong"


def test_only_the_label_is_printed(open_page: Opener, baths: str) -> None:
    page = open_page(f"{ROOT}/label/{baths}")
    page.emulate_media(media="print")
    expect(page.get_by_role("article")).to_be_visible()
    for gone in (".head", ".foot", ".no-print >> nth=0"):
        expect(page.locator(gone)).to_be_hidden()
