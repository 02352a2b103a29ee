"""How likely a history is, as one differentiable function of its unknowns.

The shift of each sheet, of a good one or of a spoiled one, is integrated out on a fixed grid: the
unknowns that are left have no sharp second minds for a walk to get lost between.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
from jax.scipy.special import ndtr

from proof.ledger import Said
from proof.seen import Reading, Rows, look, paper_of, predicted

SPOILED_SD_STOPS = 1.5
REACHED = 0.004
"""Aims beyond what a curve shows are taken this share of its range inside."""
GRID_STOPS = np.linspace(-6.0, 6.0, 121)
"""Shifts of a sheet. A tenth of a stop is fine enough: see `tests/unit/belief`."""
CURVE = ("log contrast", "log asymmetry", "Dmin", "Dmax")
SCATTER = "scatter of sheets"
REGIONS = ("key", "shadow")


@dataclass(frozen=True, slots=True)
class Curve:
    """The tone curve of one state of the world."""

    contrast: Any
    asymmetry: Any
    low: Any
    high: Any

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


class Target:
    """The posterior of a history over standard normal unknowns.

    Parameters
    ----------
    history : dict
        ``begin`` and ``records`` as the bare ledger has them, and ``plans`` to predict for.
    grid : array
        Shifts of a sheet to sum over [stops], evenly spaced.
    """

    def __init__(self, history: Said, grid: Any = GRID_STOPS) -> None:
        self.history = history
        self.seen, self.occasions = look(history)
        self.plans = history["plans"]
        rows = [predicted(history, plan, r) for plan in self.plans for r in REGIONS]
        self._ahead = Rows(rows)
        self.unknowns = self._all_unknowns()
        self._grid = jnp.asarray(grid)
        self._step = float(grid[1] - grid[0])
        self._prepare()

    def _all_unknowns(self) -> list[str]:
        seen = self.seen
        names = dict.fromkeys([*CURVE, SCATTER, *seen.spots.names(), *seen.levels.names()])
        names.update(dict.fromkeys(self._ahead.names()))
        for reading in (*seen.scans, *seen.words):
            names.update(dict.fromkeys(name for name, _ in reading.biases))
        for share in seen.veil:
            names.update(dict.fromkeys(share.weights))
        return list(names)

    def _prepare(self) -> None:
        seen, names = self.seen, self.unknowns
        kit = self.history["begin"]["kit"]
        self._spots = _pair(seen.spots, names)
        self._levels = _pair(seen.levels, names)
        self._aims = _pair(self._ahead, names)
        aims = self.history["begin"]["sitting"]["aims"]
        self._wanted = jnp.array([aims[r]["density"] for _ in self.plans for r in REGIONS])
        group = np.array(seen.group, dtype=int)
        same = (group[:, None] == group[None, :]).astype(float)
        self._mean_of_strip = jnp.asarray(same / same.sum(axis=1, keepdims=True).clip(1))
        self._veil = _pair(Rows([[v] for v in seen.veil]), names)
        self._has_veil = any(v.number > -50 for v in seen.veil)
        self._of_sheet = np.array(seen.sheet, dtype=int)
        self._scans = _columns(seen.scans, names)
        self._words = _columns(seen.words, names)
        self._sd = math.hypot(kit["process_scatter_sd_stops"], kit["setting_scatter_sd_stops"])
        self._rate = kit["spoiled_rate"]
        self._log_scatter_sd = kit.get("scatter_log_sd", 0.2)
        self._level_value = jnp.array(seen.level_value)
        self._level_sd = jnp.array(seen.level_sd)
        self._paper = paper_of(self.history["begin"])

    # ---- of one state of the world --------------------------------------------------------

    def curve(self, x: Any) -> Curve:
        """The tone curve."""
        p = self._paper
        one, two, three, four = (x[self.unknowns.index(name)] for name in CURVE)
        low = p["dmin"] + p["dmin_sd"] * three
        high = p["dmax"] + p["dmax_sd"] * four
        return Curve(
            p["contrast_per_stop"] * jnp.exp(p["contrast_log_sd"] * one),
            jnp.exp(p["asym_log_sd"] * two),
            low,
            jnp.maximum(high, low + 0.2),
        )

    def deviations(self, x: Any) -> Any:
        """Exposure minus aim for each plan, key then shadow [stops]."""
        return _light(self._aims, x) - self.curve(x).stops(self._wanted)

    def placed(self, x: Any) -> Any:
        """Placement of every spot, without its sheet's shift [stops]."""
        stops = _light(self._spots, x)
        if self._has_veil:
            share = jnp.exp2(_light(self._veil, x))
            light = jnp.exp2(stops)
            stops = jnp.log2(light + share * (self._mean_of_strip @ light))
        return stops

    def log_likelihood(self, x: Any) -> Any:
        """Log of the chance of all that was seen, but for a constant."""
        total = 0.0
        if len(self.seen.level_value):
            off = (_light(self._levels, x) - self._level_value) / self._level_sd
            total = total - 0.5 * (off**2).sum()
        if not self.seen.sheet:
            return total
        curve, grid = self.curve(x), self._grid
        shifted = self.placed(x)[:, None] + grid[None, :]
        by_sheet = jnp.zeros((self.seen.sheets, len(grid)))
        if self.seen.scans:
            by_sheet = by_sheet.at[self._sheet_of(self.seen.scans)].add(
                self._log_scans(curve, shifted, x)
            )
        if self.seen.words:
            by_sheet = by_sheet.at[self._sheet_of(self.seen.words)].add(
                self._log_words(curve, shifted, x)
            )
        for called in self.seen.called:
            at = self._of_sheet[called.spots[0]]
            by_sheet = by_sheet.at[at].add(self._log_called(called, curve, shifted))
        spoken_of = np.unique(self._of_sheet)
        each = jax.nn.logsumexp(by_sheet[spoken_of] + self._log_shift(x), axis=1)
        return total + each.sum()

    def _sheet_of(self, readings: list[Reading]) -> Any:
        return self._of_sheet[[r.spot for r in readings]]

    def _log_shift(self, x: Any) -> Any:
        """Log of the mass of each shift of the grid, good sheets and spoiled ones together."""
        sd = self._sd * jnp.exp(self._log_scatter_sd * x[self.unknowns.index(SCATTER)])
        b = self._grid
        good = math.log1p(-self._rate) - jnp.log(sd) - 0.5 * (b / sd) ** 2
        bad = math.log(self._rate / SPOILED_SD_STOPS) - 0.5 * (b / SPOILED_SD_STOPS) ** 2
        return jnp.logaddexp(good, bad) + math.log(self._step / math.sqrt(2 * math.pi))

    def _log_scans(self, curve: Curve, shifted: Any, x: Any) -> Any:
        of = self._scans
        tone = curve.tone(shifted[of["spot"]]) + (of["bias"] @ x)[:, None]
        off = (of["density"][:, None] - tone) / of["sd"][:, None]
        return -2.5 * jnp.log1p(off**2 / 4)

    def _log_words(self, curve: Curve, shifted: Any, x: Any) -> Any:
        of = self._words
        tone = curve.tone(shifted[of["spot"]]) + (of["bias"] @ x)[:, None]
        below = ndtr((of["high"][:, None] - tone) / of["high_sd"][:, None])
        inside = below - ndtr((of["low"][:, None] - tone) / of["low_sd"][:, None])
        chance = 0.97 * of["share"][:, None] * jnp.clip(inside, 0, 1) + 0.03 / 5
        return jnp.log(chance)

    def _log_called(self, called: Any, curve: Curve, shifted: Any) -> Any:
        wanted = curve.stops(jnp.array(called.aims))
        off = shifted[jnp.array(called.spots)] - wanted[:, None]
        tol = jnp.array(called.tolerances)[:, None]
        sd = jnp.array([self.seen.region_sd[i] for i in called.spots])[:, None]
        lands = (ndtr((tol - off) / sd) - ndtr((-tol - off) / sd)).prod(axis=0)
        kept = 0.03 + 0.94 * lands
        return jnp.log(kept if called.kept else 1 - kept)


def _pair(rows: Rows, names: list[str]) -> tuple[Any, Any]:
    c, a = rows.arrays(names)
    return jnp.asarray(c), jnp.asarray(a)


def _light(rows: tuple[Any, Any], x: Any) -> Any:
    """Light added to light [stops]: one value a row."""
    c, a = rows
    return jax.nn.logsumexp((c + a @ x) * math.log(2), axis=1) / math.log(2)


def _columns(readings: list[Reading], names: list[str]) -> dict[str, Any]:
    bias = np.zeros((len(readings), len(names)))
    for i, reading in enumerate(readings):
        for name, sd in reading.biases:
            bias[i, names.index(name)] += sd
    plain = ("density", "sd", "low", "high", "low_sd", "high_sd", "share")
    found: dict[str, Any] = {k: jnp.array([getattr(r, k) for r in readings]) for k in plain}
    spots = np.array([r.spot for r in readings], dtype=int)
    return found | {"bias": jnp.asarray(bias), "spot": spots}
