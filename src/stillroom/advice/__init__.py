"""What to set next, with its odds: settings, pairs and stepped sheets."""

from stillroom.advice.ahead import Ahead, Look, PieceLook
from stillroom.advice.costs import PieceCost
from stillroom.advice.odds import (
    QUANTILES,
    Deviation,
    Odds,
    Table,
    scatter_scores,
    scattered_quantiles,
)
from stillroom.advice.plan import (
    STEPS,
    NextPiece,
    NextSheet,
    how_it_stands,
    next_sheet,
    stepped_settings,
)
from stillroom.advice.policy import EFFORTS, TIE, Policy
from stillroom.advice.search import Search, Trial
from stillroom.advice.several import MOST_TOGETHER, Together, several_sheets, sheets_together

__all__ = [
    "EFFORTS",
    "MOST_TOGETHER",
    "QUANTILES",
    "STEPS",
    "TIE",
    "Ahead",
    "Deviation",
    "Look",
    "NextPiece",
    "NextSheet",
    "Odds",
    "PieceCost",
    "PieceLook",
    "Policy",
    "Search",
    "Table",
    "Together",
    "Trial",
    "how_it_stands",
    "next_sheet",
    "scatter_scores",
    "scattered_quantiles",
    "several_sheets",
    "sheets_together",
    "stepped_settings",
]
