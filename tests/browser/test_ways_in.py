"""Start, Kit and Papers by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from quarry_lane import open_desk  # type: ignore[import-not-found]

from stillroom.documents.book import Book
from stillroom.services.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]


class TestAnEmptyBook:
    @pytest.fixture
    def desk(self, tmp_path: Path) -> Iterator[Desk]:
        with open_desk(tmp_path, Book()) as opened:
            yield opened

    def test_what_you_will_get_follows_the_taps(self, open_page: Opener, desk: Desk) -> None:
        page = open_page("/", size="phone")
        shown = page.locator("[data-look]")
        expect(shown).to_contain_text("5.6")
        page.get_by_role("radio", name="8 × 10").click()
        expect(shown).to_contain_text("9")  # a lens for 8 x 10 is slower
        page.get_by_role("radio", name="Daylight").click()
        expect(shown).to_contain_text(" s")
        expect(page.get_by_text("About how strong?")).not_to_be_visible()
        assert desk.book() == Book()

    def test_without_script_a_button_shows_it(self, open_page: Opener) -> None:
        page = open_page("/start", script=False)
        page.locator('[name=camera][value="8x10 in"]').check(force=True)
        page.get_by_role("button", name="Show what I will get").click()
        expect(page.locator("[data-look]")).to_contain_text("9")
        expect(page.locator('[name=camera][value="8x10 in"]')).to_be_checked()

    def test_a_first_sheet_in_one_tap(self, open_page: Opener, desk: Desk) -> None:
        page = open_page("/start", size="phone")
        page.get_by_role("button", name="Plan it").click()
        page.wait_for_url("**/sitting/*")
        assert len(desk.book().sittings) == 1


def test_a_modifier_in_three_taps(open_page: Opener, desk: Desk) -> None:
    page = open_page("/kit/modifiers/add", size="phone")
    page.get_by_role("radio", name="octa, inner and outer layer").click()
    page.get_by_role("radio", name="120 cm", exact=True).click()
    page.get_by_role("button", name="Add it").click()
    expect(page.locator(".said")).to_have_text("Octa 120 cm is in the kit.")
    assert desk.book().kit.modifiers[-1].width_m == 1.2


@pytest.mark.parametrize("script", [True, False])
def test_a_double_tap_adds_one_thing(open_page: Opener, desk: Desk, *, script: bool) -> None:
    page = open_page("/kit/meters/add", script=script)
    page.get_by_role("button", name="Add it").dblclick()
    page.wait_for_url("**/kit")
    assert len(desk.book().kit.meters) == 2


def test_a_new_box_in_three_taps(open_page: Opener, desk: Desk) -> None:
    page = open_page("/papers/sorrel-2~7", size="phone")
    page.get_by_text("Open a new box").click()
    page.get_by_role("radio", name="8").click()
    page.get_by_role("button", name="Open it").click()
    expect(page.locator(".said")).to_contain_text("Batch 8 starts from batch 7")
    assert desk.book().papers[-1].batch == "8"


def test_the_greys_beside_the_curve_are_real(open_page: Opener) -> None:
    page = open_page("/papers/sorrel-2~7")
    tones = page.evaluate(
        """() => [...document.querySelectorAll('.tone-chart .greys i')]
          .map(i => getComputedStyle(i).backgroundColor.match(/\\d+/g).map(Number))"""
    )
    assert all(r == g == b for r, g, b in tones)
    first, last = tones[0][0], tones[-1][0]
    # The top patch is near density 2.0 to 2.5, the lowest near 0: sRGB of 10^-D (IEC 61966-2-1).
    assert first < 30
    assert last > 235


def test_a_wrong_answer_is_said_beside_its_field(open_page: Opener) -> None:
    page = open_page("/kit/heads/add", size="phone")
    page.get_by_text("Or type what you know").click()
    page.get_by_label("Energy at full").fill("none")
    page.get_by_role("button", name="Add it").click()
    field = page.get_by_label("Energy at full")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("none")
    expect(field).to_have_accessible_description(
        "1 to 100\u202f000 W·s Energy at full is 'none': "
        "not a number; write it in figures, such as 5.6."
    )
