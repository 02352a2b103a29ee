"""What Quarry Lane is really like: one hidden truth, which the tool of the example never sees.

Each unknown of the ledger gets one true value, drawn from a stream of its own around what was
entered; each sheet gets its own scatter, each reading its own error. All of it is decided by
names, so that the same book comes out every time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import get_args

import numpy as np

from stillroom.belief import States, curves_of, landing, stream, word_interval
from stillroom.documents.book import (
    MeterReading,
    Paper,
    Reading,
    RegionReading,
    Settings,
    Sheet,
    State,
    StripReading,
    Verdict,
)
from stillroom.documents.making import as_made
from stillroom.documents.read import validated
from stillroom.documents.shows import Shows
from stillroom.exposure import SHEET_SCATTER, Layout, Term
from stillroom.light import incident_f_number, iso_on_scale, nearest_third_f_number
from stillroom.quantity import FloatArray
from stillroom.services.demo_scene import Making, Way
from stillroom.services.strip_reading import by_steps, tap_densities, tap_names
from stillroom.services.worktable import Worktable

SEED = 56
"""One of those that tell the story; `scripts/make_demo.py --choose` names them."""
TAMED = 0.8
"""True values lie a little nearer to what was entered than its spread says (invented)."""
DENSITOMETER_SD = 0.015
SCAN_SD = 0.03
EYE_SD = 0.05
METER_SD_STOPS = 0.08
"""Errors of one reading, all invented."""


@dataclass(frozen=True, slots=True)
class Truth:
    """The hidden values of one seed."""

    seed: int = SEED

    # ---- what is so -----------------------------------------------------------------------

    def value(self, term: Term) -> float:
        """The true value of one unknown."""
        return term.mean + TAMED * term.sd * self._draw(f"term/{term.name}")

    def theta(self, layout: Layout) -> FloatArray:
        """The true values of all unknowns of a layout (1, terms)."""
        return np.array([[self.value(t) for t in layout.terms]])

    def states(self, layout: Layout) -> States:
        """The one true state."""
        theta = self.theta(layout)
        scatter = math.exp(theta[0, layout.index[SHEET_SCATTER]])
        sheet_sd = np.array([layout.scatter.sheet_sd_stops * scatter])
        return States(theta, curves_of(layout, theta), sheet_sd)

    def placed(self, table: Worktable, settings: Settings, number: int) -> FloatArray:
        """Where every region of a sheet really lands (strips, regions) [stops]."""
        bare = table.bare_settings(settings)
        layout = table.layout(settings, number=number)
        states = self.states(layout)
        where = landing(states, layout, bare)[0]
        scatter, sheet = layout.scatter, f"{table.sitting.id}/{number}"
        own = float(states.sheet_sd[0]) * self._draw(f"sheet/{sheet}")
        sd = scatter.region_sd_stops
        if bare.steps_pops is not None:
            sd = math.hypot(sd, scatter.stepped_region_sd_stops)
        spots = [
            [self._draw(f"spot/{sheet}/{strip}/{region}") for region in layout.regions]
            for strip in range(len(where))
        ]
        return np.asarray(where + own + sd * np.array(spots))

    # ---- what is seen ---------------------------------------------------------------------

    def meter_reading(self, table: Worktable, region: str, role: str) -> MeterReading:
        """One pop of one light into the meter at a region."""
        settings = table.standing().model_copy(update={"pops": 1, "steps_pops": None})
        layout, meter = table.layout(settings), table.book.kit.meters[0]
        level, a = layout.incident_rows(table.bare_settings(settings), region, [role])
        stops = float(level[0] + a[0] @ self.theta(layout)[0])
        stops += meter.bias_stops + meter.bias_sd_stops * self._draw(f"meter/{meter.id}")
        stops += METER_SD_STOPS * self._draw(f"metered/{table.sitting.id}/{region}/{role}")
        iso = iso_on_scale(2.0**stops)
        shown = nearest_third_f_number(incident_f_number(2.0**stops, iso))
        return MeterReading(
            region=region,
            lights_on=(role,),
            meter=meter.id,
            shows=Shows(f_number=shown, iso=iso),
            settings=settings,
            before_sheet=1,
        )

    def reading(self, table: Worktable, sheet: Sheet, making: Making) -> Reading:
        """What is read of a sheet, in the regions with an aim and those read besides."""
        settings = as_made(sheet.settings, sheet.made)
        layout = table.layout(settings)
        curves = self.states(layout).curves
        tones = curves.density(self.placed(table, settings, sheet.number).reshape(1, -1))
        tones = tones.reshape(-1, len(layout.regions))
        by = making.by
        eye = _Eye(self, table, sheet, by)
        strips = [
            {
                region: eye.sees(region, float(tones[k, layout.regions.index(region)]), strip=k)
                for region in (*layout.aims, *making.also)
            }
            for k in range(len(tones))
        ]
        state: State = "dry" if by in ("densitometer", "scan") else "wet"
        if settings.steps_pops is None:
            return Reading(state=state, by=by, regions=strips[0])
        read = tuple(
            StripReading(step=step, regions=regions)
            for step, regions in zip(settings.steps_pops, strips, strict=True)
        )
        return Reading(state=state, by=by, strips=read)

    def lands(self, table: Worktable, sheet: Sheet) -> bool:
        """Whether every aimed region of a plain sheet really falls within its tolerance."""
        settings = as_made(sheet.settings, sheet.made)
        layout = table.layout(settings)
        placed = self.placed(table, settings, sheet.number)[0]
        return all(
            abs(placed[layout.regions.index(region)] - (aim.placement_stops or 0.0))
            <= aim.tol_stops
            for region, aim in layout.aims.items()
            if aim.tol_stops is not None
        )

    def _draw(self, name: str) -> float:
        """One standard normal number of a stream of its own."""
        return float(stream(f"demo/{self.seed}/{name}").standard_normal())

    def error(self, name: str) -> float:
        """One error of one reading, in standard deviations."""
        return self._draw(f"error/{name}")


@dataclass(frozen=True, slots=True)
class _Eye:
    truth: Truth
    table: Worktable
    sheet: Sheet
    by: Way

    def sees(self, region: str, tone: float, *, strip: int) -> RegionReading:
        error = self.truth.error(f"{self.table.sitting.id}/{self.sheet.number}/{strip}/{region}")
        if self.by == "densitometer":
            return RegionReading(density=round(tone + DENSITOMETER_SD * error, 2))
        if self.by == "scan":
            return RegionReading(density=round(tone + SCAN_SD * error, 2))
        seen = tone + EYE_SD * error
        if self.by == "words":
            return self._word(region, seen)
        return against_strip(self.table.paper, region, seen)

    def _word(self, region: str, seen: float) -> RegionReading:
        layout = self.table.layout(as_made(self.sheet.settings, self.sheet.made))
        curves = self.truth.states(layout).curves
        low, high = float(curves.dmin[0, 0]), float(curves.dmax[0, 0])
        curve = (float(curves.contrast[0, 0]), float(curves.asymmetry[0, 0]), low, high)
        wanted = layout.aim_density(region, curve)
        for word in get_args(Verdict):
            span = word_interval(word, wanted, layout.aims[region].eye_tol_density, low, high)
            if span is not None and span.low <= seen <= span.high:
                return validated(RegionReading, {"verdict": word})
        return RegionReading(verdict="cant_tell")


def against_strip(paper: Paper, region: str, seen: float) -> RegionReading:
    """What an eye finds on a comparison strip: the step that vanishes, or the two beside it."""
    names, densities = tap_names(paper), np.array(tap_densities(paper))
    at = int(np.abs(densities - seen).argmin())
    for dark, light in pairwise(range(len(densities))):
        gap = densities[dark] - densities[light]
        if abs(seen - (densities[dark] + densities[light]) / 2) < gap / 4:
            return by_steps([names[dark], names[light]], paper, region)
    return by_steps([names[at]], paper, region)
