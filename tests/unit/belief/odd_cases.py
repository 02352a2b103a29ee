"""Invented odd sheets: a hidden state of the world, one slip, scatter, a scanner.

Nothing here is shared with the code under test but the light of a state, its tone curve and what
paper does with a share of flare; what each slip does is written down a second time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from stillroom.belief import LaidSheet, Posterior, exposures, opened
from stillroom.belief.explanations import Slip
from stillroom.exposure import BareReading, BareRegionReading, BareSettings, BareSheet, Layout
from stillroom.paper import density
from stillroom.services.worktable import Worktable
from tests.unit.services.odd_book import before_odd

SCAN_SD = 0.04
SHEET_SD, REGION_SD = 0.18, 0.07


@dataclass(frozen=True)
class Scene:
    """A portrait sitting on Quarry Lane after its three sheets."""

    posterior: Posterior
    layout: Layout
    settings: BareSettings
    regions: tuple[str, ...]


def scene(more: tuple[str, ...] = ()) -> Scene:
    """A fourth sheet is about to be made as the third; `more` regions are read besides."""
    table = Worktable(before_odd(), "OM")
    standing = table.standing()
    layout = table.layout(standing)
    before = opened(table.before(), layout)
    posterior = Posterior(before, layout, table.laid_sheets(), table.laid_meters())
    regions = (*layout.aims, *more)
    return Scene(posterior, posterior.layout, table.bare_settings(standing), regions)


@dataclass(frozen=True)
class World:
    """What one slip makes of a sheet: light by region and source, and the paper."""

    light: np.ndarray
    curve: tuple[float, float, float, float]
    all_stops: float = 0.0
    added: float = 0.0
    thinner: float = 0.0


def odd_sheet(of: Scene, kind: Slip, role: str, rng: np.random.Generator) -> LaidSheet:
    """One sheet with that slip of that light, read by a scanner."""
    states = of.posterior.states()
    s = 2 * int(rng.integers(states.count // 2)) + 1
    settings, factor = made(of, kind, role, rng)
    light = exposures(states, of.layout, settings)[s, 0] * factor
    c = states.curves
    curve = tuple(float(x[s, 0]) for x in (c.contrast, c.asymmetry, c.dmin, c.dmax))
    world = in_the_line(World(light, curve), kind, rng)  # type: ignore[arg-type]
    total = world.light.sum(axis=1) + world.added
    if of.layout.veil is not None:
        total = total + 2.0 ** states.theta[s, of.layout.veil] * total.mean()
    own = SHEET_SD * rng.standard_normal() + world.all_stops
    placed = np.log2(total) + own + REGION_SD * rng.standard_normal(len(total))
    kappa, nu, dmin, dmax = world.curve
    tones = density(placed, kappa, nu, dmin, dmax)
    tones = tones - world.thinner * ((tones - dmin) / (dmax - dmin)) ** 3
    seen = tones + SCAN_SD * rng.standard_normal(len(tones))
    read = {
        r: BareRegionReading(density=float(np.clip(seen[of.layout.regions.index(r)], -0.3, 4)))
        for r in of.regions
    }
    return LaidSheet(of.layout, BareSheet(of.settings, BareReading(read)))


def made(
    of: Scene, kind: Slip, role: str, rng: np.random.Generator
) -> tuple[BareSettings, np.ndarray]:
    """What was really set, and what each source gives each region beside that [factor]."""
    layout, settings = of.layout, of.settings
    factor = np.ones((len(layout.regions), len(layout.roles)))
    j = layout.roles.index(role) if role else 0
    if kind is Slip.DIAL:
        stood, scale = settings.dial_stops[role], layout.dials[role]
        ways = [d for d in (-3, -2, -4 / 3, -1, -2 / 3, 2 / 3, 1, 4 / 3, 2, 3)
                if scale.min_stops <= stood + d <= scale.max_stops]  # fmt: skip
        dials = {**settings.dial_stops, role: stood + float(rng.choice(ways))}
        return replace(settings, dial_stops=dials), factor
    if kind is Slip.STOP:
        marks = sorted(layout.f_numbers)
        at = marks.index(settings.f_number)
        near = [marks[i] for i in (at - 2, at - 1, at + 1, at + 2) if 0 <= i < len(marks)]
        return replace(settings, f_number=float(rng.choice(near))), factor
    if kind is Slip.POPS:
        n = settings.pops
        ways = [m for m in (n - 1, n + 1, 2 * n) if m >= 1]
        return replace(settings, pops=int(rng.choice(ways))), factor
    if kind is Slip.NOT_FIRED:
        factor[:, j] = 0.0
    elif kind is Slip.NOT_CHARGED:
        factor[:, j] = 2.0 ** -rng.uniform(0.5, 2.0)
    elif kind is Slip.KNOCKED:
        factor[:, j] = 2.0 ** (rng.normal(-0.5, 0.8) + 0.5 * rng.standard_normal(len(factor)))
    elif kind in (Slip.MODIFIER_OFF, Slip.MODIFIER_ON):
        sign = 1 if kind is Slip.MODIFIER_OFF else -1
        source = layout.sitting.sources[j]
        lost = next(m.loss_stops for m in layout.kit.modifiers if m.id in source.modifiers)
        factor[:, j] = 2.0 ** (sign * rng.normal(lost, 0.3))
    return settings, factor


def in_the_line(world: World, kind: Slip, rng: np.random.Generator) -> World:
    """What happens to the paper, its baths and its box."""
    kappa, nu, dmin, dmax = world.curve
    if kind is Slip.SPOILED:
        return replace(world, all_stops=rng.normal(0, 1.5))
    if kind is Slip.TIRED:
        return replace(world, all_stops=-rng.uniform(0.2, 1.0))
    if kind is Slip.WRONG_SIDE:
        turned = (0.7 * kappa, nu, dmin, dmax)
        return replace(world, curve=turned, all_stops=-rng.uniform(2, 4))
    if kind is Slip.THIN_BLACKS:
        return replace(world, thinner=rng.uniform(0.15, 0.6))
    if kind is Slip.VEIL:
        return replace(world, added=2.0 ** rng.uniform(-4, 1))
    return world


def size_of_slip(seen: LaidSheet, plain: LaidSheet) -> float:
    """Largest difference of tone between two sheets read in the same regions [density]."""
    one, other = seen.sheet.reading, plain.sheet.reading
    assert one is not None
    assert other is not None
    apart = [
        abs((value.density or math.nan) - (other.regions[r].density or math.nan))
        for r, value in one.regions.items()
    ]
    return max(apart)
