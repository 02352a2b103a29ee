"""How long pops take, what tubes, circuits and batteries allow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import in_range

USUAL_RECYCLE_S = 3.0
"""A large head at full, where its handbook is not at hand: common practice, no source."""
USUAL_POPS_PER_MINUTE_FULL = 10.0
"""What a large tube at full is commonly allowed: common practice, no source."""
MOST_POPS = 10_000
LEAST_WS = 0.1
"""Less than this no head is reckoned to give [W·s] (ours)."""


@dataclass(frozen=True, slots=True)
class OpenBy:
    """How short a hand or a shutter can be, and how far it may miss the time.

    Parameters
    ----------
    least_s : float
        The shortest opening [s].
    sd_s : float
        Standard deviation of any opening, by hand [s].
    sd_share : float
        The same as a share of the time, by clockwork [1].
    """

    least_s: float
    sd_s: float = 0.0
    sd_share: float = 0.0

    def sd_of(self, open_s: float) -> float:
        """How far an opening may be off, one standard deviation [s].

        Examples
        --------
        >>> OPENED_BY["cap_in_light"].sd_of(4.0), OPENED_BY["sync_shutter"].sd_of(0.5)
        (0.2, 0.05)
        """
        return math.hypot(self.sd_s, self.sd_share * open_s)


# A hand on a cap is off by 0.2 s: common practice, no source. The rest is invented: a leaf shutter
# keeps its time to a tenth; in the dark cap, pop and cap again take a second; in the light less
# than two seconds are not counted well; a release in the hand, and a word passed to somebody else,
# take a little more.
OPENED_BY: dict[str, OpenBy] = {
    "sync_shutter": OpenBy(0.008, sd_share=0.1),
    "cap_in_dark": OpenBy(1.0, sd_s=0.2),
    "cap_in_light": OpenBy(2.0, sd_s=0.2),
    "remote": OpenBy(1.0, sd_s=0.3),
    "second_person": OpenBy(1.5, sd_s=0.3),
}
"""How the lens is opened about a flash, by the way it fires."""

_SECONDS_RANGE = (0.0, 3600.0)
_ENERGY_RANGE_WS = (LEAST_WS, 100_000.0)
_PER_MINUTE_RANGE = (0.01, 600.0)
_AMPS_RANGE = (0.0, 1000.0)
_VOLTS_RANGE = (1.0, 1000.0)
_WATTS_RANGE = (0.0, 1_000_000.0)


@dataclass(frozen=True, slots=True)
class Duty:
    """What a burst asks of a tube against what its handbook allows."""

    full_pops: float
    """The burst counted in pops at full [1]."""
    pops_per_minute: float
    """While it goes on; counted in pops at full [1/min]."""
    is_within: bool
    rest_s: float
    """Before the same burst can be made again [s]."""


def pops_in(pops: int) -> int:
    """Return a number of pops, or refuse it.

    Raises
    ------
    OutOfRange
        If there are fewer than 1 or more than 10 000.
    """
    return round(in_range("pops", pops, 1, MOST_POPS))


def recycle_at_s(full_recycle_s: float, energy_ws: float, full_ws: float) -> float:
    """Return how long a head charges for one pop: in proportion to its energy.

    Parameters
    ----------
    full_recycle_s : float
        To full [s], 0 to 3600.
    energy_ws : float
        Of the pop [W·s], 0.1 to `full_ws`.
    full_ws : float
        At full [W·s], 0.1 to 100 000.

    Returns
    -------
    float
        Time to charge [s].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    A charger of constant power: energy over power.

    Examples
    --------
    >>> recycle_at_s(3.0, 600, 1200)
    1.5
    """
    full = in_range("energy at full", full_ws, *_ENERGY_RANGE_WS, "W·s")
    energy = in_range("energy of a pop", energy_ws, _ENERGY_RANGE_WS[0], full, "W·s")
    return in_range("recycle time", full_recycle_s, *_SECONDS_RANGE, "s") * energy / full


def charging_w(energy_ws: float, recycle_s: float) -> float:
    """Return what charging draws on average: energy over time.

    Parameters
    ----------
    energy_ws : float
        Of one pop [W·s], 0.1 to 100 000.
    recycle_s : float
        Time to charge [s], above 0 to 3600.

    Returns
    -------
    float
        Power into the capacitors [W]; the plug draws more, for no charger is without loss.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Power is energy over time.

    Examples
    --------
    >>> charging_w(1200, 2.0)
    600.0
    """
    energy = in_range("energy of a pop", energy_ws, *_ENERGY_RANGE_WS, "W·s")
    return energy / in_range("recycle time", recycle_s, 0.01, _SECONDS_RANGE[1], "s")


def burst_s(pops: int, recycle_s: float) -> float:
    """Return the time from the first pop to the last, each when the head is charged again.

    Parameters
    ----------
    pops : int
        How many, 1 to 10 000.
    recycle_s : float
        Between two pops [s], 0 to 3600.

    Returns
    -------
    float
        Time [s]; 0 for one pop.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> burst_s(1, 3.0), burst_s(4, 3.0)
    (0.0, 9.0)
    """
    return (pops_in(pops) - 1) * in_range("recycle time", recycle_s, *_SECONDS_RANGE, "s")


def duty(
    pops: int,
    energy_ws: float,
    full_ws: float,
    *,
    recycle_s: float,
    per_minute_full: float = USUAL_POPS_PER_MINUTE_FULL,
    in_a_row_full: int | None = None,
) -> Duty:
    """Return whether a tube may make a burst, and how long it then rests.

    Heat counts by energy: four pops at a quarter are one at full.

    Parameters
    ----------
    pops : int
        Pops of the burst, 1 to 10 000.
    energy_ws, full_ws : float
        Of each pop, and at full [W·s].
    recycle_s : float
        Between two pops [s], 0 to 3600.
    per_minute_full : float
        Pops at full a minute that its handbook allows for good [1/min], 0.01 to 600.
    in_a_row_full : int, optional
        Pops at full that it may make in a row before it must rest; as many as one minute allows
        unless given.

    Returns
    -------
    Duty

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Heat in and out of the tube in proportion to energy; common practice, no source.

    Examples
    --------
    >>> duty(4, 1200, 1200, recycle_s=3.0, per_minute_full=10)
    Duty(full_pops=4.0, pops_per_minute=20.0, is_within=True, rest_s=15.0)
    """
    full = in_range("energy at full", full_ws, *_ENERGY_RANGE_WS, "W·s")
    share = in_range("energy of a pop", energy_ws, _ENERGY_RANGE_WS[0], full, "W·s") / full
    allowed = in_range("pops a minute at full", per_minute_full, *_PER_MINUTE_RANGE)
    most = allowed if in_a_row_full is None else pops_in(in_a_row_full)
    whole = pops_in(pops) * share
    gone_s = burst_s(pops, recycle_s)
    rate = math.inf if recycle_s <= 0 else 60 * share / recycle_s
    rest_s = max(0.0, 60 * whole / allowed - gone_s)
    return Duty(whole, 0.0 if pops == 1 else rate, whole <= most or rate <= allowed, rest_s)


def lamp_a(power_w: float, mains_v: float) -> float:
    """Return what a lamp draws, watts over volts.

    Parameters
    ----------
    power_w : float
        Of the lamp [W], 0 to 1 000 000.
    mains_v : float
        Of the mains [V], 1 to 1000.

    Returns
    -------
    float
        Current [A].

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    References
    ----------
    Watts are volts times amperes.

    Examples
    --------
    >>> lamp_a(1150, 230)
    5.0
    """
    power = in_range("power", power_w, *_WATTS_RANGE, "W")
    return power / in_range("mains", mains_v, *_VOLTS_RANGE, "V")


def circuits_for(loads_a: Sequence[float], circuit_a: float) -> int:
    """Return how many circuits loads need when all are drawn at once, the largest placed first.

    Parameters
    ----------
    loads_a : sequence of float
        What each draws [A], 0 to `circuit_a`.
    circuit_a : float
        What one circuit carries [A], above 0 to 1000.

    Returns
    -------
    int
        Circuits; 0 without a load.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range: a load beyond one circuit fits nowhere.

    References
    ----------
    First fit, largest first; for the few plugs of a studio rarely one more than the fewest.

    Examples
    --------
    >>> circuits_for([8, 8, 8], 16), circuits_for([], 16)
    (2, 0)
    """
    carries = in_range("circuit", circuit_a, 0.01, _AMPS_RANGE[1], "A")
    left: list[float] = []
    for load in sorted(loads_a, reverse=True):
        wanted = in_range("load", load, 0.0, carries, "A")
        for at, room in enumerate(left):
            if wanted <= room + 1e-9:
                left[at] = room - wanted
                break
        else:
            left.append(carries - wanted)
    return len(left)


def battery_pops(full_pops: int, energy_ws: float, full_ws: float) -> int:
    """Return the pops one charge of a battery gives, in proportion to their energy.

    Parameters
    ----------
    full_pops : int
        Pops at full, 1 to 10 000.
    energy_ws, full_ws : float
        Of each pop, and at full [W·s].

    Returns
    -------
    int
        Whole pops, at most 10 000.

    Raises
    ------
    OutOfRange
        If an argument lies outside its range.

    Examples
    --------
    >>> battery_pops(200, 300, 600)
    400
    """
    full = in_range("energy at full", full_ws, *_ENERGY_RANGE_WS, "W·s")
    energy = in_range("energy of a pop", energy_ws, _ENERGY_RANGE_WS[0], full, "W·s")
    return min(MOST_POPS, math.floor(pops_in(full_pops) * full / energy + 1e-9))
