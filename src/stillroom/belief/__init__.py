"""What is known: a joint belief over named terms, updated by every sheet that is read."""

from stillroom.belief.choices import apply, in_force
from stillroom.belief.evidence import (
    Aims,
    LaidBathReading,
    LaidMeterReading,
    LaidSheet,
    aims_of,
)
from stillroom.belief.explanations import RATES, Case, Explanation, Slip
from stillroom.belief.fold import after, fold, numbered
from stillroom.belief.likelihood import Curves, window
from stillroom.belief.named import Belief, stream
from stillroom.belief.posterior import (
    ODD_FROM,
    Posterior,
    States,
    close,
    curves_of,
    exposures,
    landing,
    opened,
    still_stops,
    with_veil,
)
from stillroom.belief.slips import Comparison, Spot, Weighed, alike, compare, least_chance
from stillroom.belief.words import SLIP_RATE, WORDS, DensityInterval, word_interval

__all__ = [
    "ODD_FROM",
    "RATES",
    "SLIP_RATE",
    "WORDS",
    "Aims",
    "Belief",
    "Case",
    "Comparison",
    "Curves",
    "DensityInterval",
    "Explanation",
    "LaidBathReading",
    "LaidMeterReading",
    "LaidSheet",
    "Posterior",
    "Slip",
    "Spot",
    "States",
    "Weighed",
    "after",
    "aims_of",
    "alike",
    "apply",
    "close",
    "compare",
    "curves_of",
    "exposures",
    "fold",
    "in_force",
    "landing",
    "least_chance",
    "numbered",
    "opened",
    "still_stops",
    "stream",
    "window",
    "with_veil",
    "word_interval",
]
