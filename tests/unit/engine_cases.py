"""Sittings for the engine's tests: dialogues of the bare ledger, and a small one to vary.

All data are invented.
"""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from stillroom.belief import Belief, LaidSheet, Posterior, fold, opened
from stillroom.belief.cloud import STATES
from stillroom.documents.bare_ledger import OPS, Begin, KitModel, Record, SittingModel
from stillroom.exposure import BareSettings, BareSheet, Layout

DIALOGUES = Path(__file__).parents[1] / "data/loop"
SCATTER = math.hypot(0.15, 0.10, 0.07)
"""Of every sheet, unless a kit or book says otherwise: process, setting, region [stops]."""
NOISE = math.ceil(100 * (1 - 2 / math.sqrt(STATES - 1))) / 100
"""Two standard errors below another spread is still not below it: 0.93 with 800 states.

A spread of n normal draws is known to 1 / sqrt(2 (n - 1)), a ratio of two to sqrt 2 times that
(the delta method; closed form). Rounded to the strict side. Our states are drawn with less chance
than that, but two beliefs share no draws.
"""
NAMES = tuple(sorted(p.name for p in DIALOGUES.glob("*.jsonl")))


def dialogue(name: str) -> list[dict[str, Any]]:
    """Everything the outside says in one dialogue."""
    lines = (DIALOGUES / name).read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines]


def opening(name: str = "A-scan.jsonl") -> dict[str, Any]:
    """The line a dialogue begins with, free to be altered."""
    return dialogue(name)[0]


def layout_of(begin: dict[str, Any]) -> Layout:
    """The layout a begin line stands for."""
    kit = KitModel.model_validate(begin["kit"]).bare()
    return Layout(kit, SittingModel.model_validate(begin["sitting"]).bare())


def sheet(said: dict[str, Any]) -> BareSheet:
    """A sheet from settings, reading and kept, as `record` takes them."""
    record = OPS["record"].model_validate({"op": "record", **said})
    assert isinstance(record, Record)
    return record.bare()


def posterior_of(begin: dict[str, Any], sheets: Sequence[BareSheet] = ()) -> Posterior:
    """What is believed after a begin line and some sheets."""
    message = Begin.model_validate(begin)
    layout = layout_of(begin)
    before = opened(fold(message.kit.bare(), [p.bare() for p in message.past]), layout)
    return Posterior(before, layout, [LaidSheet(layout, s) for s in sheets])


def settings(
    dials: dict[str, float], f_number: float = 5.6, pops: int = 1, seconds: float = 0.125
) -> BareSettings:
    """Settings of a plain sheet."""
    return BareSettings(dials, f_number, pops, seconds)


def all_known(begin: dict[str, Any]) -> dict[str, Any]:
    """The same sitting with every unknown known exactly."""
    known = copy.deepcopy(begin)

    def settle(node: Any) -> None:
        if isinstance(node, dict):
            for key, value in node.items():
                if key == "region_sd_stops":
                    node[key] = dict.fromkeys(value, 0.0)
                elif key in UNCERTAIN:
                    node[key] = 0.0
                else:
                    settle(value)
        elif isinstance(node, list):
            for value in node:
                settle(value)

    settle(known)
    known["kit"] |= NOTHING_ELSE
    return known


NOTHING_ELSE = {
    "dial_slope_sd": 0.0,
    "stated_sd_stops": 0.0,
    "fresh_mix_sd_stops": 0.0,
    "fatigue_sd_stops_per_sheet": 0.0,
    "scatter_log_sd": 0.0,
    "reader_bias_scale": 0.0,
}
"""What a ledger says where nothing else may be off: true dials, the same baths, fair eyes."""


UNCERTAIN = {
    "speed_sd_stops",
    "contrast_log_sd",
    "asym_log_sd",
    "dmin_sd",
    "dmax_sd",
    "sd_stops",
    "actinic_sd_stops",
    "pop_loss_sd",
    "reciprocity_sd",
    "drift_sd_stops_per_sqrt_day",
    "veil_sd_stops",
}


def moments(values: np.ndarray) -> tuple[float, float]:
    """Mean and standard deviation."""
    return float(values.mean()), float(values.std())


def sd_of(belief: Belief, name: str) -> float:
    """Standard deviation of one term."""
    at = belief.names.index(name)
    return math.sqrt(float(belief.covariance[at, at]))


def mean_of(belief: Belief, name: str) -> float:
    """Mean of one term."""
    return float(belief.mean[belief.names.index(name)])
