"""A sheet's way through the line, from what was told of it: in any order, twice, and back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from stillroom.documents.wet import BenchEvent, LookWord, WetRun
from stillroom.documents.wet_fold import events_of, latest, look_of, run_of, run_of_sheet
from stillroom.wetline import StepId

NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
STEPS: tuple[StepId, ...] = get_args(StepId)


def event(kind: str, at_s: float, name: str = "", **said: Any) -> BenchEvent:
    told = {"id": name or f"{kind}-{at_s}", "run": "run-1", "kind": kind, **said}
    return BenchEvent.model_validate({"at": NOON + timedelta(seconds=at_s), **told})


def begin(at_s: float = 0.0, **said: Any) -> BenchEvent:
    told = {"sitting": "OM", "sheet": 2, "process": "mine", "temperature_c": 20.0, **said}
    return event("begin", at_s, **told)


A_LINE = (
    begin(),
    event("black", 14, seconds=14),
    event("longer", 100, step="first_development", seconds=10),
    event("longer", 110, "again", step="first_development", seconds=10),
    event("temperature", 115, temperature_c=19.5),
    event("step", 140, step="first_wash", bath="water-1"),
    event("look", 160, step="first_wash", word="too_dark"),
    event("step", 200, step="bleach"),
    event("done", 290, step="bleach"),
    event("step", 300, step="second_wash"),
    event("through", 900),
)


@st.composite
def stories(draw: st.DrawFn) -> tuple[BenchEvent, ...]:
    """A sheet in work, as a bench may tell of it, its clock perhaps set back in between."""
    told = [begin(temperature_c=draw(st.floats(14, 27)))]
    at = 0.0
    for n, step in enumerate(STEPS[: draw(st.integers(1, len(STEPS)))]):
        at += draw(st.floats(-30, 300))
        at = max(at, 0.0)
        if n:
            told.append(event("step", at, f"s{n}", step=step))
        if draw(st.booleans()):
            told.append(event("longer", at, f"l{n}", step=step, seconds=10))
        if look_of(step) is not None and draw(st.booleans()):
            word = draw(st.sampled_from(get_args(LookWord)))
            told.append(event("look", at, f"k{n}", step=step, word=word))
    end = draw(st.sampled_from(["", "stop", "through"]))
    if end:
        told.append(event(end, max(0.0, at + draw(st.floats(-50, 50))), "end"))
    return tuple(told)


def test_a_run_is_what_was_told_of_it() -> None:
    run = run_of(A_LINE, "OM 2")
    assert run is not None
    assert (run.mark, run.first_black_s) == ("OM 2", 14)
    first, wash, bleach, second = run.steps
    assert (first.step, first.longer_s) == ("first_development", 20)
    assert (first.ended_at, wash.bath) == (wash.began_at, "water-1")
    assert bleach.ended_at == second.began_at
    assert second.ended_at == run.ended_at == NOON + timedelta(seconds=900)
    assert [(look.look, look.word) for look in run.looks] == [("negative", "too_dark")]


def test_a_tray_that_drifts_is_as_warm_as_an_even_one_that_works_as_much() -> None:
    """From 20 down to 18 in 60 s, then even for 60 s: a fine sum gives 18.53 degrees."""
    told = [
        begin(),
        event("temperature", 60, temperature_c=18.0),
        event("step", 120, step="first_wash"),
    ]
    run = run_of(told)
    assert run is not None
    fine = sum(2 ** ((max(20 - t / 30, 18.0) - 20) / 10) for t in (n / 100 for n in range(12_000)))
    assert 2 ** ((run.temperature_c - 20) / 10) * 12_000 == pytest.approx(fine, rel=1e-3)


def test_what_the_thermometer_says_later_is_not_of_the_first_developer() -> None:
    told = [begin(), event("step", 120, step="first_wash")]
    later = [*told, event("temperature", 500, temperature_c=25.0)]
    assert run_of(later) == run_of(told)


@given(order=st.permutations(A_LINE), twice=st.lists(st.sampled_from(A_LINE)))
def test_order_and_repetition_do_not_matter(
    order: Sequence[BenchEvent], twice: list[BenchEvent]
) -> None:
    assert run_of([*order, *twice]) == run_of(A_LINE)


@given(told=stories(), data=st.data())
def test_no_order_of_any_story_matters(told: tuple[BenchEvent, ...], data: st.DataObject) -> None:
    assert run_of(data.draw(st.permutations(told))) == run_of(told)


@given(told=stories())
def test_a_run_goes_forward_in_time_whatever_the_clock_did(told: tuple[BenchEvent, ...]) -> None:
    run = run_of(told)
    assert run is not None
    times = [
        run.began_at,
        *(s.began_at for s in run.steps),
        *([run.ended_at] * bool(run.ended_at)),
    ]
    assert times == sorted(times, key=lambda t: t or NOON)


@given(told=stories())
def test_a_run_tells_itself_again(told: tuple[BenchEvent, ...]) -> None:
    run = run_of(told, "OM 2")
    assert run is not None
    again = events_of(run)
    assert run_of(again, "OM 2") == run
    assert len({e.id for e in again}) == len(again)
    assert events_of(run) == again


def test_nothing_is_a_run_before_it_began() -> None:
    assert run_of(A_LINE[1:]) is None
    assert run_of([]) is None


def test_a_sheet_that_was_stopped_and_began_again_is_the_later_run() -> None:
    stopped = [begin(), event("stop", 20)]
    again = [begin(60, id="b2", run="run-2"), event("step", 180, "s2", step="first_wash")]
    again = [e.model_copy(update={"run": "run-2"}) for e in again]
    run = run_of_sheet([*again, *stopped])
    assert run is not None
    assert (run.id, run.outcome) == ("run-2", "in_work")
    assert latest([]) is None


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("begin", {"sitting": "OM", "sheet": 2, "process": "mine"}),
        ("step", {}),
        ("longer", {"step": "bleach"}),
        ("longer", {"step": "bleach", "seconds": 0}),
        ("longer", {"step": "bleach", "seconds": -10}),
        ("longer", {"step": "bleach", "seconds": float("nan")}),
        ("look", {"step": "first_wash"}),
        ("look", {"step": "first_wash", "word": "nice"}),
        ("temperature", {"temperature_c": 120}),
        ("step", {"step": "stop_bath"}),
        ("dance", {}),
    ],
)
def test_half_an_event_is_none(kind: str, said: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        event(kind, 0, **said)


@pytest.mark.parametrize(
    "wrong",
    [
        {"outcome": "through", "ended_at": None},
        {"outcome": "in_work"},
        {"ended_at": (NOON - timedelta(seconds=1)).isoformat()},
    ],
)
def test_a_run_that_cannot_have_been_is_refused(wrong: dict[str, Any]) -> None:
    run = run_of(A_LINE)
    assert run is not None
    told = run.model_dump(mode="json") | wrong
    with pytest.raises(ValidationError):
        WetRun.model_validate(told)
