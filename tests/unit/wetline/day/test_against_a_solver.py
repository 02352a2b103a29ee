"""Small days are planned as early as a constraint solver proved that they can be.

`python3 -m proof.day` made the file: every combination of one to four stations, one to eight
sheets, hands, a station used twice, waiting and coming; times drawn. Days that the solver could
not settle in its time stand in it apart.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stillroom.wetline.day import Coming, Line, Stage, conflicts, line_of, schedule

FROZEN = Path(__file__).parents[3] / "data" / "day" / "against_a_solver.json"


@cache
def frozen() -> Any:
    return json.loads(FROZEN.read_text(encoding="utf-8"))


def line_from(day: dict[str, Any]) -> Line:
    stages = [
        (name, Stage(f"{name}{n}", seconds, waits, touch))
        for n, (name, seconds, waits, touch) in enumerate(day["stages"])
    ]
    return line_of(stages, day["holds"], day["hands"])


@pytest.mark.slow
@pytest.mark.parametrize("part", range(8))
def test_days_end_as_early_as_the_solver_proved(part: int) -> None:
    late = []
    for day in frozen()["days"][part::8]:
        coming = [Coming(at) for at in day["comes"]]
        found = schedule(line_from(day), coming)
        assert conflicts(line_from(day), coming, found) == []
        assert found.least_s <= day["finish_s"]
        if found.finish_s != day["finish_s"]:
            late.append((day, found.finish_s))
    assert late == []


def test_the_days_are_of_every_kind() -> None:
    days = frozen()["days"]
    assert len(days) > 900
    assert {len(day["comes"]) for day in days} == set(range(1, 9))
    assert {len(day["holds"]) for day in days} == {1, 2, 3, 4}
    assert len(days) + frozen()["not_settled"] == 4 * 8 * 3 * 2 * 3 * 2
    assert any(len(day["stages"]) > len(day["holds"]) for day in days)


@pytest.mark.slow
def test_days_the_solver_did_not_settle_in_its_time_the_search_does() -> None:
    for day in frozen()["unsettled"]:
        coming = [Coming(at) for at in day["comes"]]
        found = schedule(line_from(day), coming)
        assert conflicts(line_from(day), coming, found) == []
        assert found.is_best
