"""The count in a real browser, its clock turned by hand: calls, presses, dark, reload; holders."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol, get_args

import pytest
from playwright.sync_api import Page, expect

from stillroom.documents.book import Sheet
from stillroom.documents.holding import Fires
from stillroom.services.counting import count
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
BEGIN = "2026-11-14T12:00:00"
BY_HAND = "/sitting/OM/4/count?fires=cap_in_dark"
# A voice of this machine that writes down what it says, when, and what stands on the page then.
VOICE = """
window.said = [];
window.pressed = [];
addEventListener('keydown', () => window.pressed.push(Date.now()), { capture: true });
const called = () => document.querySelector('[data-part=called]').textContent;
Object.defineProperty(window, 'speechSynthesis', { value: {
  getVoices: () => [{ lang: 'en-GB', localService: true, name: 'own' }],
  addEventListener() {}, cancel() {},
  speak: one => window.said.push([Date.now(), one.text, called()]),
} });
window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with sitting_desk(tmp_path) as opened:
        for name in ("1", "2"):
            opened.add_thing("holders", {"id": name, "format_mm": (130, 180)})
        opened.load_side("1 A", "sorrel-2/7")
        yield opened


@pytest.fixture
def counting(open_page: Opener) -> Callable[..., Page]:
    """Open a count with its clock stopped and a voice that is written down.

    The Sitting page it leads back to takes seconds to draw and has tests of its own.
    """

    def of(path: str = BY_HAND, **how: str) -> Page:
        page = open_page("/holders", **how)
        page.clock.install(time=BEGIN)
        page.add_init_script(VOICE)
        page.route("**/sitting/OM", lambda route: route.fulfill(body="The sitting."))
        page.goto(path)
        expect(page.get_by_role("button", name="Start the count")).to_be_visible()
        return page

    return of


def sheet(desk: Desk) -> Sheet:
    return desk.book().sittings[0].sheets[-1]


def calls(page: Page) -> list[tuple[float, str]]:
    """What the voice said, in seconds from the first word; the page says the same."""
    said: list[tuple[float, str, str]] = page.evaluate("window.said")
    assert all(text == on_page for _, text, on_page in said)
    return [((at - said[0][0]) / 1000, text) for at, text, _ in said]


def covered(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.dataset.covered === 'yes'"))


def run(page: Page, seconds: float) -> None:
    page.clock.run_for(round(seconds * 1000))


def test_by_keys_alone_the_calls_come_in_time_by_voice_and_as_text(
    counting: Callable[..., Page], desk: Desk
) -> None:
    page = counting()
    for key in ("1", "3"):
        page.keyboard.press(key)
    assert [t.is_checked() for t in page.locator("[data-tick]").all()[:3]] == [True, False, True]
    page.keyboard.press("PageDown")
    run(page, 8)
    said = calls(page)
    assert [text for _, text in said] == [
        "Lights out.",
        "three",
        "two",
        "one",
        "Cap off.",
        "Pop.",
        "Cap on.",
        "Slide in. Lights.",
    ]
    # a dark room takes five seconds, a hand no less than one with the pop in its middle
    wanted = [0, 2, 3, 4, 5, 5.5, 6, 7]
    assert [at for at, _ in said] == pytest.approx(wanted, abs=0.12)
    expect(page.get_by_role("heading", name="All fired?")).to_be_visible()
    run(page, 2)
    page.keyboard.press("PageDown")  # yes, as it is by default
    expect(page).to_have_url("/sitting/OM")
    made = sheet(desk)
    assert made.made is not None
    assert made.made.open_s == pytest.approx(1.0, abs=0.001)
    assert made.open_sd_s == pytest.approx(0.2)
    assert made.what_else_moved == ()


def test_presses_at_cap_off_and_cap_on_measure_the_time(
    counting: Callable[..., Page], desk: Desk
) -> None:
    page = counting()
    page.locator("[data-mode-of][value=pressed]").check(force=True)
    page.get_by_role("button", name="Start the count").click()
    run(page, 5.4)
    assert covered(page)  # from the call on, whether the hand is quick or not
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")  # a bouncing pedal is one press
    run(page, 1.75)
    assert calls(page)[-1][1] == "Cap on."
    assert covered(page)  # until it is pressed
    page.keyboard.press("PageDown")
    off, _, on = page.evaluate("window.pressed")
    run(page, 1.5)
    expect(page.get_by_text("by your presses")).to_be_visible()
    page.get_by_role("button", name="Yes, all fired").click()
    expect(page).to_have_url("/sitting/OM")
    made = sheet(desk)
    assert made.made is not None
    assert made.made.open_s == pytest.approx((on - off) / 1000, abs=0.003)
    assert on - off >= 1750
    assert made.open_sd_s == pytest.approx(0.1)


def test_a_cap_put_on_before_the_pop_is_said(counting: Callable[..., Page]) -> None:
    page = counting()
    page.locator("[data-mode-of][value=pressed]").check(force=True)
    page.get_by_role("button", name="Start the count").click()
    run(page, 5.2)
    page.keyboard.press("Enter")
    run(page, 0.3)
    page.keyboard.press("Enter")
    run(page, 2)
    assert "Pop." not in [text for _, text in calls(page)]
    expect(page.get_by_text("The cap was on before a pop.")).to_be_visible()


@pytest.mark.parametrize("at_s", [2.0, 5.3, 9.0])
def test_a_reload_during_the_count_loses_nothing(
    counting: Callable[..., Page], desk: Desk, at_s: float
) -> None:
    page = counting()
    page.locator("[data-tick]").nth(1).check(force=True)
    page.keyboard.press("PageDown")
    run(page, at_s)
    was_dark = covered(page)
    assert was_dark is (5 < at_s < 7)  # a second more than the cap is off
    page.reload()
    assert covered(page) is was_dark
    run(page, 9)
    expect(page.get_by_role("heading", name="All fired?")).to_be_visible()
    page.get_by_role("button", name="Yes, all fired").click()
    expect(page).to_have_url("/sitting/OM")
    made = sheet(desk).made
    assert made is not None
    assert made.open_s == pytest.approx(1.0, abs=0.001)
    page.goto(BY_HAND)  # what was counted is done; another count starts anew
    expect(page.get_by_role("button", name="Start the count")).to_be_visible()
    expect(page.get_by_text("It was counted before: open 1 s ± 0.2 s.")).to_be_visible()


def test_a_clock_set_back_during_the_count_moves_nothing(
    counting: Callable[..., Page], desk: Desk
) -> None:
    page = counting()
    page.keyboard.press("PageDown")
    run(page, 5.3)
    page.clock.set_system_time("2026-11-14T11:00:00")
    run(page, 2.5)
    expect(page.get_by_role("heading", name="All fired?")).to_be_visible()
    page.get_by_role("button", name="Yes, all fired").click()
    expect(page).to_have_url("/sitting/OM")
    made = sheet(desk).made
    assert made is not None
    assert made.open_s == pytest.approx(1.0, abs=0.001)


def test_ticks_stay_through_a_reload(counting: Callable[..., Page]) -> None:
    page = counting()
    page.keyboard.press("2")
    page.reload()
    assert [t.is_checked() for t in page.locator("[data-tick]").all()[:3]] == [False, True, False]


def test_the_next_sheet_waits_until_the_heads_are_charged(
    counting: Callable[..., Page], desk: Desk
) -> None:
    desk.edit_thing("heads", desk.book().kit.heads[0].id, {"recycle_s": 30})
    page = counting("/sitting/OM/4/count?fires=sync_shutter")
    for _ in range(2):
        page.keyboard.press("Enter")
        run(page, 6)
        page.evaluate("window.pops = [...window.pops ?? [], ...window.said]")
        if page.get_by_role("heading", name="All fired?").is_visible():
            page.evaluate("localStorage.removeItem('count OM/4')")
            page.reload()
            expect(page.get_by_text("The heads are charging")).to_be_visible()
    expect(page.locator("[data-part=word]")).to_have_text("Charging")
    gap_s = desk.count("OM", 4, fires="sync_shutter").gap_s
    assert gap_s > 15
    first_at = page.evaluate("JSON.parse(localStorage.getItem('count last pop')).at")
    run(page, gap_s + 3)
    next_at = page.evaluate("JSON.parse(localStorage.getItem('count last pop')).at")
    assert next_at - first_at == pytest.approx(gap_s * 1000, abs=2)


def test_escape_or_a_tap_stops_and_nothing_is_written(
    counting: Callable[..., Page], desk: Desk
) -> None:
    before = desk.book()
    page = counting()
    page.keyboard.press("n")  # a letter that leads is no start
    expect(page).to_have_url("/sitting/OM")
    page.goto(BY_HAND)
    page.keyboard.press("Enter")
    run(page, 2)
    page.keyboard.press("n")  # while it counts, no letter leads anywhere
    run(page, 1)
    page.get_by_role("button", name="Stop the count").click()
    expect(page.get_by_text("Nothing is written down of this count")).to_be_visible()
    page.keyboard.press("PageUp")
    run(page, 5.3)
    page.keyboard.press("Escape")
    assert not covered(page)
    expect(page.get_by_role("button", name="Start the count")).to_be_visible()
    assert desk.book() == before


# Pressed at any moments whatever, told at any moment: which of these do not hold?
TRIED = """async ([plans, seed]) => {
  const { countAt } = await import('/static/count_line.js');
  let at = seed;
  const chance = () => { at = (at * 48271) % 2147483647; return at / 2147483647; };
  const wrong = [];
  for (const plan of plans) for (let n = 0; n < 150; n += 1) {
    const started = 1000, charged = n % 3 ? undefined : started + chance() * 20000 - 10000;
    const presses = [];
    let pressed = started;
    while (presses.length < 40 && chance() < .95) presses.push(pressed += 250 + chance() * 6000);
    const state = { started, presses, mode: n % 2 ? 'pressed' : 'counted', charged };
    const line = countAt(plan, state, Infinity), gap = plan.gap_s * 1000 - 1e-6;
    const all = charged === undefined ? line.pops : [charged, ...line.pops];
    const isOpen = t => line.openings.some(o => o.off <= t && (o.on === null || t <= o.on));
    if (all.some((t, i) => i && t - all[i - 1] < gap)) wrong.push(['too early', plan.fires, n]);
    if (plan.is_by_hand && line.pops.some(t => !isOpen(t))) wrong.push(['cap on', plan.fires, n]);
    const told = line.pops.length + line.missed;
    if (line.isOver && told !== plan.pops) wrong.push(['lost', plan.fires, n]);
    const now = started + chance() * 30000, then = countAt(plan, state, now);
    const hasMoved = (one, i) => one.at > now || one.at !== line.said[i].at;
    if (then.said.some(hasMoved)) wrong.push(['moved', plan.fires, n]);
  }
  return wrong;
}"""


def test_whenever_it_is_pressed_pops_wait_and_fall_while_it_is_open(
    open_page: Opener, desk: Desk
) -> None:
    plans = []
    for fires in get_args(Fires):
        for pops, opening in ((1, "per_pop"), (3, "per_pop"), (4, "held_open")):
            settings = sheet(desk).settings.model_copy(update={"pops": pops, "opening": opening})
            lit = sheet(desk).model_copy(update={"settings": settings})
            made = count(desk.book(), "OM", lit, fires=fires, delay_s=5)
            plans.append(made.model_dump(mode="json"))
    page = open_page("/holders")
    assert page.evaluate(TRIED, [plans, 20261114]) == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_nothing_is_lit_while_the_cap_is_off(
    counting: Callable[..., Page], light_of: Measure, mode: str, size: str
) -> None:
    page = counting(mode=mode, size=size)
    page.get_by_role("button", name="Start the count").click()
    run(page, 5.3)
    light = light_of(page, full=False)
    assert (light.most_green, light.most_blue) == (0, 0)
    if mode == "studio":
        assert light.mean_red == 0
    else:
        assert 0 < light.mean_red < 0.0001  # one small numeral
    assert page.locator("meta[name=theme-color]").get_attribute("content") == "#000000"
    run(page, 2)
    assert not covered(page)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("where", ["ready", "running", "over", "holders"])
def test_pages_fit_can_be_hit_and_are_dim_in_the_dark(
    counting: Callable[..., Page], light_of: Measure, flaws: Flaws, where: str, size: str
) -> None:
    for mode in ("studio", "safelight"):
        page = counting(mode=mode, size=size)
        if where == "holders":
            page.goto("/holders")
        elif where != "ready":
            page.get_by_role("button", name="Start the count").click()
            run(page, 2.6 if where == "running" else 12)
        assert flaws(page, 44 if mode == "studio" else 72) == []
        if mode == "safelight":
            for light, most_red in ((light_of(page), 0.04), (light_of(page, full=False), 0.045)):
                assert (light.most_green, light.most_blue) == (0, 0)
                assert 0 < light.mean_red <= most_red
            typed = (
                "input:not([type=hidden], [type=checkbox], [type=radio]), select, textarea, img"
            )
            assert page.locator(f"main :is({typed})").count() == 0


@pytest.mark.parametrize("path", [BY_HAND, "/holders"])
def test_a_narrow_phone_still_fits(
    open_page: Opener, sideways: Callable[[Page], int], path: str
) -> None:
    page = open_page(path, size="phone")
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(page) == 0


def test_a_head_that_did_not_fire_is_one_tap_and_kept_while_the_desk_is_gone(
    counting: Callable[..., Page], desk: Desk
) -> None:
    page = counting()
    page.keyboard.press("Enter")
    run(page, 12)
    page.route("**/count", lambda route: route.abort())
    page.get_by_role("button", name="rim, head C").click()
    expect(page.get_by_text("Not saved: the desk does not answer.")).to_be_visible()
    page.unroute("**/count")
    page.reload()
    page.get_by_role("button", name="rim, head C").click()
    expect(page).to_have_url("/sitting/OM")
    assert sheet(desk).what_else_moved == ("a head did not fire: rim",)
    made = sheet(desk).made
    assert made is not None
    assert made.open_s == pytest.approx(1.0, abs=0.001)


def test_a_last_look_starts_the_count_by_itself_once(open_page: Opener) -> None:
    page = open_page("/holders")
    page.clock.install(time=BEGIN)
    page.goto(f"{BY_HAND}&start=now")
    expect(page.locator("[data-part=word]")).to_have_text("Lights out")
    page.keyboard.press("Escape")
    page.reload()
    expect(page.get_by_role("button", name="Start the count")).to_be_visible()


def test_without_script_the_calls_are_a_list(open_page: Opener) -> None:
    page = open_page(BY_HAND, script=False)
    expect(page.locator(".calls li")).to_have_count(5)
    expect(page.get_by_role("button", name="Start the count")).to_be_hidden()
    expect(page.get_by_role("button", name="Yes, all fired")).to_be_visible()


def test_with_holders_the_set_list_and_shoot_still_fit_one_screen_of_a_phone(
    open_page: Opener, desk: Desk
) -> None:
    for ask in (desk.advice, desk.several, desk.taught, desk.odd_sheets):
        ask("OM")  # worked out once, before a browser waits
    page = open_page("/sitting/OM", size="phone")
    expect(page.get_by_text("holder 1, side A")).to_be_visible()
    expect(page.get_by_role("button", name="Shoot OM 5")).to_be_in_viewport(ratio=1)


def test_loading_in_the_dark_is_one_tap_a_side(open_page: Opener, desk: Desk) -> None:
    page = open_page("/holders", mode="safelight", size="phone")
    page.get_by_role("button", name="holder 2, side B: It is loaded").click()
    expect(page.get_by_text("Holder 2, side B is loaded.")).to_be_visible()
    page.get_by_role("button", name="All 2 empty sides loaded with Sorrel No. 2").click()
    expect(page.get_by_text("2 sides are loaded.")).to_be_visible()
    assert {side.state for side in desk.holder_sides()} == {"loaded"}
