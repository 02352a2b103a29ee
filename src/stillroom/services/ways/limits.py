"""What eye, sitter and heads allow on the other camera, for many candidates at once."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property

import numpy as np
import numpy.typing as npt

from stillroom.camera.focus import Depth, depth_about
from stillroom.documents import kit
from stillroom.exposure import Layout
from stillroom.exposure.ghost import AWAY, chance_ghost_shows
from stillroom.light import USUAL_RECYCLE_S, burst_s, recycle_at_s
from stillroom.paper import ToneCurve, placement
from stillroom.quantity import FloatArray
from stillroom.services.focus_asked import focus_asked
from stillroom.services.focusing import p_eye_sharp
from stillroom.services.stillness import Held, held_as
from stillroom.services.ways.asked import Other, Standing
from stillroom.services.ways.price import circle_mm
from stillroom.sitter import Motion, chance_held, chance_pops_held, pops_smear_mm, smear_mm

DARK_GROUND_STOPS = -3.0
"""Where what stands behind the sitter falls, unless it is aimed (invented)."""
LEAST_S = 1e-5
GAP_STEP_S = 0.05
"""Gaps between pops are told apart no finer (ours)."""
BoolArray = npt.NDArray[np.bool_]
Powered = tuple[kit.Head, FloatArray]
"""A head, and how far below full it is set in each candidate [stops]."""
_LONGEST_S = 600.0
_DEEPEST_MM = 10_000.0


class Limits:
    """What can be held, focused and seen.

    Parameters
    ----------
    other : Other
        Both cameras.
    f_now : float
        Exact f-number of the camera in use [1].
    """

    def __init__(self, other: Other, f_now: float) -> None:
        self.other = other
        self.sitting = other.other.sitting
        distance = other.viewing_distance_m if other.viewing == "on_the_wall" else None
        self.circle = circle_mm(other.other, other.viewing, distance)
        circle_now = circle_mm(other.in_use, other.viewing, distance)
        now = self._depth(other.in_use, np.array([f_now]), circle_now)
        self._total_now = float(_total(now)[0])
        self._p_eye: dict[float, float] = {}

    # ---- focus ------------------------------------------------------------------------------

    def _depth(self, at: Standing, f_exact: FloatArray, circle: float) -> Depth:
        lens = at.lens
        return depth_about(lens.focal_mm, f_exact, circle, at.magnification, lens.pupil_ratio)

    def depth_share(self, f_exact: FloatArray) -> FloatArray:
        """Depth about the eye over that of the camera in use, as both are looked at [1]."""
        return _total(self._depth(self.other.other, f_exact, self.circle)) / self._total_now

    def p_eye(self, mark: float) -> float:
        """Odds that the eye is sharp at a stop, as marked."""
        if mark not in self._p_eye:
            asked = focus_asked(
                self.other.book, self.sitting.id, f_number=mark, viewing=self.other.viewing
            )
            self._p_eye[mark] = p_eye_sharp(asked)
        return self._p_eye[mark]

    @property
    def back_sd_mm(self) -> float:
        """The same by how well it is known where the sheet stands behind the glass."""
        there = self.other.other
        return there.camera.sheet_behind_glass_sd_mm / there.magnification**2

    # ---- stillness ----------------------------------------------------------------------------

    @cached_property
    def held(self) -> Held:
        """How the sitter is held, with what their earlier sheets showed."""
        return held_as(self.other.original, self.other.in_use.sitting)

    @cached_property
    def motion(self) -> Motion:
        """How this sitter moves."""
        return self.held.motion()

    def p_held(self, hold_s: FloatArray, pops: FloatArray, by_pops: BoolArray) -> FloatArray:
        """Odds that the sitter holds still.

        Parameters
        ----------
        hold_s : FloatArray
            For how long: steady light, or from the first pop to the last [s]; 0: nothing to hold.
        pops : FloatArray
            Pops (candidates,).
        by_pops : ndarray of bool
            Where the pops draw the sitter, and not the time between them (candidates,).
        """
        found = np.ones(len(hold_s))
        if self.held.is_card:
            return found
        m = self.other.other.magnification
        steady = (hold_s > 0) & ~by_pops
        burst = (hold_s > 0) & by_pops & (pops > 1)
        if steady.any():
            times = np.clip(hold_s[steady], LEAST_S, _LONGEST_S)
            found[steady] = chance_held(times, m, self.circle, self.motion)
        if burst.any():
            count, gap, at = _bursts(pops[burst], hold_s[burst])
            found[burst] = chance_pops_held(count, gap, m, self.circle, self.motion)[at]
        return found

    def _off_mm(self, pops: FloatArray, apart_s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """How far the sitter's image is off: median [mm] and spread of its logarithm."""
        m = self.other.other.magnification
        times = np.clip(apart_s, LEAST_S, _LONGEST_S)
        moved, log_sd = (np.array(x) for x in smear_mm(times, m, self.motion))
        many = pops > 1
        if many.any():
            count, gap, at = _bursts(pops[many], times[many])
            off, spread = pops_smear_mm(count, gap, m, self.motion)
            moved[many], log_sd[many] = off[at], spread[at]
        return moved, log_sd

    # ---- edges --------------------------------------------------------------------------------

    def p_ghost(
        self,
        share: FloatArray,
        pops: FloatArray,
        apart_s: FloatArray,
        layout: Layout,
        region: str,
    ) -> FloatArray:
        """Odds that a second edge shows: of steady light beside flash, or of one pop by another.

        Parameters
        ----------
        share : FloatArray
            Share of steady light at the region [1].
        pops : FloatArray
            Pops [1].
        apart_s : FloatArray
            From the first light of the sheet to the last [s].
        layout : Layout
            For the paper and the aims.
        region : str
            The region whose edge it is.
        """
        by_pops = np.where(pops > 1, (1 - share) * (pops - 1) / pops, 0.0)
        steady = AWAY * share
        second = np.minimum(np.maximum(steady, by_pops), 0.5)
        moved, log_sd = self._off_mm(pops, apart_s)
        curve = _curve(layout)
        here, beside = (_placed(layout, name, curve) for name in (region, "bg"))
        shown = chance_ghost_shows(
            second,
            DARK_GROUND_STOPS if here is None else here,
            DARK_GROUND_STOPS if beside is None else beside,
            curve,
            displacement_mm=moved,
            displacement_log_sd=log_sd,
            visible_mm=self.circle,
            away=1.0,
        )
        return np.asarray(np.where((second > 0) & (not self.held.is_card), shown, 0.0))

    # ---- firing -------------------------------------------------------------------------------

    def burst_s(self, pops: FloatArray, heads: Iterable[Powered]) -> FloatArray:
        """From the first pop to the last, no pop before every head is charged again [s].

        Parameters
        ----------
        pops : FloatArray
            Pops (candidates,).
        heads : iterable of (Head, FloatArray)
            Each head that fires, and how far below full it is set (candidates,) [stops].
        """
        longest = np.zeros(len(pops))
        for head, stops in heads:
            full = USUAL_RECYCLE_S if head.recycle_s is None else head.recycle_s
            longest = np.maximum(longest, recycle_at_s(full, 1.0, 1.0) * np.exp2(stops))
        gaps = {float(n): burst_s(round(float(n)), 1.0) for n in np.unique(pops)}
        return np.array([gaps[float(n)] for n in pops]) * longest


def _bursts(
    pops: FloatArray, length_s: FloatArray
) -> tuple[FloatArray, FloatArray, npt.NDArray[np.intp]]:
    """Each burst once, its gap to a twentieth of a second: pops, gaps [s], and which is whose."""
    gaps = np.maximum(np.round(length_s / (pops - 1) / GAP_STEP_S), 1) * GAP_STEP_S
    pairs, at = np.unique(np.stack([pops, gaps], axis=1), axis=0, return_inverse=True)
    return pairs[:, 0], pairs[:, 1], np.asarray(at, dtype=np.intp).reshape(-1)


def _total(depth: Depth) -> FloatArray:
    behind = np.minimum(np.asarray(depth.behind_mm), _DEEPEST_MM)
    return np.asarray(np.asarray(depth.before_mm) + behind)


def _curve(layout: Layout) -> ToneCurve:
    at = layout.curve
    contrast, asymmetry, dmin, dmax = (layout.terms[i].mean for i in at.four)
    return ToneCurve(math.exp(contrast + at.filter_log), math.exp(asymmetry), dmin, dmax)


def _placed(layout: Layout, region: str, curve: ToneCurve) -> float | None:
    """Where a region is aimed [stops]; None where it is not."""
    aim = layout.aims.get(region)
    if aim is None:
        return None
    if aim.placement_stops is not None:
        return aim.placement_stops
    four = (curve.contrast_per_stop, curve.asymmetry, curve.dmin, curve.dmax)
    return float(placement(np.array(aim.density), *four))
