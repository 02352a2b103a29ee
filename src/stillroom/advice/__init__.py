"""What to set next, with its odds: settings, pairs and stepped sheets."""

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
    NextSheet,
    how_it_stands,
    next_sheet,
    paper_is_unknown,
    stepped_settings,
)
from stillroom.advice.policy import EFFORTS, TIE, Policy
from stillroom.advice.search import Search, Trial
from stillroom.advice.several import Pair, several_sheets

__all__ = [
    "EFFORTS",
    "QUANTILES",
    "STEPS",
    "TIE",
    "Deviation",
    "NextSheet",
    "Odds",
    "Pair",
    "Policy",
    "Search",
    "Table",
    "Trial",
    "how_it_stands",
    "next_sheet",
    "paper_is_unknown",
    "scatter_scores",
    "scattered_quantiles",
    "several_sheets",
    "stepped_settings",
]
