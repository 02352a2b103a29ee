"""The answers: what a sheet would show, what to set next, what is believed."""

from stillroom.services.advising import advise
from stillroom.services.beliefs import (
    CurvePoint,
    PaperBelief,
    TermBelief,
    kit_belief,
    paper_belief,
    taught,
)
from stillroom.services.forecasts import predict
from stillroom.services.odd import odd_sheets
from stillroom.services.remembered import BeliefMemo
from stillroom.services.several import advise_several, as_planned
from stillroom.services.worktable import Worktable

__all__ = [
    "BeliefMemo",
    "CurvePoint",
    "PaperBelief",
    "TermBelief",
    "Worktable",
    "advise",
    "advise_several",
    "as_planned",
    "kit_belief",
    "odd_sheets",
    "paper_belief",
    "predict",
    "taught",
]
