"""What December tells of June: seconds foretold for a seat, beside those a hidden truth asks for.

A hundred invented truths of the example's window. In each, some sheets are made on a December noon
as the tool advises, and scanned. Then the open time needed at a June noon is foretold, with its
range, and held against the one that the truth needs: before the sheets, after them, and after
one meter reading in June.

    python3 run bench seasons
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")

import argparse
import math
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import NamedTuple

import numpy as np

from stillroom.belief import landing
from stillroom.documents.book import Book, Sitting
from stillroom.documents.seats import SkySeen
from stillroom.exposure import Term
from stillroom.services.daylight_need import Need, needed_by
from stillroom.services.daylit import seat_of
from stillroom.services.demo_build import begun, next_sheet
from stillroom.services.demo_scene import SEAT, Making, Story, bare_book, stories
from stillroom.services.demo_truth import TAMED, Truth
from stillroom.services.worktable import Worktable

JUNE = datetime(2026, 6, 13, 11, 0, tzinfo=UTC)
SKY = SkySeen(word="dull")
MADE = 3


class Wild(Truth):
    """A truth that lies as far from what was entered as its spread says."""

    def value(self, term: Term) -> float:
        """The true value of one unknown."""
        return term.mean + (super().value(term) - term.mean) / TAMED


class Foretold(NamedTuple):
    """One foretelling: its miss and its range [stops], and whether what was needed lay in it."""

    miss_stops: float
    sd_stops: float
    in_nine: bool
    in_half: bool


def main(arguments: Sequence[str] | None = None) -> int:
    """Print how near the foretold seconds come."""
    parser = argparse.ArgumentParser(prog="run bench seasons", description=__doc__)
    parser.add_argument("--truths", type=int, default=100, help="how many invented truths")
    asked = parser.parse_args(arguments)
    rows: dict[str, list[Foretold]] = {}
    for seed in range(1, asked.truths + 1):
        for name, found in _one(Wild(seed)).items():
            rows.setdefault(name, []).append(found)
    sys.stdout.write(f"{asked.truths} invented truths of one window, a dull June noon\n\n")
    head = f"{'known':<34}{'miss':>7}{'said':>7}{'in 9/10':>9}{'in 1/2':>8}\n"
    sys.stdout.write(head)
    for name, told in rows.items():
        miss = math.sqrt(np.mean([f.miss_stops**2 for f in told]))
        said = math.sqrt(np.mean([f.sd_stops**2 for f in told]))
        nine, half = (np.mean([getattr(f, w) for f in told]) for w in ("in_nine", "in_half"))
        sys.stdout.write(f"{name:<34}{miss:>7.2f}{said:>7.2f}{nine:>9.2f}{half:>8.2f}\n")
    sys.stdout.write("\nmiss and said: root mean square and stated standard deviation [stops]\n")
    return 0


def _one(truth: Truth) -> dict[str, Foretold]:
    found = {"nothing": _foretold(bare_book(), truth, metered=False)}
    winter = stories()[0]
    book = begun(bare_book(), winter, truth)
    for made in range(1, MADE + 1):
        book = next_sheet(book, winter, Making("scan"), truth)
        sheets = "1 sheet" if made == 1 else f"{made} sheets"
        found[f"December, {sheets}"] = _foretold(book, truth, metered=False)
    found["the same and June's meter"] = _foretold(book, truth, metered=True)
    return found


def _foretold(book: Book, truth: Truth, *, metered: bool) -> Foretold:
    summer = Story(_june(), (("key", "key"),), (), finished=False)
    there = begun(book, summer, truth)
    if not metered:
        bare = there.sittings[-1].model_copy(update={"meter_readings": ()})
        there = there.model_copy(update={"sittings": (*there.sittings[:-1], bare)})
    table = Worktable(there, summer.sitting.id, at=JUNE)
    need = needed_by(table, seat_of(there, SEAT)[2])
    really = _really(need, truth)
    low, q1, middle, q3, high = np.quantile(need.log2_s, (0.05, 0.25, 0.5, 0.75, 0.95))
    return Foretold(
        float(middle) - really,
        need.sd_stops,
        bool(low <= really <= high),
        bool(q1 <= really <= q3),
    )


def _really(need: Need, truth: Truth) -> float:
    """The open time the hidden truth needs, before reciprocity [log2 s]."""
    settings = need.table.standing().model_copy(update={"open_s": 1.0})
    layout = need.table.layout(settings)
    placed = landing(truth.states(layout), layout, need.table.bare_settings(settings))[0]
    aim = layout.aims[need.region].placement_stops or 0.0
    return aim - float(placed[0, layout.regions.index(need.region)])


def _june() -> Sitting:
    winter = stories()[0].sitting
    return winter.model_copy(update={"id": "June", "when": JUNE, "sky": SKY})


if __name__ == "__main__":
    sys.exit(main())
