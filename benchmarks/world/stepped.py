"""A stepped sheet in place of a planned plain one, and the plain one in its middle."""

from __future__ import annotations

import math
from dataclasses import replace

from benchmarks.world.oracle import whole_steps
from benchmarks.world.public import (
    POPS,
    STEPS_POPS,
    Kit,
    Settings,
    Sitting,
    heads_by_role,
    lens_of,
)

MIDDLE_DOUBLINGS = math.log2(math.prod(STEPS_POPS)) / len(STEPS_POPS)
_MIDDLE_POPS = round(2**MIDDLE_DOUBLINGS)


def stepped_version(kit: Kit, sitting: Sitting, plain: Settings) -> Settings:
    """Give a stepped sheet whose strips lie about the planned plain sheet.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    plain : Settings
        As planned.

    Returns
    -------
    Settings
        One pop a step, the f-number and all dials moved so that the middle of the strips, as
        believed, is where the plan was; the f-number stays unless a dial would run out, and is
        then the nearest that leaves least missing.
    """
    heads = heads_by_role(kit, sitting)
    given = (1.0 - kit["pop_loss_per_doubling_stops"]) * (MIDDLE_DOUBLINGS - math.log2(plain.pops))
    found = []
    for f_number in lens_of(kit, sitting)["f_numbers"]:
        f_stops = 2.0 * math.log2(plain.f_number / f_number)  # what opening to it gives
        dials = {role: dial - given - f_stops for role, dial in plain.dial_stops.items()}
        missing = sum(
            max(dial - heads[role]["dial_max"], heads[role]["dial_min"] - dial, 0.0)
            for role, dial in dials.items()
        )
        found.append((round(missing, 6), abs(f_stops), f_number, dials))
    *_, f_number, dials = min(found, key=lambda way: way[:3])
    whole = {role: whole_steps(heads[role], dial) for role, dial in dials.items()}
    return Settings(whole, f_number, POPS[0], plain.seconds, STEPS_POPS)


def plain_version(stepped: Settings) -> Settings:
    """Give the plain sheet in the middle of the strips: their whole pops nearest to it.

    Examples
    --------
    >>> plain_version(Settings({}, 5.6, 1, 0.125, (1, 2, 4, 8))).pops
    3
    """
    pops = min(stepped.pops * _MIDDLE_POPS, max(POPS))
    return replace(stepped, pops=pops, steps_pops=None)
