"""How often water is changed, and how long a sheet lies in it, until little enough is left."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.mixing import Wash, WashRow
from stillroom.errors import UnknownName, in_range
from stillroom.services.mixing_words import amount_text
from stillroom.wetline import chemistry as chem

LEFT = 1e-4
"""What may be left of what was carried: a ten-thousandth (ours) [1]."""
LEFT_IN_BASE = 0.01
"""What the base of fibre paper may still hold: a hundredth (ours) [1]."""
_CARRIED = {"rc": (3.0, 5.0), "fibre": (10.0, 20.0)}
"""What an 8x10 carries, drained ten seconds (common practice, no source) [ml]."""
_NAMES = {"rc": "resin-coated", "fibre": "fibre"}


def wash_of(paper: str, volume_ml: float, left: float = LEFT) -> Wash:
    """How a sheet is washed by changes of so much water.

    Parameters
    ----------
    paper : str
        ``rc`` or ``fibre``.
    volume_ml : float
        Water of each change for an 8x10 [ml].
    left : float
        Share of what it carried that may be left [1].

    Raises
    ------
    UnknownName
        If it is neither paper.
    OutOfRange
        If there is no such volume or share.

    Examples
    --------
    >>> [row.changes for row in wash_of("rc", 500).rows]
    [2, 2]
    """
    if paper not in _CARRIED:
        raise UnknownName("paper", paper, _CARRIED)
    base: Literal["rc", "fibre"] = "fibre" if paper == "fibre" else "rc"
    water = in_range("volume", volume_ml, 10, 200_000, "ml")
    share = in_range("left", left, 1e-9, 0.5)
    rows = tuple(
        WashRow(carry_ml=carry, changes=chem.changes_for(carry, water, share))
        for carry in _CARRIED[base]
    )
    least, most = (
        (0.0, 0.0)
        if base == "rc"
        else tuple(chem.minutes_for_fibre(LEFT_IN_BASE, t) for t in chem.FIBRE_RELEASE_MIN)
    )
    return Wash(
        paper=base,
        volume_ml=water,
        left=share,
        rows=rows,
        least_min=least,
        longest_min=most,
        sentence=_sentence(base, water, share, rows, (least, most)),
    )


def _sentence(
    paper: str,
    water: float,
    share: float,
    rows: tuple[WashRow, ...],
    minutes: tuple[float, float],
) -> str:
    low, high = (row.changes for row in rows)
    changes = f"{low}" if low == high else f"{low} to {high}"
    carried = " to ".join(f"{row.carry_ml:g}" for row in rows)
    in_thousands = f"{1 / share:,.0f}".replace(",", "\u202f")
    text = (
        f"An 8x10 of {_NAMES[paper]} paper carries {carried} ml: {changes} full changes of "
        f"{amount_text(water, 'ml')}, stirred, leave less than 1 in {in_thousands} of it."
    )
    if minutes[1] > 0:
        text += (
            f" Its base gives up slowly what it holds: {minutes[0]:.0f} to {minutes[1]:.0f} "
            "minutes in water, however often it is changed, until a hundredth is left."
        )
    return text
