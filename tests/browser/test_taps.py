"""The tap budget of the design, counted on a phone of 390 pixels, row by row.

A tap is one press of something that can be seen; the page one is on is where counting starts.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from stillroom.documents.book import Sheet, Sitting
from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parents[1] / "doors"))
from seated_book import seated_book  # type: ignore[import-not-found]
from sitting_book import sitting_desk  # type: ignore[import-not-found]

pytestmark = pytest.mark.browser


by_daylight = pytest.mark.parametrize("desk", [seated_book()], indirect=True, ids=["daylight"])
"""Marks a test whose book has a sitting at a window seat besides."""


@pytest.fixture
def desk(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Desk]:
    with sitting_desk(tmp_path, getattr(request, "param", None)) as opened:
        for ask in (opened.advice, opened.several, opened.taught, opened.odd_sheets):
            ask("OM")  # worked out once, before a browser waits
        yield opened


PATIENCE_MS = 30_000
"""Taps are counted here, not time: a slow machine may take its own."""


class Finger:
    """Taps what can be seen without scrolling sideways, and counts."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.page.set_default_timeout(PATIENCE_MS)
        self.taps = 0

    def tap(self, what: Locator) -> None:
        expect(what).to_be_visible()
        what.click()
        self.taps += 1

    def button(self, name: str) -> None:
        self.tap(self.page.get_by_role("button", name=name, exact=True).locator("visible=true"))

    def label(self, group: str, name: str) -> None:
        """Tap one of the answers of a group."""
        region = self.page.get_by_role("group", name=group).or_(
            self.page.get_by_role("radiogroup", name=group)
        )
        self.tap(region.locator("label", has_text=re.compile(f"^{re.escape(name)}$")))


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def finger(request: pytest.FixtureRequest, open_page: object) -> Finger:
    assert callable(open_page)
    return Finger(open_page("/sitting/OM", size="phone", script=request.param))


def sitting(desk: Desk, name: str = "OM") -> Sitting:
    return next(s for s in desk.book().sittings if s.id == name)


def last(desk: Desk, name: str = "OM") -> Sheet:
    return sitting(desk, name).sheets[-1]


def wheel(page: Page, knob: str) -> Locator:
    return page.locator(f"[data-knob='{knob}']")


def counting(name: str, number: int, asked: str = "") -> re.Pattern[str]:
    """Where Shoot leads to: the sheet is written down, and the count waits."""
    return re.compile(rf"/sitting/{name}/{number}/count{re.escape(asked)}$")


def test_same_again_is_one_tap(finger: Finger, desk: Desk) -> None:
    finger.button("Shoot OM 5")
    expect(finger.page).to_have_url(counting("OM", 5))
    assert finger.taps == 1
    assert (last(desk).number, last(desk).made) == (5, None)


def test_all_fired_is_one_tap_and_leads_to_the_next_sheet(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/sitting/OM/4/count")
    if finger.page.get_by_role("button", name="Start the count").is_visible():
        finger.page.clock.install()  # with script it is asked once the count is over
        finger.page.reload()
        finger.button("Start the count")
        finger.page.clock.run_for(30_000)
        finger.taps -= 1
    finger.button("Yes, all fired")
    expect(finger.page.get_by_role("heading", name="OM 5")).to_be_visible()
    assert finger.taps == 1
    assert last(desk).what_else_moved == ()


def test_a_dial_that_was_another_is_two_taps(finger: Finger, desk: Desk) -> None:
    knob = wheel(finger.page, "key.dial")
    finger.tap(knob.locator("summary"))
    finger.tap(knob.get_by_role("button", name="0.4", exact=True))
    expect(knob.locator("summary [data-figure]")).to_have_text("0.4")
    expect(finger.page.get_by_text("Recorded as you set it")).to_be_visible()
    assert finger.taps == 2
    finger.button("Shoot OM 5")
    expect(finger.page).to_have_url(counting("OM", 5))
    made = last(desk).made
    assert made is not None
    assert made.lights["key"].dial == -0.4


def test_grid_off_is_two_taps(finger: Finger, desk: Desk) -> None:
    front = wheel(finger.page, "rim.on")
    finger.tap(front.locator("summary"))
    finger.tap(front.get_by_role("button", name="grid off"))
    expect(front.locator("summary [data-figure]")).to_have_text("strip")
    assert finger.taps == 2
    finger.button("Shoot OM 5")
    expect(finger.page).to_have_url(counting("OM", 5))
    made = last(desk).made
    assert made is not None
    assert made.lights["rim"].modifiers == ("strip",)


def test_the_curtain_is_two_taps(finger: Finger, desk: Desk) -> None:
    room = wheel(finger.page, "room")
    finger.tap(room.locator("summary"))
    finger.tap(room.get_by_role("button", name="curtains closed"))
    expect(room.locator("summary [data-figure]")).to_have_text("curtains closed")
    expect(finger.page.get_by_role("button", name="Shoot OM 5")).to_be_visible()
    assert finger.taps == 2
    finger.page.reload()
    assert sitting(desk).room_state == "curtains closed"


def test_a_meter_reading_is_two_taps(finger: Finger, desk: Desk) -> None:
    before = len(sitting(desk).meter_readings)
    finger.tap(finger.page.locator(".showed > summary"))
    finger.tap(finger.page.locator(".showed button.is-plan"))
    expect(finger.page.get_by_text("Worked out again")).to_be_visible()
    assert finger.taps == 2
    assert len(sitting(desk).meter_readings) == before + 1


def test_a_pair_is_planned_in_one_tap(finger: Finger, desk: Desk) -> None:
    finger.button("Plan OM 5 and OM 6")
    expect(finger.page.get_by_role("heading", name="Two sheets planned")).to_be_visible()
    assert finger.taps == 1
    planned = desk.planned_together("OM")
    assert planned is not None
    for number in (5, 6):
        finger.button(f"Shoot OM {number}")
        expect(finger.page).to_have_url(counting("OM", number))
        finger.tap(finger.page.get_by_role("link", name="Back to the sitting"))
    expect(finger.page.get_by_role("heading", name="OM 7")).to_be_visible()
    assert tuple(s.settings for s in sitting(desk).sheets[-2:]) == planned.settings
    assert finger.taps == 1 + 2 + 2  # a sheet is Shoot, and back from its count


@by_daylight
def test_the_sky_is_two_taps(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/sitting/KS")
    sky = wheel(finger.page, "sky")
    finger.tap(sky.locator("summary"))
    finger.tap(sky.get_by_role("button", name="dull"))
    expect(sky.locator("summary [data-figure]")).to_have_text("dull")
    expect(sky.locator("summary")).to_contain_text("as seen", timeout=PATIENCE_MS)
    assert finger.taps == 2
    seen = sitting(desk, "KS").sky
    assert seen is not None
    assert seen.word == "dull"


@by_daylight
def test_another_seat_is_two_taps(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/sitting/KS")
    seat = wheel(finger.page, "key.seat")
    finger.tap(seat.locator("summary"))
    finger.tap(seat.get_by_role("button", name="yard wall"))
    seated = finger.page.locator("dt", has_text="Key, daylight")
    expect(seated).to_be_visible(timeout=PATIENCE_MS)
    assert finger.taps == 2
    assert sitting(desk, "KS").lights[0].kit_id == "yard"


@by_daylight
@pytest.mark.parametrize("by", ["a word", "the meter"])
def test_a_last_look_is_two_taps(finger: Finger, desk: Desk, by: str) -> None:
    finger.page.goto("/sitting/KS?plan=sheet")
    finger.page.goto(finger.page.get_by_role("link", name="Last look").get_attribute("href") or "")
    planned = finger.page.locator(".seconds").inner_text()
    if by == "a word":
        finger.button("dull")
    else:
        finger.tap(finger.page.locator(".fs-marks").first.locator("button").first)
    expect(finger.page.get_by_text("The light has gone down")).to_be_visible()
    seconds = finger.page.locator(".seconds").inner_text()
    assert seconds != planned
    finger.button("Cap off, I count")
    expect(finger.page).to_have_url(counting("KS", 1, "?start=now"))
    assert finger.taps == 2
    assert f"{last(desk, 'KS').settings.open_s:g} s" == seconds


def region(page: Page, name: str) -> Locator:
    return page.get_by_role("group", name=re.compile(f"^{name}"))


def step(page: Page, name: str, label: str) -> Locator:
    return (
        region(page, name).locator(".holes label").filter(has_text=re.compile(rf"^\s*{label}\s*$"))
    )


def test_reading_by_the_strip_is_one_tap_a_region_and_one(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/read/OM/4")
    for name, label in (("Key cheek", "4"), ("Shadow cheek", "2"), ("Rim edge", "bare")):
        finger.tap(step(finger.page, name, label))
    finger.button("Write it down")
    expect(finger.page.get_by_text("OM 4 is written down")).to_be_visible()
    assert finger.taps == 3 + 1
    regions = last(desk).readings[-1].regions
    assert regions["key"].density == 0.85
    assert regions["rim"].verdict == "bare_paper"


def test_between_two_steps_is_one_more(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/read/OM/4")
    finger.tap(step(finger.page, "Key cheek", "4"))
    finger.tap(step(finger.page, "Key cheek", "5"))
    finger.button("Write it down")
    expect(finger.page.get_by_text("OM 4 is written down")).to_be_visible()
    assert finger.taps == 1 + 1 + 1
    assert last(desk).readings[-1].regions["key"].steps == (4, 5)


def test_box_is_one_tap_and_bin_one_more_for_the_reason(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/read/OM/4")
    finger.label("Does it go in the box?", "No")
    finger.label("No, because of", "tones")
    assert finger.taps == 1 + 1
    finger.button("Write it down")
    expect(finger.page.get_by_text("OM 4 is written down")).to_be_visible()
    assert (last(desk).kept, last(desk).not_kept_because) == (False, ("tones",))


def test_what_else_moved_is_one_tap_each(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/read/OM/4")
    finger.label("What else moved since OM 3?", "curtain")
    finger.label("What else moved since OM 3?", "a stand was knocked")
    assert finger.taps == 2
    finger.label("Does it go in the box?", "Yes")
    finger.button("Write it down")
    expect(finger.page.get_by_text("OM 4 is written down")).to_be_visible()
    assert last(desk).what_else_moved == ("curtain", "a stand was knocked")


def test_the_light_that_was_knocked_is_one_tap_more(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/read/OM/4")
    which = finger.page.get_by_role("group", name="a stand was knocked: which light")
    expect(which).to_be_hidden()
    finger.label("What else moved since OM 3?", "a stand was knocked")
    finger.tap(which.locator("label", has_text=re.compile("^key$")))
    assert finger.taps == 1 + 1
    finger.label("Does it go in the box?", "Yes")
    finger.button("Write it down")
    expect(finger.page.get_by_text("OM 4 is written down")).to_be_visible()
    assert last(desk).what_else_moved == ("a stand was knocked: key",)


@pytest.mark.parametrize("region", ["The whole face", "Key cheek"])
def test_an_early_look_is_one_tap_a_region(finger: Finger, desk: Desk, region: str) -> None:
    finger.page.goto("/read/OM/4")
    finger.label("How you read", "Early look")
    asked = finger.page.locator("fieldset.reg", has=finger.page.locator("legend", has_text=region))
    finger.tap(asked.locator("label", has_text=re.compile("^Too dark$")).locator("visible=true"))
    assert finger.taps == 1 + 1
    finger.button("Write it down")
    expect(finger.page.get_by_text("It counts until OM 4 is read.")).to_be_visible()
    reading = last(desk).readings[-1]
    assert (reading.by, reading.state) == ("early_look", "negative")
    assert [v.verdict for v in reading.regions.values()] == ["too_dark"]


def test_aims_like_a_sheet_is_one_tap(finger: Finger, desk: Desk) -> None:
    finger.page.goto("/sitting/OM/aims")
    finger.tap(finger.page.locator(".likes button"))
    expect(finger.page.get_by_text("Aims: like OM 3").first).to_be_visible()
    assert finger.taps == 1
    assert sitting(desk).look == "like OM 3"


def test_the_next_sitter_is_two_taps_and_the_light_is_kept_without_one(
    finger: Finger, desk: Desk
) -> None:
    finger.tap(finger.page.get_by_role("link", name="Next sitter"))
    finger.button("T. R.")
    expect(finger.page.get_by_role("heading", name="TR 1")).to_be_visible()
    assert finger.taps == 2
    made = next(s for s in desk.book().sittings if s.id != "OM")
    assert made.aims["key"].for_reflectance == pytest.approx(0.19)  # bound to O. M.'s skin: kept


def test_not_keeping_the_light_is_one_tap_more(finger: Finger, desk: Desk) -> None:
    finger.tap(finger.page.get_by_role("link", name="Next sitter"))
    finger.tap(finger.page.locator("label", has_text="Same tone as O. M."))
    finger.button("T. R.")
    expect(finger.page.get_by_role("heading", name="TR 1")).to_be_visible()
    assert finger.taps == 2 + 1
    made = next(s for s in desk.book().sittings if s.id != "OM")
    shown = desk.forecast(made.id).regions["key"].aim
    was = desk.forecast("OM").regions["key"].aim
    assert shown is not None
    assert was is not None
    assert shown.placement_stops == pytest.approx(was.placement_stops, abs=0.02)
