"""The bench as it is seen and touched: both lights, both sizes, every state of the line."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from playwright.sync_api import Page, Route, expect

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
Flaws = Callable[[Page, int], list[str]]
SIZES = ["phone", "laptop"]
BENCH_PX = 88
"""What a wet glove needs."""


class Light(Protocol):
    """What a picture of a screen would throw into the room."""

    most_green: int
    most_blue: int
    mean_red: float


Measure = Callable[..., Light]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with bench_desk(tmp_path) as opened:
        yield opened


State = dict[str, float]
"""Sheets that stand on the bench, and how long ago each began [s]."""
STATES: dict[str, State] = {
    "ready": {},
    "developing": {"OM 4": 60},
    "last ten": {"OM 4": RC["first_development"] - LIFT_S - 7},
    "looking": {"OM 4": RC["first_development"] + 10},
    "three": {"OM 4": 300, "OM 5": 130, "OM 6": 40},
    "past": {"OM 4": 700},
}
_STAND = """began => {
  const now = Date.now(), events = [{ id: 'pedal', kind: 'pedal', on: true, at: 0 }];
  for (const [mark, ago] of Object.entries(began)) {
    const sheet = Number(mark.slice(3)), at = now - 1000 * ago, clip = sheet;
    events.push({ id: mark, run: mark, kind: 'begin', at, sitting: 'OM', sheet, mark, clip });
  }
  const wishes = { pedal: true, beeps: false, voice: false };
  const line = { events, queue: [], told: {}, wishes, since: null };
  localStorage.setItem('stillroom.bench', JSON.stringify({ version: 1, line }));
}"""


def standing(open_page: Opener, state: State, **how: str) -> Page:
    """The page by a real clock, sheets on it; what it tells is taken and goes nowhere."""

    def take(route: Route) -> None:
        told = json.loads(route.request.post_data or "{}")["events"]
        route.fulfill(json={"taken": [one["id"] for one in told], "refused": []})

    page = open_page("/nothing-here", **how)
    page.route("**/bench/events", take)
    page.evaluate(_STAND, state)
    page.goto("/bench")
    expect(page.locator(".tray.on")).to_have_count(len(state))
    return page


def last_ten(bench: Bench) -> None:
    bench.press()
    bench.wait(RC["first_development"] - LIFT_S - 7)
    assert bench.figure == 7


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("state", STATES)
def test_it_fits_can_be_hit_and_can_be_read(
    open_page: Opener, flaws: Flaws, sideways: Callable[[Page], int], *, state: str, size: str
) -> None:
    page = standing(open_page, STATES[state], size=size)
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    assert flaws(page, 44) == []
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(page) == 0


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("state", STATES)
def test_in_the_dark_it_is_red_only_dim_and_large(
    open_page: Opener, light_of: Measure, flaws: Flaws, *, state: str, size: str
) -> None:
    page = standing(open_page, STATES[state], mode="safelight", size=size)
    for light, most_red in ((light_of(page), 0.04), (light_of(page, full=False), 0.045)):
        assert (light.most_green, light.most_blue) == (0, 0)
        assert 0 < light.mean_red <= most_red
    assert flaws(page, 72) == []
    assert page.locator("input:not([type=hidden]), select, textarea, img").count() == 0


@pytest.mark.parametrize("state", ["developing", "looking", "three"])
def test_what_a_wet_glove_presses_is_larger_still(
    open_page: Opener, too_small: Callable[[Page, int], list[str]], state: str
) -> None:
    page = standing(open_page, STATES[state], mode="safelight", size="phone")
    page.locator("[data-stop]").click()
    expect(page.locator("[data-stops] button")).to_have_count(len(STATES[state]))
    page.evaluate(
        """() => { for (const part of ['.head', '.foot', '.sect', '.others > summary'])
          document.querySelectorAll(part).forEach(node => { node.style.display = 'none'; }); }"""
    )
    assert page.locator("button:visible").count() >= 4
    assert too_small(page, BENCH_PX) == []


def test_in_the_dark_it_is_pure_red_without_its_red_layer(
    open_page: Opener, light_of: Measure
) -> None:
    page = standing(open_page, STATES["last ten"], mode="safelight")
    page.evaluate(
        """() => { for (const sheet of document.styleSheets) for (const rule of sheet.cssRules)
          if (rule.selectorText?.includes('body::after')) rule.style.display = 'none'; }"""
    )
    light = light_of(page)
    assert (light.most_green, light.most_blue) == (0, 0)
    assert light.mean_red > 0


@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_word_and_buttons_lie_on_the_first_screen_of_a_phone(open_page: Opener, mode: str) -> None:
    bench = open_bench(open_page, mode=mode, size="phone")
    expect(bench.page.locator("[data-starts] button")).to_be_in_viewport(ratio=1)
    last_ten(bench)
    for part in ("word", "figure", "now", "longer", "done", "stop"):
        expect(bench.page.locator(f"[data-{part}]")).to_be_in_viewport(ratio=1)


def test_both_modes_lead_to_the_bench(open_page: Opener) -> None:
    for mode, names in (
        ("studio", ["Sitting", "Bench", "Daylight"]),
        ("safelight", ["Sitting", "Bench"]),
    ):
        page = open_page("/bench", mode=mode)
        said = page.locator(".head nav a").all_inner_texts()
        assert said[: len(names)] == names
        assert mode == "studio" or said == names
        expect(page.get_by_role("link", name="Bench")).to_have_attribute("aria-current", "page")


def test_a_caution_stands_above_the_trays_before_its_step(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(RC["first_development"] + 5)
    notices = bench.page.locator("[data-notices]")
    expect(notices).to_be_empty()
    bench.wait(RC["first_wash"] - 30)
    expect(notices).to_contain_text("Next for OM 4. Acid and permanganate. Gloves, eye shield")
    bench.wait(30)
    expect(notices).to_be_empty()


def test_what_was_asked_once_is_not_asked_again(open_page: Opener) -> None:
    bench = open_bench(open_page)
    asks = bench.page.locator("[data-asks]")
    expect(asks).to_be_visible()
    for wish in ("pedal", "beeps", "voice"):
        bench.page.locator(f"[data-wish={wish}][value=no]").click()
    bench.wait(0.5)
    expect(asks).to_be_hidden()
    bench.page.reload()
    bench.wait(0.5)
    expect(asks).to_be_hidden()
    assert "No beeps." in bench.text("foot")
    assert "No voice, as you said." in bench.text("foot")


def test_the_foot_says_when_the_screen_may_sleep(open_page: Opener) -> None:
    page = open_page("/nothing-here")
    page.add_init_script(
        "Object.defineProperty(Navigator.prototype, 'wakeLock', {get: () => undefined});"
        "delete Navigator.prototype.wakeLock;"
    )
    page.goto("/bench")
    expect(page.locator("[data-foot]")).to_contain_text("cannot keep the screen awake")


def test_the_lines_temperature_is_one_tap_and_changes_its_times(
    open_page: Opener, desk: Desk
) -> None:
    bench = open_bench(open_page)
    bench.page.get_by_role("button", name="½ warmer").click()
    expect(bench.page.locator(".warm b")).to_have_text("20.5 °C")
    assert desk.bench().temperature_c == 20.5
    (first, *_) = desk.bench().steps
    assert first.seconds is not None
    assert first.seconds < RC["first_development"]


def test_a_thermometer_read_during_the_first_development_is_told_of_its_sheet(
    open_page: Opener, desk: Desk
) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(30)
    bench.page.get_by_role("button", name="½ warmer").click()
    expect(bench.page.locator(".warm b")).to_have_text("20.5 °C")
    expect(bench.page.locator(".tray.on")).to_have_count(1)
    bench.wait(0.5)
    bench.settle()
    assert bench.tray("OM 4") == "First development"
    assert 20 < run_of(desk, 4).temperature_c <= 20.5  # between the two readings
    bench.wait(RC["first_development"] - 35)
    assert bench.tray("OM 4") == "First development"  # its own time stays


@pytest.mark.parametrize("size", SIZES)
def test_the_coin_test_fits_and_is_dim(
    open_page: Opener, flaws: Flaws, light_of: Measure, size: str
) -> None:
    assert flaws(open_page("/bench/coin", size=size), 44) == []
    page = open_page("/bench/coin", mode="safelight", size=size)
    for light, most_red in ((light_of(page), 0.04), (light_of(page, full=False), 0.045)):
        assert (light.most_green, light.most_blue) == (0, 0)
        assert 0 < light.mean_red <= most_red
    assert flaws(page, 72) == []


def test_each_coin_is_called_at_its_minute_also_after_a_reload(open_page: Opener) -> None:
    page = open_page("/nothing-here", mode="safelight")
    page.clock.install(time="2026-11-14T11:59:00Z")
    page.goto("/bench/coin")
    page.clock.pause_at("2026-11-14T12:00:00Z")
    page.get_by_role("button", name="Coins are down, start").click()
    called = page.locator("[data-coin-call]")
    page.clock.run_for(119_000)
    expect(called).to_be_empty()
    page.clock.run_for(1500)
    expect(called).to_have_text("2 minutes: take the first coin away.")
    page.reload()
    page.clock.run_for(120_000)
    expect(called).to_have_text("4 minutes: take the second coin away.")
    page.clock.run_for(480_000)
    expect(called).to_contain_text("12 minutes: take the fourth coin away. That was the last")


@pytest.mark.parametrize("clip", range(1, 9))
def test_each_clip_is_drawn_by_its_own_corner_and_nick(open_page: Opener, clip: int) -> None:
    """Which corner is cut says 1 to 4; a second nick, 5 to 8."""
    page = open_page("/bench")
    points, nick = page.evaluate(
        """async clip => {
          const { slip } = await import('/static/bench_show.js');
          const drawn = slip({ mark: 'OM 1', clip });
          const corner = drawn.querySelector('polygon').getAttribute('points');
          return [corner, drawn.querySelector('path') !== null];
        }""",
        clip,
    )
    corners = {(0, 0), (120, 0), (120, 76), (0, 76)}
    standing = {tuple(int(n) for n in point.split(",")) for point in points.split()}
    cut = corners - standing
    assert cut == {[(0, 0), (120, 0), (120, 76), (0, 76)][(clip - 1) % 4]}
    assert nick == (clip > 4)
