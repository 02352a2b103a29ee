"""Re-exposure: how long the sheet lies under a lamp before the second development."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.errors import in_range
from stillroom.quantity import FOOT_CANDLE_LX

NEEDED_LXS = 5000.0
"""For a full black in a sheet that has been through a bleach [lx·s]; ten times it does no harm.

A thousand times what a paper of ISO speed 200 needs for a tone of 0.6 above its base: the bleach
takes ten to a hundred times of the sensitivity, and a black needs four times a tone (computed)."""
RANGE_LXS = (2000.0, 20_000.0)
"""Nine in ten of what papers and bleaches need (common practice) [lx·s]."""
LEAST_LXS = 2500.0
"""Below it blacks come out thin and grainy (common practice) [lx·s]."""
INSTRUCTION_FOOT_CANDLE_S = 800.0
"""An instruction of motion-picture reversal (published, from memory) [foot-candle seconds]."""
WARM_TIMES = (2.0, 4.0)
"""How many times as long by a warm lamp, which has little blue (common practice)."""
ROOM_LX = 300.0
"""A lit room [lx]."""
OVERCAST_LX = 10_000.0
"""Out of doors under cloud, at midday (published tables, from memory) [lx]."""


def tone_lxs(speed: float) -> float:
    """What a paper needs for a tone of 0.6 above its base.

    Parameters
    ----------
    speed : float
        ISO paper speed, the P number [1].

    Returns
    -------
    float
        ``1000 / P`` [lx·s].

    Notes
    -----
    ISO 6846, from memory.

    Examples
    --------
    >>> tone_lxs(200)
    5.0
    """
    return 1000.0 / in_range("speed", speed, 1, 10_000)


def bulb_lx(flux_lm: float, distance_m: float) -> float:
    """Illuminance of a bare bulb on a sheet that faces it.

    Parameters
    ----------
    flux_lm : float
        What the bulb gives in all directions [lm].
    distance_m : float
        From bulb to sheet [m].

    Returns
    -------
    float
        [lx]

    Notes
    -----
    Even in all directions and small against the distance; walls and a shade add to it.

    Examples
    --------
    >>> round(bulb_lx(800, 0.5))
    255
    """
    flux_lm = in_range("flux_lm", flux_lm, 1, 1_000_000, "lm")
    distance_m = in_range("distance_m", distance_m, 0.05, 100, "m")
    return flux_lm / (4 * math.pi * distance_m**2)


def torch_lx(flux_lm: float, cone_deg: float, distance_m: float) -> float:
    """Illuminance of a torch that throws its light evenly into a cone.

    Parameters
    ----------
    flux_lm : float
        What it gives [lm].
    cone_deg : float
        Full angle of the cone [deg].
    distance_m : float
        From torch to sheet [m].

    Returns
    -------
    float
        On the axis [lx].

    Examples
    --------
    >>> round(torch_lx(500, 60, 0.3), -2)
    6600.0
    """
    flux_lm = in_range("flux_lm", flux_lm, 1, 1_000_000, "lm")
    cone_deg = in_range("cone_deg", cone_deg, 1, 360, "degrees")
    distance_m = in_range("distance_m", distance_m, 0.05, 100, "m")
    solid_angle_sr = 2 * math.pi * (1 - math.cos(math.radians(cone_deg / 2)))
    return flux_lm / (solid_angle_sr * distance_m**2)


def foot_candle_seconds(needed: float) -> float:
    """Foot-candle seconds as lux seconds.

    Examples
    --------
    >>> round(foot_candle_seconds(800), -2)
    8600.0
    """
    return in_range("needed", needed, 0, 1e9) * FOOT_CANDLE_LX


@dataclass(frozen=True, slots=True)
class LightTime:
    """How long under a lamp.

    Attributes
    ----------
    seconds : float
        Till the blacks are full, for a paper and bleach as usual [s].
    least_s, sure_s : float
        Till they are with one in twenty of papers and bleaches, and with nineteen in twenty [s].
    """

    seconds: float
    least_s: float
    sure_s: float


def light_time(illuminance_lx: float, *, is_warm: bool = False) -> LightTime:
    """How long a sheet lies under a light before its second development.

    Parameters
    ----------
    illuminance_lx : float
        On the sheet [lx].
    is_warm : bool
        Whether it is a filament or a warm lamp; then twice to four times as long.

    Returns
    -------
    LightTime

    Examples
    --------
    >>> round(light_time(bulb_lx(1500, 1.0)).seconds)
    42
    """
    illuminance_lx = in_range("illuminance_lx", illuminance_lx, 0.1, 200_000, "lx")
    low, high = WARM_TIMES if is_warm else (1.0, 1.0)
    middle = math.sqrt(low * high)
    return LightTime(
        NEEDED_LXS * middle / illuminance_lx,
        RANGE_LXS[0] * low / illuminance_lx,
        RANGE_LXS[1] * high / illuminance_lx,
    )
