"""The bench in a real browser under a clock that is turned by hand: one sheet through the line."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from stillroom.services.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from bench_runs import (  # type: ignore[import-not-found]
    LEAST_BLEACH_S,
    LEAST_CLEAR_S,
    LIFT_S,
    LONGEST_BLEACH_S,
    RC,
    Bench,
    bench_desk,
    lasted,
    open_bench,
    run_of,
)

pytestmark = [pytest.mark.browser, pytest.mark.slow]
Opener = Callable[..., Page]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with bench_desk(tmp_path) as opened:
        yield opened


def to_bleach(bench: Bench) -> None:
    """From the press that starts a sheet to the moment at which it goes into the bleach."""
    bench.press()
    bench.wait(RC["first_development"] + RC["first_wash"] + 0.5)
    assert bench.tray("OM 4") == "Bleach"


def test_a_whole_line_takes_three_presses_and_no_pointer(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    assert bench.word == "Ready"
    to_bleach(bench)
    bench.wait(LEAST_BLEACH_S)
    bench.press("ArrowRight")
    bench.wait(0.5 * LEAST_BLEACH_S + LIFT_S + 1 + RC["second_wash"])
    assert bench.tray("OM 4") == "Clear"
    bench.wait(LEAST_CLEAR_S)
    bench.press("Enter")
    bench.wait(sum(RC[step] for step in list(RC)[3:]) + 20)
    assert (bench.word, bench.presses) == ("Ready", 3)
    assert "OM 5 is next" in bench.text("now")
    bench.settle()
    run = run_of(desk, 4)
    assert run.outcome == "through"
    timed = {step: s for step, s in lasted(run).items() if step in RC}
    assert timed == pytest.approx(RC, abs=0.3)
    assert lasted(run)["bleach"] == pytest.approx(1.5 * (LEAST_BLEACH_S + 0.5) + LIFT_S, abs=0.6)
    assert [step.longer_s for step in run.steps] == [0.0] * 11


def test_figures_are_large_in_the_last_ten_seconds_only(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(60)
    assert (bench.word, bench.figure) == ("Rock", None)
    assert "In fifty seconds" in bench.text("then")
    expect(bench.page.locator(".tray.on .tw")).to_have_text("fifty seconds")
    bench.wait(RC["first_development"] - LIFT_S - 7 - 60)
    assert (bench.word, bench.figure) == ("Lift", 7)
    bench.wait(7 + 3)
    assert (bench.word, bench.figure) == ("Drain", 7)
    bench.wait(7)
    assert bench.figure is None
    assert bench.tray("OM 4") == "Wash"
    timer = bench.page.locator("[role=timer]")
    expect(timer).to_have_attribute("aria-live", "off")


def test_what_is_called_out_stands_as_text_in_order(open_page: Opener) -> None:
    bench = open_bench(open_page)
    heard = bench.listen()
    to_bleach(bench)
    bench.wait(LEAST_BLEACH_S)
    bench.press()
    bench.wait(180)
    said = " / ".join(heard())
    wanted = [
        "OM 4 into the first developer, rock without a pause.",
        "OM 4: lift in ten.",
        "Lift OM 4, drain.",
        "OM 4 into water.",
        "Look at OM 4, if you like.",
        "Next for OM 4: bleach. Acid and permanganate. Gloves, eye shield, fan on.",
        "OM 4: lift in ten.",
        "Lift OM 4, drain.",
        "OM 4 into the bleach, gloves.",
        "OM 4: press when no black is left on the face.",
        "OM 4: done.",
        "OM 4 into water.",
        "OM 4 into the clear.",
        "White light may come on.",
    ]
    at = 0
    for call in wanted:
        found = said.find(call, at)
        assert found >= 0, f"{call!r} was not called after {said[:at]!r}"
        at = found + len(call)
    expect(bench.page.locator("[data-call]")).to_have_attribute("aria-live", "assertive")


@pytest.mark.parametrize("key", ["PageUp", "ArrowUp", "ArrowLeft", "Enter", "Space"])
def test_each_pedal_key_starts_a_sheet(open_page: Opener, key: str) -> None:
    bench = open_bench(open_page)
    bench.press(key)
    bench.wait(1)
    assert bench.tray("OM 4") == "First development"


def test_in_a_timed_step_a_press_only_means_longer(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(60)
    bench.press()
    bench.wait(RC["first_development"] - 60 + 9)
    assert bench.tray("OM 4") == "First development"
    bench.wait(2)
    assert bench.tray("OM 4") == "Wash"
    bench.settle()
    first = run_of(desk, 4).steps[0]
    assert first.longer_s == 10
    assert lasted(run_of(desk, 4))["first_development"] == pytest.approx(130, abs=0.3)


def test_a_double_press_counts_once(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.press()
    bench.wait(0.3)
    bench.press()
    bench.wait(RC["first_development"] + RC["first_wash"] + LEAST_BLEACH_S + 1)
    bench.press()
    bench.wait(0.3)
    bench.press()
    bench.wait(60)
    bench.settle()
    run = run_of(desk, 4)
    assert [step.longer_s for step in run.steps] == [0.0] * len(run.steps)
    assert len(desk.bench().runs) == 1


def test_by_eye_nothing_ends_before_its_least_time(open_page: Opener) -> None:
    bench = open_bench(open_page)
    to_bleach(bench)
    bench.wait(LEAST_BLEACH_S - 10)
    assert "nothing yet" in bench.text("press")
    bench.press()
    bench.wait(5)
    assert "Not before its least time" in bench.text("then")
    assert bench.page.locator("[data-done]").is_disabled()
    bench.wait(10)
    assert "done for OM 4, bleach" in bench.text("press")
    bench.press()
    bench.wait(1)
    assert "done" in bench.text("now")


def test_past_its_longest_time_the_word_is_lift_and_is_called_each_ten_seconds(
    open_page: Opener,
) -> None:
    bench = open_bench(open_page)
    to_bleach(bench)
    bench.wait(LONGEST_BLEACH_S + 1)
    assert bench.word == "Lift"
    heard = bench.listen()
    bench.wait(40)
    assert bench.word == "Lift"
    over = [call for call in heard() if "past its longest time" in call]
    assert len(over) == 4
    bench.press()
    bench.wait(0.5)
    assert bench.word != "Lift" or bench.figure is not None


def test_without_a_pedal_the_bleach_runs_its_longest_time(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.page.locator("[data-wish=pedal][value=no]").click()
    bench.page.locator("[data-starts] button").click()
    bench.wait(RC["first_development"] + RC["first_wash"] + 1)
    assert bench.tray("OM 4") == "Bleach"
    bench.wait(LONGEST_BLEACH_S - LIFT_S - 5)
    assert (bench.word, bench.figure) == ("Lift", 4)
    bench.wait(LIFT_S + 6)
    assert bench.tray("OM 4") == "Wash"
    bench.settle()
    assert lasted(run_of(desk, 4))["bleach"] == pytest.approx(LONGEST_BLEACH_S, abs=0.3)


def test_an_early_look_that_is_out_asks_whether_to_go_on(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(RC["first_development"] + 5)
    assert bench.word == "Look"
    bench.page.get_by_role("button", name="too dark").click()
    bench.wait(1)
    bench.page.get_by_role("button", name="Stop here and load the next").click()
    bench.wait(1)
    assert "OM 5 is next" in bench.text("now")
    bench.settle()
    run = run_of(desk, 4)
    assert run.outcome == "stopped"
    assert [(look.look, look.word) for look in run.looks] == [("negative", "too_dark")]
    sheet = next(s for s in desk.book().sittings[0].sheets if s.number == 4)
    assert [(r.by, r.state) for r in sheet.readings] == [("early_look", "negative")]


def test_no_answer_is_no_look(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    to_bleach(bench)
    expect(bench.page.locator("[data-looks]")).to_be_hidden()
    bench.settle()
    assert run_of(desk, 4).looks == ()


def test_stopping_a_sheet_takes_two_taps(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(20)
    bench.tap("stop")
    bench.wait(1)
    assert bench.tray("OM 4") == "First development"
    bench.page.get_by_role("button", name="Stop OM 4").click()
    bench.wait(1)
    bench.settle()
    assert run_of(desk, 4).outcome == "stopped"


def test_the_first_sign_of_black_is_one_tap(open_page: Opener, desk: Desk) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(14)
    bench.tap("black")
    bench.wait(1)
    assert bench.text("black-said") == "OM 4: 14 s"
    bench.settle()
    assert run_of(desk, 4).first_black_s == 14


def test_with_a_sheet_in_work_a_letter_is_the_pedal_and_does_not_lead_away(
    open_page: Opener,
) -> None:
    bench = open_bench(open_page)
    bench.press()
    bench.wait(10)
    bench.press("k")
    bench.press("n")
    bench.wait(1)
    assert bench.page.url.endswith("/bench")
    assert "In a minute fifty" in bench.text("then")


def test_with_nothing_in_work_a_letter_leads_as_everywhere(open_page: Opener) -> None:
    bench = open_bench(open_page)
    bench.press("p")
    bench.page.wait_for_url("**/papers")


def test_without_script_the_page_is_the_timetable(open_page: Opener) -> None:
    page = open_page("/bench", script=False)
    expect(
        page.get_by_text("The line runs by itself when this page may run script.")
    ).to_be_visible()
    rows = page.locator(".linelist tbody tr")
    expect(rows.nth(2)).to_contain_text("3:00")
    expect(rows.nth(2)).to_contain_text("Bleach")
    expect(page.locator("[data-bench]")).to_be_hidden()
    expect(page.get_by_text("Waiting for the line: OM 4, OM 5, OM 6, OM 7.")).to_be_visible()
