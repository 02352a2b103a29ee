"""The odds to hold an opening or several pops, how wide the smear will be, and what would help."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.documents.stillness import SmearRange, StillnessWay
from stillroom.quantity import NINE_IN_TEN
from stillroom.services.stillness_words import shorter_way, single_pop_way, support_way
from stillroom.sitter import (
    SUPPORTS,
    Motion,
    chance_held,
    chance_pops_held,
    longest_held_s,
    pops_smear_mm,
    smear_mm,
)
from stillroom.sitter.sway import OPEN_RANGE_S

if TYPE_CHECKING:
    from stillroom.services.stillness import Held

WANTED = 0.7
FLASH_S = 0.002  # from memory: a studio head's pop lasts 1/500 s or less


def p_through(held: Held, whole_s: float, pops: int = 1) -> float:
    """The chance to hold an opening, or the time from the first pop to the last.

    Parameters
    ----------
    held : Held
        Who is held how.
    whole_s : float
        Open time, or from the first of several pops to the last [s].
    pops : int
        Pops that make the picture, 1 to 64; 1 where steady light does.

    Returns
    -------
    float
        Chance [1]. Times beyond 600 s, and gaps between pops, count as 600 s.
    """
    if held.is_card:
        return 1.0
    if pops == 1:
        low, high = OPEN_RANGE_S
        open_s = min(max(whole_s, low), high)
        return float(chance_held(open_s, held.magnification, held.allowed_mm, held.motion()))
    gap_s = _gap_s(whole_s, pops)
    return float(chance_pops_held(pops, gap_s, held.magnification, held.allowed_mm, held.motion()))


def longest(held: Held, motion: Motion, odds: float) -> float:
    """The longest opening that is held with these odds [s]."""
    return longest_held_s(held.magnification, held.allowed_mm, motion, odds)


def _gap_s(whole_s: float, pops: int) -> float:
    low, high = OPEN_RANGE_S
    return min(max(whole_s / (pops - 1), low), high)


def smear(held: Held, motion: Motion, whole_s: float, pops: int) -> SmearRange:
    """How wide the movement will be, of an opening or of several pops."""
    if held.is_card:
        return SmearRange(median_mm=0.0, q05_mm=0.0, q95_mm=0.0)
    m = held.magnification
    if pops > 1:
        found = pops_smear_mm(pops, _gap_s(whole_s, pops), m, motion)
    else:
        found = smear_mm(whole_s, m, motion)
    median, log_sd = (float(x) for x in found)
    reach = math.exp(NINE_IN_TEN * log_sd)
    return SmearRange(median_mm=median, q05_mm=median / reach, q95_mm=median * reach)


def ways(held: Held, open_s: float, longest_s: float, pops: int) -> tuple[StillnessWay, ...]:
    """Every stiller support, the stillest first, and a shorter time, or a single pop."""
    found = []
    stiller = SUPPORTS[SUPPORTS.index(held.support) + 1 :]
    for support in reversed(stiller):
        other = replace(held, support=support)
        chance = p_through(other, open_s, pops)
        longest_so_s = longest(other, other.motion(), WANTED)
        found.append(
            StillnessWay(
                kind="support",
                support=support,
                open_s=open_s,
                p_held=chance,
                longest_s=longest_so_s,
                text=support_way(support, open_s, chance, longest_so_s, pops),
            )
        )
    if pops > 1:
        text, cost_stops = single_pop_way(pops)
        found.append(
            StillnessWay(
                kind="one_pop",
                support=held.support,
                open_s=FLASH_S,
                p_held=p_through(held, FLASH_S),
                longest_s=longest_s,
                cost_stops=cost_stops,
                text=text,
            )
        )
    elif longest_s < open_s:
        text, cost_stops = shorter_way(open_s, longest_s)
        found.append(
            StillnessWay(
                kind="shorter",
                support=held.support,
                open_s=longest_s,
                p_held=WANTED,
                longest_s=longest_s,
                cost_stops=cost_stops,
                text=text,
            )
        )
    return tuple(found)
