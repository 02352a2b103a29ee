"""What paper costs against what a round costs, in one place for whatever is weighed by them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from stillroom.errors import in_range

Dear = Literal["paper", "time"]

ROUND_MINUTES = 25
"""Expose, develop, fix, rinse, look: common practice, no source."""
SHEETS_A_ROUND: Mapping[Dear, float] = MappingProxyType({"paper": 0.3, "time": 3.0})
"""Sheets of paper that one would give to be spared a round; invented, to be replaced by hers."""
PIECE_SHARE = 0.2
"""Share of a sheet that a test piece takes where its size is not said: a fifth; invented."""


@dataclass(frozen=True, slots=True)
class PieceCost:
    """What a test piece costs: a share of a sheet of paper, and a round like any other.

    Parameters
    ----------
    share : float
        Of a sheet of paper, above 0 and at most 1.
    dear : {"paper", "time"}
        Which of the two is to be spared.

    Raises
    ------
    OutOfRange
        If it takes more than a sheet, or nothing.

    Examples
    --------
    A sheet made alone costs itself and its round; of that a fifth of a sheet costs

    >>> round(PieceCost(dear="paper").sheets, 2), round(PieceCost(dear="time").sheets, 2)
    (0.38, 0.8)
    """

    share: float = PIECE_SHARE
    dear: Dear = "paper"

    def __post_init__(self) -> None:
        in_range("share of a sheet", self.share, _LEAST_SHARE, 1.0)

    @property
    def sheets(self) -> float:
        """In sheets made one at a time, each with a round of its own."""
        weight = SHEETS_A_ROUND[self.dear]
        return (self.share + weight) / (1 + weight)


_LEAST_SHARE = 1e-6
