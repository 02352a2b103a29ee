"""From lights and settings to stops at each region, written anew for the world."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from benchmarks.world.curve import Curve, FloatArray
from benchmarks.world.public import (
    REGIONS,
    Kit,
    Settings,
    Sitting,
    Source,
    lens_of,
    paper_of,
)

_FIXED_STOPS = math.log2(1 / 4) + math.log2(0.30)  # image illuminance, reference reflectance


@dataclass(frozen=True, slots=True)
class KitFacts:
    """Everything about paper and kit that a sheet depends on: as believed, or as it is.

    Parameters
    ----------
    speed_log2 : float
        Paper speed, ``log2(EI / 10)``.
    curve : Curve
        The paper's tone curve.
    full_log2_lxs_1m : dict
        Full output by head, log2 of lx·s at 1 m.
    dial_slope : dict
        Stops given for one stop on the dial, by head.
    loss_stops, transmission_stops : dict
        By modifier and by lens.
    actinic_shift_stops : dict
        By kind of source, beside what is said of it.
    pop_loss, reciprocity_loss : float
        Stops lost per doubling of pops, and of open time past 1 s.
    """

    speed_log2: float
    curve: Curve
    full_log2_lxs_1m: dict[str, float]
    dial_slope: dict[str, float]
    loss_stops: dict[str, float]
    transmission_stops: dict[str, float]
    actinic_shift_stops: dict[str, float]
    pop_loss: float
    reciprocity_loss: float


@dataclass(frozen=True, slots=True)
class SittingFacts:
    """What one sitting adds: all zero when only what is said openly is known.

    Parameters
    ----------
    geometry_stops : dict
        By (geo, region).
    level_stops : dict
        By role of a continuous source.
    shared_stops : dict
        By name of the shared unknown.
    paper_stops : float
        Drift of the paper.
    bath_stops : float
        The bath as the sitting opens: its mix, and what it has lost since.
    fatigue_stops : float
        Added with every further sheet of the sitting.
    """

    geometry_stops: dict[tuple[str, str], float] = field(default_factory=dict)
    level_stops: dict[str, float] = field(default_factory=dict)
    shared_stops: dict[str, float] = field(default_factory=dict)
    paper_stops: float = 0.0
    bath_stops: float = 0.0
    fatigue_stops: float = 0.0


def as_believed(kit: Kit, sitting: Sitting) -> KitFacts:
    """Give the kit at the means of what is said openly."""
    paper = paper_of(kit, sitting)
    return KitFacts(
        speed_log2=paper["speed_log2"],
        curve=Curve(paper["dmin"], paper["dmax"], paper["contrast_per_stop"], 1.0),
        full_log2_lxs_1m={head["id"]: head["full_log2_lxs_1m"] for head in kit["heads"]},
        dial_slope={head["id"]: 1.0 for head in kit["heads"]},
        loss_stops={modifier["id"]: modifier["loss_stops"] for modifier in kit["modifiers"]},
        transmission_stops={lens["id"]: lens["transmission_stops"] for lens in kit["lenses"]},
        actinic_shift_stops={},
        pop_loss=kit["pop_loss_per_doubling_stops"],
        reciprocity_loss=kit["reciprocity_loss_per_doubling_stops"],
    )


@dataclass(frozen=True, slots=True)
class Ledger:
    """One sitting boiled down to what settings act on.

    Parameters
    ----------
    roles : tuple of str
        Sources in order.
    is_flash : ndarray
        By source.
    base_stops : ndarray
        [region, source] at dial 0, f/1, one pop, 1 s; paper speed included.
    dial_slope : ndarray
        By source; 0 for continuous ones.
    pop_loss, reciprocity_loss : float
        Stops per doubling.
    curve : Curve
        Of the paper.
    fatigue_stops : float
        Per further sheet.
    """

    roles: tuple[str, ...]
    is_flash: NDArray[np.bool_]
    base_stops: FloatArray
    dial_slope: FloatArray
    pop_loss: float
    reciprocity_loss: float
    curve: Curve
    fatigue_stops: float

    def flash_stops(self, pops: float) -> float:
        """Give what ``pops`` flashes give beside one [stops]."""
        return (1.0 - self.pop_loss) * math.log2(pops)

    def steady_stops(self, open_s: float) -> float:
        """Give what ``open_s`` of steady light gives beside 1 s [stops]."""
        log_t = math.log2(open_s)
        return log_t - self.reciprocity_loss * max(0.0, log_t)

    def placements(self, settings: Settings, step: int = 1) -> FloatArray:
        """Give the stops above the mid-tone by region, before any scatter.

        Parameters
        ----------
        settings : Settings
            As set.
        step : int
            Multiplier of the pops for one strip of a stepped sheet.

        Returns
        -------
        ndarray
            In the order of :data:`benchmarks.world.public.REGIONS`.
        """
        pops = settings.pops * step
        dials = np.array([settings.dial_stops.get(role, 0.0) for role in self.roles])
        given = np.where(
            self.is_flash,
            self.dial_slope * dials + self.flash_stops(pops),
            self.steady_stops(settings.seconds * pops),
        )
        stops = self.base_stops + given - 2.0 * math.log2(settings.f_number)
        return np.asarray(np.log2(np.sum(2.0**stops, axis=1)), dtype=np.float64)


def _reference_stops(source: Source, kit_facts: KitFacts, facts: SittingFacts) -> float:
    actinic = source["actinic_stops"] + kit_facts.actinic_shift_stops.get(source["kind"], 0.0)
    if source["head"] is None:
        if source["log2_lx"] is None:
            raise ValueError(f"Source {source['role']} has neither a head nor a level.")
        return source["log2_lx"] + facts.level_stops.get(source["role"], 0.0) + actinic
    losses = sum(kit_facts.loss_stops[name] for name in source["modifiers"])
    distance = 2.0 * math.log2(source["distance_m"])
    return kit_facts.full_log2_lxs_1m[source["head"]] - losses - distance + actinic


def _shared_stops(sitting: Sitting, facts: SittingFacts, region: str, role: str) -> float:
    return sum(
        facts.shared_stops.get(shared["name"], 0.0)
        for shared in sitting.get("shared", [])
        if region in shared["regions"] and role in shared["sources"]
    )


def ledger(kit: Kit, sitting: Sitting, kit_facts: KitFacts, facts: SittingFacts) -> Ledger:
    """Add up everything that settings do not change.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    kit_facts, facts : KitFacts, SittingFacts
        As believed, or as it is.

    Returns
    -------
    Ledger
        For any settings of the sitting.
    """
    lens = lens_of(kit, sitting)
    camera = (
        kit_facts.transmission_stops[lens["id"]]
        - 2.0 * math.log2(1.0 + lens["magnification"])
        + _FIXED_STOPS
        + kit_facts.speed_log2
        + facts.paper_stops
        + facts.bath_stops
    )
    sources = sitting["sources"]
    base = np.array(
        [
            [
                _reference_stops(source, kit_facts, facts)
                + source["region_stops"][region]
                + facts.geometry_stops.get((source["geo"], region), 0.0)
                + _shared_stops(sitting, facts, region, source["role"])
                + camera
                for source in sources
            ]
            for region in REGIONS
        ]
    )
    return Ledger(
        roles=tuple(source["role"] for source in sources),
        is_flash=np.array([source["kind"] == "flash" for source in sources]),
        base_stops=base,
        dial_slope=np.array(
            [
                0.0 if source["head"] is None else kit_facts.dial_slope[source["head"]]
                for source in sources
            ]
        ),
        pop_loss=kit_facts.pop_loss,
        reciprocity_loss=kit_facts.reciprocity_loss,
        curve=kit_facts.curve,
        fatigue_stops=facts.fatigue_stops,
    )


def as_believed_ledger(kit: Kit, sitting: Sitting) -> Ledger:
    """Give the ledger at the means of what is said openly."""
    return ledger(kit, sitting, as_believed(kit, sitting), SittingFacts())
