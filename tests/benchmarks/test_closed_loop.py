"""Driving a tool at the end of a pipe: what is checked, and that nothing is swallowed."""

from __future__ import annotations

import copy
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from benchmarks.closed_loop import main
from benchmarks.world.advice_check import IllegalAdvice, legal_forecast, legal_settings
from benchmarks.world.records import STRATEGIES, Task
from benchmarks.world.runs import run_task
from benchmarks.world.scenario import build
from benchmarks.world.tool import Tool, ToolError
from benchmarks.world.truth import MATCHED

FAKE = Path(__file__).with_name("fake_responder.py")
DIALOGUES = Path(__file__).parents[1] / "data" / "loop"
GOOD: dict[str, Any] = {
    "dial_stops": {"key": -0.4, "fill": -1.4, "rim": -0.6667},
    "f_number": 5.6,
    "pops": 2,
    "seconds": 0.125,
    "steps_pops": None,
}
FORECAST: dict[str, Any] = {
    "p_keeper": 0.4,
    "key": {"dev_mean": 0.1, "dev_sd": 0.5, "q": [-0.7, -0.2, 0.4, 0.9]},
    "shadow": {"dev_mean": 0.1, "dev_sd": 0.5, "q": [-0.7, -0.2, 0.4, 0.9]},
}


def _tool(fault: str, timeout_s: float = 20.0) -> Tool:
    return Tool([sys.executable, str(FAKE), fault], timeout_s)


def _changed(whole: dict[str, Any], change: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
    other = copy.deepcopy(whole)
    change(other)
    return other


@pytest.mark.parametrize("path", sorted(DIALOGUES.glob("*.jsonl")), ids=lambda path: path.stem)
def test_settings_of_the_dialogues_are_legal(path: Path) -> None:
    said = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    kit, sitting = said[0]["kit"], said[0]["sitting"]
    recorded = [line["settings"] for line in said if line["op"] == "record"]
    assert recorded
    for settings in recorded:
        assert legal_settings(kit, sitting, settings).as_json() == settings


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda s: s["dial_stops"].update(key=-0.45), "dial_stops.key is -0.45, not a multiple"),
        (lambda s: s["dial_stops"].update(rim=-0.5), "dial_stops.rim is -0.5, not a multiple"),
        (lambda s: s["dial_stops"].update(key=0.1), "outside -7 to 0"),
        (lambda s: s["dial_stops"].update(fill=-7.1), "outside -7 to 0"),
        (lambda s: s["dial_stops"].update(fill=None), "not a finite number"),
        (lambda s: s["dial_stops"].pop("rim"), "dial_stops has"),
        (lambda s: s["dial_stops"].update(hair=0.0), "dial_stops has"),
        (lambda s: s.update(f_number=5.657), "f_number is 5.657"),
        (lambda s: s.update(pops=0), "pops is 0"),
        (lambda s: s.update(pops=9), "pops is 9"),
        (lambda s: s.update(pops=2.5), "pops is 2.5"),
        (lambda s: s.update(pops=True), "pops is True"),
        (lambda s: s.update(seconds=0.25), "seconds is 0.25"),
        (lambda s: s.update(steps_pops=[1, 2, 3, 4]), "steps_pops is"),
        (lambda s: s.update(iso=6), "settings has"),
    ],
)
def test_settings_that_cannot_be_set_are_refused(
    change: Callable[[dict[str, Any]], Any], sentence: str
) -> None:
    studio = build("A", 0, "scan", MATCHED).studio
    assert legal_settings(studio.kit, studio.sitting, GOOD).pops == 2
    with pytest.raises(IllegalAdvice, match=sentence):
        legal_settings(studio.kit, studio.sitting, _changed(GOOD, change))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda f: f.update(p_keeper=1.2), "p_keeper is 1.2"),
        (lambda f: f.pop("shadow"), "forecast has"),
        (lambda f: f["key"].update(dev_sd=0.0), "key.dev_sd is 0.0"),
        (lambda f: f["key"].update(q=[0.0, 1.0, 0.5, 2.0]), "out of order"),
        (lambda f: f["key"].update(q=[0.0, 1.0]), "not four numbers"),
    ],
)
def test_forecasts_that_are_none_are_refused(
    change: Callable[[dict[str, Any]], Any], sentence: str
) -> None:
    studio = build("A", 0, "scan", MATCHED).studio
    settings = legal_settings(studio.kit, studio.sitting, GOOD)
    assert legal_forecast(studio.sitting, settings, FORECAST) == FORECAST
    with pytest.raises(IllegalAdvice, match=sentence):
        legal_forecast(studio.sitting, settings, _changed(FORECAST, change))


def test_only_a_stepped_sheet_goes_without_a_forecast() -> None:
    studio = build("A", 0, "scan", MATCHED).studio
    plain = legal_settings(studio.kit, studio.sitting, GOOD)
    stepped = legal_settings(studio.kit, studio.sitting, {**GOOD, "steps_pops": [1, 2, 4, 8]})
    assert legal_forecast(studio.sitting, stepped, None) is None
    with pytest.raises(IllegalAdvice, match="null for a stepped sheet"):
        legal_forecast(studio.sitting, stepped, FORECAST)
    with pytest.raises(IllegalAdvice, match="not an object"):
        legal_forecast(studio.sitting, plain, None)


def test_one_process_serves_many_sittings() -> None:
    with _tool("steady") as tool:
        outcomes = [
            outcome
            for seed in range(3)
            for outcome in run_task(Task("matched", "C", "eye", seed, ("engine",), cap=3), tool)
        ]
        assert [outcome.error for outcome in outcomes] == [None] * 3
        assert len(tool.waits_s["begin"]) == 3
        assert len(tool.waits_s["plan"]) == sum(len(outcome.made) for outcome in outcomes)


def test_stepped_sheets_count_and_are_never_kept() -> None:
    with _tool("stepped") as tool:
        (outcome,) = run_task(Task("matched", "A", "scan", 0, ("engine",), cap=3), tool)
    first, *later = outcome.made
    assert first.forecast is None
    assert not first.keeper
    assert all(sheet.forecast is not None for sheet in later)
    assert outcome.sheets == outcome.rounds == len(outcome.made) > 1


def test_a_fixed_run_goes_on_after_a_keeper() -> None:
    task = Task("matched", "A", "scan", 0, ("engine",), cap=6, fixed=True)
    with _tool("steady") as tool:
        (outcome,) = run_task(task, tool)
    assert len(outcome.made) == 6


@pytest.mark.parametrize(
    ("fault", "sentence"),
    [
        ("error", "ToolError: Error at plan: There is no light called key."),
        ("illegal", "IllegalAdvice: dial_stops.key is -0.05, not a multiple of 0.1 stop."),
        ("dies", "ToolError: The tool ended at plan: out of paper"),
        ("nan", "ToolError: The answer to plan is no JSON: NaN is not a number."),
        ("mute", "ToolError: No answer to plan within 1 s."),
    ],
)
def test_faults_of_the_tool_are_reported_and_cost_the_cap(fault: str, sentence: str) -> None:
    with _tool(fault, timeout_s=1.0 if fault == "mute" else 20.0) as tool:
        (outcome,) = run_task(Task("matched", "A", "scan", 0, ("engine",), cap=5), tool)
        assert outcome.error == sentence
        assert outcome.sheets == 6
        # and the next sitting finds a tool again
        assert tool.ask(build("A", 1, "scan", MATCHED).begin()) == {"ok": True}


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        ([sys.executable, "-c", "raise SystemExit('no such room')"], "no such room"),
        (["there-is-no-such-command"], "cannot be started"),
    ],
)
def test_a_command_that_does_not_run_is_reported(command: list[str], sentence: str) -> None:
    with Tool(command, 20.0) as tool, pytest.raises(ToolError, match=sentence):
        tool.ask({"op": "chains"})


@pytest.mark.slow
def test_the_command_line_reports_faults_and_writes_all_results(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "results.json"
    command = f"{sys.executable} {FAKE} error"
    code = main(["--classes", "A", "--seeds", "2", "--command", command, "--out", str(out)])
    printed = capsys.readouterr().out
    assert code == 1
    assert "2 sittings ended with an error of the tool" in printed
    assert "| A | scan | engine | 2 | 21.00 |" in printed
    results = json.loads(out.read_text(encoding="utf-8"))
    assert len(results["outcomes"]) == 2 * len(STRATEGIES)
    assert str(FAKE) not in out.read_text(encoding="utf-8")
