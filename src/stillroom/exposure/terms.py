"""The words a layout is made of: terms, lines of a ledger, scatter, scales."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from stillroom.quantity import FloatArray


class Life(StrEnum):
    """How long a term stays what it is."""

    KIT = "kit"
    PAPER = "paper"
    SITTER = "sitter"
    SET = "set"
    DAY = "day"
    SITTING = "sitting"


@dataclass(frozen=True, slots=True)
class Term:
    """One unknown of the ledger, in stops (the four of the curve in their own units)."""

    name: str
    label: str
    mean: float
    sd: float
    life: Life
    known_from: str


class Stage(StrEnum):
    """Where in the chain a line stands; an incident meter sees `LIGHT` only."""

    LIGHT = "light"
    COLOUR = "colour"
    SITTER = "sitter"
    CAMERA = "camera"
    PAPER = "paper"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a ledger: a fixed factor, or a term times its coefficient."""

    stage: Stage
    label: str
    known_from: str
    stops: float = 0.0
    term: str | None = None
    coefficient: float = 0.0


@dataclass(frozen=True, slots=True)
class CurveTerms:
    """Where the tone curve's four unknowns stand among the terms, and what a filter adds.

    Attributes
    ----------
    log_contrast, log_asymmetry, dmin, dmax : int
        Positions.
    filter_off : int or None
        Position of how far the filter on the lens is off in contrast; None without one.
    filter_log : float
        What that filter as stated adds to the natural logarithm of the contrast [1].
    """

    log_contrast: int
    log_asymmetry: int
    dmin: int
    dmax: int
    filter_off: int | None = None
    filter_log: float = 0.0

    @property
    def four(self) -> list[int]:
        """Positions of the paper's own four."""
        return [self.log_contrast, self.log_asymmetry, self.dmin, self.dmax]


@dataclass(frozen=True, slots=True)
class Scatter:
    """How far one sheet differs from the next under the same settings."""

    sheet_sd_stops: float
    region_sd_stops: float
    spoiled_rate: float
    spoiled_sd_stops: float = 1.5
    stepped_region_sd_stops: float = 0.12


@dataclass(frozen=True, slots=True)
class ResolvedAim:
    """An aim of the layout; exactly one of `density` and `placement_stops` is given."""

    density: float | None
    placement_stops: float | None
    tol_stops: float | None
    eye_tol_density: float


@dataclass(frozen=True, slots=True)
class DialScale:
    """The dial settings one source can take, in stops below full."""

    min_stops: float
    max_stops: float
    step_stops: float
    settings: tuple[float, ...] = ()
    """Every setting, where they are not even steps."""

    def steps(self) -> FloatArray:
        """All settings, in whole steps from full, lightest last [stops]."""
        if self.settings:
            return np.array(self.settings)
        low = math.ceil(round(self.min_stops / self.step_stops, 6))
        high = math.floor(round(self.max_stops / self.step_stops, 6))
        return np.asarray(np.round(np.arange(low, high + 1) * self.step_stops, 10))


@dataclass(frozen=True, slots=True)
class Rows:
    """The affine form for one sheet: `c` (strips, regions, sources), `a` (..., terms)."""

    c: FloatArray
    a: FloatArray
