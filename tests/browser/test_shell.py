"""The frame of every page in both lights and both sizes, in a real browser."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PAGES = [
    "/start",
    "/kit",
    "/kit/heads/add",
    "/kit/modifiers/octa",
    "/known",
    "/papers",
    "/papers/add",
    "/papers/sorrel-2~7",
    "/sitting/OM/3/ledger?region=shadow",
    "/sitting/OM/3/ledger?region=key&term=head/A/output&light=Key%2C+head+A",
    "/nothing-here",
]
IN_THE_DARK = ["/kit", "/nothing-here"]  # "needs the lights on", and an error
SIZES = ["phone", "laptop"]
Opener = Callable[..., Page]
Flaws = Callable[[Page, int], list[str]]


class Light(Protocol):
    """What a picture of a screen would throw into the room."""

    most_green: int
    most_blue: int
    mean_red: float


Measure = Callable[..., Light]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, size=size)
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    assert flaws(page, 44) == []


@pytest.mark.parametrize("path", PAGES)
def test_a_narrow_phone_or_a_zoomed_page_still_fits(
    open_page: Opener, sideways: Callable[[Page], int], path: str
) -> None:
    page = open_page(path, size="phone")
    page.set_viewport_size({"width": 320, "height": 640})  # WCAG 2.1, 1.4.10 Reflow
    assert sideways(page) == 0


@pytest.mark.parametrize("path", PAGES)
def test_words_are_never_smaller_than_thirteen_pixels(open_page: Opener, path: str) -> None:
    page = open_page(path, size="phone")
    small = page.evaluate(
        """() => [...document.querySelectorAll('main *, .head *, .foot *')]
          .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
          .filter(e => e.checkVisibility() && !e.closest('.vh'))
          .filter(e => parseFloat(getComputedStyle(e).fontSize) < 12.99)
          .map(e => e.outerHTML.slice(0, 120))"""
    )
    assert small == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", IN_THE_DARK)
def test_the_dark_page_is_red_only_and_dim(
    open_page: Opener, light_of: Measure, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, mode="safelight", size=size)
    whole, first = light_of(page), light_of(page, full=False)
    assert (whole.most_green, whole.most_blue) == (first.most_green, first.most_blue) == (0, 0)
    assert 0 < whole.mean_red <= 0.04
    assert first.mean_red <= 0.045
    assert flaws(page, 72) == []


def test_the_dark_page_is_pure_red_without_its_red_layer(
    open_page: Opener, light_of: Measure
) -> None:
    page = open_page("/kit", mode="safelight")
    page.evaluate(
        """() => { for (const sheet of document.styleSheets) for (const rule of sheet.cssRules)
          if (rule.selectorText?.includes('body::after')) rule.style.display = 'none'; }"""
    )
    light = light_of(page)
    assert (light.most_green, light.most_blue) == (0, 0)
    assert light.mean_red > 0


def test_the_red_layer_holds_back_what_a_mistake_lets_through(
    open_page: Opener, light_of: Measure
) -> None:
    page = open_page("/kit", mode="safelight")
    page.evaluate(
        """() => { const white = document.createElement('div');
          white.style.cssText = 'position:fixed;inset:0;background:#fff;z-index:99999';
          document.body.append(white); }"""
    )
    light = light_of(page, full=False)
    assert (light.most_green, light.most_blue) == (0, 0)
    assert light.mean_red > 0.9  # the mistake is there: only its colour was taken away


def test_before_any_style_sheet_the_dark_page_is_black(
    open_page: Opener, light_of: Measure
) -> None:
    page = open_page("/kit", mode="safelight")
    page.route("**/*.css*", lambda route: route.abort())
    page.reload()
    black = "rgb(0, 0, 0)"
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == black
    assert light_of(page, full=False).mean_red < 0.04


def test_going_dark_and_bright_without_script(open_page: Opener) -> None:
    page = open_page("/kit", script=False)
    page.get_by_role("button", name="Safelight").click()
    expect(page.locator("html")).to_have_attribute("data-mode", "safelight")
    page.goto("/kit")
    expect(page.get_by_role("heading", level=1)).to_have_text("This needs the lights on.")
    page.get_by_role("button", name="Hold for studio").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Studio light?")
    expect(page.locator("html")).to_have_attribute("data-mode", "safelight")
    page.get_by_role("button", name="Paper is away, go bright").click()
    expect(page.locator("html")).to_have_attribute("data-mode", "studio")


def test_a_short_press_does_not_light_the_room(open_page: Opener) -> None:
    page = open_page("/kit", mode="safelight")
    page.get_by_role("button", name="Hold for studio").click()
    page.wait_for_timeout(300)
    expect(page.locator("html")).to_have_attribute("data-mode", "safelight")
    expect(page.locator("[data-hold-label]")).to_have_text("Keep holding")


@pytest.mark.parametrize("by", ["pointer", "key"])
def test_a_held_press_lights_the_room(open_page: Opener, by: str) -> None:
    page = open_page("/kit", mode="safelight")
    button = page.get_by_role("button", name="Hold for studio")
    button.focus()
    box = button.bounding_box()
    assert box
    if by == "pointer":
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
    else:
        page.keyboard.down("Enter")
    page.wait_for_timeout(900)  # less than 1.2 s
    expect(page.locator("html")).to_have_attribute("data-mode", "safelight")
    expect(page.locator("html")).to_have_attribute("data-mode", "studio")
    page.mouse.up()


def test_a_click_that_was_no_press_is_asked_about(open_page: Opener) -> None:
    """A screen reader or a switch cannot hold."""
    page = open_page("/kit", mode="safelight")
    page.evaluate("document.querySelector('[data-hold]').click()")
    expect(page.get_by_role("heading", level=1)).to_have_text("Studio light?")


def test_the_dimmer_dims_at_once_and_stays(open_page: Opener, light_of: Measure) -> None:
    page = open_page("/kit", mode="safelight")
    reds = [light_of(page, full=False).mean_red]
    for step in ("1", "2"):
        with page.expect_response("**/dim"):
            page.get_by_role("button", name="Dimmer").click()
        expect(page.locator("html")).to_have_attribute("data-dim", step)
        reds.append(light_of(page, full=False).mean_red)
    assert reds[0] > 2 * reds[1] > 4 * reds[2] > 0
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-dim", "2")


def test_the_dimmer_works_without_script(open_page: Opener) -> None:
    page = open_page("/kit", mode="safelight", script=False)
    page.get_by_role("button", name="Dimmer").click()
    expect(page.locator("html")).to_have_attribute("data-dim", "1")


@pytest.mark.parametrize("script", [True, False])
def test_the_way_back_never_comes_up_bright(open_page: Opener, *, script: bool) -> None:
    page = open_page("/papers", script=script)
    page.goto("/kit")
    page.get_by_role("button", name="Safelight").click()
    expect(page.locator("html")).to_have_attribute("data-mode", "safelight")
    for _ in range(2):
        page.go_back()
        expect(page.locator("html")).to_have_attribute("data-mode", "safelight")


def test_nothing_asks_another_machine(open_page: Opener, site: str) -> None:
    page = open_page("/start")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    for path in PAGES:
        page.goto(path)
    assert asked
    assert all(url.startswith((site, "data:")) for url in asked)


def test_keys_alone_reach_everything(open_page: Opener) -> None:
    page = open_page("/papers")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Go to the page")).to_be_focused()
    expect(page.get_by_role("link", name="Go to the page")).to_be_in_viewport()
    names = []
    for _ in range(9):
        page.keyboard.press("Tab")
        names.append(page.evaluate("document.activeElement.textContent.trim()"))
    for name in ("Stillroom", "Sitting", "Papers", "Kit", "Safelight", "Sorrel No. 2, batch 7"):
        assert name in names
