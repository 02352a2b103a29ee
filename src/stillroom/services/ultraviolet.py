"""A check of a steady lamp's ultraviolet where somebody sits: how long until a day's limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.documents.kit import Lamp
from stillroom.light import (
    UltravioletCheck,
    bare_radiator,
    lamp_illuminance_lx,
    narrow_band,
    ultraviolet_check,
    ultraviolet_of,
)

NOT_A_CLEARANCE = (
    "A check, not a clearance: the lamp’s risk group, its maker and local rules go first. It "
    "knows of one lamp, of eyes and skin that nothing makes tender, and of nothing nearer than "
    "five times the lamp’s width."
)
USUAL_PEAK_NM = 365.0
"""Where nobody said where it peaks: the shortest of the usual diodes (invented)."""
BARE_K = 3200.0
"""A hot lamp's wire, from memory."""
DISTANCES_M = (0.5, 1.0, 1.5, 2.0, 3.0)


@dataclass(frozen=True, slots=True)
class LampUltraviolet:
    """What a lamp's ultraviolet comes to at some distances.

    Parameters
    ----------
    known_from : str
        Where its ultraviolet is known from, a sentence.
    at : tuple of (distance, UltravioletCheck)
        From near to far [m].
    """

    known_from: str
    at: tuple[tuple[float, UltravioletCheck], ...]


def ultraviolet_of_lamp(lamp: Lamp) -> LampUltraviolet | None:
    """What is known of a lamp's ultraviolet; None where nothing is.

    Parameters
    ----------
    lamp : Lamp
        Measured, or a hot lamp, which is taken for a wire behind no glass at all.

    Returns
    -------
    LampUltraviolet or None
        By the square of the distance; tables of diodes and tubes begin at 380 nm, so that nothing
        is known of those that nobody measured.

    Examples
    --------
    >>> ultraviolet_of_lamp(Lamp(id="strip", kind="led", intensity_cd=900)) is None
    True
    """
    measured = lamp.uva_w_m2_1m
    if measured is not None:
        peak = USUAL_PEAK_NM if lamp.uv_peak_nm is None else lamp.uv_peak_nm
        taken = " (taken: nobody said)" if lamp.uv_peak_nm is None else ""
        said = f"Measured: {measured:g} W/m² at 1 m, in a band that peaks at {peak:g} nm{taken}."
        return _at(said, lambda d: ultraviolet_check(*narrow_band(peak, measured / d**2)))
    if lamp.kind == "tungsten":
        wire = bare_radiator(BARE_K)
        said = (
            f"Reckoned for a wire of {BARE_K:g} K behind no glass, from its light: more than a "
            "bulb gives behind its cover."
        )
        return _at(
            said,
            lambda d: ultraviolet_check(
                *ultraviolet_of(wire, lamp_illuminance_lx(lamp.intensity_cd, d))
            ),
        )
    return None


def _at(said: str, check: Callable[[float], UltravioletCheck]) -> LampUltraviolet:
    return LampUltraviolet(said, tuple((d, check(d)) for d in DISTANCES_M))
