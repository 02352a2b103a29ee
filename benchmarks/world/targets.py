"""Whether the targets were reached: sentences from outcomes, and nothing but outcomes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from benchmarks.world.calibration import cells, coverage, tenths
from benchmarks.world.figures import (
    NOTHING,
    BySeed,
    Figure,
    difference,
    groups,
    in_power,
    mean,
    ratio,
    share,
    upper,
)
from benchmarks.world.records import Outcome
from benchmarks.world.tally import paper_held

NAMES = {"scan": "scan", "patch": "patch", "eye": "words"}
ENOUGH = 500  # sittings or sheets of a cell
_GAPS = (
    ("A", "scan", 0.45),
    ("B", "scan", 0.45),
    ("C", "scan", 0.45),
    ("D", "scan", 0.30),
    ("D", "eye", 0.80),
)
_OF_HAND = (("scan", 0.60), ("eye", 0.75))
_UPPERS = {"scan": {"A": 5, "B": 4, "C": 4}, "eye": {"A": 8, "B": 6, "C": 7}}
_TWO_SUFFICE = (("scan", 0.66), ("eye", 0.52))
_COVERAGE = {"50": (0.45, 0.55), "90": (0.86, 0.94)}
_ODDS_WITHIN = 0.07
_SITTERS = 8

Cases = dict[tuple[str, str], dict[str, BySeed]]


@dataclass(frozen=True, slots=True)
class Target:
    """One target and what was found.

    Parameters
    ----------
    name : str
        What is asked.
    figure : Figure
        What was found.
    low, high : float
        Between these it is reached, both included.
    """

    name: str
    figure: Figure
    low: float = -math.inf
    high: float = math.inf

    @property
    def reached(self) -> bool | None:
        """Whether it is reached; None when it was not run."""
        if not self.figure.count:
            return None
        return self.low - 1e-9 <= self.figure.value <= self.high + 1e-9

    def line(self) -> str:
        """Give the sentence."""
        wanted = f"{self.low:g} to {self.high:g}"
        if math.isinf(self.low):
            wanted = f"at most {self.high:g}"
        elif math.isinf(self.high):
            wanted = f"at least {self.low:g}"
        if self.reached is None:
            return f"- not run: {self.name}, {wanted}"
        state = "reached" if self.reached else "missed"
        se = "" if math.isnan(self.figure.se) else f" (se {self.figure.se:.3f})"
        few = "" if self.figure.count >= ENOUGH else f", of {self.figure.count} only"
        return f"- {state}: {self.name}: {self.figure.value:.3f}{se}, {wanted}{few}"


def targets(outcomes: Sequence[Outcome]) -> list[Target]:
    """Give every target of the closed loop.

    Parameters
    ----------
    outcomes : sequence of Outcome
        Of one world; runs of fixed length may be among them.

    Returns
    -------
    list of Target
        Those of which nothing was run too; of odds only the tenths that hold enough sheets.
    """
    free = groups(one for one in outcomes if not one.fixed)
    fixed = [one for one in outcomes if one.fixed]
    return [*_sheets(free), *_together(free), *_ranges(fixed), *_odds(fixed)]


def _of(cases: Cases, cls: str, reading: str, strategy: str) -> BySeed:
    return in_power(cases.get((cls, reading), {}).get(strategy, {}))


def _sheets(cases: Cases) -> Iterator[Target]:
    for cls, reading, most in _GAPS:
        gap = difference(
            _of(cases, cls, reading, "engine"), _of(cases, cls, reading, "past_perfect")
        )
        yield Target(f"{cls} by {NAMES[reading]}, sheets more than past-perfect", gap, high=most)
    yield _paper(cases)
    for cls in "ABCD":
        for reading, name in NAMES.items():
            beside = difference(
                _of(cases, cls, reading, "engine"), _of(cases, cls, reading, "point")
            )
            yield Target(f"{cls} by {name}, sheets more than point correction", beside, high=0.0)
    for reading, most in _OF_HAND:
        found = ratio(_of(cases, "A", reading, "engine"), _of(cases, "A", reading, "hand"))
        yield Target(f"A by {NAMES[reading]}, share of the hand method's mean", found, high=most)
    yield from _patch_between(cases)
    for reading, by_class in _UPPERS.items():
        for cls, most in by_class.items():
            counts = [one.sheets for one in _of(cases, cls, reading, "engine").values()]
            found = Figure(upper(counts), math.nan, len(counts)) if counts else NOTHING
            yield Target(f"{cls} by {NAMES[reading]}, 95th percentile of sheets", found, high=most)


def _patch_between(cases: Cases) -> Iterator[Target]:
    by = {reading: _of(cases, "A", reading, "engine") for reading in NAMES}
    yield Target(
        "A, sheets more by patch than by scan", difference(by["patch"], by["scan"]), low=0.0
    )
    yield Target(
        "A, sheets more by words than by patch", difference(by["eye"], by["patch"]), low=0.0
    )


def _paper(cases: Cases) -> Target:
    held = {
        (seed, reading): paper_held(one)
        for cls in ("D", f"D{_SITTERS}")  # by turns, and asked for: the same where both were run
        for reading in NAMES
        for seed, one in _of(cases, cls, reading, "engine").items()
        if one.sitters == _SITTERS and one.paper is not None
    }
    low, high = _COVERAGE["90"]
    name = "D after 8 sitters, paper speed in its 90 % range"
    hits = [(seed, hit) for (seed, _), hit in sorted(held.items())]
    return Target(name, share(hits), low=low, high=high)


def _together(cases: Cases) -> Iterator[Target]:
    for reading, least in _TWO_SUFFICE:
        kept = _of(cases, "A", reading, "stepped_first")
        two = mean([float(one.sheets <= 2) for one in kept.values()])
        name = f"A by {NAMES[reading]}, stepped sheet first: two sheets suffice"
        yield Target(name, two, low=least)


def _ranges(fixed: Iterable[Outcome]) -> Iterator[Target]:
    for cls, reading, when, sheets in cells(fixed):
        sound = [sheet for sheet in sheets if not sheet.spoiled]
        for name, (low, high) in _COVERAGE.items():
            of = coverage(sound, name)
            found = Figure(of.value, of.se, len(sound))  # sheets, not regions, are wanted
            where = _where(cls, reading, when)
            yield Target(f"{where}, ranges of {name} % hold", found, low=low, high=high)


def _odds(fixed: Iterable[Outcome]) -> Iterator[Target]:
    for cls, reading, when, sheets in cells(fixed):
        for one in tenths(sheets):
            where = _where(cls, reading, when)
            name = f"{where}, odds said {one.said:.2f}, happened minus said"
            yield Target(name, one.difference, low=-_ODDS_WITHIN, high=_ODDS_WITHIN)


def _where(cls: str, reading: str, when: str) -> str:
    return f"{'all classes' if cls == 'all' else cls} by {NAMES[reading]}, sheet {when}"


def target_lines(outcomes: Sequence[Outcome]) -> str:
    """Give a line for every target, and how many were reached."""
    found = targets(outcomes)
    states = [one.reached for one in found]
    total = ", ".join(
        f"{states.count(state)} {word}"
        for state, word in ((True, "reached"), (False, "missed"), (None, "not run"))
    )
    return "\n".join([f"{total}.", "", *(one.line() for one in found)])
