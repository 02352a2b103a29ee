"""How long ways on another camera take, beside a loop that asks the engine for every candidate.

The loop builds the layout of each candidate by the same builder and asks its odds of all states,
as somebody would without a search; it runs over a sample of the candidates, evenly taken, and is
scaled. How far the search's odds are from the loop's is checked in the run. All on one thread of
arithmetic, in one process; the book is the invented example.

    python3 run bench ways
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from benchmarks.engine import always, times_ms
from stillroom.advice.other_camera import Knobs, Rig
from stillroom.documents.book import Book
from stillroom.exposure import BareSettings
from stillroom.quantity import FloatArray
from stillroom.services.demo import demo_beliefs, demo_book
from stillroom.services.ways import Asked, ways
from stillroom.services.ways.asked import other_of
from stillroom.services.ways.ground import Ground, Place
from stillroom.services.ways.price import exact
from stillroom.services.ways.sets import sets_of, stood_so
from stillroom.services.worktable import worktable

SITTING, CAMERA = "OM", "box-8x10"
RUNS = 5
SAMPLE = 200
LEAST_CANDIDATES = 5000
LONGEST_MS = 1000.0
LEAST_RATIO = 50.0
LARGEST_APART = 0.1
"""Odds of the search, by few states and mean losses, against those of the loop."""


class Memo(dict[str, bytes]):
    """What is believed of the example, ready made."""

    def put(self, key: str, value: bytes) -> None:
        """Keep it."""
        self[key] = value


@dataclass(frozen=True, slots=True)
class Candidate:
    """One place of the lights, one stop, so many pops."""

    place: Place
    mark: float
    pops: int


def ground_of(book: Book, memo: Memo) -> Ground:
    """Two heads in the key's modifier, on the bigger camera."""
    other = other_of(book, Asked(SITTING, CAMERA))
    table = worktable(book, SITTING, memo=memo)
    stood = stood_so(other, table.standing())
    lit = next(x for x in sets_of(other, stood, None, None) if len(x.together) == 2)
    return Ground(other, stood, lit, table.posterior())


def candidates_of(ground: Ground) -> list[Candidate]:
    """At least five thousand of them: every place of the search, and those between."""
    marks = ground.other.other.lens.f_numbers
    distances = np.round(np.linspace(ground.nearest_m, 1.3, 34), 3)
    places = [Place(float(d), n) for d, n in product(distances, (1.0, 0.71, 0.5))]
    return [Candidate(*c) for c in product(places, marks, range(1, 9))]


def searched(ground: Ground, candidates: Sequence[Candidate]) -> tuple[FloatArray, FloatArray]:
    """Dials and odds of all candidates at once, the layout made anew."""
    table = ground.at(Place(None, 1.0))
    odds = ground.odds_on(table, ground.settings)
    rig = Rig(odds, table.bare_settings(ground.settings).dial_stops, [ground.lit.together])
    moved = {p: ground.moved_stops(p, rig.roles) for p in {c.place for c in candidates}}
    lens = ground.other.other.lens
    tried = rig.tried(
        Knobs(
            np.array([exact(lens, c.mark) for c in candidates]),
            np.array([float(c.pops) for c in candidates]),
            np.full(len(candidates), ground.settings.open_s),
            np.array([moved[c.place] for c in candidates]),
        )
    )
    return tried.dials, tried.p_lands


def looped(ground: Ground, candidates: Sequence[Candidate], dials: FloatArray) -> FloatArray:
    """The odds of candidates by the engine, one after the other, each on its own layout."""
    found = []
    for one, turned in zip(candidates, dials, strict=True):
        table = ground.at(one.place)
        odds = ground.odds_on(table, ground.settings)
        roles = odds.layout.roles
        settings = BareSettings(
            {r: float(d) for r, d in zip(roles, turned, strict=True) if r in odds.layout.dials},
            exact(ground.other.other.lens, one.mark),
            one.pops,
            ground.settings.open_s,
        )
        found.append(odds.odds(settings).p_keeper)
    return np.array(found)


def apart(ground: Ground, candidates: Sequence[Candidate]) -> FloatArray:
    """How far the search's odds are from the loop's, over a sample."""
    dials, p_lands = searched(ground, candidates)
    at = np.linspace(0, len(candidates) - 1, SAMPLE).astype(int)
    slow = looped(ground, [candidates[i] for i in at], dials[at])
    return np.asarray(np.abs(p_lands[at] - slow))


def timings(book: Book, memo: Memo) -> list[tuple[str, float]]:
    """What each takes [ms]."""
    ground = ground_of(book, memo)
    candidates = candidates_of(ground)
    dials, _ = searched(ground, candidates)
    at = np.linspace(0, len(candidates) - 1, SAMPLE).astype(int)
    few = [candidates[i] for i in at]
    loop, _ = times_ms(always(lambda: looped(ground, few, dials[at])), 1)
    found, _ = times_ms(always(lambda: searched(ground, candidates)), RUNS)
    whole, _ = times_ms(always(lambda: ways(book, Asked(SITTING, CAMERA), memo=memo)), RUNS)
    return [
        (f"a loop over {len(candidates)} candidates", loop * len(candidates) / SAMPLE),
        (f"the search over {len(candidates)} candidates", found),
        ("stillroom ways, belief at hand", whole),
    ]


def main(arguments: Sequence[str] | None = None) -> None:
    """Print what it takes, and leave with what was missed."""
    parser = argparse.ArgumentParser(prog="run bench ways", description=__doc__.split("\n")[0])
    parser.parse_args(arguments)
    book, memo = demo_book(), Memo(demo_beliefs())
    rows = timings(book, memo)
    for name, ms in rows:
        print(f"{name:<44}{ms:>10.0f} ms")
    loop, found, whole = (ms for _, ms in rows)
    ratio = loop / found
    print(f"{'the loop over the search':<44}{ratio:>10.0f} times")
    ground = ground_of(book, memo)
    candidates = candidates_of(ground)
    off = apart(ground, candidates)
    print(f"{'odds apart, middle and most':<44}{np.median(off):>10.3f} {off.max():.3f}")
    answer = ways(book, Asked(SITTING, CAMERA), memo=memo)
    print(f"{'candidates of the whole answer':<44}{answer.tried:>10}")
    missed = [
        said
        for is_missed, said in (
            (len(candidates) < LEAST_CANDIDATES, f"only {len(candidates)} candidates"),
            (found > LONGEST_MS, f"the search took {found:.0f} ms, wanted {LONGEST_MS:.0f}"),
            (whole > 2 * LONGEST_MS, f"the whole took {whole:.0f} ms"),
            (ratio < LEAST_RATIO, f"{ratio:.0f} times the loop, wanted {LEAST_RATIO:.0f}"),
            (off.max() > LARGEST_APART, f"odds {off.max():.2f} apart"),
        )
        if is_missed
    ]
    if missed:
        sys.exit(f"Missed: {'; '.join(missed)}.")


if __name__ == "__main__":
    main()
