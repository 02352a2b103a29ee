"""What it costs to carry a Gaussian from sitting to sitting, in place of all their sheets.

The tool carries means and a covariance; the exact posterior is the joint one over all sittings.
Here NUTS walks each sitting by itself, and what it finds is taken on as a Gaussian: what then
differs from the joint walk is what carrying costs, without any error of the tool's own.
"""

from __future__ import annotations

from typing import Any

from proof.ledger import Said
from proof.likelihood import REGIONS, Gaussian, Target
from proof.walk import Sampled, walk


def carried(history: Said, seed: int, *, warmup: int, draws: int) -> list[dict[str, Any]] | None:
    """Mean and spread by plan and region when a Gaussian is carried; None without a past."""
    begin = history["begin"]
    past = sorted(begin["past"], key=lambda p: float(p["sitting"]["day"]))
    if not past:
        return None
    before: Gaussian | None = None
    silent: list[Said] = []
    for number, one in enumerate(past):
        alone = begin | {"sitting": one["sitting"], "past": list(silent), "meter_readings": []}
        alone["meter_readings"] = one.get("meter_readings", [])
        part = history | {"begin": alone, "records": one["sheets"]}
        target = Target(part, before)
        walked = walk(
            Sampled(target, seed + 10 + number), seed + 10 + number, warmup=warmup, draws=draws
        )
        before = Gaussian(target.unknowns[: target.known_by_name], walked.mean, walked.covariance)
        silent.append({"sitting": one["sitting"], "sheets": []})
    now = history | {"begin": begin | {"past": silent}}
    walked = walk(
        Sampled(Target(now, before), seed), seed + 10 + len(past), warmup=warmup, draws=draws
    )
    n = len(REGIONS)
    figures = [walked.summary(i) for i in range(n * len(history["plans"]))]
    return [
        {
            r: {k: figures[n * i + j][k] for k in ("mean", "sd", "mean_error")}
            for j, r in enumerate(REGIONS)
        }
        for i in range(len(history["plans"]))
    ]
