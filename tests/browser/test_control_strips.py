"""Control strips on a phone and a laptop: three taps, nothing typed, nothing that runs over."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from urllib.request import urlopen

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.demo import demo_book, demo_now
from stillroom.services.desk import Desk
from stillroom.store import open_book

pytestmark = pytest.mark.browser
SORREL = "/papers/sorrel-2~7"
PAPER = "sorrel-2/7"


class Clock:
    """A clock that can be set."""

    def __init__(self) -> None:
        self.now: datetime = demo_now()

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    with open_book(tmp_path / "book.db", clock=clock) as store:
        store.import_document(demo_book())
        yield Desk(store, clock)


@pytest.fixture(autouse=True)
def worked_out(site: str) -> None:
    """What is believed is worked out once, before a browser waits for it."""
    with urlopen(f"{site}{SORREL}", timeout=60) as answer:  # noqa: S310 - our own server
        assert answer.status == 200


@pytest.fixture
def some_runs(desk: Desk, clock: Clock) -> None:
    """Invented: a reference, a bath that stands, thin blacks, and nothing that can be told."""
    sitting, now = desk.control_strips(PAPER).sitting_id, clock.now
    assert sitting is not None
    runs = (
        {"1": 0.62, "2": 1.10, "3": 1.78},
        {"1": 0.63, "2": 1.12, "3": 1.77},
        {"1": 0.62, "2": 1.10, "3": 1.45},
        {"3": 1.70},
    )
    for n, steps in enumerate(runs):
        clock.now = now - timedelta(days=12 - 3 * n)
        desk.add_control_strip(sitting, steps)
    clock.now = now


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_one_is_run_in_three_taps(
    open_page: Callable[..., Page], desk: Desk, *, script: bool
) -> None:
    page = open_page(SORREL, size="phone", script=script)
    taps = 0
    for step, shown in (("Step 1", "7"), ("Step 2", "5")):
        greys = page.get_by_role("group", name=step, exact=True)
        grey = greys.locator("label", has_text=re.compile(f"^{shown}$"))
        expect(grey).to_be_visible()
        grey.click()
        taps += 1
    page.get_by_role("button", name="Write it down", exact=True).click()
    taps += 1
    expect(page.get_by_text("later runs are held against it").first).to_be_visible()
    assert taps == 3
    (run,) = desk.control_strips(PAPER).runs
    assert set(run.strip.steps) == {"1", "2"}
    assert run.strip.density_sd is not None


@pytest.mark.usefixtures("some_runs")
@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_nothing_runs_over_or_is_hard_to_hit(
    open_page: Callable[..., Page], flaws: Callable[[Page, int], list[str]], size: str
) -> None:
    page = open_page(SORREL, size=size)
    expect(page.get_by_text("Bath not checked today, ±¼.")).to_be_visible()
    assert flaws(page, 44) == []


@pytest.mark.usefixtures("some_runs")
def test_each_run_is_told_in_words_too(open_page: Callable[..., Page]) -> None:
    page = open_page(SORREL)
    table = page.get_by_role("table", name="Control strips, latest first")
    rows = table.get_by_role("row")
    expect(rows).to_have_count(1 + 4 + 2)  # the head, the runs, two that say more
    expect(table).to_contain_text("thinner than the middle tones explain")
    expect(table).to_contain_text("Only dark steps were read")
