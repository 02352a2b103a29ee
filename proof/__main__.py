"""Remake the frozen references, and time NUTS against the tool.

python3 run proof                  walk every history, freeze, compare, time
python3 run proof --only fogged    the histories whose name or kind has the word
python3 run proof --compare        walk nothing: the tool against what is frozen
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from dataclasses import dataclass
from importlib.metadata import version
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import jax  # (after what it reads from the environment)

jax.config.update("jax_enable_x64", True)  # noqa: FBT003  (its own way)

import numpy as np  # noqa: E402

from proof.carry import carried  # noqa: E402
from proof.draws import by_draws  # noqa: E402
from proof.engine import FROZEN, REGIONS, believed, exact, thawed  # noqa: E402
from proof.histories import histories  # noqa: E402
from proof.likelihood import Target  # noqa: E402
from proof.sittings import kit  # noqa: E402
from proof.walk import CHAINS, Array, Sampled, Walked, walk  # noqa: E402
from proof.world import SEED  # noqa: E402

WARMUP, DRAWS = 300, 1000
MOST_RHAT = 1.01
LEAST_ESS = 1500
MOST_SD_ERROR = 0.025
"""Of the spread: a sheet that may be a spoiled one leaves tails that take long to walk."""
MOST_DIVERGENT = 0.001
MOST_ERRORS = 4.5
"""Of a hundred comparisons one is as far off as this once in a thousand times."""
TRIES = 3
TIMED_EVERY = 6
"""Of six histories one is walked again, compiled, to be timed."""
STREAMS = 8
BOUNDS = "median at most 0.03, 95 of 100 at most 0.10, worst at most 0.20 stop"


@dataclass(frozen=True, slots=True)
class Found:
    """One history, its walk, and whether the walk is trusted."""

    history: dict[str, Any]
    walked: Walked
    why_not: str


def trusted(walked: Walked) -> str:
    """Why a walk is not to be frozen; nothing when it is."""
    worst = float(walked.rhat.max())
    if not worst < MOST_RHAT:
        return f"chains disagree: R-hat {worst:.3f}"
    if walked.ess.min() < LEAST_ESS:
        return f"only {walked.ess.min():.0f} effective draws"
    n = walked.deviations.shape[2]
    known = max(one["sd_error"] / one["sd"] for one in map(walked.summary, range(n)))
    if known > MOST_SD_ERROR:
        return f"spread is only known to {known:.3f} of itself"
    share = walked.divergences / (CHAINS * DRAWS)
    return f"{walked.divergences} divergences" if share > MOST_DIVERGENT else ""


def disagree(plans: list[dict[str, Any]], drawn: list[dict[str, Any]] | None) -> str:
    """What a second way says against the walk; nothing when it agrees or cannot tell."""
    for plan, other in zip(plans, drawn or (), strict=False):
        for region in REGIONS:
            one, two = plan[region], other[region]
            for figure in ("mean", "sd"):
                error = np.hypot(one[f"{figure}_error"], two[f"{figure}_error"])
                if abs(one[figure] - two[figure]) > MOST_ERRORS * error:
                    return f"weighted draws give {two[figure]:.3f} for {one[figure]:.3f}"
    return ""


def explore(history: dict[str, Any], number: int) -> Found:
    """Walk one history; where chains disagree, again from other starts and longer."""
    first = SEED + 100 * number
    sampled = Sampled(Target(history), first)
    walked = walk(sampled, first, warmup=WARMUP, draws=DRAWS)
    why_not, attempt = trusted(walked), 0
    while why_not and attempt + 1 < TRIES:
        say(f"   {history['name']}, walk {attempt + 1}: {why_not}")
        attempt += 1
        longer = 2**attempt
        walked = walk(
            sampled, first + attempt, warmup=WARMUP * longer, draws=DRAWS * longer, accept=0.95
        )
        why_not = trusted(walked)
    drawn = by_draws(sampled, first)
    plans: list[dict[str, dict[str, Any]]] = [
        {r: walked.summary(len(REGIONS) * i + j) for j, r in enumerate(REGIONS)}
        for i in range(len(history["plans"]))
    ]
    why_not = why_not or disagree(plans, drawn)
    how: dict[str, Any] = {
        "seed": first + attempt,
        "draws": int(walked.deviations.shape[1]),
        "unknowns": walked.unknowns,
        "divergences": walked.divergences,
        "weighted_draws": drawn,
        "carried": None,
    }
    if not why_not:
        how["carried"] = carried(history, first, warmup=WARMUP, draws=DRAWS)
    return Found(history | {"nuts": plans, "walk": how}, walked, why_not)


def say(line: str) -> None:
    """One line at once."""
    print(line, flush=True)


def freeze(found: list[Found], names: list[str]) -> None:
    """Write what is trusted, beside what was frozen before and is not walked now."""
    now = {f.history["name"] for f in found}
    kept = {f.history["name"]: f.history for f in found if not f.why_not}
    if FROZEN.exists():
        kept |= {h["name"]: h for h in thawed(FROZEN) if h["name"] not in now}
    said = {
        "about": "Invented histories and what NUTS says of them; remade by: python3 run proof",
        "seed": SEED,
        "versions": {name: version(name) for name in ("numpyro", "jax", "jaxlib", "numpy")},
        "python": platform.python_version(),
        "chains": CHAINS,
        "warmup": WARMUP,
        "left_out": [name for name in names if name not in kept],
        "kit": kit(),
    }
    lines = []
    for name in names:
        if name in kept:
            begin = {k: v for k, v in kept[name]["begin"].items() if k != "kit"}
            lines.append(json.dumps(kept[name] | {"begin": begin}))
    head, body = json.dumps(said, indent=1)[:-2], ",\n".join(lines)
    FROZEN.write_text(f'{head},\n "histories": [\n{body}\n]\n}}\n', encoding="utf-8")


def compare(many: list[dict[str, Any]]) -> None:
    """How far the tool is from NUTS, by kind of history.

    As anyone gets it, with the one random stream of its sitting; and the mean of eight streams,
    which tells the method's own error from the noise of its states.
    """
    off: dict[str, list[Array]] = {}
    usually_off: dict[str, list[Array]] = {}
    ratios: dict[str, list[Array]] = {}
    for history in many:
        one = believed(history)
        others = [believed(history, f"stream {n}") for n in range(STREAMS)]
        mean, sd = exact(history, "mean"), exact(history, "sd")
        usual = np.mean([a.mean for a in others], axis=0)
        kind = history["kind"]
        off.setdefault(kind, []).append(np.abs(one.mean - mean))
        usually_off.setdefault(kind, []).append(np.abs(usual - mean))
        ratios.setdefault(kind, []).append(one.sd / sd)
        say(
            f"{history['name']:<55} off {np.abs(one.mean - mean).max():5.3f}"
            f"  eight streams {np.abs(usual - mean).max():5.3f}"
            f"  spread {(one.sd / sd).min():4.2f} to {(one.sd / sd).max():4.2f}"
        )
    say("")
    for kind, values in off.items():
        x, y, z = (np.concatenate(v) for v in (values, usually_off[kind], ratios[kind]))
        say(
            f"{kind:<20} {len(values):3d} histories: off {np.median(x):5.3f} median, "
            f"{x.max():5.3f} worst; eight streams {np.median(y):5.3f}, {y.max():5.3f}; "
            f"spread {np.median(z):4.2f} ({z.min():4.2f} to {z.max():4.2f})"
        )
    x, y, z = (
        np.concatenate([*map(np.concatenate, v.values())]) for v in (off, usually_off, ratios)
    )
    inside = np.mean((z > 0.85) & (z < 1.15))
    say(
        f"\nall: off {np.median(x):.3f} median, {np.quantile(x, 0.95):.3f} for 95 of 100, "
        f"{x.max():.3f} worst ({BOUNDS}); spread within 0.85 to 1.15 in "
        f"{10 * inside:.1f} of ten; eight streams {np.median(y):.3f}, "
        f"{np.quantile(y, 0.95):.3f}, {y.max():.3f}"
    )


def carrying(many: list[dict[str, Any]]) -> None:
    """What carrying a Gaussian costs NUTS itself, beside what the tool is off."""
    off, ratio = [], []
    for history in many:
        for walked, one in zip(history["nuts"], history["walk"]["carried"] or (), strict=False):
            off += [abs(one[r]["mean"] - walked[r]["mean"]) for r in REGIONS]
            ratio += [one[r]["sd"] / walked[r]["sd"] for r in REGIONS]
    if off:
        say(
            f"a Gaussian carried by NUTS itself: off {np.median(off):.3f} median, {max(off):.3f} "
            f"worst; spread {np.median(ratio):.2f} ({min(ratio):.2f} to {max(ratio):.2f})"
        )


def timing(many: list[dict[str, Any]]) -> None:
    """Processor time of NUTS, compiled, over the tool's: one history in six."""
    faster, sooner = [], []
    say("")
    for history in many[::TIMED_EVERY]:
        walked = walk(Sampled(Target(history), SEED), SEED, warmup=WARMUP, draws=DRAWS, timed=True)
        tool = float(np.median([believed(history).seconds for _ in range(5)]))
        faster.append(walked.seconds / tool)
        sooner.append(faster[-1] * min(1.0, 800 / float(walked.ess.min())))
        say(f"{history['name']:<55} NUTS {walked.seconds:6.1f} s, tool {1000 * tool:4.0f} ms")
    say(
        f"NUTS without compiling takes {np.median(faster):.0f} times as long as the tool "
        f"(least {min(faster):.0f}; wanted 25); if it stopped at as many effective draws as "
        f"the tool has states, {np.median(sooner):.0f} times (least {min(sooner):.0f})"
    )


def main(arguments: list[str]) -> None:
    """Walk, freeze, compare, time."""
    parser = argparse.ArgumentParser(prog="python3 run proof")
    parser.add_argument("--only", default="", help="a word of the name or kind of histories")
    parser.add_argument("--compare", action="store_true", help="walk nothing")
    wanted = parser.parse_args(arguments)
    every = histories()
    names = [h["name"] for h in every if wanted.only in f"{h['name']} {h['kind']}"]
    if not wanted.compare:
        found = []
        for number, history in enumerate(every):
            if history["name"] in names:
                found.append(explore(history, number))
                report(found[-1])
        freeze(found, [h["name"] for h in every])
    frozen = [h for h in thawed() if h["name"] in names]
    compare(frozen)
    carrying(frozen)
    if not wanted.compare:
        timing(frozen)


def report(one: Found) -> None:
    """How one walk went."""
    w, also = one.walked, "weighted draws agree" if one.history["walk"]["weighted_draws"] else ""
    say(
        f"{one.history['name']:<55} {w.unknowns:3d} unknowns, R-hat {w.rhat.max():6.4f}, "
        f"ESS {w.ess.min():6.0f}, {w.divergences} divergences  "
        f"{'NOT FROZEN, ' + one.why_not if one.why_not else also}"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
