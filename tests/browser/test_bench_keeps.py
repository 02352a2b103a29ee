"""Nothing loses a running line: reloads, no network, a sleep, a clock set back, two screens."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Request, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from bench_runs import (  # type: ignore[import-not-found]
    LEAST_BLEACH_S,
    LEAST_CLEAR_S,
    LIFT_S,
    RC,
    Bench,
    bench_desk,
    lasted,
    open_bench,
    run_of,
)

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
BLEACH_S = 1.5 * LEAST_BLEACH_S + LIFT_S
"""In the bleach when the press comes as soon as it may: half as long again, then the lift."""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with bench_desk(tmp_path) as opened:
        yield opened


def shown(bench: Bench) -> tuple[str, int | None, str, str]:
    return bench.word, bench.figure, bench.text("now"), bench.text("then")


def test_a_reload_in_every_step_changes_nothing(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    for _ in range(40):
        bench.wait(25)
        if bench.word == "Ready":
            break
        before = shown(bench)
        bench.page.reload()
        bench.wait(0)
        assert shown(bench) == before
        if "done for" in bench.text("press"):
            bench.press()
            bench.wait(0.5)
    bench.settle()
    run = run_of(desk, 4)
    assert run.outcome == "through"
    timed = {step: s for step, s in lasted(run).items() if step in RC}
    assert timed == pytest.approx(RC, abs=0.3)
    assert bench.presses == 3


def test_a_reload_says_where_it_picks_up(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(70)
    bench.page.reload()
    bench.wait(0.5)
    assert bench.text("call") == "Picked up. OM 4, first development, forty seconds left."


def test_two_minutes_without_a_network_lose_nothing_and_send_it_once(
    open_page: Opener, desk: Desk
) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(30)
    bench.settle()
    answered: list[str] = []

    def note(request: Request) -> None:
        if request.url.endswith("/bench/events") and request.post_data:
            answered.extend(one["id"] for one in json.loads(request.post_data)["events"])

    bench.page.on("requestfinished", note)
    bench.page.context.set_offline(True)
    bench.press()
    bench.wait(0.5)
    bench.page.wait_for_timeout(200)
    bench.wait(119.5)
    expect(bench.page.locator("[data-notices]")).to_contain_text(
        "Not saved since 12:00. Trying again. Your taps are kept here."
    )
    assert bench.tray("OM 4") == "Wash"
    assert [step.step for step in run_of(desk, 4).steps] == ["first_development"]
    bench.page.context.set_offline(False)
    bench.settle()
    bench.wait(1)
    expect(bench.page.locator("[data-notices]")).not_to_contain_text("Not saved")
    run = run_of(desk, 4)
    assert run.steps[0].longer_s == 10
    assert [step.step for step in run.steps] == ["first_development", "first_wash"]
    assert lasted(run)["first_development"] == pytest.approx(130, abs=0.3)
    assert len(answered) == len(set(answered)) == 2


def test_an_answer_that_never_arrived_writes_nothing_twice(open_page: Opener, desk: Desk) -> None:
    """The book took it, the answer was lost: the same ids come again."""
    bench = open_bench(open_page)
    lost: list[int] = []

    def lose(route: Any) -> None:
        if len(lost) < 2:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    bench.page.route("**/bench/events", lose)
    bench.press()
    bench.wait(20)
    bench.press()
    bench.wait(30)
    bench.settle()
    assert lost == [200, 200]
    assert run_of(desk, 4).steps[0].longer_s == 10


def test_after_a_sleep_the_line_stands_where_the_clock_says(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(60)
    bench.page.clock.fast_forward(90_000)
    bench.wait(0.5)
    assert bench.tray("OM 4") == "Wash"
    expect(bench.page.locator(".tray.on .tw")).to_have_text("twenty seconds")
    assert bench.text("call") == "Picked up. OM 4, wash, twenty seconds left."
    expect(bench.page.locator("[data-notices]")).to_contain_text("while this page slept")
    bench.settle()
    assert lasted(run_of(desk, 4))["first_development"] == pytest.approx(120, abs=0.3)


def test_a_clock_set_back_during_a_step_moves_nothing_and_is_said(
    open_page: Opener, desk: Desk
) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(60)
    bench.page.clock.set_system_time("2026-11-14T11:01:00Z")
    bench.wait(0.5)
    assert "In fifty seconds" in bench.text("then")
    expect(bench.page.locator("[data-notices]")).to_contain_text(
        "The clock of this machine was set back by an hour; the line kept its own time"
    )
    bench.wait(RC["first_development"] - 60 + RC["first_wash"])
    assert bench.tray("OM 4") == "Bleach"
    bench.settle()
    run = run_of(desk, 4)
    assert lasted(run)["first_development"] == pytest.approx(120, abs=0.3)
    assert lasted(run)["first_wash"] == pytest.approx(60, abs=0.3)


def test_a_clock_set_back_while_the_page_was_closed_takes_no_time_back(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(60)
    bench.page.goto("/nothing-here")
    bench.page.clock.set_system_time("2026-11-14T11:31:00Z")
    bench.page.goto("/bench")
    bench.wait(0.5)
    assert "In fifty seconds" in bench.text("then")
    expect(bench.page.locator("[data-notices]")).to_contain_text("was set back by")


def test_a_second_screen_shows_the_same_line_and_its_done_counts(
    open_page: Opener, desk: Desk
) -> None:
    first = open_bench(open_page)
    first.press()
    first.wait(RC["first_development"] + 30)
    first.settle()
    second = open_bench(open_page)
    second.wait(RC["first_development"] + 30)
    assert second.tray("OM 4") == first.tray("OM 4") == "Wash"
    assert second.text("then") == first.text("then")
    second.press()
    second.wait(0.5)
    second.settle()
    assert [s.longer_s for s in run_of(desk, 4).steps] == [0, 10]


def test_a_page_that_was_kept_comes_up_without_a_network(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    bench.press()
    bench.wait(60)
    bench.settle()
    bench.page.context.set_offline(True)
    bench.page.reload()
    bench.wait(0.5)
    assert bench.word == "Rock"
    assert "In fifty seconds" in bench.text("then")
    bench.press()
    bench.wait(0.5)
    assert "In a minute" in bench.text("then")


def test_a_page_that_was_kept_bright_comes_up_dark_in_a_dark_room(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    bench.page.goto("/kit")
    bench.page.get_by_role("button", name="Safelight").click()
    expect(bench.page.locator("html")).to_have_attribute("data-mode", "safelight")
    bench.page.context.set_offline(True)
    bench.page.goto("/bench")
    bench.wait(0.5)
    assert bench.word == "Ready"
    expect(bench.page.locator("html")).to_have_attribute("data-mode", "safelight")


def test_what_the_book_refuses_is_said_and_holds_nothing_up(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(10)
    bench.settle()
    bench.page.evaluate(
        """() => { const kept = JSON.parse(localStorage.getItem('stillroom.bench'));
          const id = crypto.randomUUID();
          kept.line.queue.push({id, run: 'nobody', kind: 'stop', at: Date.now()});
          localStorage.setItem('stillroom.bench', JSON.stringify(kept)); }"""
    )
    bench.press()
    bench.wait(1)
    bench.settle()
    bench.wait(1)
    expect(bench.page.locator("[data-notices]")).to_contain_text("Nothing is known of run")
    assert run_of(desk, 4).steps[0].longer_s == 10


def test_least_times_of_the_trade_are_those_of_the_process(desk: Desk) -> None:
    """What these tests wait for is what the line asks for."""
    steps = {step.id: step for step in desk.bench().steps}
    assert {name: steps[name].seconds for name in RC} == RC
    assert steps["bleach"].least_s == LEAST_BLEACH_S
    assert steps["clear"].least_s == LEAST_CLEAR_S
