"""Several sheets made before any is seen: alike, or spread by the dials."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stillroom.advice.odds import Table
from stillroom.advice.plan import NextSheet
from stillroom.belief import Posterior
from stillroom.exposure import BareSettings, Layout

PAIR_SPREADS_STOPS = (0.0, 0.3, 0.5, 0.7, 1.0)


@dataclass(frozen=True, slots=True)
class Pair:
    """Several sheets made before any is seen."""

    settings: tuple[BareSettings, ...]
    p_any: float


def several_sheets(posterior: Posterior, first: NextSheet, count: int) -> Pair:
    """Settings for `count` sheets made before any is seen: alike, or spread by the dials.

    The spread is over all dials together, which is over the level of the light; of a few
    spreads the one is taken with which at least one sheet lands likeliest.
    """
    layout = posterior.layout
    table = Table(posterior.states(), layout)
    base = first.best.settings
    light = table.light(base)
    options = [_spread(layout, base, count, width) for width in PAIR_SPREADS_STOPS]
    best: Pair | None = None
    for settings in options:
        gains = np.concatenate([table.gains(s) for s in settings])
        landing = table.landing_by_state(table.deviations(light, gains))
        p_any = float((1 - (1 - landing).prod(axis=0)).mean())
        if best is None or p_any > best.p_any + 1e-9:
            best = Pair(tuple(settings), p_any)
    if best is None:  # pragma: no cover - PAIR_SPREADS_STOPS is not empty
        raise AssertionError
    return best


def _spread(
    layout: Layout, base: BareSettings, count: int, width: float
) -> Sequence[BareSettings]:
    sheets = []
    for offset in np.linspace(width, -width, count) if count > 1 else [0.0]:
        dials = {}
        for role, dial in base.dial_stops.items():
            steps = layout.dials[role].steps()
            dials[role] = float(steps[np.abs(steps - (dial + offset)).argmin()])
        sheets.append(replace(base, dial_stops=dials))
    return sheets
