"""A second edge asked of bare numbers: no book, no sitting."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from stillroom.documents.ghost import Ghost, GhostWay, Mixing, RegionGhost, SteadyShare
from stillroom.documents.holding import Support
from stillroom.errors import BadValue, in_range
from stillroom.exposure import chance_ghost_shows, edge_steps, open_s_for_share
from stillroom.exposure.ghost import AWAY
from stillroom.paper import (
    CONTRAST_PER_STOP,
    LOSS_PER_DOUBLING_STOPS,
    ToneCurve,
    reciprocity_stops,
)
from stillroom.services.ghost import TIMES_S, first_over
from stillroom.services.ghost_answers import ODDS_RANGE, SHARE_RANGE, USUAL_ODDS
from stillroom.services.ghost_words import (
    NO_FLASH,
    darker_text,
    held_text,
    shorter_text,
    shows_sentence,
)
from stillroom.services.stillness_words import open_text
from stillroom.sitter import SUPPORTS, chance_held, motion_of, smear_mm
from stillroom.sitter.sway import OPEN_RANGE_S

EDGE = "edge"
_STOPS_RANGE = (-12.0, 12.0)
_DARKER_STOPS = np.arange(0.0, 16.01, 0.125)


@dataclass(frozen=True, slots=True)
class Numbers:
    """What is known without a book.

    Attributes
    ----------
    share : float
        Steady light's share of the exposure of the lighter side of an edge [1].
    open_s : float
        Open time it is reckoned for [s].
    light_stops, beside_stops : float
        Where the lighter and the darker side fall [stops from the mid-tone].
    magnification : float
        Image over sitter [1].
    allowed_mm : float
        The widest smear that is no second edge [mm].
    support : str
        How the sitter is held.
    contrast_per_stop : float
        Of the paper.
    odds : float
        Wanted that none shows [1].
    mix : float or None
        Wanted share of steady light [1].
    """

    share: float
    open_s: float
    light_stops: float = 0.5
    beside_stops: float = -2.5
    magnification: float = 0.25
    allowed_mm: float = 0.2
    support: Support = "seated"
    contrast_per_stop: float = CONTRAST_PER_STOP
    odds: float = USUAL_ODDS
    mix: float | None = None


def share_of_levels(steady_lx: float, flash_lxs: float, open_s: float) -> float:
    """Steady light's share from a meter's figures at the same place.

    Parameters
    ----------
    steady_lx : float
        Steady light [lx], 0.000001 to 1 000 000.
    flash_lxs : float
        All pops together [lx s], 0.001 to 10 000 000.
    open_s : float
        Open time [s].

    Returns
    -------
    float
        Share [1]; the colour of the light is left out, and what paper loses past a second is not.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> share_of_levels(100, 300, 1.0)
    0.25
    """
    steady = in_range("steady light", steady_lx, 1e-6, 1e6, "lx")
    flash = in_range("flash", flash_lxs, 1e-3, 1e7, "lx·s")
    t = in_range("open time", open_s, *OPEN_RANGE_S, "s")
    given = steady * t * 2.0 ** reciprocity_stops(t, LOSS_PER_DOUBLING_STOPS)
    return float(given / (given + flash))


def ghost_of_numbers(said: Numbers) -> Ghost:
    """Whether a second edge shows, from numbers alone.

    Parameters
    ----------
    said : Numbers
        What is known.

    Returns
    -------
    Ghost
        With one region, the edge.

    Raises
    ------
    BadValue
        If the open time is none that can be reckoned with.
    OutOfRange
        If another number lies outside its range.
    """
    share = in_range("share of steady light", said.share, 0.0, 1.0)
    odds = in_range("odds", said.odds, *ODDS_RANGE)
    for name, stops in (("the light side", said.light_stops), ("beside", said.beside_stops)):
        in_range(name, stops, *_STOPS_RANGE, "stops")
    curve = ToneCurve(said.contrast_per_stop, 1.0, 0.08, 1.9)
    t0, motion = _checked_open_s(said), motion_of(said.support)

    def shows(open_s: float, darker: float = 0.0, support: Support | None = None) -> float:
        if share == 1:
            return 0.0
        moved = motion if support is None else motion_of(support)
        median, log_sd = smear_mm(open_s, said.magnification, moved)
        there = share_at(open_s, darker)
        return float(
            chance_ghost_shows(
                there,
                said.light_stops,
                said.beside_stops,
                curve,
                displacement_mm=median,
                displacement_log_sd=log_sd,
                visible_mm=said.allowed_mm,
            )
        )

    def share_at(open_s: float, darker: float) -> float:
        if share in (0.0, 1.0):
            return share
        loss = LOSS_PER_DOUBLING_STOPS
        more = reciprocity_stops(open_s, loss) - reciprocity_stops(t0, loss) - darker
        more += math.log2(open_s / t0)
        part = share / (1 - share) * 2.0**more
        return float(part / (1 + part))

    chance = shows(t0)
    longest = first_over(shows, odds) if 0 < share < 1 else None
    darker = 0.0
    if chance > 1 - odds and share < 1:
        fits = (float(x) for x in _DARKER_STOPS if shows(t0, float(x)) <= 1 - odds)
        darker = next(fits, float(_DARKER_STOPS[-1]))
    ways = _ways(said, chance, longest, darker, shows(t0, support=SUPPORTS[-1]))
    steps = edge_steps(share, said.light_stops, said.beside_stops, curve, away=AWAY)
    median, _ = smear_mm(t0, said.magnification, motion)
    return Ghost(
        open_s=t0,
        planned_s=t0,
        open_sd_s=0.0,
        has_flash=share < 1,
        has_steady=share > 0,
        support=said.support,
        smear_mm=float(median),
        allowed_mm=said.allowed_mm,
        regions=(
            RegionGhost(
                region=EDGE,
                name="Edge",
                beside="ground",
                steady=SteadyShare(mean=share, q05=share, q50=share, q95=share),
                step_beside=float(steps.beside),
                step_inside=float(steps.inside),
                p_shows=chance,
            ),
        ),
        p_shows=chance,
        odds=odds,
        longest_s=longest,
        darker_stops=darker,
        mixing=_mixing(said, share, t0),
        ways=ways,
        sentence=shows_sentence("edge", t0, chance) if share < 1 else NO_FLASH,
    )


def _checked_open_s(said: Numbers) -> float:
    low, high = OPEN_RANGE_S
    if not low <= said.open_s <= high:
        near = min(max(said.open_s, low), high)
        raise BadValue(
            "open time",
            int(said.open_s) if float(said.open_s).is_integer() else said.open_s,
            f"give a number from {low:.5f} to {high:g} s, such as {open_text(near)}",
        )
    return said.open_s


def _ways(
    said: Numbers, chance: float, longest: float | None, darker: float, in_rest: float
) -> tuple[GhostWay, ...]:
    allowed, ways = 1 - said.odds, []
    if chance <= allowed:
        return ()
    if longest and longest < said.open_s:
        text = shorter_text(longest, said.odds)
        ways.append(GhostWay(kind="shorter", open_s=longest, p_shows=allowed, text=text))
    if 0 < darker < _DARKER_STOPS[-1]:
        text = darker_text(darker, said.odds)
        ways.append(GhostWay(kind="darker", darker_stops=darker, p_shows=allowed, text=text))
    if in_rest < chance:
        rest = SUPPORTS[-1]
        text = held_text(rest, in_rest)
        ways.append(GhostWay(kind="support", support=rest, p_shows=in_rest, text=text))
    return tuple(ways)


def _mixing(said: Numbers, share: float, open_s: float) -> Mixing | None:
    if said.mix is None:
        return None
    wanted = in_range("share of steady light", said.mix, *SHARE_RANGE)
    time_s = None
    if 0 < share < 1:
        found = open_s_for_share(share, open_s, wanted, LOSS_PER_DOUBLING_STOPS)
        time_s = found if OPEN_RANGE_S[0] <= found <= float(TIMES_S[-1]) else None
    p_held = None
    if time_s is not None:
        motion = motion_of(said.support)
        p_held = float(chance_held(time_s, said.magnification, said.allowed_mm, motion))
    return Mixing(wanted_share=wanted, region=EDGE, open_s=time_s, p_held=p_held)
