"""A small world to expose and read invented sheets in; every world is drawn from the prior."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from proof.ledger import Occasion, Said, Sum, by_id
from proof.seen import BIAS_DENSITY, ENDS, WET_DENSITY, cut_points, early_points

SEED = 20261125
PATCH_STEP_DENSITY = 0.15
PATCH_SD_DENSITY = 0.08


class World:
    """What is true in one history.

    Parameters
    ----------
    kit : dict
        The kit as the bare ledger has it; its spreads are those the truth is drawn with.
    seed : int
        Number of the world.
    """

    def __init__(self, kit: Said, seed: int) -> None:
        self.kit = kit
        self.rng = np.random.default_rng([SEED, seed])
        self._unknowns: dict[str, float] = {}
        paper = kit["papers"][0]
        self.paper = paper
        self.contrast = paper["contrast_per_stop"] * math.exp(
            self.normal(paper["contrast_log_sd"])
        )
        self.asymmetry = math.exp(self.normal(paper["asym_log_sd"]))
        self.dmin = paper["dmin"] + self.normal(paper["dmin_sd"])
        self.dmax = paper["dmax"] + self.normal(paper["dmax_sd"])
        scatter = math.exp(self.normal(kit["scatter_log_sd"]))
        nominal = math.hypot(kit["process_scatter_sd_stops"], kit["setting_scatter_sd_stops"])
        self.sheet_sd = scatter * nominal

    def normal(self, sd: float) -> float:
        """One normal draw about nought."""
        return float(sd * self.rng.standard_normal())

    def unknown(self, name: str) -> float:
        """What an unknown is here, in its own spreads."""
        if name not in self._unknowns:
            self._unknowns[name] = self.normal(1.0)
        return self._unknowns[name]

    def stops(self, one: Sum) -> float:
        """What a sum is here."""
        return one.number + sum(w * self.unknown(n) for n, w in one.weights.items())

    def tone(self, placed: float) -> float:
        """Density of a placement."""
        inner = 1 + (2**self.asymmetry - 1) * math.exp(self.contrast * placed)
        return float(self.dmin + (self.dmax - self.dmin) * inner ** (-1 / self.asymmetry))

    def placement(self, density: float) -> float:
        """Placement of a density inside the curve."""
        share = (density - self.dmin) / (self.dmax - self.dmin)
        inner = (share**-self.asymmetry - 1) / (2**self.asymmetry - 1)
        return float(math.log(inner) / self.contrast)

    # ---- sheets ---------------------------------------------------------------------------

    def sheet(
        self,
        occasion: Occasion,
        made: Said,
        nth: int,
        *,
        by: str = "scan",
        wet: bool = False,
        missing: Iterable[str] = (),
        spoiled_stops: float = 0.0,
        call: bool = False,
    ) -> Said:
        """Expose and read one sheet."""
        shift = self.normal(self.sheet_sd) + spoiled_stops
        steps = made["steps_pops"]
        own = self.kit["region_scatter_sd_stops"]
        own = math.hypot(own, 0.12) if steps else own
        found: dict[int, dict[str, float]] = {}
        for step in steps or (1,):
            found[step] = {}
            for region in occasion.regions:
                lights = [
                    self.stops(occasion.gives(source, region, made, step=step, nth=nth))
                    for source in occasion.sitting["sources"]
                ]
                placed = math.log2(sum(2**e for e in lights))
                found[step][region] = placed + shift + self.normal(own)
        missed = set(missing)
        aims = occasion.sitting["aims"]

        def told(step: int) -> Said:
            tones = {r: self.tone(u) for r, u in found[step].items() if r not in missed}
            return {r: self.read(tone, aims[r], by, wet=wet) for r, tone in tones.items()}

        reading: Said = {"regions": told(1)} if not steps else {}
        if steps:
            reading = {"strips": [{"step": s, "regions": told(s)} for s in steps]}
        record: Said = {"settings": made, "reading": reading}
        if call:
            record["kept"] = all(
                abs(found[1][r] - self.placement(a["density"])) < a["tol_stops"]
                for r, a in aims.items()
                if a["tol_stops"] is not None
            )
        return record

    def read(self, tone: float, aim: Said, by: str, *, wet: bool) -> Said:
        """One tone as its reader sees it."""
        bias = BIAS_DENSITY[by] * self.unknown(f"bias by {by}")
        bias += WET_DENSITY * self.unknown("wet P1") if wet else 0.0
        more: dict[str, Any] = {"wet": True} if wet else {}
        if by == "scan":
            seen = tone + bias + self.normal(self.kit["scan_sd_density"])
            return {"density": round(max(seen, 0.0), 3)} | more
        if by == "strip":
            seen = tone + bias + self.normal(0.04)
            patch = round(seen / PATCH_STEP_DENSITY) * PATCH_STEP_DENSITY
            at = {"density": round(max(patch, 0.0), 2), "density_sd": PATCH_SD_DENSITY}
            return at | {"by": "strip"} | more
        sd = 0.25 if by == "early_look" else self.kit["eye_sd_density"]
        seen = tone + bias + self.normal(sd)
        more |= {"by": by} if by == "early_look" else {}
        early = by == "early_look"
        return {"verdict": self.word(seen, aim, early=early)} | more

    def word(self, seen: float, aim: Said, *, early: bool) -> str:
        """The word for a tone that was seen; a region without aim has a word all the same."""
        named = aim | {"tol_stops": aim["tol_stops"] or 1.0}
        for word in ENDS:
            cuts = early_points(word, named) if early else cut_points(word, named, self.paper)
            if cuts is not None and cuts[0] <= seen < cuts[1]:
                return word
        return "cant_tell"

    def meter(self, occasion: Occasion, region: str, roles: tuple[str, ...], made: Said) -> Said:
        """What an incident meter shows, its bias and scatter in it."""
        sources = [by_role(occasion.sitting, role) for role in roles]
        levels = [self.stops(occasion.lands(s, region, made)) for s in sources]
        bias = 0.15 * self.unknown("bias of meter")
        level = math.log2(sum(2**e for e in levels)) + bias + self.normal(0.12)
        return {
            "region": region,
            "sources": list(roles),
            "settings": made,
            "log2_lxs": round(level, 2),
        }


def by_role(sitting: Said, role: str) -> Said:
    """The light of this role."""
    return by_id([s | {"id": s["role"]} for s in sitting["sources"]], role)
