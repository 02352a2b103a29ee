"""What is known, term by term and chain by chain, over time (version ``known/1``)."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime

from stillroom.documents.base import Line, Name, Strict, Text

Standing = Literal["entered", "in_a_chain", "alone", "held", "forgotten"]


class KnownPoint(Strict):
    """What was believed after one sitting."""

    sitting: Name
    when: AwareDatetime
    shift: float
    """How far it lay from what was entered."""
    sd: float


class MovedBy(Strict):
    """One sheet, or the meter readings of a sitting, that moved a term."""

    sitting: Name
    when: AwareDatetime
    mark: Line
    """Mark of the sheet; ``meter`` for the meter readings and control strips of the sitting."""
    sheet: int | None
    readings: int
    """How many readings it holds."""
    shift_before: float
    sd_before: float
    shift_after: float
    sd_after: float


class KnownTerm(Strict):
    """One term of the ledger: what it was entered as, and what sheets made of it.

    Every figure is in the term's own unit, which `unit` names.
    """

    term: Line
    label: Line
    unit: Literal["stops", "density", "log"]
    entered: float
    entered_sd: float
    shift: float
    sd: float
    standing: Standing
    told_by: Line | None
    """The term it is most tied up with: a sheet that changes only that would tell them apart."""
    sentence: Text
    history: tuple[KnownPoint, ...]
    moved_by: tuple[MovedBy, ...] | None = None
    """The few that moved it most, in order of time; null unless it was asked for alone."""


class KnownChain(Strict):
    """One light on one region with one paper: known better than its parts."""

    source: Name
    region: Name
    paper: Name
    title: Line
    entered_sd: float
    shift: float
    sd: float
    sentence: Text
    parts: tuple[Line, ...]
    """The terms it is made of."""
    history: tuple[KnownPoint, ...]


class Known(Strict):
    """Every lasting term that sheets had to do with, and every chain they narrowed."""

    stillroom: Literal["known/1"] = "known/1"
    terms: tuple[KnownTerm, ...]
    chains: tuple[KnownChain, ...]
