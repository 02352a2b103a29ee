"""The Daylight page put together: curve, tables, what is asked and what can be chosen."""

from __future__ import annotations

import re
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from stillroom.documents.book import Book, Sitter
from stillroom.documents.seats import SkySeen
from stillroom.errors import BadValue, OutOfRange, UnknownName
from stillroom.services.daylight_asked import Asked
from stillroom.web.views.daylight_curve import day_curve
from stillroom.web.views.daylight_form import choices, missing, question
from stillroom.web.views.daylight_view import DaylightView, LaterView, daylight_view, later_view
from tests.unit.book_cases import book_of, small_data
from tests.unit.daylight_cases import (
    LIMITS_S,
    NORTH,
    POLAR,
    YEAR,
    day_of,
    now_of,
    when_of,
    year_of,
)

TODAY = date(YEAR, 11, 14)
NOON = datetime(YEAR, 11, 14, 12, tzinfo=ZoneInfo("Europe/London"))
DARK = datetime(YEAR, 11, 14, 20, tzinfo=ZoneInfo("Europe/London"))


def shown(within_s: float = 2.0) -> DaylightView:
    return daylight_view(year_of(NORTH, within_s), day_of(NORTH, TODAY, within_s), NOON, LIMITS_S)


def later(at: datetime = NOON, within_s: float = 2.0) -> LaterView:
    return later_view(
        now_of(NORTH, at),
        when_of(NORTH, TODAY, within_s=within_s),
        year_of(NORTH, within_s),
        day_of(NORTH, TODAY, within_s),
    )


# ── The page ───────────────────────────────────────────────────────────────────────────────────


def test_it_says_where_one_sits() -> None:
    view = shown()
    assert view.where == "The pump house, north-east window, face 1.20 m from the glass"
    assert daylight_view(
        year_of(NORTH), day_of(NORTH, TODAY), NOON, LIMITS_S, "imperial"
    ).where.endswith("face 3 ft 11¼ in from the glass")


def test_each_limit_has_its_own_answer_ready() -> None:
    limits = {limit.said: limit for limit in shown().limits}
    assert list(limits) == ["1 s", "2 s", "3 s", "4 s", "6 s", "8 s"]
    assert [said for said, limit in limits.items() if limit.is_chosen] == ["2 s"]
    assert all(limit.answer.startswith(f"In {said}: ") for said, limit in limits.items())
    assert limits["2 s"].answer == shown().answer
    assert limits["1 s"].key == ""  # never reached: no line to choose
    assert limits["6 s"].key == "6"


def test_a_sitter_s_own_limit_and_a_chosen_one_are_offered_too() -> None:
    year = year_of(NORTH, 2.5)
    own = year.model_copy(update={"about": year.about.model_copy(update={"holds_still_s": 5.0})})
    view = daylight_view(own, day_of(NORTH, TODAY, 2.5), NOON, LIMITS_S)
    assert [limit.value for limit in view.limits] == ["1", "2", "2.5", "3", "4", "5", "6", "8"]
    assert view.limits_note == "O. M. said 5 s."
    assert view.limits_title == "How long can O. M. hold still?"
    nobody = own.model_copy(
        update={"about": own.about.model_copy(update={"holds_still_s": None, "sitter": "a card"})}
    )
    card = daylight_view(nobody, day_of(NORTH, TODAY, 2.5), NOON, LIMITS_S)
    assert (card.limits_title, card.limits_note) == ("How long may it take?", "")


@pytest.mark.parametrize(
    ("within_s", "columns"),
    [
        (2.0, [("2 s", True), ("4 s", False)]),
        (3.0, [("3 s", True), ("6 s", False)]),
        (8.0, [("4 s", False), ("8 s", True)]),
        (2.5, [("2.5 s", True), ("6 s", False)]),
    ],
)
def test_the_months_repeat_the_map(within_s: float, columns: list[tuple[str, bool]]) -> None:
    view = shown(within_s)
    assert list(view.columns) == columns
    assert [line.name for line in view.months] == [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ]  # fmt: skip
    for line, row in zip(view.months, year_of(NORTH, within_s).months, strict=True):
        for (said, _), text in zip(columns, line.within, strict=True):
            told = row.within.get(said.removesuffix(" s"))
            if told is not None:
                assert text == f"{told.begins:%H:%M} to {told.ends:%H:%M}"


def test_months_without_sun_say_so() -> None:
    year = year_of(POLAR)
    view = daylight_view(year, day_of(POLAR, TODAY), NOON, LIMITS_S)
    december = view.months[-1]
    assert (december.shortest, december.at) == ("no sun", "")
    assert december.within == ("never", "never")


def test_captions_are_honest_about_range_and_sky() -> None:
    view = shown()
    assert view.caption == (
        "Seconds needed under a middling sky, by the clock of the pump house. "
        "Inside the heavy line 2 s or less will do."
    )
    text = " ".join(view.captions)
    assert "nine in ten within ±1 stop: what is drawn as 2 s may be 1 s or 4 s." in text
    assert "a clear sky brings ⅔ stop and a dull one costs 1 stop" in text
    assert "clocks: forward on 29 March and back on 25 October." in text
    assert shown(1.0).caption.endswith("No line for 1 s: the year’s best is 1.4 s.")


def test_what_takes_longer() -> None:
    view = later()
    assert view.stale == "Good until 12:40 at 4 s; from then 6 s, until 13:50."
    assert not view.is_dark
    assert view.steps == (("12:40 to 13:50", "6 s"), ("13:50 to 14:30", "8 s"))
    assert [(way.seconds, way.is_within) for way in view.ways] == [
        ("1.9 s", True),
        ("8.2 s", False),
    ]
    assert view.cautions == ("Sun and sky are a model: one sheet makes its range smaller.",)
    assert view.last_look == ""
    assert datetime.fromisoformat(view.good_until).astimezone(NOON.tzinfo).hour == 12


def test_a_way_counts_by_the_chosen_limit() -> None:
    assert [way.is_within for way in later(within_s=1.0).ways] == [False, False]


def test_in_the_dark_nothing_goes_stale() -> None:
    view = later(DARK)
    assert view.is_dark
    assert not any((view.facts, view.steps, view.ways))
    assert view.good_until == ""


def test_a_sitting_of_today_has_its_last_look() -> None:
    about = now_of(NORTH, NOON).about.model_copy(update={"sitting": "OM 14/11"})
    view = later_view(
        now_of(NORTH, NOON, about=about),
        when_of(NORTH, TODAY),
        year_of(NORTH),
        day_of(NORTH, TODAY),
    )
    assert view.last_look == "/sitting/OM%2014~11/last-look"


def test_the_next_days_by_sky() -> None:
    view = later(within_s=4.0)
    assert view.skies == ("clear", "middling", "dull")
    assert len(view.days) == 14
    assert view.days[0].name == "Sat 14 Nov"
    told = when_of(NORTH, TODAY, within_s=4.0)
    good = sum(bool(day.by_sky["middling"]) for day in told.days)
    assert 0 < good < 14
    assert view.days_answer == (
        f"In 4 s: every day under a clear sky, on {good} days under a middling one "
        "and never under a dull one."
    )
    never = [line.by_sky[1] for line, day in zip(view.days, told.days, strict=True)
             if not day.by_sky["middling"]]  # fmt: skip
    assert set(never) == {"never"}


def test_no_day_is_good_and_the_next_one_is_named() -> None:
    view = later(within_s=1.9)
    assert view.days == ()
    first = year_of(NORTH, 1.9).days_within[0]
    assert view.days_answer == (
        "In 1.9 s: on none of the next 14 days, under any sky. "
        f"The next, if middling: {first.day} {first:%B}."
    )


# ── The curve ──────────────────────────────────────────────────────────────────────────────────


def points(path: str) -> list[tuple[float, float]]:
    numbers = [float(x) for x in re.findall(r"-?[\d.]+", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def test_the_curve_is_lowest_at_the_best_hour() -> None:
    day = day_of(NORTH, TODAY)
    curve = day_curve(day, NOON)
    assert curve is not None
    (line,) = curve.lines
    x, y = max(points(line), key=lambda p: p[1])  # percent from the top: fewer seconds are lower
    assert day.best is not None
    first, last = curve.times[0], curve.times[-1]
    hour = int(first[1]) + (x - first[0]) / (last[0] - first[0]) * (int(last[1]) - int(first[1]))
    assert hour == pytest.approx(day.best.when.hour + day.best.when.minute / 60, abs=0.01)
    # One stop is as high anywhere: the band is the same above and below.
    band = points(curve.bands[0])
    at_best = sorted(py for px, py in band if px == x)
    assert y - at_best[0] == pytest.approx(at_best[1] - y, abs=0.05)


def test_the_limit_runs_where_its_tick_is() -> None:
    curve = day_curve(day_of(NORTH, TODAY, 4.0), NOON)
    assert curve is not None
    ticks = {said: at for at, said in curve.ticks}
    assert curve.limit == ticks["4 s"]
    assert curve.limit_said == "4 s"


def test_now_stands_on_the_clock_or_is_left_out() -> None:
    day = day_of(NORTH, TODAY)
    noon, night = day_curve(day, NOON), day_curve(day, DARK)
    assert noon is not None
    assert night is not None
    assert noon.now == next(at for at, hour in noon.times if hour == "12")
    assert night.now is None


def test_the_table_has_every_hour_of_light() -> None:
    curve = day_curve(day_of(NORTH, TODAY), NOON)
    assert curve is not None
    assert [hour.at for hour in curve.hours] == [f"{n:02d}:00" for n in range(8, 17)]
    # The invented range is half to twice as long.
    assert (curve.hours[4].seconds, curve.hours[4].range) == ("3.7 s", "1.8 s to 7.3 s")
    assert "shortest 3.7 s at 11:45, nine in ten from 1.8 s to 7.3 s" in curve.described


def test_a_polar_day_has_a_whole_curve_and_a_polar_night_none() -> None:
    up = day_curve(day_of(POLAR, date(YEAR, 6, 21)), NOON)
    assert up is not None
    assert next(hour for _, hour in up.times) == "00"
    assert len(up.lines) == 1
    assert day_curve(day_of(POLAR, date(YEAR, 12, 20)), NOON) is None


# ── What is asked ──────────────────────────────────────────────────────────────────────────────


PLACE = {"id": "moor", "name": "the moor", "latitude_deg": 54.3, "longitude_deg": -1.5,
         "zone": "Europe/London"}  # fmt: skip
SEATS = [
    {"id": "wall", "name": "by the wall", "place": "moor", "open_air": {"faces_deg": 0}},
    {"id": "gate", "name": "at the gate", "place": "moor", "open_air": {"faces_deg": 180}},
    {"id": "old", "place": "moor", "open_air": {"faces_deg": 90}, "retired": True},
]


def with_seats() -> Book:
    data = small_data()
    data["kit"] |= {"places": [PLACE], "seats": SEATS}
    return book_of(data)


USUAL = Asked(
    seat="wall", paper="sorrel-2/7", lens="tele300", camera="field", f_number=5.6, sitter="OM"
)


def test_an_empty_address_asks_as_usual() -> None:
    found = question(with_seats(), USUAL, {})
    assert (found.asked, found.within_s, found.note, found.query) == (USUAL, None, "", "")


def test_an_address_says_everything() -> None:
    said = {"sitting": "plan", "seat": "gate", "paper": "lovage/1", "lens": "tele300", "f": "f/11",
            "sky": "dull", "sitter": "-", "within": "3", "more": "x"}  # fmt: skip
    found = question(with_seats(), USUAL, said)
    assert found.asked == Asked(
        seat="gate", paper="lovage/1", lens="tele300", camera="field", f_number=11,
        sky=SkySeen(word="dull"),
    )  # fmt: skip
    assert found.within_s == 3
    assert "within" not in found.query
    assert "more" not in found.query
    assert question(with_seats(), USUAL, dict(p.split("=") for p in ["seat=gate"])).query == (
        "seat=gate"
    )


def test_a_mark_the_lens_has_not_is_the_nearest_and_that_is_said() -> None:
    found = question(with_seats(), USUAL, {"f": "4"})
    assert found.asked.f_number == 5.6
    assert found.note == ("The 300 mm telephoto construction has no mark f/4: f/5.6 is taken.")


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ({"seat": "nowhere"}, UnknownName),
        ({"paper": "none"}, UnknownName),
        ({"sitter": "ZZ"}, UnknownName),
        ({"sitting": "OM"}, UnknownName),  # a sitting with lamps only
        ({"sky": "green"}, BadValue),
        ({"f": "much"}, BadValue),
        ({"within": "0"}, OutOfRange),
        ({"within": "soon"}, BadValue),
    ],
)
def test_what_cannot_be_read_is_said(said: dict[str, str], error: type[Exception]) -> None:
    with pytest.raises(error):
        question(with_seats(), USUAL, said)


def test_what_can_be_chosen_and_what_is() -> None:
    book = with_seats()
    said = {"seat": "gate"}
    found = {c.name: c for c in choices(book, USUAL, question(book, USUAL, said).asked, said)}
    seats = [(o.value, o.said, o.is_chosen) for o in found["seat"].options]
    assert seats == [
        ("", "by the wall, as usual", False),
        ("wall", "by the wall", False),
        ("gate", "at the gate", True),
    ]
    assert [o.said for o in found["sky"].options] == [
        "not said: middling", "clear", "veiled", "middling", "dull",
    ]  # fmt: skip
    assert [o.value for o in found["f"].options][:3] == ["", "5.6", "8"]
    assert all(sum(o.is_chosen for o in c.options) == 1 for c in found.values())


def test_what_is_still_missing() -> None:
    nothing = missing(Book(stillroom="book/1"))
    assert [is_there for _, _, is_there in nothing] == [False] * 5
    assert nothing[0][:2] == ("a place", "/kit/places/add")
    book = with_seats()
    assert all(is_there for _, _, is_there in missing(book))
    away = book.model_copy(
        update={
            "kit": book.kit.model_copy(
                update={
                    "seats": tuple(s.model_copy(update={"retired": True}) for s in book.kit.seats)
                }
            )
        }
    )
    assert [what for what, _, is_there in missing(away) if not is_there] == ["a seat"]


def test_sitters_say_how_long_they_hold_still() -> None:
    book = with_seats()
    sitters = (Sitter(id="OM", initials="O. M.", holds_still_s=2.0),)
    book = book.model_copy(update={"sitters": sitters})
    found = {c.name: c for c in choices(book, USUAL, USUAL, {})}
    assert [o.said for o in found["sitter"].options] == [
        "O. M., 2 s, as usual", "O. M., 2 s", "nobody, a card",
    ]  # fmt: skip
