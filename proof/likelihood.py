"""How likely a history is, as one differentiable function of its unknowns.

The shift of each sheet, of a good one or of a spoiled one, is integrated out on a fixed grid: the
unknowns that are left have no sharp second minds for a walk to get lost between. Histories are
laid out in arrays of a few common sizes, so that what was compiled for one serves the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
from jax.scipy.special import erf
from numpy.typing import NDArray

from proof.ledger import Said
from proof.seen import Reading, Rows, Seen, look, paper_of, predicted

Array = NDArray[np.float64]

SPOILED_SD_STOPS = 1.5
REACHED = 0.004
"""Aims beyond what a curve shows are taken this share of its range inside."""
GRID_STOPS = np.linspace(-6.0, 6.0, 121)
"""Shifts of a sheet. Steps a fifth as wide move no log likelihood by more than 0.001."""
GRID_STEP_STOPS = 0.1
CURVE = ("log contrast", "log asymmetry", "Dmin", "Dmax")
SCATTER = "scatter of sheets"
REGIONS = ("key", "shadow")


@dataclass(frozen=True, slots=True)
class Gaussian:
    """What is carried from earlier sittings in place of their sheets."""

    names: list[str]
    mean: Array
    covariance: Array


LIGHTS, CALLED, LEVELS = 5, 4, 1
ROOM = {"unknowns": (42, 60, 80), "sheets": (3, 6, 9, 12), "rows": (1, 12, 24, 36, 48)}
"""Numbers that arrays are filled up to."""


def room(kind: str, needed: int) -> int:
    """The least common size that holds so many."""
    return next(n for n in ROOM[kind] if n >= needed)


class Target:
    """The posterior of a history over standard normal coordinates of its unknowns.

    Parameters
    ----------
    history : dict
        ``begin`` and ``records`` as the bare ledger has them, and ``plans`` to predict for.
    before : Gaussian, optional
        What is believed before of some unknowns; all others are what their priors say.
    """

    def __init__(self, history: Said, before: Gaussian | None = None) -> None:
        self.history = history
        self.seen, _ = look(history)
        rows = [predicted(history, plan, r) for plan in history["plans"] for r in REGIONS]
        ahead = Rows(rows)
        names = _all_unknowns(self.seen, ahead, before)
        self.known_by_name = len(names)
        idle = [f"idle {i}" for i in range(room("unknowns", len(names)) - len(names))]
        self.unknowns = [*names, *idle]
        self.mean, self.root = _start(self.unknowns, before)
        self.data = self._data(ahead)

    def _data(self, ahead: Rows) -> dict[str, Any]:
        seen, names = self.seen, self.unknowns
        sheets, room_for_spots = room("sheets", seen.sheets), room("rows", len(seen.sheet))
        begin = self.history["begin"]
        kit, paper = begin["kit"], paper_of(begin)
        wanted = [
            begin["sitting"]["aims"][r]["density"] for _ in self.history["plans"] for r in REGIONS
        ]
        sd = math.hypot(kit["process_scatter_sd_stops"], kit["setting_scatter_sd_stops"])
        scatter = [sd, kit["scatter_log_sd"], kit["spoiled_rate"]]
        curve = [paper[k] for k in ("contrast_per_stop", "dmin", "dmax")]
        spread = [paper[k] for k in ("contrast_log_sd", "asym_log_sd", "dmin_sd", "dmax_sd")]
        of_sheet = np.zeros((sheets, room_for_spots))
        of_sheet[seen.sheet, range(len(seen.sheet))] = 1.0
        group = np.full(room_for_spots, -1)
        group[: len(seen.group)] = seen.group
        same = (group[:, None] == group[None, :]) * 1.0
        spots = seen.spots.arrays(names, room_for_spots, LIGHTS)
        veil = Rows([[v] for v in seen.veil]).arrays(names, room_for_spots, 1)
        data = {
            "mean": self.mean,
            "root": self.root,
            "spots": spots,
            "veil": veil,
            "strip": same / same.sum(axis=1, keepdims=True),
            "levels": seen.levels.arrays(names, LEVELS, LIGHTS),
            "level": _padded(seen.level_value, LEVELS, 0.0),
            "level_sd": _padded(seen.level_sd, LEVELS, math.inf),
            "ahead": ahead.arrays(names, len(wanted), LIGHTS),
            "wanted": np.array(wanted),
            "scatter": np.array(scatter),
            "curve": np.array([*curve, *spread]),
            "scans": _columns(seen.scans, names, of_sheet),
            "words": _columns(seen.words, names, of_sheet),
            "called": self._called(sheets),
        }
        return {name: jax.tree.map(jnp.asarray, value) for name, value in data.items()}

    def _called(self, sheets: int) -> dict[str, Array]:
        seen = self.seen
        found = {
            "spot": np.zeros((CALLED, 2), dtype=int),
            "aim": np.full((CALLED, 2), 1.0),
            "tol": np.full((CALLED, 2), 1.0),
            "sd": np.full((CALLED, 2), 1.0),
            "kept": np.zeros(CALLED),
            "sheet": np.zeros((sheets, CALLED)),
        }
        for i, one in enumerate(seen.called):
            found["spot"][i], found["aim"][i], found["tol"][i] = (
                one.spots,
                one.aims,
                one.tolerances,
            )
            found["sd"][i] = [seen.region_sd[s] for s in one.spots]
            found["kept"][i] = one.kept
            found["sheet"][seen.sheet[one.spots[0]], i] = 1.0
        return found


# ---- laying out ----------------------------------------------------------------------------


def _all_unknowns(seen: Seen, ahead: Rows, before: Gaussian | None) -> list[str]:
    names = dict.fromkeys([*CURVE, SCATTER, *seen.spots.names(), *seen.levels.names()])
    names.update(dict.fromkeys(ahead.names()))
    for reading in (*seen.scans, *seen.words):
        names.update(dict.fromkeys(name for name, _ in reading.biases))
    for share in seen.veil:
        names.update(dict.fromkeys(share.weights))
    names.update(dict.fromkeys(before.names if before else ()))
    return list(names)


def _start(unknowns: list[str], before: Gaussian | None) -> tuple[Array, Array]:
    """Mean of the unknowns before anything is seen, and a root of their covariance."""
    mean, covariance = np.zeros(len(unknowns)), np.eye(len(unknowns))
    if before is not None:
        at = [unknowns.index(name) for name in before.names]
        mean[at] = before.mean
        covariance[np.ix_(at, at)] = before.covariance
    return mean, np.asarray(np.linalg.cholesky(covariance))


def _padded(values: list[float], size: int, rest: float) -> Array:
    return np.array([*values, *[rest] * (size - len(values))])


def _columns(readings: list[Reading], names: list[str], of_sheet: Array) -> dict[str, Array]:
    """Readings as arrays; those that only fill up belong to no sheet."""
    size = room("rows", len(readings))
    bias = np.zeros((size, len(names)))
    sheet = np.zeros((len(of_sheet), size))
    spots = np.zeros(size, dtype=int)
    for i, reading in enumerate(readings):
        spots[i] = reading.spot
        sheet[:, i] = of_sheet[:, reading.spot]
        for name, sd in reading.biases:
            bias[i, names.index(name)] += sd
    plain = ("density", "sd", "low", "high", "low_sd", "high_sd", "share")
    filled = [*readings, *[Reading(0, [])] * (size - len(readings))]
    found = {k: np.array([getattr(r, k) for r in filled])[:, None] for k in plain}
    return found | {"bias": bias, "spot": spots, "sheet": sheet}


# ---- of one state of the world -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Curve:
    """The tone curve of one state of the world."""

    contrast: Any
    asymmetry: Any
    low: Any
    high: Any

    @staticmethod
    def of(data: dict[str, Any], x: Any) -> Curve:
        """The curve of a state; its four unknowns are the first."""
        contrast, low, high, *sd = data["curve"]
        low = low + sd[2] * x[2]
        return Curve(
            contrast * jnp.exp(sd[0] * x[0]),
            jnp.exp(sd[1] * x[1]),
            low,
            jnp.maximum(high + sd[3] * x[3], low + 0.2),
        )

    def tone(self, stops: Any) -> Any:
        """Density at placements."""
        bend = jnp.log(jnp.expm1(self.asymmetry * math.log(2)))
        share = jnp.exp(-jax.nn.softplus(bend + self.contrast * stops) / self.asymmetry)
        return self.low + (self.high - self.low) * share

    def stops(self, density: Any) -> Any:
        """Placement of densities, kept inside the curve."""
        share = jnp.clip((density - self.low) / (self.high - self.low), REACHED, 1 - REACHED)
        inner = jnp.expm1(-self.asymmetry * jnp.log(share))
        return jnp.log(inner / jnp.expm1(self.asymmetry * math.log(2))) / self.contrast


def unknowns(data: dict[str, Any], z: Any) -> Any:
    """The unknowns, each in its prior's spreads, of standard normal coordinates."""
    return data["mean"] + data["root"] @ z


def deviations(data: dict[str, Any], z: Any) -> Any:
    """Exposure minus aim for each plan, key then shadow [stops]."""
    x = unknowns(data, z)
    return _light(data["ahead"], x) - Curve.of(data, x).stops(data["wanted"])


def log_likelihood(data: dict[str, Any], z: Any) -> Any:
    """Log of the chance of all that was seen, but for a constant."""
    x = unknowns(data, z)
    off = (_light(data["levels"], x) - data["level"]) / data["level_sd"]
    stops = _light(data["spots"], x)
    share = jnp.exp2(_light(data["veil"], x))
    light = jnp.exp2(stops)
    stops = jnp.log2(light + share * (data["strip"] @ light))
    curve = Curve.of(data, x)
    shifted = stops[:, None] + jnp.asarray(GRID_STOPS)[None, :]
    scans, words, called = data["scans"], data["words"], data["called"]
    by_sheet = scans["sheet"] @ _log_scans(scans, curve, shifted, x)
    by_sheet = by_sheet + words["sheet"] @ _log_words(words, curve, shifted, x)
    by_sheet = by_sheet + called["sheet"] @ _log_called(called, curve, shifted)
    each = jax.nn.logsumexp(by_sheet + _log_shift(data["scatter"], x), axis=1)
    return each.sum() - 0.5 * (off**2).sum()


def _light(rows: tuple[Any, Any], x: Any) -> Any:
    """Light added to light [stops]: one value a row."""
    c, a = rows
    return jnp.log2(jnp.exp2(c + a @ x).sum(axis=1))


def _log_shift(scatter: Any, x: Any) -> Any:
    """Log of the mass of each shift of the grid, good sheets and spoiled ones together."""
    usual, log_sd, rate = scatter
    sd = usual * jnp.exp(log_sd * x[len(CURVE)])
    b = jnp.asarray(GRID_STOPS)
    good = jnp.log1p(-rate) - jnp.log(sd) - 0.5 * (b / sd) ** 2
    bad = jnp.log(rate / SPOILED_SD_STOPS) - 0.5 * (b / SPOILED_SD_STOPS) ** 2
    return jnp.logaddexp(good, bad) + math.log(GRID_STEP_STOPS / math.sqrt(2 * math.pi))


def _log_scans(of: dict[str, Any], curve: Curve, shifted: Any, x: Any) -> Any:
    tone = curve.tone(shifted[of["spot"]]) + (of["bias"] @ x)[:, None]
    return -2.5 * jnp.log1p(((of["density"] - tone) / of["sd"]) ** 2 / 4)


def _log_words(of: dict[str, Any], curve: Curve, shifted: Any, x: Any) -> Any:
    tone = curve.tone(shifted[of["spot"]]) + (of["bias"] @ x)[:, None]
    below = ndtr((of["high"] - tone) / of["high_sd"])
    inside = below - ndtr((of["low"] - tone) / of["low_sd"])
    return jnp.log(0.97 * of["share"] * jnp.clip(inside, 0, 1) + 0.03 / 5)


def _log_called(of: dict[str, Any], curve: Curve, shifted: Any) -> Any:
    off = shifted[of["spot"]] - curve.stops(of["aim"])[:, :, None]
    tol, sd = of["tol"][:, :, None], of["sd"][:, :, None]
    lands = (ndtr((tol - off) / sd) - ndtr((-tol - off) / sd)).prod(axis=1)
    kept = 0.03 + 0.94 * lands
    return jnp.log(jnp.where(of["kept"][:, None] > 0, kept, 1 - kept))


def ndtr(x: Any) -> Any:
    """Normal distribution function; far tails need no digits beside the rate of slips."""
    return 0.5 * (1 + erf(x / math.sqrt(2)))
