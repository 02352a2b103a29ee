"""A bench page under a clock that the test turns, and the book behind it."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from playwright.sync_api import Page

from stillroom.documents.book import Book
from stillroom.documents.read import read_book
from stillroom.documents.wet import WetRun
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from sitting_book import sitting_book, sitting_desk  # type: ignore[import-not-found]

BEFORE_NOON, NOON = "2026-11-14T11:59:00Z", "2026-11-14T12:00:00Z"
CLIPS = {4: 4, 5: 5, 6: 1, 7: 7}
RC = {
    "first_development": 120,
    "first_wash": 60,
    "second_wash": 90,
    "third_wash": 60,
    "lights": 20,
    "second_development": 90,
    "rinse": 30,
    "fix": 60,
    "last_wash": 180,
}
"""Timed steps of resin-coated paper in trays at 20 degrees [s]: starting times of the trade."""
LEAST_BLEACH_S, LONGEST_BLEACH_S, LEAST_CLEAR_S, LIFT_S = 60, 180, 30, 10


def bench_book() -> Book:
    """The small example with four sheets that wait for the line, each with its clip."""
    book = json.loads(sitting_book().model_dump_json(exclude_unset=True))
    sheets = book["sittings"][0]["sheets"]
    last = sheets.pop()
    sheets += [last | {"number": n, "mark": f"OM {n}", "clip": clip} for n, clip in CLIPS.items()]
    return read_book(json.dumps(book))


@contextmanager
def bench_desk(folder: Path) -> Iterator[Desk]:
    """A desk whose clock stands at noon of the example's day."""
    with sitting_desk(folder, bench_book()) as opened:
        yield opened


class Bench:
    """The page, a foot, a finger and a clock."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.presses = 0

    def wait(self, seconds: float) -> None:
        """Let time pass, a tick at a time, as it does."""
        self.page.clock.run_for(round(seconds * 1000))

    def press(self, key: str = "PageDown") -> None:
        self.page.keyboard.press(key)
        self.presses += 1

    def text(self, part: str) -> str:
        return self.page.locator(f"[data-{part}]").inner_text()

    @property
    def word(self) -> str:
        return self.text("word")

    @property
    def figure(self) -> int | None:
        box = self.page.locator("[data-figure]")
        return int(box.inner_text()) if box.is_visible() else None

    def tray(self, mark: str) -> str:
        """Name of the tray in which a sheet lies."""
        return (
            self.page.locator(".tray.on", has=self.page.get_by_label(f"Sheet {mark}", exact=False))
            .locator(".tn")
            .inner_text()
        )

    def tap(self, part: str) -> None:
        self.page.locator(f"[data-{part}]").click()

    def listen(self) -> Callable[[], list[str]]:
        """Keep every call from now on; the answer reads them."""
        self.page.evaluate(
            """() => { window.heard = [];
              const box = document.querySelector('[data-call]');
              new MutationObserver(() => window.heard.push(box.textContent))
                .observe(box, {childList: true}); }"""
        )

        def heard() -> list[str]:
            found: list[str] = self.page.evaluate("window.heard")
            return found

        return heard

    def settle(self) -> None:
        """Until the book has taken everything."""
        left = None
        for _ in range(40):
            left = self.page.evaluate(
                "JSON.parse(localStorage.getItem('stillroom.bench') ?? 'null')?.line.queue.length"
            )
            if not left:
                return
            self.wait(1)
            self.page.wait_for_timeout(50)
        raise AssertionError(f"{left} events were never taken")


def open_bench(open_page: Callable[..., Page], **how: str) -> Bench:
    """The page at noon, its clock in the test's hand."""
    page = open_page("/nothing-here", **how)
    page.clock.install(time=BEFORE_NOON)
    page.goto("/bench")
    page.clock.pause_at(NOON)
    bench = Bench(page)
    bench.wait(0.5)
    return bench


def run_of(desk: Desk, number: int) -> WetRun:
    """How a sheet went through the line, as the book has it."""
    (sitting,) = desk.book().sittings
    run = next(sheet.wet for sheet in sitting.sheets if sheet.number == number)
    assert run is not None
    return run


def lasted(run: WetRun) -> dict[str, float]:
    """Seconds in each tray."""
    return {
        step.step: (step.ended_at - step.began_at).total_seconds()
        for step in run.steps
        if step.ended_at is not None
    }


def lifts(run: WetRun) -> list[datetime]:
    """Moments at which hands were wanted: each tray left, the lifting itself before it."""
    return [step.ended_at for step in run.steps if step.ended_at is not None]
