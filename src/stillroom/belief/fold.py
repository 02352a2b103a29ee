"""Belief as a fold over sittings in order of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stillroom.belief.evidence import LaidMeterReading, LaidSheet
from stillroom.belief.named import Belief
from stillroom.belief.posterior import Posterior, close, opened
from stillroom.exposure import BareKit, BarePast, BareSitting, Layout, bath_of


def after(before: Belief, kit: BareKit, past: BarePast) -> Belief:
    """Belief after one more sitting: ``close(sitting, belief before)``."""
    layout = Layout(kit, past.sitting)
    sheets = [LaidSheet(layout, sheet) for sheet in past.sheets]
    meters = [LaidMeterReading(layout, reading) for reading in past.meter_readings]
    return close(Posterior(opened(before, layout), layout, sheets, meters))


def in_order(pasts: Iterable[BarePast]) -> tuple[BarePast, ...]:
    """Sittings in order of their days, each told how many sheets its baths had seen before it.

    A sitting that says so itself is believed.
    """
    ordered: list[BarePast] = []
    for past in sorted(pasts, key=lambda p: p.sitting.day):
        ordered.append(replace(past, sitting=numbered(past.sitting, ordered)))
    return tuple(ordered)


def numbered(sitting: BareSitting, earlier: Iterable[BarePast]) -> BareSitting:
    """A sitting that knows how many sheets of earlier ones went through its baths before it."""
    if sitting.sheets_before:
        return sitting
    bath = bath_of(sitting)
    same = (p for p in earlier if bath_of(p.sitting) == bath and p.sitting.day <= sitting.day)
    return replace(sitting, sheets_before=sum(len(p.sheets) for p in same))


def fold(kit: BareKit, pasts: Iterable[BarePast]) -> Belief:
    """Belief after all the sittings, in order of their days."""
    belief = Belief.empty()
    for past in in_order(pasts):
        belief = after(belief, kit, past)
    return belief
