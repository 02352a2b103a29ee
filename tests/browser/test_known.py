"""What is known of a term, by hand: look, hold, forget, learn again."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
HEAD = "head/A/output"


@pytest.mark.parametrize(("size", "script"), [("phone", True), ("laptop", False)])
def test_hold_and_learn_again_in_two_taps(
    open_page: Opener, desk: Desk, size: str, *, script: bool
) -> None:
    page = open_page("/kit/heads/A", size=size, script=script)
    first = page.locator("article.told").first
    first.get_by_role("button", name="Hold this figure").click()
    expect(page.locator(".said")).to_contain_text("is held: sheets no longer move it.")
    assert desk.known_term(HEAD).standing == "held"
    first.get_by_role("button", name="Learn again").click()
    expect(page.locator(".said")).to_contain_text("learns from sheets again.")
    assert desk.known_term(HEAD).standing != "held"


def test_a_row_of_the_ledger_opens_and_closes(open_page: Opener) -> None:
    page = open_page("/sitting/OM/3/ledger?region=key", size="phone")
    row = page.get_by_role("link", name="A at full, 1 m").first
    row.click()
    expect(page.locator("#opened article.told")).to_be_visible()
    expect(row).to_have_attribute("aria-expanded", "true")
    row.click()
    expect(page.locator("#opened")).to_have_count(0)


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_spindles_stand_inside_their_drawing(open_page: Opener, size: str) -> None:
    page = open_page("/papers/sorrel-2~7", size=size)
    inside = page.locator("figure.over-time").first.evaluate(
        """figure => {
          const plot = figure.querySelector('.plot').getBoundingClientRect();
          return [...figure.querySelectorAll('.spn, .entered')].map(p => p.getBoundingClientRect())
            .every(r => r.top >= plot.top - 1 && r.bottom <= plot.bottom + 1
              && r.left >= plot.left - 1 && r.right <= plot.right + 1 && r.width > 3);
        }"""
    )
    assert inside
