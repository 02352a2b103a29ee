#!/usr/bin/env python3
"""Freeze what exact belief would be after longer histories, for the tests to compare with.

python3 scripts/make_posterior_reference.py      writes tests/data/posterior/reference.json

After more than two sheets hardly any draw from the prior fits, so the posterior is walked through
instead: differential evolution Markov chains (ter Braak 2006, from memory), half of the walkers
stepping along differences of the other half, now and then by a whole one so that they also jump
from mode to mode. Four populations that know nothing of each other tell the error. Formula, curve
and likelihood are those of tests/unit/belief/reference.py, which shares no code with the tool.
All sheets are invented.
"""

from __future__ import annotations

import json
import math
import os
import sys
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.unit.belief import reference  # noqa: E402  (found through the line above)

Array = NDArray[np.float64]

OUT = ROOT / "tests" / "data" / "posterior" / "reference.json"
SEED = 20261114
WALKERS = 600
POPULATIONS = 4
BURN_IN = 2500
STEPS = 5000
KEEP_EVERY = 25
WHOLE_EVERY = 10
FIRST_DRAWS = 200_000
FIRST_HEAT = 0.3
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)


class Columns:
    """Gives the columns of an array one after the other, as if they were drawn."""

    def __init__(self, values: Array) -> None:
        self._values = values
        self.taken = 0

    def standard_normal(self, size: int) -> Array:
        """The next column."""
        self.taken += 1
        return self._values[:size, self.taken - 1]


class Target:
    """Posterior of one history over unit normals for all that is drawn, and a shift a sheet."""

    def __init__(self, begin: dict[str, Any], records: list[dict[str, Any]]) -> None:
        self.begin, self.records = begin, records
        counting = Columns(np.zeros((1, 500)))
        reference.draw(begin, counting, 1)
        self.unknowns = counting.taken

    def start(self, rng: np.random.Generator) -> Array:
        """Draws from the prior, chosen by what was seen: no walker starts where none belongs.

        Walkers that start far out may stay there for good, and a few of them widen the answer.
        """
        n = len(self.records)
        x = rng.standard_normal((FIRST_DRAWS, self.unknowns + n))
        x[:, self.unknowns :] = np.array(reference.draw_shifts(self.begin, n, rng, FIRST_DRAWS)).T
        shifts = list(x[:, self.unknowns :].T)
        seen = reference.log_seen(self.begin, self.world(x), self.records, shifts)
        weight = np.exp((seen - seen.max()) * FIRST_HEAT)
        return x[rng.choice(FIRST_DRAWS, WALKERS, p=weight / weight.sum())]

    def world(self, x: Array) -> reference.World:
        """The worlds that these rows stand for."""
        return reference.draw(self.begin, Columns(x), len(x))

    def log_density(self, x: Array) -> Array:
        """Log posterior of each row, but for a constant."""
        k = self.unknowns
        shifts = list(x[:, k:].T)
        total = reference.log_seen(self.begin, self.world(x), self.records, shifts)
        total = total - 0.5 * (x[:, :k] ** 2).sum(axis=1)
        rate = self.begin["kit"]["spoiled_rate"]
        good, bad = reference.sheet_sd(self.begin), reference.SPOILED_SD
        for b in shifts:
            as_good = math.log((1 - rate) / good) - 0.5 * (b / good) ** 2
            as_bad = math.log(rate / bad) - 0.5 * (b / bad) ** 2
            total += np.logaddexp(as_good, as_bad)
        return np.asarray(total)


def walk(target: Target, nominal: dict[str, Any], rng: np.random.Generator) -> Array:
    """Deviations of key and shadow along the walk: (draws, 2)."""
    x = target.start(rng)
    at = target.log_density(x)
    halves = np.split(np.arange(WALKERS), 2)
    size = x.shape[1]
    usual = 2.38 / math.sqrt(2 * size)
    found = []
    for step in range(BURN_IN + STEPS):
        for mine, other in (halves, halves[::-1]):
            one, two = (rng.permutation(other) for _ in range(2))
            length = 1.0 if step % WHOLE_EVERY == 0 else usual * rng.uniform(0.5, 1.2)
            jump = length * (x[one] - x[two]) + 1e-4 * rng.standard_normal((len(mine), size))
            new = x[mine] + jump
            value = target.log_density(new)
            accept = np.log(rng.random(len(mine))) < value - at[mine]
            x[mine[accept]] = new[accept]
            at[mine[accept]] = value[accept]
        if step >= BURN_IN and step % KEEP_EVERY == 0:
            world = target.world(x)
            aims = target.begin["sitting"]["aims"]
            found.append(
                [
                    world.placed(nominal, r, 1) - world.stops_of(aims[r]["density"])
                    for r in ("key", "shadow")
                ]
            )
    return np.asarray(found).transpose(0, 2, 1).reshape(-1, 2)


def answer(target: Target, nominal: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Mean and sd of each region's deviation, with errors from four separate walks."""
    walks = [walk(target, nominal, np.random.default_rng([SEED, n])) for n in range(POPULATIONS)]
    means = np.array([w.mean(axis=0) for w in walks])
    sds = np.array([w.std(axis=0) for w in walks])
    quantiles = np.quantile(np.concatenate(walks), QUANTILES, axis=0)
    root = math.sqrt(POPULATIONS)
    return {
        region: {
            "mean": round(float(means[:, i].mean()), 5),
            "sd": round(float(sds[:, i].mean()), 5),
            "mean_error": round(float(means[:, i].std(ddof=1)) / root, 5),
            "sd_error": round(float(sds[:, i].std(ddof=1)) / root, 5),
            "quantiles": [round(float(q), 4) for q in quantiles[:, i]],
        }
        for i, region in enumerate(("key", "shadow"))
    }


# ---- the histories ----------------------------------------------------------------------------

KEY_DIALS = (0.0, -1.5, -0.7, -2.5, -1.0, -1.2)
FILL_DIALS = (-1.0, 0.0, -2.5, -1.5, -1.8, -2.0)


def opening(dialogue: str) -> dict[str, Any]:
    """The line a dialogue begins with, without a past."""
    path = ROOT / "tests" / "data" / "loop" / dialogue
    begin: dict[str, Any] = json.loads(path.read_text(encoding="utf-8").splitlines()[0])
    return begin | {"past": []}


def settings(begin: dict[str, Any], key: float, fill: float, **more: Any) -> dict[str, Any]:
    """Settings of a sheet; every key light has the same dial."""
    sitting = begin["sitting"]
    dials = {s["role"]: 0.0 for s in sitting["sources"] if s["kind"] == "flash"}
    dials |= {role: key for role in dials if role.startswith("key")} | {"fill": fill}
    plain = {"f_number": 5.6, "pops": 1, "seconds": sitting["seconds_default"], "steps_pops": None}
    return {"dial_stops": dials} | plain | more


def read(
    begin: dict[str, Any], made: list[dict[str, Any]], seed: int, *, words: bool = False
) -> list[dict[str, Any]]:
    """Sheets of one drawn world, read with their scatter."""
    rng = np.random.default_rng([SEED, seed])
    world = reference.draw(begin, rng, 1)
    kit, aims = begin["kit"], begin["sitting"]["aims"]
    records = []
    for one in made:
        shift = reference.sheet_sd(begin) * rng.standard_normal()

        def tone(region: str, step: int, one: dict[str, Any], shift: float) -> float:
            own = kit["region_scatter_sd_stops"] * rng.standard_normal()
            noise = kit["eye_sd_density" if words else "scan_sd_density"] * rng.standard_normal()
            placed = world.placed(one, region, step) + shift + own
            return float(world.tone(placed)[0] + noise)

        def seen(step: int, one: dict[str, Any], shift: float) -> dict[str, Any]:
            found: dict[str, Any] = {}
            for region in ("key", "shadow"):
                value = tone(region, step, one, shift)
                if words:
                    found[region] = {"verdict": word(value, aims[region], kit["papers"][0])}
                else:
                    found[region] = {"density": round(value, 3)}
            return found

        steps = one["steps_pops"]
        if steps:
            strips = [{"step": s, "regions": seen(s, one, shift)} for s in steps]
            records.append({"settings": one, "reading": {"strips": strips}})
        else:
            records.append({"settings": one, "reading": {"regions": seen(1, one, shift)}})
    return records


def word(density: float, aim: dict[str, Any], paper: dict[str, Any]) -> str:
    """The word for a density."""
    cuts = (
        paper["dmax"] - 0.10,
        aim["density"] + aim["eye_tol_density"],
        aim["density"] - aim["eye_tol_density"],
        paper["dmin"] + 0.08,
    )
    return reference.WORDS[sum(density < cut for cut in cuts)]


def histories() -> dict[str, tuple[str, list[dict[str, Any]]]]:
    """Names to dialogue and sheets."""
    a, c = opening("A-scan.jsonl"), opening("C-eye.jsonl")
    six = [settings(a, k, f) for k, f in zip(KEY_DIALS, FILL_DIALS, strict=True)]
    six_of_c = [settings(c, k, f) for k, f in zip(KEY_DIALS, FILL_DIALS, strict=True)]
    stepped = settings(a, -2.0, -2.5, steps_pops=[1, 2, 4, 8])
    fogged = read(a, six[:4], 1)
    fogged.insert(2, {"settings": six[4], "reading": {"regions": {
        "key": {"density": 0.14}, "shadow": {"density": 0.22}}}})  # fmt: skip
    return {
        "two sheets of the dialogue": ("A-scan.jsonl", two_of_the_dialogue()),
        "six sheets by scan": ("A-scan.jsonl", read(a, six, 2)),
        "six sheets by words": ("A-scan.jsonl", read(a, six, 3, words=True)),
        "a stepped sheet and two more": ("A-scan.jsonl", read(a, [stepped, *six[:2]], 4)),
        "four good sheets and a fogged one": ("A-scan.jsonl", fogged),
        "two heads, six sheets by scan": ("C-eye.jsonl", read(c, six_of_c, 5)),
        "two heads, six sheets by words": ("C-eye.jsonl", read(c, six_of_c, 6, words=True)),
    }


def two_of_the_dialogue() -> list[dict[str, Any]]:
    """For which draws from the prior still do: one way is held against the other."""
    path = ROOT / "tests" / "data" / "loop" / "A-scan.jsonl"
    said = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    sheets = [m for m in said if m["op"] == "record"][:2]
    return [{"settings": m["settings"], "reading": m["reading"]} for m in sheets]


def main() -> None:
    """Walk, and write."""
    cases = {}
    for name, (dialogue, records) in histories().items():
        begin = opening(dialogue)
        nominal = settings(begin, -1.0, -1.5)
        found = answer(Target(begin, records), nominal)
        cases[name] = {"dialogue": dialogue, "records": records, "nominal": nominal} | found
        sys.stdout.write(f"{name}: {found}\n")
        sys.stdout.flush()
    said = {
        "seed": SEED,
        "numpy": np.__version__,
        "walkers": WALKERS,
        "populations": POPULATIONS,
        "steps": STEPS,
        "cases": cases,
    }
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(said, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
