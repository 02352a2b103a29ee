"""A stand-in for ``stillroom loop``: the same settings every time, and faults on demand.

Usage: ``python fake_responder.py steady|stepped|illegal|error|dies|mute|nan|few|chainless``.
Every plan after the first plans a plain sheet.
"""

from __future__ import annotations

import json
import sys
import time
from typing import Any

ODDS = 0.25
P_ANY = 0.4
PAPER = {"name": "paper", "mean": -0.5, "sd": 0.3}


def _settings(fault: str, sitting: dict[str, Any], *, stepped: bool) -> dict[str, Any]:
    flashes = [source["role"] for source in sitting["sources"] if source["kind"] == "flash"]
    return {
        "dial_stops": dict.fromkeys(flashes, -0.05 if fault == "illegal" else -1.0),
        "f_number": 5.6,
        "pops": 1 if stepped else 2,
        "seconds": sitting["seconds_default"],
        "steps_pops": [1, 2, 4, 8] if stepped else None,
    }


def _forecast(fault: str) -> dict[str, Any]:
    region = {"dev_mean": 0.0, "dev_sd": 1.2, "q": [-2.0, -0.8, 0.8, 2.0]}
    chance = float("nan") if fault == "nan" else ODDS
    return {"p_keeper": chance, "key": region, "shadow": region}


def _plan(fault: str, sitting: dict[str, Any], said: dict[str, Any], told: int) -> dict[str, Any]:
    if fault == "error":
        return {"error": "There is no light called key."}
    if fault == "dies":
        sys.exit("out of paper")
    if fault == "mute":
        time.sleep(60)
    count = said.get("count", 1)
    if count > 1:
        given = count - 1 if fault == "few" else count
        sheets = [_forecast(fault)] * given
        settings = [_settings(fault, sitting, stepped=False)] * given
        return {"settings": settings, "forecast": {"p_any": P_ANY, "sheets": sheets}, "note": ""}
    stepped = fault == "stepped" and told == 0
    return {
        "settings": _settings(fault, sitting, stepped=stepped),
        "forecast": None if stepped else _forecast(fault),
        "note": "",
    }


def main() -> None:
    fault = sys.argv[1]
    sitting: dict[str, Any] = {}
    told = 0
    for line in sys.stdin:
        said = json.loads(line)
        answer: dict[str, Any] = {"ok": True}
        if said["op"] == "begin":
            sitting, told = said["sitting"], 0
        elif said["op"] == "plan":
            answer = _plan(fault, sitting, said, told)
        elif said["op"] == "forecast":
            answer = {"forecast": _forecast(fault)}
        elif said["op"] == "chains":
            answer = {"chains": [] if fault == "chainless" else [PAPER]}
        else:
            told += 1
            answer["odd"] = False
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
