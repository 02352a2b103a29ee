"""The bench through the desk: each fact once, early looks as readings, nothing lost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom.documents.piece import Piece
from stillroom.documents.read import read_book
from stillroom.documents.wet import WetRun
from stillroom.errors import BadValue, UnknownName
from stillroom.services import Desk
from stillroom.store import BookFile, open_book
from tests.unit.services.conftest import SMALL, Clock, Repeater

PROCESS = "rc-trays/permanganate"
NOON = Clock().now


def event(
    kind: str, at_s: float, name: str = "", run: str = "run-1", **said: Any
) -> dict[str, Any]:
    at = (NOON + timedelta(seconds=at_s)).isoformat()
    return {"id": name or f"{kind}-{at_s}-{run}", "run": run, "kind": kind, "at": at, **said}


def begin(at_s: float = 0.0, run: str = "run-1", **said: Any) -> dict[str, Any]:
    told = {"sitting": "OM", "sheet": 2, "process": PROCESS, "temperature_c": 20.0, **said}
    return event("begin", at_s, run=run, **told)


LINE = (
    begin(),
    event("step", 130, step="first_wash"),
    event("look", 150, step="first_wash", word="too_dark"),
    event("look", 155, step="first_wash", word="about_right"),
    event("step", 190, step="bleach"),
    event("done", 280, step="bleach"),
    event("step", 290, step="second_wash"),
    event("look", 420, step="third_wash", word="too_light"),
    event("through", 900),
)


def wet(desk: Desk) -> WetRun:
    run = desk.book().sittings[0].sheets[1].wet
    assert run is not None
    return run


def looks(desk: Desk) -> dict[str, str | None]:
    """What the last early look of each kind said of the face."""
    readings = desk.book().sittings[0].sheets[1].readings
    return {r.state: r.regions["face"].verdict for r in readings if r.by == "early_look"}


def test_the_sheets_that_wait_and_the_trays_are_there(desk: Desk) -> None:
    bench = desk.bench()
    assert [step.id for step in bench.steps][:3] == ["first_development", "first_wash", "bleach"]
    assert bench.process.id == PROCESS
    assert bench.runs == ()
    assert {step.light for step in bench.steps[:4]} == {"red"}


def test_a_whole_line_is_written_down(desk: Desk) -> None:
    answer = desk.bench_events(LINE)
    assert set(answer.taken) == {e["id"] for e in LINE}
    assert answer.refused == ()
    assert wet(desk).outcome == "through"
    assert looks(desk) == {"negative": "as_wanted", "pale": "too_light"}


def test_what_is_sent_twice_is_taken_once(desk: Desk, store: BookFile) -> None:
    desk.bench_events(LINE)
    before, revision = desk.book(), store.revision()
    answer = desk.bench_events([*LINE, *LINE])
    assert answer.refused == ()
    assert desk.book() == before
    assert store.revision() == revision


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(order=st.permutations(LINE), cuts=st.lists(st.integers(0, len(LINE)), max_size=4))
def test_any_order_in_any_pieces_gives_the_same_record(
    tmp_path_factory: pytest.TempPathFactory, order: Sequence[dict[str, Any]], cuts: list[int]
) -> None:
    """A page without a network sends what it has, and what was refused again, until all is in."""
    clock, folder = Clock(), tmp_path_factory.mktemp("bench")
    with open_book(folder / "book.db", clock=clock) as store:
        store.import_document(SMALL)
        desk = Desk(store, clock, Repeater())
        ends = [0, *sorted(cuts), len(order)]
        waiting: list[dict[str, Any]] = []
        for start, end in pairwise(ends):
            sent = [*waiting, *order[start:end]]
            taken = set(desk.bench_events(sent).taken)
            waiting = [e for e in sent if e["id"] not in taken]
        assert waiting == []
        assert wet(desk) == the_whole_line()
        assert looks(desk) == {"negative": "as_wanted", "pale": "too_light"}


def the_whole_line() -> WetRun:
    from stillroom.documents.wet import BenchEvent
    from stillroom.documents.wet_fold import run_of

    told = [{**LINE[0], "asked_s": 120, "asked_c": 20}, *LINE[1:]]
    run = run_of([BenchEvent.model_validate(e) for e in told], "OM 2")
    assert run is not None
    return run


def test_one_bad_event_takes_no_other_with_it(desk: Desk) -> None:
    bad = [
        event("step", 10, "unknown run", run="nobody", step="bleach"),
        event("step", -60, "clock", step="first_wash"),
        event("longer", 20, "nothing", step="first_development", seconds=0),
        event("step", 30, "not there", step="wash_aid"),
        begin(5, run="run-2"),
        begin(5, run="run-3", sheet=99),
        begin(5, run="run-4", sitting="nobody"),
        begin(5, run="run-5", sheet=1, process="tea"),
        {"kind": "step"},
    ]
    answer = desk.bench_events([*bad, *LINE])
    assert len(answer.taken) == len(LINE)
    said = {one.id: one.sentence for one in answer.refused}
    assert len(answer.refused) == len(bad)
    assert "Nothing is known of run 'nobody'" in said["unknown run"]
    assert "a clock was set back" in said["clock"]
    assert "seconds is 0" in said["nothing"]
    assert "has no step wash_aid" in said["not there"]
    assert all(one.endswith(".") and ". " not in one for one in said.values())
    assert wet(desk).outcome == "through"


def test_a_sheet_goes_through_once(desk: Desk) -> None:
    desk.bench_events([begin()])
    (twice,) = desk.bench_events([begin(10, run="run-2")]).refused
    assert "is in work already" in twice.sentence
    desk.bench_events([event("through", 900)])
    (again,) = desk.bench_events([begin(1000, run="run-2")]).refused
    assert "has been through the line already" in again.sentence


def test_a_sheet_that_was_stopped_may_begin_again(desk: Desk) -> None:
    desk.bench_events([begin(), event("stop", 30)])
    assert desk.bench_events([begin(60, run="run-2")]).refused == ()
    assert wet(desk).id == "run-2"


def test_the_bench_follows_its_sheets(desk: Desk) -> None:
    def state(number: int) -> str:
        found = {s.number: s.state for s in desk.bench().sheets if s.sitting == "OM"}
        return found.get(number, "")

    desk.bench_events([begin()])
    assert state(2) == "in_work"
    assert [run.id for run in desk.bench().runs] == ["run-1"]
    desk.bench_events([event("through", 900)])
    assert state(2) == "through"


def test_a_process_altered_later_alters_nothing_of_a_sheet_that_went_through(desk: Desk) -> None:
    mine = desk.copy_process(PROCESS, "Mine", {"first_development": 130})
    desk.bench_events([begin(process=mine.id), *LINE[1:]])
    assert desk.first_development("OM", 2) is None
    steps = [s.model_dump(exclude_unset=True) for s in mine.steps]
    desk.edit_thing("processes", mine.id, {"steps": [{**steps[0], "seconds": 170}, *steps[1:]]})
    assert desk.bench("Mine").steps[0].seconds == 170
    assert desk.first_development("OM", 2) is None


def test_an_early_look_told_late_does_not_outdo_a_later_one(desk: Desk) -> None:
    late = event("look", 150, step="first_wash", word="too_dark")
    last = event("look", 155, step="first_wash", word="about_right")
    desk.bench_events([begin(), last])
    desk.bench_events([late])
    assert looks(desk) == {"negative": "as_wanted"}


def test_an_exported_book_holds_the_runs_and_comes_back_whole(
    desk: Desk, store: BookFile, tmp_path: Path
) -> None:
    desk.bench_events(LINE)
    text = store.export_document()
    with open_book(tmp_path / "again.db", clock=Clock()) as other:
        other.import_document(read_book(text))
        other.import_document(read_book(text))
        assert other.load() == store.load()
        assert other.export_document() == text


def test_a_corrected_sheet_keeps_its_run(desk: Desk) -> None:
    desk.bench_events(LINE)
    before = wet(desk)
    desk.correct_made("OM", 2, None)
    assert wet(desk) == before


def test_an_early_look_at_a_test_piece_is_of_its_region(desk: Desk) -> None:
    plan = desk.book().sittings[0].sheets[1].settings
    number = desk.shoot("OM", plan, piece=Piece(region="shadow"))
    at = begin(sheet=number)
    look = event("look", 150, step="first_wash", word="too_dark")
    assert desk.bench_events([at, look]).refused == ()
    (reading,) = desk.book().sittings[0].sheets[-1].readings
    assert {r: v.verdict for r, v in reading.regions.items()} == {"shadow": "too_dark"}


def test_a_process_that_is_gone_does_not_stop_the_bench(desk: Desk, store: BookFile) -> None:
    desk.set_preference("bench process", "gone")
    assert desk.bench().process.id == PROCESS
    paper = desk.book().papers[0].model_copy(update={"process": "gone too"})
    store.put_paper(paper)
    bench = desk.bench()
    assert bench.process.id == PROCESS
    assert "no process called 'gone too'" in bench.cautions[0].text
    assert desk.bench("rc-drum/peroxide").cautions[-1].label != "Process"


def test_what_the_bench_stands_for_is_kept(desk: Desk) -> None:
    desk.set_bench("fibre-trays/dichromate", 18.0)
    bench = desk.bench()
    assert (bench.process.id, bench.temperature_c) == ("fibre-trays/dichromate", 18.0)
    assert bench.steps[0].seconds == 207
    with pytest.raises(BadValue, match="45"):
        desk.set_bench(temperature_c=45.0)
    with pytest.raises(UnknownName):
        desk.set_bench("tea")
    assert desk.bench() == bench
