"""The kit and the classes of sitting.

All figures are invented. They are the ones of the dialogues in ``tests/data/loop``.
"""

from __future__ import annotations

from benchmarks.world.public import (
    REGIONS,
    Aim,
    ClassName,
    Head,
    Kit,
    Sitting,
    Source,
)


def _head(name: str, full_log2_lxs_1m: float, dial_step: float) -> Head:
    return {
        "id": name,
        "full_log2_lxs_1m": full_log2_lxs_1m,
        "sd_stops": 0.3,
        "dial_min": -7.0,
        "dial_max": 0.0,
        "dial_step": dial_step,
    }


def whole_kit() -> Kit:
    """Give the one kit of all classes."""
    losses = {
        "M_box": (2.0, 0.5),
        "M_grid": (1.0, 0.4),
        "M_umb": (1.8, 0.5),
        "M_dish": (0.8, 0.5),
        "M_big": (2.4, 0.5),
        "M_snoot": (1.5, 0.5),
    }
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
            _head("H1", 14.0, 0.1),
            _head("H2", 14.0, 0.1),
            _head("H3", 12.5, 1 / 3),
            _head("H4", 13.6, 0.1),
        ],
        "modifiers": [
            {"id": name, "loss_stops": loss, "sd_stops": sd} for name, (loss, sd) in losses.items()
        ],
        "lenses": [
            {
                "id": "L1",
                "f_numbers": [4, 5.6, 8, 11],
                "transmission_stops": -0.2,
                "sd_stops": 0.15,
                "magnification": 0.3,
            },
            {
                "id": "L2",
                "f_numbers": [4.5, 5.6, 8, 11],
                "transmission_stops": -0.3,
                "sd_stops": 0.25,
                "magnification": 0.6,
            },
        ],
        "pop_loss_per_doubling_stops": 0.05,
        "pop_loss_sd": 0.04,
        "reciprocity_loss_per_doubling_stops": 0.1,
        "reciprocity_sd": 0.05,
        "process_scatter_sd_stops": 0.15,
        "setting_scatter_sd_stops": 0.1,
        "region_scatter_sd_stops": 0.07,
        "drift_sd_stops_per_sqrt_day": 0.12,
        "spoiled_rate": 0.03,
        "scan_sd_density": 0.04,
        "eye_sd_density": 0.08,
    }


# What one light gives key, shadow, rim and bg against its own reference, and the sd of each.
_GEOMETRY = {
    "key": ((0.0, -3.0, -6.0, -3.5), (0.15, 0.5, 0.0, 0.4)),
    "fill": ((-0.3, 0.0, -3.0, -1.0), (0.3, 0.2, 0.0, 0.4)),
    "rim": ((-8.0, -5.0, 0.0, -9.0), (0.0, 0.5, 0.25, 0.0)),
    "amb": ((0.0, -0.5, -0.3, -0.8), (0.2, 0.3, 0.3, 0.4)),
}


def _flash(role: str, geo: str, head: str, modifiers: list[str], distance_m: float) -> Source:
    region_stops, region_sd_stops = _GEOMETRY[geo]
    return {
        "role": role,
        "kind": "flash",
        "head": head,
        "modifiers": modifiers,
        "distance_m": distance_m,
        "log2_lx": None,
        "sd_stops": 0.0,
        "geo": geo,
        "actinic_stops": -0.2,
        "actinic_sd_stops": 0.1,
        "region_stops": dict(zip(REGIONS, region_stops, strict=True)),
        "region_sd_stops": dict(zip(REGIONS, region_sd_stops, strict=True)),
    }


def _ambient(log2_lx: float) -> Source:
    region_stops, region_sd_stops = _GEOMETRY["amb"]
    return {
        "role": "amb",
        "kind": "continuous",
        "head": None,
        "modifiers": [],
        "distance_m": 1.2,
        "log2_lx": log2_lx,
        "sd_stops": 1.5,
        "geo": "amb",
        "actinic_stops": 0.4,
        "actinic_sd_stops": 0.1,
        "region_stops": dict(zip(REGIONS, region_stops, strict=True)),
        "region_sd_stops": dict(zip(REGIONS, region_sd_stops, strict=True)),
    }


def aims(key_density: float, shadow_density: float) -> dict[str, Aim]:
    """Give the aims of a sitting; rim and background are looked at but not aimed."""
    return {
        "key": {"density": key_density, "tol_stops": 1 / 3, "eye_tol_density": 0.15},
        "shadow": {"density": shadow_density, "tol_stops": 0.5, "eye_tol_density": 0.22},
        "rim": {"density": 0.3, "tol_stops": None, "eye_tol_density": 0.15},
        "bg": {"density": 1.6, "tol_stops": None, "eye_tol_density": 0.2},
    }


def open_side(cls: ClassName, name: str, day: float, wanted: dict[str, Aim]) -> Sitting:
    """Give the open side of a sitting of one class.

    Parameters
    ----------
    cls : {"A", "B", "C", "D"}
        A: new paper, new light. B: another modifier. C: another lens, two heads in one
        modifier, more room light. D: the lights of A, with skin added by the scenario.
    name : str
        Id of the sitting.
    day : float
        Day on which it happens [d].
    wanted : dict
        Aims by region.

    Returns
    -------
    Sitting
        Ready for ``begin``.
    """
    fill = _flash("fill", "fill", "H2", ["M_umb"], 2.0)
    rim = _flash("rim", "rim", "H3", ["M_snoot"], 1.6)
    keys = {
        "A": [_flash("key", "key", "H1", ["M_box", "M_grid"], 1.1)],
        "B": [_flash("key", "key", "H1", ["M_dish"], 1.1)],
        "C": [
            _flash("key", "key", "H1", ["M_big"], 1.4),
            _flash("key2", "key", "H4", ["M_big"], 1.4),
        ],
    }
    keys["D"] = keys["A"]
    large = cls == "C"
    return {
        "id": name,
        "cls": cls,
        "day": day,
        "paper": "P1",
        "lens": "L2" if large else "L1",
        "f_default": 5.6,
        "seconds_default": 0.5 if large else 0.125,
        "sources": [*keys[cls], fill, rim, _ambient(6.2 if large else 4.5)],
        "aims": wanted,
    }
