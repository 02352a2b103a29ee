"""The best settings of all, looked for exhaustively over dials, pops and f-numbers.

With the true ledger this is the oracle; with the ledger as believed it is the first sheet of
somebody who knows the arithmetic but has not seen any sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from benchmarks.world.curve import FloatArray
from benchmarks.world.physics import Ledger
from benchmarks.world.public import (
    POPS,
    REGIONS,
    Head,
    Kit,
    Settings,
    Sitting,
    heads_by_role,
    lens_of,
)

SPOILED_SD_STOPS = 1.5
AS_GOOD = 0.02
_SHORTLIST = 250
_NODES = np.linspace(-4.0, 4.0, 81)  # in standard deviations of the sheet's shift


@dataclass(frozen=True, slots=True)
class Best:
    """The settings found and their chance of a keeper."""

    settings: Settings
    p_keeper: float


def keeper_chance(kit: Kit, off_stops: FloatArray, tol_stops: FloatArray) -> FloatArray:
    """Give the chance that all regions fall within tolerance, scatter as stated.

    Parameters
    ----------
    kit : Kit
        Holds the scatter and the spoiled rate.
    off_stops : ndarray
        Exposure minus aim before scatter [stops], [candidate, region].
    tol_stops : ndarray
        By region.

    Returns
    -------
    ndarray
        By candidate.
    """
    sheet_sd = math.hypot(kit["process_scatter_sd_stops"], kit["setting_scatter_sd_stops"])
    region_sd = kit["region_scatter_sd_stops"]
    spoiled = kit["spoiled_rate"]
    weights = np.exp(-0.5 * _NODES**2)
    weights /= weights.sum()
    chance: FloatArray = np.zeros(off_stops.shape[0])
    for share, sd in ((1.0 - spoiled, sheet_sd), (spoiled, SPOILED_SD_STOPS)):
        inside = np.ones((off_stops.shape[0], _NODES.size))
        for index, tol in enumerate(tol_stops):
            off = off_stops[:, index, None] + sd * _NODES
            inside *= ndtr((tol - off) / region_sd) - ndtr((-tol - off) / region_sd)
        chance += share * np.sum(inside * weights, axis=1)
    return chance


def _ends(head: Head) -> tuple[int, int]:
    step = head["dial_step"]
    least = math.ceil(head["dial_min"] / step - 1e-9)
    return least, math.floor(head["dial_max"] / step + 1e-9)


def whole_steps(head: Head, dial_stops: float) -> float:
    """Give the nearest dial position that the head has."""
    least, most = _ends(head)
    return min(max(round(dial_stops / head["dial_step"]), least), most) * head["dial_step"]


def _positions(head: Head) -> FloatArray:
    least, most = _ends(head)
    return np.arange(least, most + 1, dtype=np.float64) * head["dial_step"]


def all_dials(kit: Kit, sitting: Sitting, key_stops: float, fill_stops: float) -> dict[str, float]:
    """Give every head's dial: all but the fill go with the key."""
    return {
        role: whole_steps(head, fill_stops if role == "fill" else key_stops)
        for role, head in heads_by_role(kit, sitting).items()
    }


def best_settings(
    kit: Kit,
    sitting: Sitting,
    ledger: Ledger,
    aims_stops: dict[str, float],
    *,
    shift_stops: dict[str, float] | None = None,
    easy: bool = False,
) -> Best:
    """Look through all dials of key and fill, all pops and all f-numbers.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    ledger : Ledger
        As it is, or as believed.
    aims_stops : dict
        Where the aimed regions should fall on that ledger's curve [stops].
    shift_stops : dict, optional
        Added to what the ledger gives, by region [stops].
    easy : bool
        Among settings within 0.02 of the best odds take the default f-number and fewest pops.

    Returns
    -------
    Best
        All other heads follow the key's dial to their own nearest step.
    """
    heads = heads_by_role(kit, sitting)
    keys, fills = _positions(heads["key"]), _positions(heads["fill"])
    frames = [(f_number, pops) for f_number in lens_of(kit, sitting)["f_numbers"] for pops in POPS]
    lens_stops = np.array([-2.0 * math.log2(f_number) for f_number, _ in frames])
    flash = np.array([ledger.flash_stops(pops) for _, pops in frames]) + lens_stops
    seconds = sitting["seconds_default"]
    steady = np.array([ledger.steady_stops(seconds * pops) for _, pops in frames]) + lens_stops
    dials = np.array(
        [
            [whole_steps(head, key) for key in keys]
            for role, head in heads.items()
            if role != "fill"
        ]
    )
    following = [ledger.roles.index(role) for role in heads if role != "fill"]
    fill = ledger.roles.index("fill")
    regions = list(aims_stops)
    tol = np.array([sitting["aims"][region]["tol_stops"] or 0.0 for region in regions])
    shape = len(frames), keys.size, fills.size
    off = np.empty((*shape, len(regions)))
    for index, region in enumerate(regions):
        base = ledger.base_stops[REGIONS.index(region)]
        by_key = np.sum(
            2.0 ** (base[following, None] + ledger.dial_slope[following, None] * dials), axis=0
        )
        by_fill = 2.0 ** (base[fill] + ledger.dial_slope[fill] * fills)
        by_room = np.sum(2.0 ** base[~ledger.is_flash]) * 2.0**steady
        light = (by_key[:, None] + by_fill)[None] * (2.0**flash)[:, None, None]
        wanted = aims_stops[region] - (shift_stops or {}).get(region, 0.0)
        off[..., index] = np.log2(light + by_room[:, None, None]) - wanted
    flat = off.reshape(-1, len(regions))
    near = np.argpartition(np.max(np.abs(flat) / tol, axis=1), _SHORTLIST)[:_SHORTLIST]
    chance = keeper_chance(kit, flat[near], tol)
    pick = int(np.argmax(chance))
    if easy:
        pick = min(
            map(int, np.flatnonzero(chance >= chance[pick] - AS_GOOD)),
            key=lambda i: (_effort(sitting, frames, int(near[i]), shape), -chance[i], near[i]),
        )
    frame, key, other = np.unravel_index(near[pick], shape)
    f_number, pops = frames[int(frame)]
    chosen = all_dials(kit, sitting, float(keys[key]), float(fills[other]))
    return Best(Settings(chosen, f_number, pops, seconds), float(chance[pick]))


def _effort(
    sitting: Sitting,
    frames: list[tuple[float, int]],
    flat_index: int,
    shape: tuple[int, int, int],
) -> tuple[float, int]:
    f_number, pops = frames[flat_index // (shape[1] * shape[2])]
    return abs(math.log2(f_number / sitting["f_default"])), pops
