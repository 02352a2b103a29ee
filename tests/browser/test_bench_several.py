"""Several sheets on the bench: no two lifts together, one light for all, one foot for all."""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from bench_runs import (  # type: ignore[import-not-found]
    LIFT_S,
    RC,
    Bench,
    bench_desk,
    open_bench,
    run_of,
)

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]
SPACING_S = 20
WATER = ("first_wash", "second_wash", "third_wash", "rinse", "last_wash")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with bench_desk(tmp_path) as opened:
        yield opened


def start(bench: Bench) -> None:
    bench.page.locator("[data-starts] button").click()


def all_through(bench: Bench, most_s: float = 3600) -> None:
    """Let the line run, and press whenever a tray by eye waits for it."""
    for _ in range(round(most_s / 5)):
        bench.wait(5)
        if "done for" in bench.text("press"):
            bench.press()
        if bench.word in ("Ready", "Empty"):
            return
    raise AssertionError("the line did not come to its end")


@pytest.fixture
def three(open_page: Opener) -> Bench:
    """Three sheets, each started as soon as the one before was."""
    bench = open_bench(open_page)
    bench.press()
    for _ in range(2):
        bench.wait(2)
        start(bench)
        bench.wait(0.5)
        while (
            "goes in in" in bench.text("now")
            or bench.page.locator("[data-starts] small", has_text="without waiting").count()
        ):
            bench.wait(5)
            if "done for" in bench.text("press"):
                bench.press()
    return bench


def test_no_two_lifts_of_three_sheets_fall_within_twenty_seconds(three: Bench, desk: Desk) -> None:
    all_through(three)
    three.settle()
    hands = []
    for number in (4, 5, 6):
        run = run_of(desk, number)
        assert run.outcome == "through"
        hands.append((run.began_at, number))
        for step in run.steps:
            assert step.ended_at is not None
            lift = LIFT_S if step.step != "lights" else 0
            hands.append((step.ended_at - timedelta(seconds=lift), number))
    for (a, of_a), (b, of_b) in itertools.pairwise(sorted(hands)):
        assert of_a == of_b or (b - a).total_seconds() >= SPACING_S - 0.5, (a, of_a, b, of_b)


def test_no_white_light_while_another_sheet_needs_the_dark(three: Bench, desk: Desk) -> None:
    all_through(three)
    three.settle()
    spans = {
        number: {s.step: (s.began_at, s.ended_at) for s in run_of(desk, number).steps}
        for number in (4, 5, 6)
    }
    for number, steps in spans.items():
        on, off = steps["lights"]
        for other, theirs in spans.items():
            if other != number:
                red_from, red_to = theirs["first_development"][0], theirs["second_wash"][1]
                assert red_to <= on or red_from >= off, (number, other)


def test_no_two_sheets_lie_in_one_bath(three: Bench, desk: Desk) -> None:
    all_through(three)
    three.settle()
    for step in ("first_development", "bleach", "clear", "second_development", "fix"):
        times = sorted(
            (s.began_at, s.ended_at)
            for number in (4, 5, 6)
            for s in run_of(desk, number).steps
            if s.step == step
        )
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(times)), step


def test_timed_baths_are_never_stretched_for_another_sheet(three: Bench, desk: Desk) -> None:
    """Only water, and the lights, wait."""
    all_through(three)
    three.settle()
    for number in (4, 5, 6):
        for step in run_of(desk, number).steps:
            assert step.ended_at is not None
            took = (step.ended_at - step.began_at).total_seconds()
            if step.step in RC and step.step not in (*WATER, "lights"):
                assert took == pytest.approx(RC[step.step], abs=0.3), step.step
            elif step.step in RC:
                assert took >= RC[step.step] - 0.3, step.step


def test_the_light_counts_every_sheet_on_the_bench(three: Bench) -> None:
    said = three.text("lights")
    assert said.startswith("Red only.")
    for mark in ("OM 5", "OM 6"):
        assert mark in said
    expect(three.page.locator(".tray.on")).to_have_count(3)


def test_a_press_is_done_for_the_tray_that_waits_else_longer_for_what_ends_first(
    open_page: Opener,
) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(RC["first_development"] + RC["first_wash"] + 1)
    start(bench)
    bench.wait(2)
    start(bench)  # a second tap: now
    bench.wait(1)
    assert (bench.tray("OM 4"), bench.tray("OM 5")) == ("Bleach", "First development")
    assert bench.text("press") == "Pedal or any key now: longer for OM 5, ten seconds."
    assert bench.page.locator("[data-done]").is_disabled()
    bench.wait(60)
    assert bench.text("press") == "Pedal or any key now: done for OM 4, bleach."
    bench.press()
    bench.wait(1)
    # Half as long again would meet the lift of OM 5: it stays in till twenty seconds after that.
    expect(bench.page.locator(".te", has_text="so that two lifts do not meet")).to_be_visible()
    assert bench.text("press") == "Pedal or any key now: longer for OM 5, ten seconds."


def test_a_sheet_that_cannot_go_in_yet_is_counted_down(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(2)
    expect(bench.page.locator("[data-starts] small")).to_contain_text("after you press")
    wait_s = bench.page.evaluate(_START_IN_S)
    assert RC["first_development"] < wait_s < RC["first_development"] + RC["first_wash"]
    heard = bench.listen()
    start(bench)
    bench.wait(wait_s - 5)
    assert (bench.word, bench.figure) == ("Wait", 5)
    assert any("OM 5 goes in in ten." in call for call in heard())
    bench.wait(6)
    assert bench.tray("OM 5") == "First development"


_START_IN_S = """async () => {
  const { firstStart } = await import('/static/bench_line.js');
  const plan = JSON.parse(document.querySelector('[data-bench]').dataset.plan);
  const { events } = JSON.parse(localStorage.getItem('stillroom.bench')).line, now = Date.now();
  return (firstStart(plan, events, now, { mark: 'OM 5' }) - now) / 1000;
}"""

# ── The line as a function ──────────────────────────────────────────────────────────────────

_STATE = """async ([events, at]) => {
  const { lineAt } = await import('/static/bench_line.js');
  const plan = JSON.parse(document.querySelector('[data-bench]').dataset.plan);
  const { runs } = lineAt(plan, events, at);
  return runs.map(run => [run.mark, run.outcome, run.step?.id ?? '', run.enteredAt, `${run.end}`]);
}"""


def events_of(marks: str) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = [{"kind": "pedal", "on": True, "at": 0}]
    for n, mark in enumerate(marks):
        at = 200_000 * n
        told += [
            {"kind": "begin", "run": mark, "at": at, "sitting": "OM", "sheet": n, "mark": mark},
            {
                "kind": "longer",
                "run": mark,
                "at": at + 50_000,
                "step": "first_development",
                "seconds": 10,
            },
            {"kind": "done", "run": mark, "at": at + 300_000, "step": "bleach"},
            {"kind": "done", "run": mark, "at": at + 560_000, "step": "clear"},
        ]
    return told


@pytest.mark.parametrize("at_s", [30, 150, 320, 500, 700, 900])
def test_the_line_hangs_on_what_happened_and_not_on_the_order_it_was_told_in(
    open_page: Opener, at_s: int
) -> None:
    page = open_page("/bench")
    told = events_of("ABC")
    straight = page.evaluate(_STATE, [told, at_s * 1000])
    assert page.evaluate(_STATE, [[*reversed(told)], at_s * 1000]) == straight


def test_what_is_still_to_come_changes_nothing_that_was(open_page: Opener) -> None:
    """A look at a later moment tells the same of the past: no end moves backwards."""
    page = open_page("/bench")
    told = events_of("ABC")
    passed = """async ([events, at]) => {
      const { lineAt } = await import('/static/bench_line.js');
      const plan = JSON.parse(document.querySelector('[data-bench]').dataset.plan);
      return lineAt(plan, events, at).entered.map(one => `${one.run} ${one.step} ${one.at}`);
    }"""
    before: list[str] = []
    for at_s in range(0, 1500, 50):
        known = [event for event in told if event["at"] <= at_s * 1000]
        now = page.evaluate(passed, [known, at_s * 1000])
        assert now[: len(before)] == before
        before = now
    assert len(before) > 15


_AT_RANDOM = """async trials => {
  const { firstStart, lineAt, movedStart, pressOf } = await import('/static/bench_line.js');
  const plan = JSON.parse(document.querySelector('[data-bench]').dataset.plan);
  let seed = 11;
  const random = () => {
    seed = (seed + 0x6D2B79F5) | 0;
    let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const found = [];
  for (let trial = 0; trial < trials; trial += 1) {
    const events = [{ kind: 'pedal', on: true, at: 0 }], sheets = 2 + Math.floor(random() * 3);
    let made = 0, now = 1000, open = [];
    do {
      const armed = lineAt(plan, events, now).runs.find(run => run.phase === 'armed');
      const moved = armed ? movedStart(plan, events, now) : null;
      if (armed && moved !== armed.beginAt) {
        events.push({ kind: 'move', run: armed.id, at: now, beginAt: moved });
      }
      const line = lineAt(plan, events, now), press = pressOf(line);
      open = line.runs.filter(run => run.outcome === 'in_work' || run.outcome === 'armed');
      if (made < sheets && !armed && random() < 0.05) {
        const mark = 'ABCD'[made];
        made += 1;
        const beginAt = firstStart(plan, events, now, { mark });
        events.push({ kind: 'arm', run: mark, mark, sheet: made, at: now, beginAt });
      }
      const { run } = press, step = run?.step.id;
      if (press.kind === 'done' && random() < 0.12) {
        events.push({ kind: 'done', run: run.id, step, at: now });
      } else if (press.kind === 'longer' && random() < 0.002) {
        events.push({ kind: 'longer', run: run.id, step, seconds: 10, at: now });
      }
      now += 3000 + Math.floor(random() * 2000);
    } while (made < sheets || open.length);
    const line = lineAt(plan, events, now);
    found.push({ lifts: line.lifts.map(({ run, at }) => [at, run]),
      spans: line.runs.flatMap(({ mark, passed }) =>
        passed.map(one => [mark, one.step, one.beganAt, one.endedAt])) });
  }
  return found;
}"""


def test_pressed_at_random_the_bench_keeps_hands_baths_and_the_dark_apart(
    open_page: Opener,
) -> None:
    """Two to four sheets at odd moments, by-eye trays left late, now and then *longer*."""
    page = open_page("/bench")
    played = page.evaluate(_AT_RANDOM, 8)
    count = 0
    for line in played:
        for (a, of_a), (b, of_b) in itertools.pairwise(sorted(line["lifts"])):
            count += 1
            assert of_a == of_b or b - a >= 1000 * SPACING_S - 1, (a, of_a, b, of_b)
        spans = line["spans"]
        lit = [(mark, a, b) for mark, step, a, b in spans if step == "lights"]
        red = [s for s in spans if s[1] in ("first_development", "first_wash", "bleach")]
        red += [s for s in spans if s[1] == "second_wash"]
        assert not [
            (x, y) for x in lit for y in red if x[0] != y[0] and x[1] < y[3] and y[2] < x[2]
        ]
        baths = [s for s in spans if s[1] not in WATER]
        for x, y in itertools.combinations(baths, 2):
            assert x[1] != y[1] or x[0] == y[0] or x[3] <= y[2] or y[3] <= x[2], (x, y)
    assert count > 150
