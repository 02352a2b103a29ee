"""What is known: a joint belief over named terms, updated by every sheet that is read."""

from stillroom.belief.choices import apply, in_force
from stillroom.belief.evidence import (
    Aims,
    LaidBathReading,
    LaidMeterReading,
    LaidSheet,
    aims_of,
)
from stillroom.belief.fold import after, fold, numbered
from stillroom.belief.likelihood import Curves, window
from stillroom.belief.named import Belief, stream
from stillroom.belief.posterior import (
    ODD_FROM,
    Posterior,
    States,
    close,
    exposures,
    landing,
    opened,
    with_veil,
)
from stillroom.belief.words import WORDS, DensityInterval, word_interval

__all__ = [
    "ODD_FROM",
    "WORDS",
    "Aims",
    "Belief",
    "Curves",
    "DensityInterval",
    "LaidBathReading",
    "LaidMeterReading",
    "LaidSheet",
    "Posterior",
    "States",
    "after",
    "aims_of",
    "apply",
    "close",
    "exposures",
    "fold",
    "in_force",
    "landing",
    "numbered",
    "opened",
    "stream",
    "window",
    "with_veil",
    "word_interval",
]
