"""Belief as a fold over sittings in order of time."""

from __future__ import annotations

from collections.abc import Iterable

from stillroom.belief.evidence import LaidMeterReading, LaidSheet
from stillroom.belief.named import Belief
from stillroom.belief.posterior import Posterior, close, opened
from stillroom.exposure import BareKit, BarePast, Layout


def after(before: Belief, kit: BareKit, past: BarePast) -> Belief:
    """Belief after one more sitting: ``close(sitting, belief before)``."""
    layout = Layout(kit, past.sitting)
    sheets = [LaidSheet(layout, sheet) for sheet in past.sheets]
    meters = [LaidMeterReading(layout, reading) for reading in past.meter_readings]
    return close(Posterior(opened(before, layout), layout, sheets, meters))


def fold(kit: BareKit, pasts: Iterable[BarePast]) -> Belief:
    """Belief after all the sittings, in order of their days."""
    belief = Belief.empty()
    for past in sorted(pasts, key=lambda p: p.sitting.day):
        belief = after(belief, kit, past)
    return belief
