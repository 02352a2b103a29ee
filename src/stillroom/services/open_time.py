"""How far the time a sheet was open may be off, as the engine sees it: one unknown of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.exposure import BareMove

STEADY_KINDS = ("lamp", "daylight", "window", "room")
"""Lights that count by how long it is open; a flash is over long before."""


def spread_stops(open_s: float, sd_s: float) -> float:
    """What a spread in seconds is in stops of steady light, to first order.

    Examples
    --------
    >>> round(spread_stops(1.0, 0.2), 3), round(spread_stops(8.0, 0.2), 3)
    (0.289, 0.036)
    """
    return sd_s / (open_s * math.log(2))


def open_moves(
    sitting: doc.Sitting, sheet: doc.Sheet, roles: Sequence[str]
) -> tuple[BareMove, ...]:
    """That the lens was not open exactly as long as written down: one unknown of the sheet.

    The loss of long times past a second, a tenth of a stop a doubling, is left aside.

    Parameters
    ----------
    sitting : Sitting
        The sitting.
    sheet : Sheet
        The sheet; without `open_sd_s` nothing is added, and it counts as it always did.
    roles : sequence of str
        The lights that are lit.

    Returns
    -------
    tuple of BareMove
        None or one, common to every steady light.
    """
    if not sheet.open_sd_s:
        return ()
    steady = {light.role for light in sitting.lights if light.kind in STEADY_KINDS}
    lit = tuple(role for role in roles if role in steady)
    if not lit:
        return ()
    open_s = as_made(sheet.settings, sheet.made).open_s
    return (
        BareMove(
            name=f"{sitting.id}/{sheet.number}/open time",
            label=f"how long it was open, sheet {sheet.mark or sheet.number}",
            sd_stops=spread_stops(open_s, sheet.open_sd_s),
            roles=lit,
        ),
    )
