"""A line's schedules: possible, as early as can be, and refused where nothing can be planned."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import BadValue, UnknownName
from stillroom.wetline.day import (
    Coming,
    Line,
    Schedule,
    Stage,
    Station,
    bottleneck,
    bounds,
    conflicts,
    gains,
    interval,
    line_of,
    most_at_once,
    quick,
    schedule,
    shuffled,
)

RC = (
    ("first development", "developer", 120, 0, 45),
    ("first wash", "first wash", 60, 60, 15),
    ("bleach", "bleach", 90, 0, 45),
    ("second wash", "second wash", 90, 60, 15),
    ("clear", "clear", 60, 0, 15),
    ("third wash", "third wash", 60, 60, 15),
    ("lights", "lights", 20, 0, 15),
    ("second development", "developer", 90, 0, 45),
    ("rinse", "rinse", 30, 60, 15),
    ("fix", "fix", 60, 0, 15),
    ("last wash", "last wash", 240, None, 15),
)
"""Resin-coated paper in trays, by hand: common practice, no source."""


def rc_line(hands: int = 1) -> Line:
    stages = [(station, Stage(n, s, w, h)) for n, station, s, w, h in RC]
    return line_of(stages, {"last wash": 4}, hands)


@st.composite
def lines(draw: st.DrawFn) -> Line:
    names = draw(st.lists(st.sampled_from("abcd"), min_size=1, max_size=6))
    touch = draw(st.sampled_from([0, 15]))
    stages = [
        (
            name,
            Stage(
                f"{name}{at}",
                15 * draw(st.integers(1, 12)),
                draw(st.sampled_from([0, 30, None])),
                touch,
            ),
        )
        for at, name in enumerate(names)
    ]
    holds = {name: draw(st.integers(1, 3)) for name in set(names)}
    return line_of(stages, holds, draw(st.integers(1, 2)))


@st.composite
def comings(draw: st.DrawFn, line: Line) -> list[Coming]:
    found: list[Coming] = []
    for at in range(draw(st.integers(1, 6))):
        after = draw(st.none() | st.integers(0, at - 1)) if at else None
        stage = draw(st.integers(0, len(line.stages) - 1))
        found.append(Coming(15 * draw(st.integers(0, 40)), after, stage, 60))
    return found


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_every_schedule_is_possible_and_not_before_what_is_least(data: st.DataObject) -> None:
    line = data.draw(lines())
    coming = data.draw(comings(line))
    for found in (quick(line, coming), schedule(line, coming, thorough=False)):
        assert conflicts(line, coming, found) == []
    best = schedule(line, coming)
    assert conflicts(line, coming, best) == []
    assert best.least_s <= best.finish_s <= quick(line, coming).finish_s
    assert best.finish_s >= max(c.at_s for c in coming) + line.flow_s


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_a_rhythm_can_be_kept_up(data: st.DataObject) -> None:
    line = data.draw(lines())
    found = interval(line)
    assert found.seconds >= bounds(line)[0].interval_s
    many = range(8)
    rows = tuple(tuple(t + round(found.seconds) * i for t in found.starts_s) for i in many)
    assert conflicts(line, [Coming()] * len(many), Schedule(rows, 0)) == []


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_one_more_of_anything_never_holds_up(data: st.DataObject) -> None:
    line = data.draw(lines())
    count = data.draw(st.integers(1, 5))
    for gain in gains(line, [Coming()] * count):
        assert 0 <= gain.saves_s <= gain.most_s


def brute_force_s(line: Line, sheets: int, step: int) -> int:
    """The least finish of two or three sheets, trying every moment and every wait."""
    ways = [
        [0, *np.cumsum(lengths)]
        for lengths in product(
            *(range(s.seconds, s.seconds + (s.waits_s or 0) + 1, step) for s in line.stages)
        )
    ]
    best = line.flow_s * sheets
    for way in ways:
        for others in product(ways, repeat=sheets - 1):
            for begins in product(range(0, best, step), repeat=sheets - 1):
                rows = [way, *([t + b for t in w] for w, b in zip(others, begins, strict=True))]
                finish = max(row[-1] for row in rows)
                if finish < best:
                    tried = Schedule(tuple(tuple(map(int, row)) for row in rows), 0)
                    if not conflicts(line, [Coming()] * sheets, tried):
                        best = int(finish)
    return best


@pytest.mark.parametrize(
    ("stages", "hands"),
    [
        ((("tray", 60, 0), ("water", 30, 30), ("tray", 30, 0)), 1),
        ((("tray", 30, 0), ("water", 60, 0), ("tray", 60, 0)), 1),
        ((("a", 60, 0), ("b", 30, 30), ("c", 90, 0)), 1),
        ((("a", 60, 0), ("b", 30, 30), ("a", 60, 30)), 2),
    ],
)
def test_two_sheets_are_through_as_early_as_trying_everything_finds(
    stages: tuple[tuple[str, int, int], ...], hands: int
) -> None:
    made = [(name, Stage(f"{name}{n}", s, w, 30)) for n, (name, s, w) in enumerate(stages)]
    line = line_of(made, hands=hands)
    found = schedule(line, [Coming(), Coming()])
    assert found.is_best
    assert found.finish_s == brute_force_s(line, 2, 30)


def test_a_tank_takes_one_sheet_after_the_other() -> None:
    line = line_of([("tank", Stage("fill", 60)), ("tank", Stage("develop", 540))])
    found = schedule(line, [Coming(), Coming(30), Coming()])
    assert [row[0] for row in found.starts_s] == [0, 600, 1200]
    assert (found.finish_s, found.least_s, found.is_best) == (1800, 1800, True)


def test_sheets_wait_in_water_and_not_in_the_developer() -> None:
    line = line_of(
        [
            ("dev", Stage("dev", 60)),
            ("water", Stage("water", 30, None)),
            ("bleach", Stage("b", 90)),
        ]
    )
    found = schedule(line, [Coming()] * 3)
    assert found.finish_s == 60 + 30 + 3 * 90
    assert all(row[1] - row[0] == 60 for row in found.starts_s)


def test_the_next_sheet_waits_for_the_one_before_to_be_read() -> None:
    line = line_of([("tank", Stage("tank", 600, None))], {"tank": 2})
    found = schedule(line, [Coming(), Coming(0, after=0, after_stage=0, after_s=120)])
    assert [row[0] for row in found.starts_s] == [0, 720]


def test_a_developer_used_twice_takes_pairs_where_nothing_waits() -> None:
    # Two sheets two minutes apart, then a pause, are quicker than an even rhythm of 300 s.
    line = line_of(
        [
            ("tray", Stage("first", 120)),
            ("rest", Stage("rest", 390)),
            ("tray", Stage("second", 90)),
        ],
        {"rest": 9},
    )
    found = schedule(line, [Coming()] * 12)
    assert interval(line).seconds == 300
    assert found.finish_s < line.flow_s + 11 * 300
    assert conflicts(line, [Coming()] * 12, found) == []


def test_hands_move_one_sheet_at_a_time() -> None:
    alone, two = (schedule(rc_line(hands), [Coming()] * 4) for hands in (1, 2))
    assert two.finish_s < alone.finish_s
    touches = [(row[at], row[at] + RC[at][4]) for row in alone.starts_s for at in range(len(RC))]
    assert most_at_once(touches) == 1


def test_what_a_schedule_does_wrong_is_named() -> None:
    line = rc_line()
    good = quick(line, [Coming()])
    late = Schedule(((*good.starts_s[0][:-1], good.starts_s[0][-2]),), 0)
    assert conflicts(line, [Coming()], late) == ["sheet 0 leaves last wash 240 s too early"]
    both = Schedule(good.starts_s * 2, 0)
    said = conflicts(line, [Coming()] * 2, both)
    assert "developer holds more than 1" in said
    assert "more than 1 pairs of hands" in said
    assert conflicts(line, [Coming(60)], good) == ["sheet 0 begins at 0 before 60"]


def test_the_bottleneck_is_named_and_what_one_more_saves() -> None:
    found = gains(rc_line(), [Coming()] * 10)
    assert bottleneck(found, rc_line()) == "hands"
    by_name = {gain.name: gain for gain in found}
    assert by_name["hands"].saves_s > 600
    assert by_name["lights"].saves_s < by_name["hands"].saves_s
    tank = line_of([("tank", Stage("tank", 1440, None))])
    assert bottleneck(gains(tank, [Coming()] * 3), tank) == "tank"


def test_where_the_sheets_themselves_are_late_nothing_of_the_line_holds_up() -> None:
    tank = line_of([("tank", Stage("tank", 600, None))])
    coming = [Coming(3600 * n) for n in range(4)]
    assert bottleneck(gains(tank, coming), tank) == ""


def test_piles_take_longer_in_each_bath() -> None:
    pile = shuffled(rc_line(), 3, 10, ["first development", "bleach"])
    assert pile.flow_s == rc_line().flow_s + 2 * 10 * 2
    with pytest.raises(BadValue, match="sheets in a pile is 9"):
        shuffled(rc_line(), 9, 10, ["bleach"])


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Stage("bleach", 0), "bleach seconds is 0"),
        (lambda: Stage("bleach", 90, -1), "bleach waits_s is -1"),
        (lambda: Stage("bleach", 90, 0, 91), "bleach hands_s is 91"),
        (lambda: Stage("bleach", 1.5), "bleach seconds is 1.5"),  # type: ignore[arg-type]
        (lambda: Station("tray", -2, ((0, 0),)), "tray is -2"),
        (lambda: rc_line(hands=0), "hands is 0"),
        (lambda: line_of([]), "stages is 0"),
        (lambda: Line((Stage("a", 1),), (Station("t", 1, ((0, 3),)),)), "its visits"),
        (lambda: Coming(-5), "at_s is -5"),
        (lambda: schedule(rc_line(), [Coming()] * 401), "sheets is 401"),
        (lambda: schedule(rc_line(), [Coming(0, 0, 0, 0)]), "after is 0"),
        (lambda: schedule(rc_line(), [Coming(), Coming(0, 0, 11, 0)]), "after_stage is 11"),
    ],
)
def test_what_cannot_be_planned_is_said_in_a_sentence(make: object, said: str) -> None:
    assert callable(make)
    with pytest.raises(BadValue, match=said):
        make()


def test_a_station_that_is_not_there_is_unknown() -> None:
    with pytest.raises(UnknownName, match="no station called 'tank'"):
        line_of([("tray", Stage("dev", 60))], {"tank": 2})
    with pytest.raises(UnknownName, match="no station called 'tank'"):
        gains(rc_line(), [Coming()], ["tank"])


def test_no_sheets_take_no_time() -> None:
    assert schedule(rc_line(), []).finish_s == 0


def test_a_long_day_is_planned_by_every_rule_in_order() -> None:
    found = schedule(rc_line(2), [Coming()] * 24)
    assert conflicts(rc_line(2), [Coming()] * 24, found) == []
    assert all(a[0] <= b[0] for a, b in pairwise(found.starts_s))
    assert found.finish_s <= quick(rc_line(2), [Coming()] * 24).finish_s
