"""The dial of a head: what its scale shows and how many stops below full that is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from stillroom.errors import BadValue, OutOfRange, in_range
from stillroom.light.limits import ENERGY_RANGE_WS
from stillroom.quantity import FloatArray

DialKind = Literal["stops", "fraction", "energy"]
_LOWEST_STOPS = -15.0
_MOST_STEPS = 10_000
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Dial:
    """The scale of a head's dial.

    Parameters
    ----------
    kind : {"stops", "fraction", "energy"}
        ``stops``: 0 at full and negative below; ``fraction``: 1, 0.5, 0.25 of full; ``energy``:
        watt-seconds.
    min, max : float
        Ends of the scale, as it shows them [stops, 1 or W s].
    step : float
        From one settable position to the next: in stops for ``stops`` and ``fraction``
        (0.1 or 1/3), in watt-seconds for ``energy``. Steps are counted from `max`.

    Raises
    ------
    BadValue
        If the kind is none of the three.
    OutOfRange
        If an end or the step cannot be.

    Examples
    --------
    >>> Dial("stops", -7, 0, 0.1).max
    0
    """

    kind: DialKind
    min: float
    max: float
    step: float

    def __post_init__(self) -> None:
        if self.kind not in ("stops", "fraction", "energy"):
            raise BadValue("dial kind", self.kind, "choose stops, fraction or energy")
        low, high, unit = {
            "stops": (_LOWEST_STOPS, 0.0, "stops"),
            "fraction": (2.0**_LOWEST_STOPS, 1.0, ""),
            "energy": (*ENERGY_RANGE_WS, "W·s"),
        }[self.kind]
        top = in_range("dial max", self.max, low, high, unit)
        bottom = in_range("dial min", self.min, low, top, unit)
        span = math.log2(top / bottom) if self.kind == "fraction" else top - bottom
        steps_unit = "W·s" if self.kind == "energy" else "stops"
        if span > 0 or self.step <= 0:
            smallest = max(span / _MOST_STEPS, 1e-6)
            in_range("dial step", self.step, smallest, max(span, smallest), steps_unit)


def settings_stops(dial: Dial, full_energy_ws: float | None = None) -> FloatArray:
    """Return every settable position of a dial, from the least light to the most.

    Parameters
    ----------
    dial : Dial
        Its scale.
    full_energy_ws : float, optional
        Energy at full [W s]; an ``energy`` dial needs it.

    Returns
    -------
    FloatArray
        Stops below full [stops], rising, each zero or negative.

    Raises
    ------
    BadValue
        If an ``energy`` dial has no full energy.
    OutOfRange
        If the scale reaches above full.

    Examples
    --------
    >>> settings_stops(Dial("fraction", 0.25, 1, 0.5)).tolist()
    [-2.0, -1.5, -1.0, -0.5, 0.0]
    """
    if dial.kind == "energy":
        return np.asarray(np.log2(_scale(dial) / _full(dial, full_energy_ws)))
    return _steps_of(dial)


def stops_below_full(dial: Dial, reading: float, full_energy_ws: float | None = None) -> float:
    """Return the stops below full that a reading of the dial stands for.

    Parameters
    ----------
    dial : Dial
        Its scale.
    reading : float
        What the dial shows [stops, 1 or W s].
    full_energy_ws : float, optional
        Energy at full [W s]; an ``energy`` dial needs it.

    Returns
    -------
    float
        Stops [stops], zero or negative.

    Raises
    ------
    OutOfRange
        If the reading is off the scale.
    BadValue
        If an ``energy`` dial has no full energy.

    Notes
    -----
    A mark stands for its exact step: -1.3 on a dial in thirds is -4/3. A reading that is no
    rounded step is taken as it stands.

    Examples
    --------
    >>> round(stops_below_full(Dial("energy", 75, 1200, 25), 350, 1200), 3)
    -1.778
    >>> round(stops_below_full(Dial("stops", -7, 0, 1 / 3), -1.3), 3)
    -1.333
    """
    if dial.kind == "energy":
        return math.log2(
            in_range("dial", reading, dial.min, dial.max, "W·s") / _full(dial, full_energy_ws)
        )
    steps, scale = settings_stops(dial), _scale(dial)
    places = (1, 2) if dial.kind == "stops" else (2, 3)
    if math.isfinite(reading):
        nearest = int(np.argmin(np.abs(scale - reading)))
        if _is_mark_of(reading, float(scale[nearest]), places):
            return float(steps[nearest])
    shown = in_range("dial", reading, dial.min, dial.max, "stops" if dial.kind == "stops" else "")
    return shown if dial.kind == "stops" else math.log2(shown)


def reading_for_stops(dial: Dial, stops: float, full_energy_ws: float | None = None) -> float:
    """Return the settable reading nearest to a number of stops below full.

    Parameters
    ----------
    dial : Dial
        Its scale.
    stops : float
        Wanted stops below full [stops], zero or negative.
    full_energy_ws : float, optional
        Energy at full [W s]; an ``energy`` dial needs it.

    Returns
    -------
    float
        What to set on the dial [stops, 1 or W s].

    Raises
    ------
    OutOfRange
        If the scale does not reach that far, by more than half its last step.
    BadValue
        If an ``energy`` dial has no full energy.

    Examples
    --------
    >>> reading_for_stops(Dial("energy", 75, 1200, 25), -1.8, 1200)
    350.0
    """
    steps = settings_stops(dial, full_energy_ws)
    low = steps[0] - (steps[1] - steps[0]) / 2 if len(steps) > 1 else steps[0]
    high = steps[-1] + (steps[-1] - steps[-2]) / 2 if len(steps) > 1 else steps[-1]
    if not (math.isfinite(stops) and low - _ROUNDING <= stops <= high + _ROUNDING):
        raise OutOfRange("dial", stops, float(steps[0]), float(steps[-1]), "stops below full")
    return float(_scale(dial)[int(np.argmin(np.abs(steps - stops)))])


def _scale(dial: Dial) -> FloatArray:
    """Return every settable reading as the dial shows it, rising."""
    steps = _steps_of(dial)
    return np.exp2(steps) if dial.kind == "fraction" else steps


def _steps_of(dial: Dial) -> FloatArray:
    """Count the steps down from the top: in stops, but in watt-seconds for an ``energy`` dial."""
    top, span = dial.max, dial.max - dial.min
    if dial.kind == "fraction":
        top, span = math.log2(dial.max), math.log2(dial.max / dial.min)
    count = math.floor(span / dial.step + _ROUNDING * 1000) + 1 if span > 0 else 1
    return top - dial.step * np.arange(count - 1, -1, -1, dtype=np.float64)


def _full(dial: Dial, full_energy_ws: float | None) -> float:
    if full_energy_ws is None:
        raise BadValue("full energy", "missing", "a dial in watt-seconds needs it; give energy_ws")
    if full_energy_ws < dial.max:
        raise OutOfRange("dial max", dial.max, dial.min, full_energy_ws, "W·s")
    return in_range("full energy", full_energy_ws, *ENERGY_RANGE_WS, "W·s")


def _is_mark_of(shown: float, exact: float, places: tuple[int, ...]) -> bool:
    return any(abs(round(exact, p) - shown) < _ROUNDING for p in places)
