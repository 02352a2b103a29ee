"""What the tool believes against NUTS, frozen for more than thirty histories.

``python3 run proof`` walked them out with code and packages of its own; here they are only read.
Compared is what a plan for the next sheet would give, exposure minus aim on key and shadow cheek,
under a nominal plan and another one, as anyone gets it: with the one random stream that a sitting
has. The bounds are the project's targets, not what was found.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from proof.engine import FROZEN, REGIONS, Believed, believed, exact, thawed
from stillroom.documents.bare_ledger import Begin
from tests.unit.belief.reference import deviations

HISTORIES = thawed()
NAMES = [h["name"] for h in HISTORIES]
STREAMS = 8


@pytest.fixture(scope="module")
def found() -> list[Believed]:
    return [believed(history) for history in HISTORIES]


# ---- the reference itself -------------------------------------------------------------------


def test_there_are_thirty_histories_and_twelve_saturated_ones() -> None:
    assert len(HISTORIES) >= 30
    kinds = [h["kind"] for h in HISTORIES]
    assert sum(kind.startswith("saturated") for kind in kinds) >= 12
    assert {"scan", "words", "patch", "stepped", "spoiled", "with a past"} <= set(kinds)
    classes = {h["begin"]["sitting"]["cls"] for h in HISTORIES}
    assert classes == {"A", "B", "C", "D"}
    for history in HISTORIES:
        if history["kind"].startswith("saturated"):
            assert len(history["records"]) <= 3


def test_every_saturated_history_shows_nothing_but_ends() -> None:
    """Within a tenth of Dmax or of Dmin where it was scanned, give or take how it was read."""
    for history in HISTORIES:
        if not history["kind"].startswith("saturated"):
            continue
        paper = history["begin"]["kit"]["papers"][0]
        for record in history["records"]:
            seen = [record["reading"]["regions"][r] for r in REGIONS]
            if history["kind"].endswith("words"):
                assert {s["verdict"] for s in seen} in ({"black"}, {"bare_paper"})
            else:
                tones = [s["density"] for s in seen]
                assert min(tones) > paper["dmax"] - 0.2 or max(tones) < paper["dmin"] + 0.15


def test_the_walks_are_to_be_trusted() -> None:
    for history in HISTORIES:
        assert (exact(history, "rhat") < 1.01).all()
        assert (exact(history, "ess") > 1000).all()
        assert (exact(history, "mean_error") < 0.02).all()
        assert (exact(history, "sd_error") < 0.03 * exact(history, "sd")).all()
        walked = history["walk"]
        assert walked["divergences"] <= 0.001 * 4 * walked["draws"]


def test_what_it_was_made_with_is_said() -> None:
    said = json.loads(FROZEN.read_text(encoding="utf-8"))
    assert set(said["versions"]) == {"numpyro", "jax", "jaxlib", "numpy"}
    assert said["chains"] == 4
    assert all(h["walk"]["seed"] for h in said["histories"])


def test_draws_weighted_by_what_was_seen_say_the_same() -> None:
    """Inside the proof: the same model, sampled another way, where that way still works."""
    told = [h for h in HISTORIES if h["walk"]["weighted_draws"]]
    assert len(told) >= 10
    for history in told:
        for walked, drawn in zip(history["nuts"], history["walk"]["weighted_draws"], strict=True):
            for region in REGIONS:
                one, two = walked[region], drawn[region]
                for figure in ("mean", "sd"):
                    error = np.hypot(one[f"{figure}_error"], two[f"{figure}_error"])
                    assert abs(one[figure] - two[figure]) < 4.5 * error


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    ["one bare sheet by scan", "two sheets by words", "a stepped sheet and one more by words"],
)
def test_a_model_written_down_a_third_time_agrees(name: str) -> None:
    """The weighted draws of this folder share no code with the proof: within four joint errors."""
    history = HISTORIES[NAMES.index(name)]
    assert not history["begin"]["past"]
    for plan, walked in zip(history["plans"], history["nuts"], strict=True):
        drawn = deviations(history["begin"], history["records"], plan, draws=1_000_000)
        for region in REGIONS:
            error = np.hypot(walked[region]["mean_error"], drawn[region].mean_error)
            assert walked[region]["mean"] == pytest.approx(drawn[region].mean, abs=4 * error)
            assert error < 0.03
            sd_error = np.hypot(walked[region]["sd_error"], drawn[region].sd_error)
            assert walked[region]["sd"] == pytest.approx(drawn[region].sd, abs=4 * sd_error)
            assert sd_error < 0.04 * drawn[region].sd


def test_the_ledger_takes_every_history() -> None:
    for history in HISTORIES:
        Begin.model_validate_json(json.dumps(history["begin"]), strict=True)


# ---- the tool -------------------------------------------------------------------------------


def off(found: list[Believed]) -> np.ndarray[Any, np.dtype[np.float64]]:
    pairs = zip(found, HISTORIES, strict=True)
    return np.array([np.abs(one.mean - exact(history, "mean")) for one, history in pairs])


@pytest.mark.slow
def test_predicted_placements_are_those_of_nuts(found: list[Believed]) -> None:
    errors = off(found)
    assert np.median(errors) <= 0.03
    assert np.quantile(errors, 0.95) <= 0.10
    worst = NAMES[int(errors.max(axis=1).argmax())]
    assert errors.max() <= 0.20, worst


@pytest.mark.slow
def test_spreads_are_those_of_nuts_in_nine_of_ten(found: list[Believed]) -> None:
    pairs = zip(found, HISTORIES, strict=True)
    ratio = np.array([one.sd / exact(history, "sd") for one, history in pairs])
    assert np.mean((ratio > 0.85) & (ratio < 1.15)) >= 0.9
