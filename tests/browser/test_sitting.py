"""The pages of a sitting in a real browser: both lights, both sizes, with and without script."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Page, Route, expect

from stillroom.documents.book import Book, Reading
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
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
PAGES = [
    "/sitting/OM",
    "/sitting/OM?key.dial=-1.5&rim.on=no",
    "/sitting/OM/3",
    "/sitting/OM/1",
    "/read/OM/4",
    "/read/OM/1",
    "/sitting/OM/aims",
    "/sitting/OM/next",
    "/sittings",
]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
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
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(page) == 0


@pytest.mark.parametrize("way", ["words", "densitometer", "early_look"])
def test_each_way_of_reading_fits_a_phone(open_page: Opener, flaws: Flaws, way: str) -> None:
    page = open_page("/read/OM/4", size="phone")
    page.locator(f"[name=by][value={way}]").check(force=True)
    assert flaws(page, 44) == []
    expect(page.locator(".holes").first).to_be_hidden()


@pytest.mark.parametrize("mode", ["studio", "safelight"])
@pytest.mark.parametrize("size", SIZES)
def test_the_room_is_asked_for_where_a_thumb_reaches(
    open_page: Opener, flaws: Flaws, desk: Desk, mode: str, size: str
) -> None:
    desk.read_sheet("OM", 4, Reading(), what_else_moved=("curtain",))
    page = open_page("/sitting/OM", size=size, mode=mode)
    asked = page.get_by_role("region", name="How is the room now?")
    expect(asked.get_by_role("button", name="curtains closed")).to_be_in_viewport(ratio=1)
    assert flaws(page, 44 if mode == "studio" else 72) == []


def test_what_is_asked_of_a_light_that_moved_fits_a_phone(open_page: Opener, flaws: Flaws) -> None:
    page = open_page("/read/OM/4", size="phone")
    for box in page.locator("[name=moved]").all():
        box.check(force=True)
    expect(page.locator(".which").last).to_be_visible()
    assert flaws(page, 44) == []


@pytest.mark.parametrize("mode", ["studio", "safelight"])
@pytest.mark.parametrize("knob", ["key.dial", "key.at", "rim.on", "f", "room"])
def test_an_open_wheel_lies_on_the_screen_with_its_value_in_sight(
    open_page: Opener, flaws: Flaws, knob: str, mode: str
) -> None:
    page = open_page("/sitting/OM", size="phone", mode=mode)
    wheel = page.locator(f"[data-knob='{knob}']")
    wheel.locator("summary").click()
    expect(wheel.locator(".wheel")).to_be_in_viewport(ratio=1)
    expect(wheel.locator("button.is-now").first).to_be_in_viewport(ratio=1)
    assert flaws(page, 44 if mode == "studio" else 72) == []


@pytest.mark.parametrize("size", SIZES)
def test_in_the_dark_everything_is_red_dim_and_large(
    open_page: Opener, light_of: Measure, flaws: Flaws, size: str
) -> None:
    page = open_page("/sitting/OM", mode="safelight", size=size)
    for light, most_red in ((light_of(page), 0.04), (light_of(page, full=False), 0.045)):
        assert (light.most_green, light.most_blue) == (0, 0)
        assert 0 < light.mean_red <= most_red
    assert flaws(page, 72) == []
    assert page.locator("input:not([type=hidden]), select, textarea, img").count() == 0
    page.locator(".showed > summary").click()
    open_wheel = light_of(page, full=False)
    assert (open_wheel.most_green, open_wheel.most_blue) == (0, 0)


def test_in_the_dark_the_page_is_pure_red_without_its_red_layer(
    open_page: Opener, light_of: Measure
) -> None:
    page = open_page("/sitting/OM?key.dial=-1.5", mode="safelight")
    page.evaluate(
        """() => { for (const sheet of document.styleSheets) for (const rule of sheet.cssRules)
          if (rule.selectorText?.includes('body::after')) rule.style.display = 'none'; }"""
    )
    light = light_of(page)
    assert (light.most_green, light.most_blue) == (0, 0)


@pytest.mark.parametrize("script", [True, False])
def test_the_set_list_and_shoot_fit_one_screen_of_a_phone(
    open_page: Opener, *, script: bool
) -> None:
    page = open_page("/sitting/OM", size="phone", script=script)
    expect(page.locator(".turns")).to_be_in_viewport(ratio=1)
    expect(page.get_by_role("button", name="Shoot OM 5")).to_be_in_viewport(ratio=1)


def test_a_tap_counts_before_the_odds_have_come(open_page: Opener, desk: Desk) -> None:
    page = open_page("/sitting/OM", size="phone")
    held: list[Route] = []
    page.route("**/turn", lambda route: held.append(route))  # noqa: PLW0108 - the desk does not answer
    wheel = page.locator("[data-knob='key.dial']")
    wheel.locator("summary").click()
    wheel.get_by_role("button", name="0.4", exact=True).click()
    expect(wheel.locator("[data-figure]").first).to_have_text("0.4")
    assert len(held) == 1
    page.get_by_role("button", name="Shoot OM 5").click(no_wait_after=True)
    held[0].abort()
    expect(page).to_have_url(re.compile("/sitting/OM/5/count$"))
    made = desk.book().sittings[0].sheets[-1].made
    assert made is not None
    assert made.lights["key"].dial == -0.4


def test_when_the_desk_is_gone_the_page_says_so_and_keeps_the_tap(open_page: Opener) -> None:
    page = open_page("/sitting/OM", size="phone")
    page.route("**/turn", lambda route: route.abort())
    wheel = page.locator("[data-knob='key.dial']")
    wheel.locator("summary").click()
    wheel.get_by_role("button", name="0.4", exact=True).click()
    expect(page.get_by_text("What you set is kept on this page")).to_be_visible()
    expect(wheel.locator("[data-figure]").first).to_have_text("0.4")


def test_a_value_typed_off_the_tape_comes_back_when_it_is_no_length(open_page: Opener) -> None:
    page = open_page("/sitting/OM")
    wheel = page.locator("[data-knob='key.at']")
    wheel.locator("summary").click()
    wheel.locator("input").fill("near")
    wheel.locator("input").press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("not a length")
    expect(wheel.locator("input")).to_have_value("near")
    wheel.locator("input").fill("2 ft 6 in")
    wheel.get_by_role("button", name="Set it").click()
    expect(wheel.locator("[data-figure]").first).to_have_text("76.2 cm")


def test_keys_alone_turn_a_dial(open_page: Opener) -> None:
    page = open_page("/sitting/OM")
    summary = page.locator("[data-knob='key.dial'] summary")
    summary.focus()
    page.keyboard.press("Enter")
    page.locator("[data-knob='key.dial'] button", has_text="0.4").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Recorded as you set it")).to_be_visible()
    expect(summary).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    expect(page.locator("[data-knob='key.dial']")).not_to_have_attribute("open", "")


def test_the_strip_says_where_a_tap_lies_and_a_far_tap_moves_it(open_page: Opener) -> None:
    page = open_page("/read/OM/4")
    key = page.get_by_role("group", name="Key cheek")
    key.locator("[value='4']").check(force=True)
    expect(key.locator("[data-say]")).to_contain_text("step 4: ")
    key.locator("[value='5']").check(force=True)
    expect(key.locator("[data-say]")).to_contain_text("between 4 and 5: ")
    key.locator("[value='1']").check(force=True)
    expect(key.locator("[data-say]")).to_contain_text("step 1: ")
    expect(key.locator("[value='4']")).not_to_be_checked()
    expect(page.locator("[data-count]")).to_contain_text("1 of 3 read")


def test_brackets_move_by_keys_and_by_dragging_a_third_at_a_time(
    open_page: Opener, desk: Desk
) -> None:
    page = open_page("/sitting/OM/aims")
    want = page.get_by_role("slider", name="Key cheek")
    chosen = page.locator("[name='at:key']")
    assert chosen.input_value() == "2"
    want.focus()
    page.keyboard.press("ArrowRight")
    assert chosen.input_value() == "3"
    expect(want).to_have_attribute("aria-valuetext", "+1, give or take ⅓")
    box = want.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 200, y, steps=8)
    page.mouse.up()
    moved = int(chosen.input_value())
    assert moved < 1
    page.get_by_role("button", name="Use these aims").locator("visible=true").click()
    expect(page.get_by_text("Aims kept")).to_be_visible()
    assert desk.book().sittings[0].aims["key"].placement_stops == pytest.approx(moved / 3)


class TestFromAnEmptyBook:
    """First run, plan, record, read, advice: nothing typed, in one go."""

    @pytest.fixture
    def desk(self, tmp_path: Path) -> Iterator[Desk]:
        with sitting_desk(tmp_path, Book()) as opened:
            yield opened

    @pytest.mark.parametrize("size", SIZES)
    @pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
    def test_the_whole_path(
        self, open_page: Opener, flaws: Flaws, desk: Desk, size: str, *, script: bool
    ) -> None:
        page = open_page("/start", size=size, script=script)
        page.get_by_role("button", name="Plan it").click()
        page.wait_for_url("**/sitting/*")
        expect(page.get_by_role("heading", name="A stepped sheet first.")).to_be_visible()
        if script:
            assert flaws(page, 44) == []
        page.get_by_role("button", name="Shoot").locator("visible=true").click()
        expect(page.locator(".said")).to_contain_text("is written down as it was made")
        page.get_by_role("link", name="Back to the sitting").click()

        page.get_by_role("link", name="Read").first.click()
        expect(page.get_by_text("Strip 1, 1 pop")).to_be_visible()
        asked = page.locator(".regs").all()
        taps = (("4",), ("7", "8"), ("11",), ("bare",))
        for strip, steps in zip(asked, taps, strict=True):
            for step in steps:
                strip.locator(".reg").first.locator(f"[value='{step}']").check(force=True)
        page.get_by_role("button", name="Write it down").click()
        expect(page.locator(".said")).to_contain_text("is written down, wet")

        sitting = desk.book().sittings[0]
        assert len(sitting.sheets[0].readings[0].strips) == 4
        advice = desk.advice(sitting.id)
        assert advice.settings.steps_pops is None
        expect(page.get_by_text("Tones land,").first).to_be_visible()
        expect(page.get_by_role("heading", name="Sheets so far")).to_be_visible()

    def test_in_the_dark_a_stepped_sheet_is_shot_and_waits(
        self, open_page: Opener, flaws: Flaws, desk: Desk
    ) -> None:
        page = open_page("/start", size="phone")
        page.get_by_role("button", name="Plan it").click()
        page.wait_for_url("**/sitting/*")
        page.get_by_role("button", name="Safelight").click()
        page.get_by_role("button", name="Shoot").locator("visible=true").click()
        page.get_by_role("link", name="Back to the sitting").click()
        expect(page.get_by_text("when the lights are on")).to_be_visible()
        assert flaws(page, 72) == []
        assert desk.book().sittings[0].sheets[0].settings.steps_pops == (1, 2, 4, 8)
