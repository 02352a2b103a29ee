"""Cameras as the kit lists them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.camera.limits import DRAW_RANGE_MM, LENGTH_RANGE_MM
from stillroom.errors import in_range

FLARE_SHARE = 0.02  # invented: about 2 %, within a factor of 2


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera.

    Parameters
    ----------
    id : str
        Name.
    format_mm : tuple of float
        Width and height of its sheet [mm].
    draw_min_mm, draw_max_mm : float
        Shortest and longest draw [mm], 10 to 5000.
    flare_share : float
        Flare as a share of the frame's mean exposure [1], 0 to 0.5.
    holder_sides : int
        Sheets a holder takes [1], 1 or 2.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    Examples
    --------
    >>> Camera("field_13x18", (130, 180), 90, 520).diagonal_mm
    222.03603311174518
    """

    id: str
    format_mm: tuple[float, float]
    draw_min_mm: float = DRAW_RANGE_MM[0]
    draw_max_mm: float = DRAW_RANGE_MM[1]
    flare_share: float = FLARE_SHARE
    holder_sides: int = 2

    def __post_init__(self) -> None:
        for name, side in zip(("width", "height"), self.format_mm, strict=True):
            in_range(f"format {name}", side, 10.0, LENGTH_RANGE_MM[1], "mm")
        shortest = in_range("shortest draw", self.draw_min_mm, *DRAW_RANGE_MM, "mm")
        in_range("longest draw", self.draw_max_mm, shortest, DRAW_RANGE_MM[1], "mm")
        in_range("flare share", self.flare_share, 0.0, 0.5)
        in_range("holder sides", self.holder_sides, 1, 2)

    @property
    def diagonal_mm(self) -> float:
        """Diagonal of the sheet [mm]."""
        return math.hypot(*self.format_mm)
