"""Somebody who reads sheets without any error: what a sheet's own scatter hides, and no more.

The *sheet reader* opens as past-perfect does. From then on curve, kit and the share of every
light are known exactly; only the level of each region comes from the sheets, which are read
without error. A sheet cannot show what it owes to chance: its own shift and that of its regions
are taken for the level, and averaged away as sheets go by. Sheets that went wrong are known as
such and left out.

Past-perfect knows from one sheet what no sheet can tell. What the reader needs more than
past-perfect is therefore out of reach of any tool; what the tool needs more than the reader is
the price of learning curve and kit from readings that scatter.
"""

from __future__ import annotations

import numpy as np

from benchmarks.world.oracle import best_settings
from benchmarks.world.past_perfect import PastPerfect
from benchmarks.world.public import REGIONS, Reading, Settings
from benchmarks.world.scenario import Scenario


class SheetReader:
    """The photographer who knows all but the level, and takes it from the sheets.

    Parameters
    ----------
    scenario : Scenario
        With its hidden side.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.studio = scenario.studio
        self.number = 0
        self.seen: list[np.ndarray] = []
        self.next = PastPerfect.first(scenario)

    def plan(self) -> Settings:
        """Give the settings of the next sheet."""
        return self.next

    def look(self, settings: Settings, reading: Reading) -> None:  # noqa: ARG002  read exactly
        """Take the sheet's own luck for the level, on average over the sheets so far."""
        self.number += 1
        studio = self.studio
        own = studio.own_stops(self.number)
        if own is None:
            return
        self.seen.append(own)
        level = np.mean(self.seen, axis=0)
        aims = studio.aims_stops()
        shift = {region: float(level[REGIONS.index(region)]) for region in aims}
        self.next = best_settings(
            studio.kit, studio.sitting, studio.truth, aims, shift_stops=shift
        ).settings
