"""The ledger written out once more: every exposure as a sum of unknowns of unit spread.

Nothing is taken from the tool. For fixed settings the stops that one light gives one region are
a number plus weights times independent standard normal unknowns; what is not a sum (the tone
curve, light added to light, words) is in `proof.likelihood`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

Said = dict[str, Any]
"""A JSON object of the bare ledger."""


@dataclass(slots=True)
class Sum:
    """``number + sum(weight * unknown)`` in stops; unknowns are standard normal."""

    number: float = 0.0
    weights: dict[str, float] = field(default_factory=dict)

    def add(self, number: float) -> None:
        """Add something known."""
        self.number += number

    def add_unknown(self, name: str, mean: float, sd: float, times: float = 1.0) -> None:
        """Add a multiple of an unknown with this mean and spread."""
        self.number += times * mean
        if sd and times:
            self.weights[name] = self.weights.get(name, 0.0) + times * sd


def by_id(things: Iterable[Said], name: str) -> Said:
    """The thing of this id."""
    return next(thing for thing in things if thing["id"] == name)


@dataclass(frozen=True, slots=True)
class Occasion:
    """One sitting among those that a history consists of."""

    kit: Said
    sitting: Said
    drifts: tuple[tuple[str, float], ...]
    """Unknown steps of the paper's speed since the first sitting: name and spread."""

    @property
    def paper(self) -> Said:
        """The batch that is exposed."""
        return by_id(self.kit["papers"], self.sitting["paper"])

    @property
    def regions(self) -> list[str]:
        """Every region that has an aim or a light, once."""
        found = dict.fromkeys(self.sitting["aims"])
        for source in self.sitting["sources"]:
            found.update(dict.fromkeys(source["region_stops"]))
        return list(found)

    # ---- from lamp to paper ---------------------------------------------------------------

    def gives(
        self, source: Said, region: str, settings: Said, *, step: int = 1, nth: int = 0
    ) -> Sum:
        """Exposure above the mid-tone that a light gives a region, as the nth sheet of a bath."""
        total = self.lands(source, region, settings, step=step)
        kit, sitting = self.kit, self.sitting
        kind, pops = source["kind"], settings["pops"] * step
        if kind != "veil":
            colour = source["actinic_stops"], source["actinic_sd_stops"]
            total.add_unknown(f"colour of {kind}", *colour)
            lens = by_id(kit["lenses"], sitting["lens"])
            through = lens["transmission_stops"], lens["sd_stops"]
            total.add_unknown(f"glass of {lens['id']}", *through)
            total.add(-2 * math.log2(1 + lens["magnification"]) + math.log2(0.30 / 4))
            total.add(-2 * math.log2(settings["f_number"]))
        if kind == "flash":
            lost = kit["pop_loss_per_doubling_stops"], kit["pop_loss_sd"]
            total.add_unknown("lost by pops", *lost, -math.log2(pops))
        if kind == "continuous":
            past = max(0.0, math.log2(settings["seconds"] * pops))
            lost = kit["reciprocity_loss_per_doubling_stops"], kit["reciprocity_sd"]
            total.add_unknown("lost by time", *lost, -past)
        for shared in sitting.get("shared", ()):
            if region in shared["regions"] and source["role"] in shared["sources"]:
                whose = "" if shared["life"] == "sitter" else sitting["id"]
                self_and = f"shared {shared['name']} {whose}"
                total.add_unknown(self_and, shared["mean_stops"], shared["sd_stops"])
        self._paper_and_bath(total, nth)
        return total

    def _paper_and_bath(self, total: Sum, nth: int) -> None:
        kit, paper = self.kit, self.paper
        speed = paper["speed_log2"], paper["speed_sd_stops"]
        total.add_unknown(f"speed of {paper['id']}", *speed)
        for name, sd in self.drifts:
            total.add_unknown(name, 0.0, sd)
        bath = self.sitting.get("bath") or str(math.floor(self.sitting["day"]))
        total.add_unknown(f"mix of {bath}", 0.0, kit["fresh_mix_sd_stops"])
        total.add_unknown(f"tiring of {bath}", 0.0, kit["fatigue_sd_stops_per_sheet"], nth)

    def lands(self, source: Said, region: str, settings: Said, *, step: int = 1) -> Sum:
        """The part of it that an incident meter at the region sees."""
        total, sitting = Sum(), self.sitting
        pops = settings["pops"] * step
        if source["kind"] == "flash":
            self._from_the_head(total, source)
            dial = settings["dial_stops"].get(source["role"], 0.0)
            total.add(dial + math.log2(pops))
            run = f"dial of {source['head']}"
            total.add_unknown(run, 0.0, self.kit["dial_slope_sd"], dial)
        else:
            total.add(source["log2_lx"])
            state = source.get("state") or ""
            name = f"level {sitting['id']} {state} {source['role']}"
            if source["head"] is not None:
                name = f"lamp {source['head']}"
            total.add_unknown(name, 0.0, source["sd_stops"])
            if source["kind"] == "continuous":
                total.add(math.log2(settings["seconds"] * pops))
        total.add(source["region_stops"].get(region, -40.0))
        place = sitting.get("set") or sitting["id"]
        off = source["region_sd_stops"].get(region, 0.0)
        total.add_unknown(f"place {place} {source['geo']} {region}", 0.0, off)
        return total

    def _from_the_head(self, total: Sum, source: Said) -> None:
        head = by_id(self.kit["heads"], source["head"])
        total.add_unknown(f"head {head['id']}", head["full_log2_lxs_1m"], head["sd_stops"])
        figures = 1 + len(source["modifiers"])
        total.add_unknown("all figures alike", 0.0, self.kit["stated_sd_stops"], figures)
        for name in source["modifiers"]:
            front = by_id(self.kit["modifiers"], name)
            total.add_unknown(f"front {name}", front["loss_stops"], front["sd_stops"], -1.0)
        total.add(-2 * math.log2(source["distance_m"]))


def occasions(begin: Said) -> list[Occasion]:
    """The sittings of a history in the order of their days, the present one last."""
    kit = begin["kit"]
    sittings = sorted((p["sitting"] for p in begin["past"]), key=lambda s: float(s["day"]))
    sittings.append(begin["sitting"])
    found: list[Occasion] = []
    drifts: tuple[tuple[str, float], ...] = ()
    for before, now in zip([None, *sittings], sittings, strict=False):
        if before is not None:
            days = max(0.0, now["day"] - before["day"])
            sd = kit["drift_sd_stops_per_sqrt_day"] * math.sqrt(days)
            drifts = (*drifts, (f"drift to {now['id']} of {now['paper']}", sd))
        found.append(Occasion(kit, now, drifts))
    return found
