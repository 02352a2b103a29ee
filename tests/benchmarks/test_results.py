"""Sheets together, a stepped sheet first and fixed runs by a stand-in; results on disk."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from benchmarks.closed_loop import _arguments, main, still_to_run, tasks_of
from benchmarks.world.public import Settings
from benchmarks.world.records import Made, Outcome, Paper, Task, together_of
from benchmarks.world.results import NoResults, Results, merged
from benchmarks.world.runs import run_task
from benchmarks.world.scenario import build
from benchmarks.world.tool import Tool
from benchmarks.world.truth import ROUGH

FAKE = Path(__file__).with_name("fake_responder.py")


def _tool(fault: str) -> Tool:
    return Tool([sys.executable, str(FAKE), fault], 20.0)


def test_sheets_together_are_exposed_before_any_is_told() -> None:
    task = Task("matched", "A", "scan", 0, ("engine", "together_3"), cap=8)
    with _tool("steady") as tool:
        alone, together = run_task(task, tool)
    assert together.error is None
    assert [sheet.round for sheet in together.made] == [1, 1, 1, 2, 2, 2][: len(together.made)]
    assert {sheet.p_any for sheet in together.made} == {0.4}
    # the same settings with the same luck: sheet by sheet the same
    for one, other in zip(alone.made, together.made, strict=False):
        assert one.off_stops == other.off_stops
    first = next((at for at, sheet in enumerate(together.made) if sheet.keeper), None)
    assert together.rounds == (3 + 1 if first is None else first // 3 + 1)
    assert together.sheets == (9 if first is None else 3 * together.rounds)


def test_no_more_sheets_are_made_together_than_the_cap_allows() -> None:
    # seed 1 keeps nothing at these settings
    (outcome,) = run_task_of("steady", Task("rough", "B", "scan", 1, ("together_3",), cap=7))
    assert not any(sheet.keeper for sheet in outcome.made)
    assert len(outcome.made) == 6
    assert (outcome.sheets, outcome.rounds) == (8, 4)


def run_task_of(fault: str, task: Task) -> list[Outcome]:
    with _tool(fault) as tool:
        return run_task(task, tool)


def test_a_plan_of_too_few_sheets_is_refused() -> None:
    (outcome,) = run_task_of("few", Task("matched", "A", "scan", 0, ("together_2",), cap=4))
    assert outcome.error is not None
    assert "not a list of 2" in outcome.error
    assert outcome.sheets == 5


def test_a_stepped_sheet_is_forced_first_and_only_first() -> None:
    (outcome,) = run_task_of("steady", Task("rough", "B", "scan", 1, ("stepped_first",), cap=3))
    steps = [sheet.settings["steps_pops"] for sheet in outcome.made]
    assert steps == [[1, 2, 4, 8], None, None]
    assert outcome.made[0].settings["pops"] == 1
    # planned at -1 with two pops: half a doubling less
    assert outcome.made[0].settings["dial_stops"]["key"] == pytest.approx(-1.5)


def test_one_strategy_is_told_what_was_kept_in_this_sitting_and_before() -> None:
    task = Task("rough", "B", "eye", 1, ("engine", "told_kept"), cap=3)
    said: list[dict[str, Any]] = []

    class Listening(Tool):
        def ask(self, line: dict[str, Any]) -> dict[str, Any]:
            said.append(line)
            return super().ask(line)

    with Listening([sys.executable, str(FAKE), "steady"], 20.0) as tool:
        run_task(task, tool)
    begins = [line for line in said if line["op"] == "begin"]
    told = [["kept" in sheet for sheet in one["past"][0]["sheets"]] for one in begins]
    assert (set(told[0]), set(told[1])) == ({False}, {True})
    kept = [line["kept"] for line in said if line["op"] == "record"]
    assert kept[:3] == [None] * 3
    assert all(isinstance(one, bool) for one in kept[3:])


def test_a_tool_that_begins_with_a_stepped_sheet_is_not_run_twice() -> None:
    task = Task("rough", "A", "scan", 0, ("engine", "stepped_first"), cap=3)
    with _tool("stepped") as tool:
        engine, stepped = run_task(task, tool)
        assert len(tool.waits_s["begin"]) == 1
    assert stepped.made == engine.made
    assert stepped.strategy == "stepped_first"


def test_a_fixed_run_imagines_a_plain_sheet_in_place_of_a_stepped_first_one() -> None:
    task = Task("rough", "A", "scan", 3, ("engine",), cap=2, fixed=True)
    (outcome,) = run_task_of("stepped", task)
    first, second = outcome.made
    assert first.forecast is None
    assert second.imagined is None
    assert first.imagined is not None
    assert first.imagined.settings == {**first.settings, "pops": 3, "steps_pops": None}
    assert first.imagined.forecast is not None
    # the plain sheet has the luck of the stepped one
    studio = build("A", 3, "scan", ROUGH).studio

    alone = studio.expose(Settings.from_json(first.imagined.settings), 1)
    assert first.imagined.off_stops == alone.off_stops


def test_a_run_to_the_first_keeper_imagines_nothing() -> None:
    (outcome,) = run_task_of("stepped", Task("rough", "A", "scan", 3, ("engine",), cap=2))
    assert [sheet.imagined for sheet in outcome.made] == [None] * len(outcome.made)


def test_the_paper_is_asked_for_at_the_end_of_a_next_sitter() -> None:
    (outcome,) = run_task_of("steady", Task("rough", "D", "scan", 6, ("engine",), cap=2))
    scenario = build("D", 6, "scan", ROUGH)
    true = scenario.kit_facts.speed_log2 + scenario.facts[-1].paper_stops
    assert outcome.sitters == 8
    assert outcome.paper == Paper(-0.5, 0.3, true)
    (other,) = run_task_of("steady", Task("rough", "B", "scan", 6, ("engine",), cap=2))
    assert other.paper is None


def test_a_tool_without_the_paper_is_at_fault() -> None:
    (outcome,) = run_task_of("chainless", Task("rough", "D", "scan", 6, ("engine",), cap=2))
    assert outcome.error == "IllegalAdvice: chains name 'paper' 0 times, not once."


def test_a_sitter_asked_for_has_a_class_of_its_own() -> None:
    task = Task("rough", "D", "scan", 0, ("hand",), sitters=8)
    (outcome,) = run_task(task, None)
    assert (outcome.cls, outcome.sitters) == ("D8", 8)
    assert [outcome.key] == task.keys


def test_strategies_say_how_many_sheets_go_together() -> None:
    assert [together_of(name) for name in ("engine", "together_2", "together_4")] == [1, 2, 4]


def _results() -> Results:
    plain = Made({"pops": 2}, {"p_keeper": 0.5}, {"key": 0.1}, True, False, False)  # noqa: FBT003
    stepped = Made({"pops": 1}, None, {}, False, False, False, imagined=plain)  # noqa: FBT003
    outcomes = [
        Outcome("rough", "D", "eye", "engine", 1, 0.9, 2, [stepped, plain], paper=Paper(0, 1, 2)),
        Outcome("rough", "A", "scan", "hand", 0, 0.9, 2, [plain]),
    ]
    return Results([{"cap": 20}], 1.5, {"plan": [0.1]}, outcomes)


def test_results_come_back_from_disk_as_they_were(tmp_path: Path) -> None:
    path = tmp_path / "results.json"
    _results().write(path)
    assert Results.read(path) == _results()
    assert [file.name for file in tmp_path.iterdir()] == ["results.json"]


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"version": 1}', '{"version": 2}'])
def test_a_file_without_results_is_told(tmp_path: Path, text: str) -> None:
    path = tmp_path / "other.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(NoResults, match=r"other\.json"):
        Results.read(path)


def test_pieces_make_a_whole_in_the_order_of_the_tables() -> None:
    one, two = _results(), _results()
    two.outcomes = [Outcome("rough", "A", "scan", "hand", 1, 0.9, 4), two.outcomes[1]]
    whole = merged([one, two])
    assert [(each.cls, each.seed) for each in whole.outcomes] == [("A", 0), ("A", 1), ("D", 1)]
    assert whole.took_s == 3.0
    assert whole.waits_s == {"plan": [0.1, 0.1]}


def test_pieces_that_contradict_each_other_are_refused() -> None:
    one, two = _results(), _results()
    two.outcomes = [Outcome("rough", "A", "scan", "hand", 0, 0.9, 3)]
    with pytest.raises(NoResults, match="took 2 sheets in one run and 3 in another"):
        merged([one, two])


def test_all_is_every_class_and_reading_with_and_without_a_stop() -> None:
    tasks = tasks_of(_arguments(["--all", "--seeds", "2", "--first-seed", "5"]))
    assert len(tasks) == 2 * 4 * 3 * 2
    assert {task.seed for task in tasks} == {5, 6}
    assert {task.world for task in tasks} == {"rough"}
    free = [task for task in tasks if not task.fixed]
    always = {"hand", "point", "engine", "sheet_reader", "past_perfect", "oracle", "together_2"}
    for task in free:
        more = {"stepped_first"} if task.cls == "A" else set()
        more |= {"told_kept"} if task.mode == "eye" else set()
        assert set(task.strategies) == always | more
    assert all((task.cap, task.strategies) == (5, ("engine",)) for task in tasks if task.fixed)


def test_only_what_is_not_there_is_still_to_run() -> None:
    tasks = tasks_of(_arguments(["--classes", "A", "--seeds", "2", "--strategies", "hand"]))
    there = [Outcome("rough", "A", "scan", "hand", 0, 0.9, 2)]
    assert [task.seed for task in still_to_run(tasks, there)] == [1]


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (["--sitters", "9"], "--sitters is 9: give 2 to 8"),
        (["--resume"], "--resume needs --out"),
        (["--seeds", "0"], "--seeds is 0: give at least 1"),
        (["--first-seed", "-1"], "--first-seed is -1"),
    ],
)
def test_commands_that_make_no_sense_are_told(
    given: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stop:
        main(given)
    assert stop.value.code == 2
    assert sentence in capsys.readouterr().err


@pytest.mark.slow
def test_a_long_run_can_be_done_in_pieces(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["--command", f"{sys.executable} {FAKE} steady", "--cap", "3", "--classes", "B"]
    both = ["--count", "2", "--stepped-first", *command]
    whole, first, second = (tmp_path / f"{name}.json" for name in ("whole", "first", "second"))
    assert main(["--seeds", "2", "--out", str(whole), *both]) == 0
    assert main(["--seeds", "1", "--out", str(first), *both]) == 0
    assert main(["--seeds", "1", "--first-seed", "1", "--out", str(second), *both]) == 0
    assert main(["--seeds", "2", "--out", str(first), "--resume", *both]) == 0
    capsys.readouterr()
    assert main(["--merge", str(first), str(second)]) == 0
    printed = capsys.readouterr().out
    assert Results.read(first).outcomes == Results.read(whole).outcomes
    assert "### Several sheets together" in printed
    assert "### Targets" in printed
    said = json.loads(first.read_text(encoding="utf-8"))["arguments"]
    assert [one["seeds"] for one in said] == [1, 2]
    assert main(["--merge", str(tmp_path / "none.json")]) == 2
