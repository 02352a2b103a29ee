"""The hidden side: how a world draws what it is really like.

Two worlds. ``MATCHED`` draws from exactly what is said openly, and for what a bare ledger may
leave unsaid (dials, baths, readers, how far the kit really scatters) from the spreads that its
documentation states. ``ROUGH`` breaks it on purpose:
heavy tails, modifiers that swallow more than stated, heads that give less, dials whose stops are
not quite stops, baths that tire, dials set wrong, curve shapes drawn evenly. All figures are
invented.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from benchmarks.world.curve import Curve
from benchmarks.world.physics import KitFacts, SittingFacts
from benchmarks.world.public import REGIONS, Kit, Paper, Sitting, paper_of

_HEAVY_DF = 4
_HEAVY_SCALE = 0.85  # centre a little narrower than a normal of the stated sd, tails far wider
_LEAST_DMIN = 0.01
_LEAST_DMAX = 1.5
_SKIN_RANGE_STOPS = 1.6
_GUESSES_STOPS = (-0.53, 0.0, 0.53)  # dark, medium, light: thirds of the range
SKIN_GUESSED_SD_STOPS = 0.3
SKIN_UNKNOWN_SD_STOPS = 0.7


@dataclass(frozen=True, slots=True)
class Rules:
    """How a world differs from what is said openly; the defaults differ in nothing.

    Parameters
    ----------
    name : str
        For reports.
    heavy_tails : bool
        Student's t with 4 degrees of freedom in place of normal draws, sheets included.
    head_bias_stops, modifier_bias_stops, ambient_bias_stops, speed_bias_stops : float
        Mean of truth minus mean stated.
    stated_sd_stops : float
        Sd of what all outputs and losses are off by alike.
    dial_slope_sd : float
        Sd of the stops given for one stop on a dial.
    fatigue_stops, fatigue_sd_stops : float
        Mean and sd of the shift with each further sheet of a sitting.
    fresh_bath_sd_stops : float
        Shift of a whole sitting through its bath.
    scatter_log_sd : float
        Sd of the natural log of a sheet's true scatter over the stated one.
    wide_shapes : bool
        Curve shapes and loss laws drawn evenly from their own ranges.
    misset_rate : float
        Share of sheets with one dial set wrong and not noticed.
    reader_bias_sd_density, scanner_bias_sd_density : float
        Bias of the eye and of the scanner through one sitting.
    unseen_rate : float
        Share of regions of a sheet that are not read.
    skin_even : bool
        Skin drawn evenly over 1.6 stops, with one guess in five wrong.
    """

    name: str
    heavy_tails: bool = False
    head_bias_stops: float = 0.0
    modifier_bias_stops: float = 0.0
    ambient_bias_stops: float = 0.0
    speed_bias_stops: float = 0.0
    stated_sd_stops: float = 0.0
    dial_slope_sd: float = 0.0
    fatigue_stops: float = 0.0
    fatigue_sd_stops: float = 0.0
    fresh_bath_sd_stops: float = 0.0
    scatter_log_sd: float = 0.0
    wide_shapes: bool = False
    misset_rate: float = 0.0
    reader_bias_sd_density: float = 0.0
    scanner_bias_sd_density: float = 0.0
    unseen_rate: float = 0.08
    skin_even: bool = False

    def wander(self, rng: np.random.Generator, sd: float) -> float:
        """Draw one deviation of stated sd ``sd``, with this world's tails."""
        if self.heavy_tails:
            return float(sd * _HEAVY_SCALE * rng.standard_t(_HEAVY_DF))
        return float(sd * rng.standard_normal())


MATCHED = Rules(
    "matched",
    dial_slope_sd=0.03,
    fatigue_sd_stops=0.02,
    fresh_bath_sd_stops=0.10,
    scatter_log_sd=0.2,
    reader_bias_sd_density=0.07,
    scanner_bias_sd_density=0.015,
)
ROUGH = Rules(
    "rough",
    heavy_tails=True,
    head_bias_stops=-0.15,
    modifier_bias_stops=0.25,
    ambient_bias_stops=0.3,
    speed_bias_stops=0.2,
    dial_slope_sd=0.03,
    fatigue_stops=-0.015,
    fatigue_sd_stops=0.015,
    fresh_bath_sd_stops=0.10,
    wide_shapes=True,
    misset_rate=0.03,
    reader_bias_sd_density=0.07,
    scanner_bias_sd_density=0.02,
    skin_even=True,
)
WORLDS = {rules.name: rules for rules in (MATCHED, ROUGH)}


def _curve(rules: Rules, rng: np.random.Generator, paper: Paper) -> Curve:
    while True:
        dmin = paper["dmin"] + rules.wander(rng, paper["dmin_sd"])
        dmax = paper["dmax"] + rules.wander(rng, paper["dmax_sd"])
        if dmin >= _LEAST_DMIN and dmax >= _LEAST_DMAX:
            break
    if rules.wide_shapes:
        kappa = math.exp(rng.uniform(math.log(0.75), math.log(1.6)))
        nu = math.exp(rng.uniform(-0.6, 0.6))
    else:
        kappa = paper["contrast_per_stop"] * math.exp(rules.wander(rng, paper["contrast_log_sd"]))
        nu = math.exp(rules.wander(rng, paper["asym_log_sd"]))
    return Curve(dmin, dmax, kappa, nu)


def draw_kit(
    rules: Rules, rng: np.random.Generator, kit: Kit, sitting: Sitting, actinic_sd_stops: float
) -> KitFacts:
    """Draw what paper and kit are really like.

    Parameters
    ----------
    rules : Rules
        The world.
    rng : Generator
        Source of chance.
    kit, sitting : Kit, Sitting
        Open side; the sitting names the paper.
    actinic_sd_stops : float
        Sd of the shift shared by all sources of one kind [stops].

    Returns
    -------
    KitFacts
        Shared by all sittings of one seed.
    """
    paper = paper_of(kit, sitting)
    speed = (
        paper["speed_log2"] + rules.speed_bias_stops + rules.wander(rng, paper["speed_sd_stops"])
    )
    curve = _curve(rules, rng, paper)
    full = {
        head["id"]: head["full_log2_lxs_1m"]
        + rules.head_bias_stops
        + rules.wander(rng, head["sd_stops"])
        for head in kit["heads"]
    }
    slope = {head["id"]: 1.0 + rules.wander(rng, rules.dial_slope_sd) for head in kit["heads"]}
    loss = {
        modifier["id"]: modifier["loss_stops"]
        + rules.modifier_bias_stops
        + rules.wander(rng, modifier["sd_stops"])
        for modifier in kit["modifiers"]
    }
    transmission = {
        lens["id"]: lens["transmission_stops"] + rules.wander(rng, lens["sd_stops"])
        for lens in kit["lenses"]
    }
    actinic = {kind: rules.wander(rng, actinic_sd_stops) for kind in ("flash", "continuous")}
    if rules.wide_shapes:
        pop_loss, reciprocity = float(rng.uniform(0.0, 0.12)), float(rng.uniform(0.02, 0.25))
    else:
        pop_loss = kit["pop_loss_per_doubling_stops"] + rules.wander(rng, kit["pop_loss_sd"])
        reciprocity = kit["reciprocity_loss_per_doubling_stops"] + rules.wander(
            rng, kit["reciprocity_sd"]
        )
    alike = rules.wander(rng, rules.stated_sd_stops)
    full = {name: stops + alike for name, stops in full.items()}
    loss = {name: stops - alike for name, stops in loss.items()}
    return KitFacts(speed, curve, full, slope, loss, transmission, actinic, pop_loss, reciprocity)


def draw_sitting(
    rules: Rules,
    rng: np.random.Generator,
    kit: Kit,
    sitting: Sitting,
    shared_stops: dict[str, float],
    *,
    after: SittingFacts | None = None,
    days_since: float = 0.0,
    same_bath_sheets: int | None = None,
) -> SittingFacts:
    """Draw what one sitting adds.

    Parameters
    ----------
    rules : Rules
        The world.
    rng : Generator
        Source of chance.
    kit, sitting : Kit, Sitting
        Open side.
    shared_stops : dict
        Truth of the shared unknowns by name [stops].
    after : SittingFacts, optional
        The sitting before, from which the paper goes on drifting.
    days_since : float
        Days since then [d].
    same_bath_sheets : int, optional
        Sheets of the sitting before when it was in the same set and bath, which then go on
        as they were; None: another set, another day, a fresh bath.

    Returns
    -------
    SittingFacts
        For the ledger.
    """
    geometry: dict[tuple[str, str], float] = {}
    levels: dict[str, float] = {}
    for source in sitting["sources"]:
        if source["kind"] == "continuous":
            level = rules.wander(rng, source["sd_stops"])
            levels[source["role"]] = rules.ambient_bias_stops + level
        for region in REGIONS:
            place = (source["geo"], region)
            if place not in geometry:
                geometry[place] = rules.wander(rng, source["region_sd_stops"][region])
    drift_sd = kit["drift_sd_stops_per_sqrt_day"] * math.sqrt(days_since)
    paper = rules.wander(rng, drift_sd)
    bath = rules.wander(rng, rules.fresh_bath_sd_stops)
    fatigue = rules.fatigue_stops + rules.wander(rng, rules.fatigue_sd_stops)
    if after is not None:
        paper += after.paper_stops
        if same_bath_sheets is not None:
            geometry = after.geometry_stops
            fatigue = after.fatigue_stops
            bath = after.bath_stops + fatigue * same_bath_sheets
    return SittingFacts(
        geometry_stops=geometry,
        level_stops=levels,
        shared_stops=shared_stops,
        paper_stops=paper,
        bath_stops=bath,
        fatigue_stops=fatigue,
    )


@dataclass(frozen=True, slots=True)
class Skin:
    """A sitter's skin in the paper's band.

    Parameters
    ----------
    guess_stops : float
        What is said openly, beside the reference reflectance.
    sd_stops : float
        How well that is said to be known.
    true_stops : float
        What it is.
    """

    guess_stops: float
    sd_stops: float
    true_stops: float


def draw_skin(rules: Rules, rng: np.random.Generator) -> Skin:
    """Draw one sitter: half are unknown, half are guessed dark, medium or light."""
    guessed = rng.random() < 0.5
    sd = SKIN_GUESSED_SD_STOPS if guessed else SKIN_UNKNOWN_SD_STOPS
    third = int(rng.integers(3))
    if not rules.skin_even:
        guess = _GUESSES_STOPS[third] if guessed else 0.0
        return Skin(guess, sd, guess + sd * float(rng.standard_normal()))
    true = _SKIN_RANGE_STOPS * float(rng.random() - 0.5)
    wrong = rng.random() < 0.2
    nearest = int(np.argmin([abs(true - guess) for guess in _GUESSES_STOPS]))
    said = abs(nearest - 1) if wrong else nearest  # from an outer third to the middle, or off it
    return Skin(_GUESSES_STOPS[said] if guessed else 0.0, sd, true)
