"""A second way to the posterior: very many draws from the prior, weighted by what was seen.

It shares nothing with the tool but the numbers of the sitting: the ledger's formula, the tone
curve and the likelihoods are written out once more from the project's design notes.
Self-normalised importance sampling needs no tuning and its own error can be told.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
CHUNK = 100_000
SPOILED_SD = 1.5
STEPPED_SD = 0.12
"""Of the notes: a spoiled sheet, and skin from strip to strip, in stops."""
DIAL_SLOPE_SD, MIX_SD, FATIGUE_SD, SCATTER_LOG_SD = 0.03, 0.10, 0.02, 0.2
BIAS_SD = {"scan": 0.015, "words": 0.07}
"""What a kit has that does not say otherwise; the biases of readers are densities."""
WORDS = ("black", "too_dark", "as_wanted", "too_light", "bare_paper")


@dataclass(frozen=True, slots=True)
class World:
    """Draws of everything unknown; each array has one entry a draw."""

    placed: Callable[[dict[str, Any], str, int, int], Array]
    """Settings, region, step and number in the bath to placement without a sheet's scatter."""
    scatter: Array
    """Scatter from sheet to sheet over what the kit says."""
    bias: dict[str, Array]
    contrast: Array
    asymmetry: Array
    dmin: Array
    dmax: Array

    def tone(self, u: Array) -> Array:
        """Density of placements on each draw's own curve."""
        f = (1 + (2**self.asymmetry - 1) * np.exp(self.contrast * u)) ** (-1 / self.asymmetry)
        return np.asarray(self.dmin + (self.dmax - self.dmin) * f)

    def stops_of(self, density: float) -> Array:
        """Placement of a density on each draw's own curve, kept inside it."""
        f = np.clip((density - self.dmin) / (self.dmax - self.dmin), 0.004, 0.996)
        inner = (f**-self.asymmetry - 1) / (2**self.asymmetry - 1)
        return np.asarray(np.log(inner) / self.contrast)


def draw(begin: dict[str, Any], rng: np.random.Generator, n: int) -> World:
    """Draw worlds from the prior of a begin line without a past."""
    kit, sitting = begin["kit"], begin["sitting"]

    def around(mean: float, sd: float) -> Array:
        return np.asarray(mean + sd * rng.standard_normal(n))

    paper = next(p for p in kit["papers"] if p["id"] == sitting["paper"])
    lens = next(x for x in kit["lenses"] if x["id"] == sitting["lens"])
    speed = around(paper["speed_log2"], paper["speed_sd_stops"])
    glass = around(lens["transmission_stops"], lens["sd_stops"])
    heads = {h["id"]: around(h["full_log2_lxs_1m"], h["sd_stops"]) for h in kit["heads"]}
    losses = {m["id"]: around(m["loss_stops"], m["sd_stops"]) for m in kit["modifiers"]}
    colour = {kind: around(0.0, 1.0) for kind in ("flash", "continuous")}
    pop_loss = around(kit["pop_loss_per_doubling_stops"], kit["pop_loss_sd"])
    slow = around(kit["reciprocity_loss_per_doubling_stops"], kit["reciprocity_sd"])
    slopes = {h["id"]: around(0.0, DIAL_SLOPE_SD) for h in kit["heads"]}
    stated = kit.get("stated_sd_stops", 0.0)
    alike = around(0.0, stated) if stated else np.zeros(n)
    mix, tiring = around(0.0, MIX_SD), around(0.0, FATIGUE_SD)
    camera = glass - 2 * math.log2(1 + lens["magnification"]) + math.log2(0.30 / 4) + speed + mix
    chains: dict[tuple[str, str], Array] = {}
    places: dict[tuple[str, str], Array] = {}
    for s in sitting["sources"]:
        if s["kind"] == "flash":
            base = heads[s["head"]] - sum(losses[m] for m in s["modifiers"])
            base = base - 2 * math.log2(s["distance_m"]) + (1 + len(s["modifiers"])) * alike
        else:
            base = around(s["log2_lx"], s["sd_stops"])
        base = base + s["actinic_stops"] + s["actinic_sd_stops"] * colour[s["kind"]] + camera
        for region, stops in s["region_stops"].items():
            at = (s["geo"], region)
            if at not in places:
                places[at] = around(0.0, s["region_sd_stops"][region])
            chains[s["role"], region] = base + stops + places[at]

    def placed(settings: dict[str, Any], region: str, step: int, nth: int) -> Array:
        pops, light = settings["pops"] * step, np.zeros(n)
        t = math.log2(settings["seconds"] * pops)
        for s in sitting["sources"]:
            if s["kind"] == "flash":
                given = settings["dial_stops"].get(s["role"], 0.0) * (1 + slopes[s["head"]])
                given = given + (1 - pop_loss) * math.log2(pops)
            else:
                given = t - slow * max(0.0, t)
            stop = 2 * math.log2(settings["f_number"])
            light += 2 ** (chains[s["role"], region] + given - stop)
        return np.asarray(np.log2(light) + nth * tiring)

    return World(
        placed,
        np.exp(around(0.0, SCATTER_LOG_SD)),
        {by: around(0.0, sd) for by, sd in BIAS_SD.items()},
        np.exp(around(math.log(paper["contrast_per_stop"]), paper["contrast_log_sd"])),
        np.exp(around(0.0, paper["asym_log_sd"])),
        around(paper["dmin"], paper["dmin_sd"]),
        around(paper["dmax"], paper["dmax_sd"]),
    )


def draw_shifts(
    begin: dict[str, Any], sheets: int, rng: np.random.Generator, scatter: Array
) -> list[Array]:
    """Each sheet's shift against what its settings give, spoiled ones among them [stops]."""
    kit, n, found = begin["kit"], len(scatter), []
    for _ in range(sheets):
        spoiled = rng.random(n) < kit["spoiled_rate"]
        found.append(
            rng.standard_normal(n) * np.where(spoiled, SPOILED_SD, scatter * sheet_sd(begin))
        )
    return found


def sheet_sd(begin: dict[str, Any]) -> float:
    """Scatter from sheet to sheet, process and setting together [stops]."""
    kit = begin["kit"]
    return math.hypot(kit["process_scatter_sd_stops"], kit["setting_scatter_sd_stops"])


def log_seen(
    begin: dict[str, Any], world: World, records: list[dict[str, Any]], shifts: list[Array]
) -> Array:
    """Log likelihood of what the sheets showed, each with its shift."""
    region_sd = begin["kit"]["region_scatter_sd_stops"]
    total = np.zeros(len(world.dmin))
    for nth, (record, shift) in enumerate(zip(records, shifts, strict=True)):
        made, said = record["settings"], record["reading"]
        strips = [(strip["step"], strip["regions"]) for strip in said.get("strips", [])]
        scatter = math.hypot(region_sd, STEPPED_SD) if strips else region_sd
        for step, regions in strips or [(1, said["regions"])]:
            for region, seen in regions.items():
                tone = world.tone(world.placed(made, region, step, nth) + shift)
                tone = tone + world.bias["scan" if "density" in seen else "words"]
                if "density" in seen:
                    own = begin["kit"]["scan_sd_density"]
                    sd = widened(begin, own, seen["density"], scatter)
                    total += -2.5 * np.log1p(((seen["density"] - tone) / sd) ** 2 / 4)
                else:
                    total += np.log(word_chance(begin, region, seen["verdict"], tone, scatter))
    return total


def widened(begin: dict[str, Any], own: float, at: float, scatter: float) -> float:
    """Spread of a reader, and the region's scatter by the nominal slope at a density."""
    kit = begin["kit"]
    p = next(p for p in kit["papers"] if p["id"] == begin["sitting"]["paper"])
    kappa, low, high = p["contrast_per_stop"], p["dmin"], p["dmax"]
    f = (at - low) / (high - low)
    slope = (high - low) * kappa * f * (1 - f) if 0 < f < 1 else 0.0  # nominal asymmetry is 1
    return math.hypot(own, scatter * slope)


def word_chance(
    begin: dict[str, Any], region: str, word: str, tone: Array, scatter: float
) -> Array:
    """Chance of a word at densities; aims here lie well inside the curve."""
    kit, aim = begin["kit"], begin["sitting"]["aims"].get(region)
    p = next(p for p in kit["papers"] if p["id"] == begin["sitting"]["paper"])
    black, bare = p["dmax"] - 0.10, p["dmin"] + 0.08
    if aim is None or aim["tol_stops"] is None:
        if word not in ("black", "bare_paper"):
            return np.ones_like(tone)
        cuts = [math.inf, black, black, bare, bare, -math.inf]
    else:
        top, bottom = (
            aim["density"] + aim["eye_tol_density"],
            aim["density"] - aim["eye_tol_density"],
        )
        cuts = [math.inf, black, top, bottom, bare, -math.inf]
    k = WORDS.index(word)
    high, low = cuts[k], cuts[k + 1]
    own = kit["eye_sd_density"]
    below = ndtr((high - tone) / widened(begin, own, high, scatter))
    inside = below - ndtr((low - tone) / widened(begin, own, low, scatter))
    return np.asarray(0.97 * np.clip(inside, 0, 1) + 0.03 / 5)


@dataclass(frozen=True, slots=True)
class Answer:
    """Mean and sd of a predicted deviation, with the reference's own error of each."""

    mean: float
    sd: float
    mean_error: float
    sd_error: float
    effective: float


def deviations(
    begin: dict[str, Any],
    records: list[dict[str, Any]],
    nominal: dict[str, Any],
    *,
    draws: int,
    seed: int = 1,
) -> dict[str, Answer]:
    """Posterior of exposure minus aim at the nominal settings, for key and shadow."""
    rng = np.random.default_rng(seed)
    logs, values = [], []
    for _ in range(draws // CHUNK):
        world = draw(begin, rng, CHUNK)
        shifts = draw_shifts(begin, len(records), rng, world.scatter)
        logs.append(log_seen(begin, world, records, shifts))
        values.append(
            [
                world.placed(nominal, region, 1, len(records))
                - world.stops_of(begin["sitting"]["aims"][region]["density"])
                for region in ("key", "shadow")
            ]
        )
    log_weight = np.concatenate(logs)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    found = {}
    for i, region in enumerate(("key", "shadow")):
        x = np.concatenate([v[i] for v in values])
        mean = float(weight @ x)
        square = (x - mean) ** 2
        variance = float(weight @ square)
        mean_error = math.sqrt(float((weight**2) @ square))
        variance_error = math.sqrt(float((weight**2) @ (square - variance) ** 2))
        sd = math.sqrt(variance)
        found[region] = Answer(
            mean, sd, mean_error, variance_error / (2 * sd), float(1 / (weight @ weight))
        )
    return found
