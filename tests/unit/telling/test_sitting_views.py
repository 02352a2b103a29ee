"""Views of a sitting: pure functions, so they are tried without any page."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.answers import Advice, Change, Spoiler
from stillroom.documents.book import Book, LightSetting, Made, Paper, Settings, Sitting
from stillroom.documents.kit import Dial
from stillroom.documents.making import as_made
from stillroom.errors import BadValue
from stillroom.services.planner import engine
from stillroom.services.strip_reading import steps_of
from stillroom.telling.figures import dial_figure, third_stop_marks, wheel
from stillroom.telling.names import openings
from stillroom.telling.odds import odds, one_in
from stillroom.telling.set_list import SetList, set_list
from stillroom.telling.sheets_view import dry_again, sheet_lines
from stillroom.telling.sitting_view import SittingView, sitting_view
from stillroom.telling.strip import CurvePoint
from stillroom.telling.tones import stops_at
from stillroom.telling.turned import differences, fields_of, made_of, turned

sys.path.insert(0, str(Path(__file__).parents[2] / "doors"))
from sitting_book import sitting_book  # type: ignore[import-not-found]

PLAN = Settings(
    lights={"key": LightSetting(dial=-0.6), "rim": LightSetting(dial=0.5)}, f_number=5.6
)
CURVE = tuple(CurvePoint(u / 2, 1.0 - u * 0.09) for u in range(-10, 11))


@pytest.fixture(scope="module")
def book() -> Book:
    made: Book = sitting_book()
    return made


@pytest.fixture(scope="module")
def sitting(book: Book) -> Sitting:
    return book.sittings[0]


@pytest.fixture(scope="module")
def advice(book: Book) -> Advice:
    return engine().advise(book, "OM")


def listed(
    book: Book, sitting: Sitting, actual: Settings = PLAN, before: Settings | None = PLAN
) -> SetList:
    return set_list(book, sitting, planned=PLAN, actual=actual, before=before)


class TestOdds:
    @given(st.floats(0, 1))
    def test_odds_are_words_that_come_close_and_never_a_percentage(self, p: float) -> None:
        said = odds(p)
        found = re.fullmatch(r"(fewer than |more than )?(\d+) in (\d+)", said)
        assert found, said
        stated = int(found[2]) / int(found[3])
        if found[1] is None:
            # never off by more than half a tenth, nor the rarer side by more than a third
            assert abs(stated - p) <= 0.051
            rare, stated_rare = min(p, 1 - p), min(stated, 1 - stated)
            assert rare > 0.1 or 0.6 < stated_rare / rare < 1.67

    @given(st.floats(0, 1), st.floats(0, 1))
    def test_likelier_is_never_said_to_be_rarer(self, p: float, q: float) -> None:
        def stated(chance: float) -> float:
            k, n = re.findall(r"\d+", odds(chance))
            return int(k) / int(n)

        low, high = sorted((p, q))
        assert stated(low) <= stated(high)

    def test_what_would_spoil_is_one_in_n(self) -> None:
        assert [one_in(p) for p in (1 / 6, 0.083, 0.34, 0.5)] == [
            "1 in 6", "1 in 12", "1 in 3", "1 in 2",
        ]  # fmt: skip

    @pytest.mark.parametrize("p", [-0.1, 1.1, float("nan")])
    def test_what_is_no_chance_is_refused(self, p: float) -> None:
        with pytest.raises(BadValue, match="odds"):
            odds(p)


class TestWheel:
    @given(st.floats(-7, 0), st.sampled_from([0.1, 1 / 3, 1.0]), st.floats(0, 7))
    def test_a_wheel_stays_on_its_scale_and_holds_the_present_value(
        self, low: float, step: float, span: float
    ) -> None:
        high = low + span
        at = round((low + span / 2) / step) * step
        at = min(high, max(low, at))
        values = wheel(low, high, step, at)
        assert list(values) == sorted(set(values))
        assert all(low - 1e-9 <= v <= high + 1e-9 for v in values)
        assert min(abs(v - at) for v in values) <= step / 4
        assert len(values) <= 82

    def test_a_dial_in_tenths_is_there_in_full(self) -> None:
        assert len(wheel(-7, 0, 0.1, -0.6)) == 71

    def test_a_fraction_never_falls_off_its_scale(self) -> None:
        assert wheel(1 / 128, 1, 0.1, 0.5)[0] == 1 / 128

    def test_a_meter_shows_marks_three_stops_either_way(self) -> None:
        marks = third_stop_marks(22.0)
        assert marks[0] == 8.0
        assert marks[-1] == 64.0
        assert 22.0 in marks
        assert len(marks) == 19

    def test_dials_read_as_the_hand_sees_them(self) -> None:
        assert dial_figure(Dial(), 0.0) == ("full", "on the dial")
        assert dial_figure(Dial(step=1 / 3), -1 / 3)[1] == "below full"
        assert dial_figure(Dial(kind="fraction", min=1 / 64, max=1, step=1 / 64), 1 / 16) == (
            "1/16", "of full",
        )  # fmt: skip


class TestOpenings:
    def test_flash_is_counted_in_pops_and_a_window_in_openings(self, sitting: Sitting) -> None:
        window = [light for light in sitting.lights if light.kind == "window"]
        daylight = sitting.model_copy(update={"lights": tuple(window)})
        assert [openings(sitting, n) for n in (1, 2)] == ["pop", "pops"]
        assert [openings(daylight, n) for n in (1, 2)] == ["opening", "openings"]


class TestTurned:
    def test_the_plan_as_fields_is_the_plan(self, sitting: Sitting) -> None:
        again = turned(sitting, PLAN, fields_of(sitting, PLAN))
        assert differences(sitting, PLAN, again) == {}
        assert made_of(sitting, PLAN, again) is None

    @given(
        dial=st.integers(-70, 0), f=st.sampled_from([5.6, 8.0, 11.0]), pops=st.integers(1, 8),
        on=st.booleans(), modifiers=st.sampled_from([(), ("strip",), ("strip", "grid")]),
    )  # fmt: skip
    def test_what_was_turned_is_all_that_is_made_and_made_gives_it_back(
        self, dial: int, f: float, pops: int, modifiers: tuple[str, ...], *, on: bool
    ) -> None:
        sitting = sitting_book().sittings[0]
        fields = {
            "key.dial": f"{dial / 10:g}", "f": f"{f:g}", "pops": str(pops),
            "rim.on": "yes" if on else "no", "rim.with": ",".join(modifiers),
        }  # fmt: skip
        actual = turned(sitting, PLAN, fields)
        made = made_of(sitting, PLAN, actual)
        back = as_made(PLAN, made)
        assert fields_of(sitting, back) == fields_of(sitting, actual)
        if made is not None:
            assert set(differences(sitting, PLAN, actual)) <= set(fields)
            assert ("key" in made.lights) == (dial != -6)
            assert (made.f_number is None) == (f == 5.6)

    def test_made_lays_over_only_what_it_says(self) -> None:
        made = Made.model_validate({"lights": {"rim": {"on": False}}, "pops": 2})
        after = as_made(PLAN, made)
        assert after.lights["rim"].dial == 0.5
        assert after.lights["rim"].on is False
        assert (after.pops, after.f_number) == (2, 5.6)

    @pytest.mark.parametrize(
        ("knob", "text"),
        [("key.dial", "loud"), ("f", ""), ("pops", "1.5"), ("s", "-1"), ("key.at", "900 m")],
    )
    def test_what_no_hand_can_set_is_refused(self, sitting: Sitting, knob: str, text: str) -> None:
        with pytest.raises(BadValue):
            turned(sitting, PLAN, {knob: text})


class TestSetList:
    def test_rows_come_in_walking_order(self, book: Book, sitting: Sitting) -> None:
        titles = [row.title for row in listed(book, sitting).rows]
        assert titles == ["Key, head A", "Rim, head C", "Camera", "Room"]

    def test_nothing_is_marked_when_nothing_changed(self, book: Book, sitting: Sitting) -> None:
        shown = listed(book, sitting)
        assert {row.state for row in shown.rows} == {"same"}
        assert shown.rows[0].why == "as before"
        assert listed(book, sitting, before=None).rows[0].why == ""

    def test_what_the_advice_changed_is_marked_and_said(
        self, book: Book, sitting: Sitting
    ) -> None:
        before = turned(sitting, PLAN, {"key.dial": "-0.9", "key.at": "90 cm", "f": "8"})
        key, rim, camera, _ = listed(book, sitting, before=before).rows
        assert (key.state, rim.state, camera.state) == ("changed", "same", "changed")
        assert key.why == "dial up 0.3, 20 cm nearer"
        assert camera.why == "was f/8"
        assert [v.state for v in key.values] == ["changed", "changed", "same"]

    def test_what_a_hand_changed_is_hers(self, book: Book, sitting: Sitting) -> None:
        shown = listed(book, sitting, turned(sitting, PLAN, {"key.dial": "-1.5"}))
        assert shown.rows[0].state == "yours"
        assert shown.yours == ("key.dial",)
        dial = shown.rows[0].values[0]
        assert [c.figure for c in dial.choices if c.is_now] == ["1.5"]
        assert [c.figure for c in dial.choices if c.is_planned] == ["0.6"]

    def test_a_light_that_is_off_has_nothing_else_to_set(
        self, book: Book, sitting: Sitting
    ) -> None:
        rim = listed(book, sitting, turned(sitting, PLAN, {"rim.on": "no"})).rows[1]
        assert [v.figure for v in rim.values] == ["off"]
        assert rim.why == "you switched it off"

    def test_lengths_are_printed_as_she_reads_them(self, book: Book, sitting: Sitting) -> None:
        shown = set_list(book, sitting, planned=PLAN, actual=PLAN, before=PLAN, lengths="imperial")
        assert shown.rows[0].values[1].figure == "2 ft 3½ in"


class TestHeadline:
    """What stands in large type, and what is left out."""

    @pytest.fixture
    def view(self, book: Book, sitting: Sitting) -> Callable[[Advice], SittingView]:
        def of(advice: Advice) -> SittingView:
            return sitting_view(
                book,
                sitting,
                advice,
                (),
                CURVE,
                planned=advice.settings,
                actual=advice.settings,
                before=PLAN,
                forecast=advice.forecast,
            )

        return of

    def told(self, advice: Advice, p_keeper: float | None, **more: object) -> Advice:
        forecast = advice.forecast.model_copy(update={"p_keeper": p_keeper})
        return advice.model_copy(update={"forecast": forecast, "piece": None, **more})

    def test_good_odds_are_said_in_tenths(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        shown = view(self.told(advice, 0.71))
        assert (shown.heading, shown.odds_line) == ("Tones land, 7 in 10", "")

    def test_below_three_in_ten_a_stepped_sheet_is_better(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        stepped = advice.settings.model_copy(update={"steps_pops": (1, 2, 4, 8)})
        shown = view(self.told(advice, 0.21, stepped_sheet=stepped))
        assert shown.heading == "Better a stepped sheet."
        assert shown.odds_line == "Tones land, 2 in 10 as it stands."
        assert shown.can_step

    def test_a_stepped_sheet_shows_its_strips_and_no_odds(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        stepped = advice.settings.model_copy(update={"steps_pops": (1, 2, 4, 8)})
        shown = view(self.told(advice, None, settings=stepped, note="Stepped: one for all."))
        assert shown.heading == "A stepped sheet."
        assert shown.note == "One for all."
        assert [step.title for step in shown.steps] == ["1 pop", "2 pops", "4 pops", "8 pops"]

    def test_what_no_dial_reaches_says_what_is_nearest(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        missing = "No dial reaches this: at the nearest, rim edge stays 1 darker than wanted."
        shown = view(self.told(advice, 0.05, reachable=False, missing=missing))
        assert shown.heading == "No dial reaches this."
        assert shown.missing == "At the nearest, rim edge stays 1 darker than wanted."
        assert shown.odds_line == "Tones land, 1 in 20 at the nearest."

    def test_what_would_spoil_comes_worst_first_and_the_rare_is_left_out(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        spoilers = (
            Spoiler(region="rim", p_misses=0.015, likelier="lighter"),
            Spoiler(region="shadow", p_misses=0.08, likelier="lighter"),
            Spoiler(region="key", p_misses=0.17, likelier="darker"),
        )
        shown = view(self.told(advice, 0.7, spoilers=spoilers))
        assert shown.spoilers == (
            "What would spoil them: key cheek 1 in 6, darker; shadow cheek 1 in 12, lighter."
        )

    def test_at_most_two_changes_and_then_nothing_else(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        change = Change(
            knob="key dial", role="key", from_value=-0.9, to_value=-0.6, stops=0.3,
            why="It fell short.", effort=1,
        )  # fmt: skip
        pops = change.model_copy(
            update={"knob": "pops", "role": None, "from_value": 1, "to_value": 2}
        )
        shown = view(
            self.told(advice, 0.7, changes=(change, pops, change), left_alone=("The octa stays.",))
        )
        assert [title for title, _ in shown.changes] == [
            "Key dial up 0.3: 0.9 to 0.6 below full.",
            "Pops from 1 to 2.",
        ]
        assert shown.nothing_else == "Nothing else. The octa stays."

    def test_daylight_has_an_hour_until_which_it_holds(
        self, advice: Advice, view: Callable[[Advice], SittingView]
    ) -> None:
        forecast = advice.forecast.model_copy(update={"good_until": "14:40"})
        shown = view(advice.model_copy(update={"forecast": forecast}))
        assert shown.good_until == "Good until 14:40."


class TestSheets:
    def test_box_bin_and_what_waits(self, sitting: Sitting, book: Book) -> None:
        lines = sheet_lines(sitting, (), book.papers[0], CURVE)
        assert [line.box for line in lines] == [
            "stepped sheet", "", "in the box", "not read yet",
        ]  # fmt: skip
        assert [line.is_read for line in lines] == [True, True, True, False]
        assert {s.region: s.seen for s in lines[2].regions}["rim"] == "bare"

    def test_a_dry_reading_stands_before_a_wet_one(self, sitting: Sitting, book: Book) -> None:
        second = sheet_lines(sitting, (), book.papers[0], CURVE)[1]
        seen = {s.region: s.seen for s in second.regions}
        assert seen["key"] not in ("too dark", "")  # the scan, not the word
        assert seen["shadow"] != "black"

    def test_wet_only_sheets_are_asked_for_again(self, sitting: Sitting, book: Book) -> None:
        (group,) = dry_again(book, sitting)
        assert [mark for mark, _ in group.sheets] == ["OM 1", "OM 3"]


class TestSteps:
    def test_her_own_strip_goes_before_printed_greys(self, book: Book) -> None:
        assert [s.density for s in steps_of(book.papers[0])][:2] == [1.75, 1.5]

    def test_printed_greys_are_fifteen_hundredths_apart_and_inside_the_paper(self) -> None:
        paper = Paper(id="x", ei=6, dmin=0.08, dmax=1.9)
        densities = [s.density for s in steps_of(paper)]
        assert densities == sorted(densities, reverse=True)
        assert all(0.08 < d < 1.9 for d in densities)
        assert {round(a - b, 6) for a, b in pairwise(densities)} == {0.15}

    def test_the_ends_of_a_curve_say_no_place(self) -> None:
        assert stops_at(CURVE, CURVE[0].density) is None
        assert stops_at(CURVE, 1.0) == pytest.approx(0.0)
