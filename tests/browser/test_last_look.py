"""A sitting by daylight in a real browser: its set list, the last look, seats and places."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from seated_book import seated_book  # type: ignore[import-not-found]
from sitting_book import sitting_desk  # type: ignore[import-not-found]

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
Flaws = Callable[[Page, int], list[str]]


class Light(Protocol):
    """What a picture of a screen would throw into the room."""

    most_green: int
    most_blue: int
    mean_red: float


Measure = Callable[..., Light]

SIZES = ["phone", "laptop"]
SHORT = '/sitting/KS/last-look?planned={"f_number":5.6,"open_s":1}'
IN_THE_DARK = ["/sitting/KS", "/sitting/KS/last-look", SHORT]
PAGES = [
    *IN_THE_DARK,
    "/kit",
    "/kit/places/add",
    "/kit/places/quarry",
    "/kit/seats/add",
    "/kit/seats/parlour",
    "/kit/seats/yard",
    "/kit/meters/add",
    "/start?light=daylight&seat=yard",
]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with sitting_desk(tmp_path_factory.mktemp("look"), seated_book()) as opened:
        opened.look("KS")  # what is believed is worked out once, before a browser waits
        yield opened


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, size=size)
    page.evaluate(
        "document.querySelectorAll('main details.fold').forEach(d => { d.open = true; })"
    )
    assert flaws(page, 44) == []


@pytest.mark.parametrize("path", PAGES)
def test_a_narrow_phone_or_a_zoomed_page_still_fits(
    open_page: Opener, sideways: Callable[[Page], int], path: str
) -> None:
    page = open_page(path, size="phone")
    page.evaluate(
        "document.querySelectorAll('main details.fold').forEach(d => { d.open = true; })"
    )
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(page) == 0


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", IN_THE_DARK)
def test_in_the_dark_everything_is_red_dim_and_large(
    open_page: Opener, light_of: Measure, flaws: Flaws, path: str, size: str
) -> None:
    page = open_page(path, mode="safelight", size=size)
    for light, most_red in ((light_of(page), 0.04), (light_of(page, full=False), 0.045)):
        assert (light.most_green, light.most_blue) == (0, 0)
        assert 0 < light.mean_red <= most_red
    assert flaws(page, 72) == []
    assert page.locator("input:not([type=hidden]), select, textarea, img").count() == 0


def test_in_the_dark_the_look_is_pure_red_without_its_red_layer(
    open_page: Opener, light_of: Measure
) -> None:
    page = open_page(SHORT, mode="safelight")
    page.evaluate(
        """() => { for (const sheet of document.styleSheets) for (const rule of sheet.cssRules)
          if (rule.selectorText?.includes('body::after')) rule.style.display = 'none'; }"""
    )
    light = light_of(page)
    assert (light.most_green, light.most_blue) == (0, 0)
    assert light.mean_red > 0


@pytest.mark.parametrize("mode", ["studio", "safelight"])
@pytest.mark.parametrize("knob", ["sky", "key.seat"])
def test_an_open_wheel_lies_on_the_screen_with_its_value_in_sight(
    open_page: Opener, flaws: Flaws, knob: str, mode: str
) -> None:
    page = open_page("/sitting/KS", size="phone", mode=mode)
    wheel = page.locator(f"[data-knob='{knob}']")
    wheel.locator("summary").click()
    expect(wheel.locator(".wheel")).to_be_in_viewport(ratio=1)
    expect(wheel.locator("button.is-now").first).to_be_in_viewport(ratio=1)
    assert flaws(page, 44 if mode == "studio" else 72) == []


@pytest.mark.parametrize("script", [True, False])
def test_the_set_list_and_shoot_fit_one_screen_of_a_phone(
    open_page: Opener, *, script: bool
) -> None:
    page = open_page("/sitting/KS", size="phone", script=script)
    expect(page.locator(".turns")).to_be_in_viewport(ratio=1)
    expect(page.get_by_role("button", name="Shoot KS 1")).to_be_in_viewport(ratio=1)


@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_the_sky_is_asked_on_the_first_screen(open_page: Opener, mode: str) -> None:
    page = open_page("/sitting/KS/last-look", size="phone", mode=mode)
    for word in ("clear", "veiled", "middling", "dull"):
        expect(page.get_by_role("button", name=word, exact=True)).to_be_in_viewport(ratio=1)


@pytest.mark.parametrize("script", [True, False])
def test_a_form_of_a_seat_shows_what_its_kind_asks(open_page: Opener, *, script: bool) -> None:
    page = open_page("/kit/seats/add", script=script)
    page.locator("details.fold > summary").click()
    width, sun = page.get_by_label("Width of the window"), page.get_by_text("Can the sun reach")
    expect(width).to_be_visible()
    expect(sun).to_be_hidden()
    expect(page.get_by_role("heading", name="The room, if it is to count")).to_be_visible()
    page.locator("label", has_text="in the open").click()
    expect(width).to_be_hidden()
    expect(sun).to_be_visible()
    expect(page.get_by_role("heading", name="The room, if it is to count")).to_be_hidden()
    expect(page.get_by_role("heading", name="In the open")).to_be_visible()


def test_a_new_place_keeps_the_clock_of_the_one_who_adds_it(open_page: Opener) -> None:
    page = open_page("/kit/places/add")
    here = page.evaluate("Intl.DateTimeFormat().resolvedOptions().timeZone")
    assert here
    expect(page.get_by_label("Time zone")).to_have_value(here)
    page = open_page("/kit/places/quarry")
    expect(page.get_by_label("Time zone")).to_have_value("Europe/London")
