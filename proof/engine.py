"""What the tool believes of a frozen history: the side that is put to the proof.

The only part of this folder that knows the tool.
"""

from __future__ import annotations

import json
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from stillroom.advice import Table
from stillroom.belief import LaidMeterReading, LaidSheet, Posterior, fold, numbered, opened
from stillroom.documents.bare_ledger import Begin, Record, SettingsModel
from stillroom.exposure import BarePast, BareSitting, Layout
from stillroom.quantity import FloatArray

FROZEN = Path(__file__).parents[1] / "tests" / "data" / "posterior" / "against_nuts.json"
REGIONS = ("key", "shadow")


@dataclass(frozen=True, slots=True)
class Believed:
    """Mean and spread of exposure minus aim, by plan, then key and shadow [stops]."""

    mean: FloatArray
    sd: FloatArray
    seconds: float
    """Of processor time, from what was said to what is predicted, past sittings and all."""


def thawed(path: Path = FROZEN) -> list[dict[str, Any]]:
    """The frozen histories, each whole, with what NUTS said of it under ``nuts``."""
    frozen = json.loads(path.read_text(encoding="utf-8"))
    return [h | {"begin": h["begin"] | {"kit": frozen["kit"]}} for h in frozen["histories"]]


def believed(history: dict[str, Any], stream: str = "") -> Believed:
    """What the tool answers; `stream` gives its sittings other random numbers."""
    plans = [SettingsModel.model_validate(p).bare() for p in history["plans"]]
    began = time.process_time()
    found = posterior(history, stream)
    table = Table(found.states(), found.layout)
    columns = [table.aimed.index(region) for region in REGIONS]
    off = [table.deviations(table.light(p), table.gains(p))[0][:, columns] for p in plans]
    seconds = time.process_time() - began
    mean = np.concatenate([x.mean(axis=0) for x in off])
    sd = np.concatenate([x.std(axis=0) for x in off])
    return Believed(mean, sd, seconds)


def posterior(history: dict[str, Any], stream: str = "") -> Posterior:
    """The tool's own posterior of a history, its past sittings folded."""
    begin = Begin.model_validate(history["begin"])
    kit = begin.kit.bare()
    said = [p.bare() for p in begin.past]
    past = [replace(p, sitting=_in_stream(p.sitting, stream)) for p in said]
    layout = Layout(kit, _now(begin, past, stream))
    sheets = [Record.model_validate({"op": "record", **r}).bare() for r in history["records"]]
    meters = [LaidMeterReading(layout, m.bare()) for m in begin.meter_readings]
    before = opened(fold(kit, past), layout)
    return Posterior(before, layout, [LaidSheet(layout, s) for s in sheets], meters)


def _now(begin: Begin, past: Sequence[BarePast], stream: str) -> BareSitting:
    return numbered(_in_stream(begin.sitting.bare(), stream), past)


def _in_stream(sitting: BareSitting, stream: str) -> BareSitting:
    return replace(sitting, id=f"{sitting.id} {stream}") if stream else sitting


def exact(history: dict[str, Any], what: str) -> FloatArray:
    """A figure of NUTS (``mean``, ``sd``, ...) by plan, then key and shadow."""
    return np.array([plan[region][what] for plan in history["nuts"] for region in REGIONS])
