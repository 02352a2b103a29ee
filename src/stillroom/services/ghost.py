"""Steady light beside a flash, region by region and state by state of what is believed."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stillroom.advice import scatter_scores
from stillroom.belief import Curves, Posterior, States, exposures, still_stops, stream, with_veil
from stillroom.documents import book as doc
from stillroom.documents.ghost import SteadyShare
from stillroom.exposure import (
    BareSettings,
    EdgeSteps,
    ManyTones,
    chance_ghost_shows,
    chance_shines_through,
    edge_steps,
)
from stillroom.exposure.ghost import AWAY
from stillroom.light import OPENED_BY, colour_stops
from stillroom.quantity import FloatArray
from stillroom.services.stillness import Held
from stillroom.services.worktable import Worktable
from stillroom.sitter import smear_mm
from stillroom.sitter.sway import OPEN_RANGE_S

STATES_EACH = 4
"""One state in so many is enough for odds to a tenth."""
MODELLING_SD_STOPS = 0.5
"""How far the light of a modelling lamp is off, by its watts (invented)."""
TIMES_S = np.geomspace(0.01, 600.0, 33)
"""Open times that are tried."""
DARKEST_STOPS = 16.0
GROUND = "bg"
BESIDE = {"forehead": "hair"}
"""What stands beside a region where it is not the ground (invented)."""
USUALLY_SHOWN = ("key", "shadow")
"""Regions whose edges count, aimed at or not."""
LEAST_LIGHT = 1e-12
MARGINS_STOPS = np.arange(-12.0, 16.01, 0.125)
FAR_MM = 1000.0
"""A movement beside which no width that is seen counts."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Under which conditions it is asked.

    Attributes
    ----------
    room_state : str or None
        State of the room; as the sitting says unless given.
    modelling : bool
        Whether modelling lamps are on.
    darker_stops : float
        How much darker the light of the place is than believed [stops].
    """

    room_state: str | None = None
    modelling: bool = False
    darker_stops: float = 0.0


class GhostLight:
    """The light of one sheet, parted into flash and steady light, in many states at once.

    Parameters
    ----------
    table : Worktable
        The sitting.
    settings : Settings
        How the sheet is set.
    posterior : Posterior
        What is believed.
    held : Held
        How the sitter is held.
    asked : Asked
        Under which conditions.

    Raises
    ------
    BadValue
        If no light is on.
    """

    def __init__(
        self,
        table: Worktable,
        settings: doc.Settings,
        posterior: Posterior,
        held: Held,
        asked: Asked,
    ) -> None:
        plain = settings.model_copy(update={"steps_pops": None})
        self.held, self.asked, self._table = held, asked, table
        self.layout = table.layout(plain, asked.room_state)
        self.bare = table.bare_settings(plain)
        every = posterior.states(self.layout)
        some = slice(None, None, STATES_EACH)
        c = every.curves
        curves = Curves(c.contrast[some], c.asymmetry[some], c.dmin[some], c.dmax[some])
        self.states = States(every.theta[some], curves, every.sheet_sd[some])
        self._still = still_stops(self.states, self.layout)
        sources = self.layout.sitting.sources
        self._steady = np.array([s.kind == "continuous" for s in sources])
        of_place = {x.role for x in table.sitting.lights if x.kind not in ("head", "lamp")}
        self._of_place = np.array([s.role in of_place for s in sources])
        self._scores = scatter_scores(self.states.count, 1)[:, 0]

    # ---- what there is ----------------------------------------------------------------------

    @property
    def has_flash(self) -> bool:
        """Whether a head is on."""
        return bool(self.layout.flash.any())

    @property
    def has_steady(self) -> bool:
        """Whether steady light is written down, modelling lamps counted where they are on."""
        lamps = self.asked.modelling and bool(self.modelling_roles)
        return bool(self._steady.any()) or lamps

    @cached_property
    def modelling_roles(self) -> tuple[str, ...]:
        """Lights whose heads have a modelling lamp."""
        heads = {h.id: h for h in self._table.book.kit.heads}
        return tuple(
            s.role
            for s in self.layout.sitting.sources
            if s.kind == "flash" and s.head in heads and heads[s.head].modelling_w
        )

    @cached_property
    def regions(self) -> tuple[str, ...]:
        """Regions whose edges are looked at: the face, and what is aimed at."""
        wanted = dict.fromkeys((*USUALLY_SHOWN, *self.layout.aims))
        return tuple(r for r in wanted if r != GROUND and r in self.layout.regions)

    def beside(self, region: str) -> str:
        """What stands beside a region."""
        return BESIDE.get(region, GROUND)

    # ---- light ------------------------------------------------------------------------------

    def parts(self, open_s: float, *, sd_s: float = 0.0) -> tuple[FloatArray, FloatArray]:
        """Steady light and all light over the mid-tone's, each (states, regions).

        Parameters
        ----------
        open_s : float
            How long the lens is open, all openings together [s].
        sd_s : float
            How far that may be off [s].
        """
        each = replace(self.bare, seconds=open_s / self.bare.pops)
        light = exposures(self.states, self.layout, each, self._still)[:, 0]
        darker = np.where(self._of_place, 2.0**-self.asked.darker_stops, 1.0)
        light *= np.where(self._steady, darker, 1.0)
        if sd_s:
            off = np.exp2(self._scores * sd_s / (open_s * math.log(2)))
            light *= np.where(self._steady, off[:, None, None], 1.0)
        steady = light[:, :, self._steady].sum(axis=2)
        whole = light.sum(axis=2)
        if self.asked.modelling:
            lamps = self.modelling(open_s)
            steady, whole = steady + lamps, whole + lamps
        return steady, with_veil(self.states, self.layout, whole)

    def modelling(self, open_s: float) -> FloatArray:
        """Light of the modelling lamps over the mid-tone's (states, regions)."""
        total = np.zeros(self._still.shape[:2])
        table, layout, theta = self._table, self.layout, self.states.theta
        heads = {h.id: h for h in table.book.kit.heads}
        lamp = colour_stops("tungsten", table.batch.sees, [table.lens.passes])
        once = BareSettings({}, self.bare.f_number, 1, open_s)
        full = exposures(self.states, layout, once, self._still)[:, 0]
        loss = theta[:, layout.index["kit/reciprocity"]]
        past = max(0.0, math.log2(open_s))
        for j, source in enumerate(layout.sitting.sources):
            if source.role not in self.modelling_roles or source.head is None:
                continue
            head = heads[source.head]
            lumens = (head.modelling_w or 0.0) * head.modelling_lm_per_w
            intensity = math.log2(lumens * head.reflector_factor / (4 * math.pi))
            off = stream(f"{layout.sitting.id}/modelling/{head.id}").standard_normal(len(theta))
            # What comes after tube and lamp is the same: reflector, fronts, distance, geometry.
            stops = (
                intensity
                - theta[:, layout.index[f"head/{head.id}/output"]]
                + lamp.value
                - source.actinic_stops
                + math.log2(open_s)
                - loss * past
                + off * math.hypot(MODELLING_SD_STOPS, lamp.u)
            )
            total += full[:, :, j] * np.exp2(stops)[:, None]
        return total

    def share(self, open_s: float, region: str) -> FloatArray:
        """Steady light's share of a region's exposure in each state [1]."""
        steady, whole = self.parts(open_s)
        at = self.layout.regions.index(region)
        return np.asarray(steady[:, at] / whole[:, at])

    def spread(self, open_s: float, region: str) -> SteadyShare:
        """The same with its range."""
        return share_range(self.share(open_s, region))

    # ---- edges ------------------------------------------------------------------------------

    def steps(self, open_s: float, region: str, away: float = AWAY) -> EdgeSteps:
        """Steps along an edge in each state, for a share of the time away."""
        steady, whole = self.parts(open_s)
        here, there = self._at(region), self._at(self.beside(region))
        return edge_steps(
            steady[:, here] / whole[:, here],
            _stops(whole[:, here]),
            _stops(whole[:, there]),
            self._tones,
            beside_share=steady[:, there] / whole[:, there],
            away=away,
        )

    def p_shows(
        self, open_s: float, region: str, *, sd_s: float = 0.0, held: Held | None = None
    ) -> float:
        """Chance that a second edge shows at a region."""
        return self.shows(open_s, sd_s=sd_s, held=held)[region]

    def worst(self, open_s: float, *, sd_s: float = 0.0, held: Held | None = None) -> float:
        """The same at the region where it is likeliest."""
        return max(self.shows(open_s, sd_s=sd_s, held=held).values())

    def shows(
        self, open_s: float, *, sd_s: float = 0.0, held: Held | None = None
    ) -> dict[str, float]:
        """The same at every region."""
        held = held or self.held
        if held.is_card or not self.has_flash or not self.has_steady:
            return dict.fromkeys(self.regions, 0.0)
        moved, log_sd = moved_mm(open_s, held)
        steady, whole = self.parts(open_s, sd_s=sd_s)
        here = [self._at(r) for r in self.regions]
        there = [self._at(self.beside(r)) for r in self.regions]
        tones = self._tones
        shown = chance_ghost_shows(
            steady[:, here] / whole[:, here],
            _stops(whole[:, here]),
            _stops(whole[:, there]),
            ManyTones(
                tones.contrast_per_stop[:, None],
                tones.asymmetry[:, None],
                tones.dmin[:, None],
                tones.dmax[:, None],
            ),
            displacement_mm=moved,
            displacement_log_sd=log_sd,
            visible_mm=held.allowed_mm,
            beside_share=steady[:, there] / whole[:, there],
        )
        return dict(zip(self.regions, shown.mean(axis=0).tolist(), strict=True))

    def p_through(self, open_s: float, away_s: float, region: str) -> float:
        """Chance that what stands behind is seen through a sitter who was away for a while."""
        if not self.has_steady:
            return 0.0
        steady, whole = self.parts(open_s)
        here, there = self._at(region), self._at(GROUND)
        shown = chance_shines_through(
            steady[:, here] / whole[:, here],
            _stops(whole[:, here]),
            _stops(whole[:, there]),
            self._tones,
            away=min(1.0, away_s / open_s),
            behind_share=steady[:, there] / whole[:, there],
        )
        return float(shown.mean())

    def under_stops(self, open_s: float, region: str, odds: float) -> float:
        """How far steady light lies below what would show, however far the head moved [stops].

        Grown by so much, a second edge would still not show with these odds, counted as
        `p_shows` counts them; below 0 where it may show already.
        """
        steady, whole = self.parts(open_s)
        rest = np.maximum(whole - steady, 0.0)
        here, there = self._at(region), self._at(self.beside(region))
        reached = float(MARGINS_STOPS[0])
        # Upwards, for where much light burns everything out no step is seen any more.
        for more_stops in map(float, MARGINS_STOPS):
            more = 2.0**more_stops * steady
            total = rest + more
            shown = chance_ghost_shows(
                more[:, here] / total[:, here],
                _stops(total[:, here]),
                _stops(total[:, there]),
                self._tones,
                displacement_mm=FAR_MM,
                displacement_log_sd=0.0,
                visible_mm=self.held.allowed_mm,
                beside_share=more[:, there] / total[:, there],
            )
            if float(shown.mean()) > 1 - odds:
                break
            reached = more_stops
        return reached

    def darker(self, stops: float) -> GhostLight:
        """The same in a place that is darker by so much [stops]."""
        other = copy.copy(self)
        other.asked = replace(self.asked, darker_stops=stops)
        return other

    @cached_property
    def _tones(self) -> ManyTones:
        c = self.states.curves
        return ManyTones(c.contrast[:, 0], c.asymmetry[:, 0], c.dmin[:, 0], c.dmax[:, 0])

    def _at(self, region: str) -> int:
        return self.layout.regions.index(region)


def moved_mm(open_s: float, held: Held) -> tuple[float, float]:
    """How far the steady image moves on the sheet: median [mm] and log spread [1]."""
    if held.is_card:
        return 0.0, 0.0
    low, high = OPEN_RANGE_S
    median, log_sd = smear_mm(min(max(open_s, low), high), held.magnification, held.motion())
    return float(median), float(log_sd)


def share_range(share: FloatArray) -> SteadyShare:
    """A share in each state, as a mean with its range."""
    low, mid, high = (float(q) for q in np.quantile(share, (0.05, 0.5, 0.95)))
    return SteadyShare(mean=float(share.mean()), q05=low, q50=mid, q95=high)


def longest_s(light: GhostLight, odds: float) -> float | None:
    """The longest the lens may be open with these odds that no second edge shows [s].

    Returns
    -------
    float or None
        As `first_over`.
    """
    return first_over(light.worst, odds)


def first_over(shows: Callable[[float], float], odds: float) -> float | None:
    """The open time from which on the odds that nothing shows are not given [s].

    Parameters
    ----------
    shows : callable
        Open time [s] to the chance that it shows [1].
    odds : float
        Wanted that it does not [1].

    Returns
    -------
    float or None
        None where they still are at 600 s; 0 where not even the shortest time tried gives them.
    """
    before: float | None = None
    for t in map(float, TIMES_S):
        if shows(t) > 1 - odds:
            if before is None:
                return 0.0
            return _last(lambda x: shows(x) <= 1 - odds, before, t, 6)
        before = t
    return None


def darker_stops(light: GhostLight, open_s: float, odds: float, *, sd_s: float = 0.0) -> float:
    """How much darker the place would have to be for these odds [stops]; at most 16."""

    def is_dark(stops: float) -> bool:
        return light.darker(stops).worst(open_s, sd_s=sd_s) <= 1 - odds

    if is_dark(0.0):
        return 0.0
    return _first(is_dark, 0.0, DARKEST_STOPS, 7) if is_dark(DARKEST_STOPS) else DARKEST_STOPS


def _last(holds: Callable[[float], bool], low: float, high: float, halvings: int) -> float:
    """Where something ends to hold that does at `low` and not at `high`; a hair before."""
    for _ in range(halvings):
        mid = (low + high) / 2
        low, high = (mid, high) if holds(mid) else (low, mid)
    return low


def _first(holds: Callable[[float], bool], low: float, high: float, halvings: int) -> float:
    """Where something begins to hold that does at `high` and not at `low`; a hair beyond."""
    for _ in range(halvings):
        mid = (low + high) / 2
        low, high = (low, mid) if holds(mid) else (mid, high)
    return high


def least_open_s(settings: doc.Settings, fires: str | None, planned_s: float) -> float:
    """The planned open time, or the shortest that a hand can make [s]."""
    if fires is None:
        return planned_s
    openings = 1 if settings.opening == "held_open" else settings.pops
    return max(planned_s, OPENED_BY[fires].least_s * openings)


def _stops(light: FloatArray) -> FloatArray:
    return np.asarray(np.log2(np.maximum(light, LEAST_LIGHT)))
