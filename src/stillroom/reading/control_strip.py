"""A control strip against its reference run: how the bath stands, apart from lamps and paper."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from stillroom.errors import OutOfRange, in_range
from stillroom.paper import ToneCurve
from stillroom.quantity import FloatArray
from stillroom.reading.spreads import SD_DENSITY

READING_SD_DENSITY = SD_DENSITY["densitometer"]
STEP_SCATTER_SD_STOPS = 0.05  # invented, plausible: from one offcut of a lot to the next
RUN_SD_STOPS = 0.05  # invented, plausible: one run of the line against another
LEAST_SLOPE_DENSITY_PER_STOP = 0.15
"""Where a third of a stop moves a tone by less than an eye or a densitometer tells surely."""
DARK_FROM_SHARE = 0.75
"""A step is dark when so much of the density range stands in it: there thin blacks show."""
ODD_FROM_SD = 2.5
LEAST_BLACK_LOSS_DENSITY = 0.05
SHAPE_SHARE = 0.5  # invented: how far a curve's dark end may bend otherwise than its middle

Unread = Literal["no_common_step", "too_flat", "dark_only"]


@dataclass(frozen=True, slots=True)
class BathShift:
    """What one control strip says against another.

    Attributes
    ----------
    value_stops : float or None
        The bath less the bath of the reference: below zero weaker, tones land darker [stops].
        None where no step tells.
    sd_stops : float
        Its standard uncertainty [stops]; 0 without a value.
    steps : tuple of str
        The steps that it rests on.
    black_loss : float
        How much thinner the dark steps are than the middle ones explain [density]; below zero
        the reference was thinner, 0 where dark and middle steps agree.
    unread : str
        Why there is no value, else empty.
    """

    value_stops: float | None
    sd_stops: float = 0.0
    steps: tuple[str, ...] = ()
    black_loss: float = 0.0
    unread: Unread | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class _Step:
    name: str
    before: float
    now: float
    share: float
    """Share of the density range in the darker of the two, 0 bare paper to 1 black."""
    shift_stops: float | None
    sd_stops: float
    slope: float
    """The lesser of the two slopes [density/stop], above zero."""

    @property
    def is_dark(self) -> bool:
        return self.share > DARK_FROM_SHARE


def bath_shift(
    reference: Mapping[str, float],
    run: Mapping[str, float],
    curve: ToneCurve,
    *,
    reference_sd_density: float = READING_SD_DENSITY,
    run_sd_density: float = READING_SD_DENSITY,
    slope_log_sd: float = 0.0,
) -> BathShift:
    """Return how far the bath stands from where it stood at the reference.

    Parameters
    ----------
    reference, run : mapping of str to float
        Density of each step by its name [density]; steps of both are compared.
    curve : ToneCurve
        Tone curve of the batch.
    reference_sd_density, run_sd_density : float
        Spread of one reading of each strip [density], above 0.
    slope_log_sd : float
        Standard uncertainty of the natural log of the curve's slope [1].

    Returns
    -------
    BathShift
        The difference, or why there is none.

    Raises
    ------
    OutOfRange
        If a density or a spread lies outside its range.

    Notes
    -----
    Each step's density is led back through the curve to a placement; the differences are joined
    by their spreads, in which the slope of the curve stands: a step near black or near bare
    paper says little, and below 0.15 density a stop nothing. Where the steps disagree by more
    than their spreads, the spread is widened by what they disagree.

    Speed is read from middle tones. A dark step counts only while it agrees with them, for thin
    blacks (second development or re-exposure too short) look like more exposure there. What the
    same fault may have taken from the middle, at most in proportion, widens the spread.

    References
    ----------
    Widening by the ratio of found to expected scatter: R. T. Birge, The calculation of errors
    by the method of least squares, Physical Review 40 (1932), p. 207 (from memory). Thin blacks
    are a fault of the second development: stated in period manuals on reversal, no figures.

    Examples
    --------
    >>> curve = ToneCurve(1.5, 1.0, 0.08, 1.9)
    >>> made = {"1": curve.density(0.6), "2": curve.density(-0.4)}
    >>> weaker = {"1": curve.density(0.3), "2": curve.density(-0.7)}
    >>> found = bath_shift(made, weaker, curve)
    >>> round(found.value_stops, 2), found.steps
    (-0.3, ('1', '2'))
    >>> thin = {"1": made["1"], "2": made["2"], "3": 1.5}
    >>> found = bath_shift({**made, "3": 1.8}, thin, curve)
    >>> round(found.value_stops, 2) + 0.0, found.steps, round(found.black_loss, 1)
    (0.0, ('1', '2'), 0.3)
    """
    spreads = (
        in_range("reading spread of the reference", reference_sd_density, 1e-6, 1, "density"),
        in_range("reading spread of the run", run_sd_density, 1e-6, 1, "density"),
    )
    steps = [
        _step(name, reference[name], run[name], curve, spreads)
        for name in sorted(set(reference) & set(run))
    ]
    if not steps:
        return BathShift(None, unread="no_common_step")
    middle = [s for s in steps if s.shift_stops is not None and not s.is_dark]
    if not middle:
        return BathShift(None, unread="dark_only" if any(s.is_dark for s in steps) else "too_flat")
    dark = [s for s in steps if s.is_dark]
    value, sd = _joined(middle)
    lack, least = _black_lack(dark, value, sd, curve, spreads)
    is_odd = abs(lack) > least
    used = middle
    if not is_odd:
        used = [s for s in steps if s.shift_stops is not None]
        value, sd = _joined(used)
    sd = math.hypot(sd, RUN_SD_STOPS, slope_log_sd * value, _taken(middle, lack))
    return BathShift(value, sd, tuple(s.name for s in used), lack if is_odd else 0.0)


def _step(
    name: str, before: float, now: float, curve: ToneCurve, spreads: tuple[float, float]
) -> _Step:
    for density in (before, now):
        in_range(f"density of step {name}", density, -0.1, 4.0)
    share = (max(before, now) - curve.dmin) / (curve.dmax - curve.dmin)
    places = [_placement(curve, density) for density in (before, now)]
    slopes = [0.0 if p is None else -curve.slope(p) for p in places]
    slope = min(slopes)
    if places[0] is None or places[1] is None or slope < LEAST_SLOPE_DENSITY_PER_STOP:
        return _Step(name, before, now, share, None, 0.0, slope)
    sd = math.hypot(
        *(sd / slope for sd, slope in zip(spreads, slopes, strict=True)),
        math.sqrt(2) * STEP_SCATTER_SD_STOPS,
    )
    return _Step(name, before, now, share, places[1] - places[0], sd, slope)


def _placement(curve: ToneCurve, density: float) -> float | None:
    try:
        return curve.placement(density)
    except OutOfRange:
        return None  # black or bare: it tells no exposure


def _joined(steps: list[_Step]) -> tuple[float, float]:
    shifts = np.array([s.shift_stops for s in steps], dtype=np.float64)
    weight = np.array([s.sd_stops**-2 for s in steps])
    value = float(weight @ shifts / weight.sum())
    found = float(weight @ (shifts - value) ** 2)
    wider = max(1.0, found / (len(steps) - 1)) if len(steps) > 1 else 1.0
    return value, math.sqrt(wider / float(weight.sum()))


def _black_lack(
    dark: list[_Step],
    value: float,
    sd_stops: float,
    curve: ToneCurve,
    spreads: tuple[float, float],
) -> tuple[float, float]:
    """How much dark steps lack against what the middle lets expect, and from where it is odd."""
    if not dark:
        return 0.0, LEAST_BLACK_LOSS_DENSITY
    lacks: list[float] = []
    variances: list[float] = []
    for step in dark:
        place = _placement(curve, step.before)
        slope = 0.0 if place is None else -curve.slope(place)
        expected = step.before if place is None else curve.density(place + value)
        stops = math.hypot(sd_stops, math.sqrt(2) * STEP_SCATTER_SD_STOPS)
        lacks.append(expected - step.now)
        variances.append(
            spreads[0] ** 2
            + spreads[1] ** 2
            + (slope * stops) ** 2
            + (SHAPE_SHARE * (expected - step.before)) ** 2
        )
    weight: FloatArray = 1.0 / np.array(variances)
    lack = float(weight @ np.array(lacks) / weight.sum())
    return lack, max(LEAST_BLACK_LOSS_DENSITY, ODD_FROM_SD / math.sqrt(float(weight.sum())))


def _taken(middle: list[_Step], lack: float) -> float:
    """The most that whatever thinned the blacks may have moved the middle steps [stops]."""
    weight = np.array([s.sd_stops**-2 for s in middle])
    most = np.array([s.share * abs(lack) / s.slope for s in middle])
    return float(weight @ most / weight.sum())
