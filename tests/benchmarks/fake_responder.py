"""A stand-in for ``stillroom loop``: the same settings every time, and faults on demand.

Usage: ``python fake_responder.py steady|stepped|illegal|error|dies|mute|nan``.
"""

from __future__ import annotations

import json
import sys
import time
from typing import Any


def _plan(fault: str, sitting: dict[str, Any]) -> dict[str, Any]:
    if fault == "error":
        return {"error": "There is no light called key."}
    if fault == "dies":
        sys.exit("out of paper")
    if fault == "mute":
        time.sleep(60)
    flashes = [source["role"] for source in sitting["sources"] if source["kind"] == "flash"]
    region = {"dev_mean": 0.0, "dev_sd": 1.2, "q": [-2.0, -0.8, 0.8, 2.0]}
    settings = {
        "dial_stops": dict.fromkeys(flashes, -0.05 if fault == "illegal" else -1.0),
        "f_number": 5.6,
        "pops": 2,
        "seconds": sitting["seconds_default"],
        "steps_pops": [1, 2, 4, 8] if fault == "stepped" else None,
    }
    forecast = {"p_keeper": float("nan") if fault == "nan" else 0.25, "key": region}
    forecast["shadow"] = region
    return {"settings": settings, "forecast": None if fault == "stepped" else forecast, "note": ""}


def main() -> None:
    sitting: dict[str, Any] = {}
    for line in sys.stdin:
        said = json.loads(line)
        if said["op"] == "begin":
            sitting = said["sitting"]
            answer: dict[str, Any] = {"ok": True}
        elif said["op"] == "plan":
            answer = _plan(sys.argv[1], sitting)
        else:
            answer = {"ok": True, "odd": False}
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
