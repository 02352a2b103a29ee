"""Kit and sittings of the invented world: classes A to D of the project's notes.

No paper, lamp or person stands behind any of these numbers.
"""

from __future__ import annotations

import copy
import math
from typing import Any

from proof.ledger import Said

PLACE_SD = {
    "key": {"key": 0.15, "shadow": 0.5, "rim": 0.0, "bg": 0.4},
    "fill": {"key": 0.3, "shadow": 0.2, "rim": 0.0, "bg": 0.4},
    "rim": {"key": 0.0, "shadow": 0.5, "rim": 0.25, "bg": 0.0},
    "amb": {"key": 0.2, "shadow": 0.3, "rim": 0.3, "bg": 0.4},
}
FALLS = {
    "key": {"key": 0.0, "shadow": -3.0, "rim": -6.0, "bg": -3.5},
    "fill": {"key": -0.3, "shadow": 0.0, "rim": -3.0, "bg": -1.0},
    "rim": {"key": -8.0, "shadow": -5.0, "rim": 0.0, "bg": -9.0},
    "amb": {"key": 0.0, "shadow": -0.5, "rim": -0.3, "bg": -0.8},
}


def kit() -> Said:
    """One box of paper, four heads, six modifiers, two lenses."""
    heads = (("H1", 14.0, 0.1), ("H2", 14.0, 0.1), ("H3", 12.5, 1 / 3), ("H4", 13.6, 0.1))
    fronts = (
        ("M_box", 2.0, 0.5),
        ("M_grid", 1.0, 0.4),
        ("M_umb", 1.8, 0.5),
        ("M_dish", 0.8, 0.5),
        ("M_big", 2.4, 0.5),
        ("M_snoot", 1.5, 0.5),
    )
    lenses = (("L1", (4, 5.6, 8, 11), -0.2, 0.15, 0.3), ("L2", (4.5, 5.6, 8, 11), -0.3, 0.25, 0.6))
    return {
        "papers": [
            {
                "id": "P1",
                "speed_log2": -0.74,
                "speed_sd_stops": 1.0,
                "contrast_per_stop": 1.1,
                "contrast_log_sd": 0.2,
                "asym_log_sd": 0.3,
                "dmin": 0.1,
                "dmin_sd": 0.03,
                "dmax": 1.9,
                "dmax_sd": 0.1,
            }
        ],
        "heads": [
            {
                "id": name,
                "full_log2_lxs_1m": full,
                "sd_stops": 0.3,
                "dial_min": -7.0,
                "dial_max": 0.0,
                "dial_step": step,
            }
            for name, full, step in heads
        ],
        "modifiers": [{"id": n, "loss_stops": loss, "sd_stops": sd} for n, loss, sd in fronts],
        "lenses": [
            {
                "id": name,
                "f_numbers": list(stops),
                "transmission_stops": glass,
                "sd_stops": sd,
                "magnification": m,
            }
            for name, stops, glass, sd, m in lenses
        ],
        "pop_loss_per_doubling_stops": 0.05,
        "pop_loss_sd": 0.04,
        "reciprocity_loss_per_doubling_stops": 0.10,
        "reciprocity_sd": 0.05,
        "process_scatter_sd_stops": 0.15,
        "setting_scatter_sd_stops": 0.10,
        "region_scatter_sd_stops": 0.07,
        "drift_sd_stops_per_sqrt_day": 0.12,
        "spoiled_rate": 0.03,
        "scan_sd_density": 0.04,
        "eye_sd_density": 0.08,
        "dial_slope_sd": 0.03,
        "stated_sd_stops": 0.3,
        "fresh_mix_sd_stops": 0.10,
        "fatigue_sd_stops_per_sheet": 0.02,
        "scatter_log_sd": 0.2,
        "reader_bias_scale": 1.0,
    }


def light(role: str, head: str | None, fronts: tuple[str, ...], distance_m: float) -> Said:
    """A flash, or the room's own light where no head is named."""
    geo = "key" if role.startswith("key") else role
    return {
        "role": role,
        "kind": "continuous" if head is None else "flash",
        "head": head,
        "modifiers": list(fronts),
        "distance_m": distance_m,
        "log2_lx": 4.5 if head is None else None,
        "sd_stops": 1.5 if head is None else 0.0,
        "geo": geo,
        "actinic_stops": 0.4 if head is None else -0.2,
        "actinic_sd_stops": 0.1,
        "region_stops": dict(FALLS[geo]),
        "region_sd_stops": dict(PLACE_SD[geo]),
    }


def sitting(of: str, name: str, day: float, **more: Any) -> Said:
    """A sitting of class A, B, C or D."""
    keys = {
        "A": [light("key", "H1", ("M_box", "M_grid"), 1.1)],
        "B": [light("key", "H1", ("M_dish",), 1.1)],
        "C": [
            light(role, head, ("M_big",), 1.4) for role, head in (("key", "H1"), ("key2", "H4"))
        ],
        "D": [light("key", "H1", ("M_box", "M_grid"), 1.1)],
    }
    others = [
        light("fill", "H2", ("M_umb",), 2.0),
        light("rim", "H3", ("M_snoot",), 1.6),
        light("amb", None, (), 1.2),
    ]
    if of == "C":
        others[-1]["log2_lx"] = 6.2
    third, half = 1 / 3, 0.5
    return {
        "id": name,
        "cls": of,
        "day": day,
        "paper": "P1",
        "lens": "L2" if of == "C" else "L1",
        "f_default": 5.6,
        "seconds_default": 0.5 if of == "C" else 0.125,
        "sources": [*keys[of], *others],
        "aims": {
            "key": {"density": 0.60, "tol_stops": third, "eye_tol_density": 0.15},
            "shadow": {"density": 1.15, "tol_stops": half, "eye_tol_density": 0.22},
            "rim": {"density": 0.3, "tol_stops": None, "eye_tol_density": 0.15},
            "bg": {"density": 1.6, "tol_stops": None, "eye_tol_density": 0.2},
        },
    } | copy.deepcopy(more)


def sitter(name: str, sd_stops: float) -> Said:
    """The skin of one sitter, in the paper's band, under every light."""
    return {
        "name": f"skin of {name}",
        "sd_stops": sd_stops,
        "regions": ["key", "shadow"],
        "sources": ["key", "fill", "rim", "amb"],
        "mean_stops": 0.0,
        "life": "sitter",
    }


def settings(of: Said, key: float, fill: float, **more: Any) -> Said:
    """What is set for a sheet; every key light has the same dial."""
    roles = [s["role"] for s in of["sources"] if s["kind"] == "flash"]
    dials = {role: key if role.startswith("key") else 0.0 for role in roles} | {"fill": fill}
    plain = {"f_number": 5.6, "pops": 1, "seconds": of["seconds_default"], "steps_pops": None}
    return {"dial_stops": dials} | plain | more


def plans(of: Said) -> list[Said]:
    """A nominal plan, and another far from it: less light, smaller stop, two pops, longer."""
    other = settings(of, -2.4, -0.6, f_number=8.0, pops=2, seconds=8 * of["seconds_default"])
    return [settings(of, -1.0, -1.5), other]


VEIL = {"veil_stops": math.log2(0.02), "veil_sd_stops": 1.0}
"""Flare as the notes guess it: a fiftieth of the frame's mean, within a factor of two."""
