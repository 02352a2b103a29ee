"""How long the engine takes for each thing it is asked, beside a plain way to the same answer.

All in one process with one thread of arithmetic; the middle of several runs. Every plain way runs
in the same run on the same states, and where it gives the same numbers that is checked, so the
ratio compares like with like and means something on another machine. All data are invented.

    python3 run bench engine
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")

import argparse
import json
import math
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np

from benchmarks.world.by_hand import HandMethod
from benchmarks.world.scenario import Scenario, build
from benchmarks.world.truth import MATCHED
from stillroom.advice import Table
from stillroom.belief import Belief, LaidSheet, Posterior, after, fold, opened
from stillroom.belief.likelihood import word_chance
from stillroom.documents.bare_ledger import KitModel, PastModel, SittingModel
from stillroom.documents.read import read_book
from stillroom.exposure import BareKit, BarePast, BareSettings, Layout
from stillroom.quantity import FloatArray
from stillroom.services.demo import demo_document
from stillroom.services.loop import LoopSession
from stillroom.services.plan import advise, predict

SEED = 7
PAST_SITTINGS = 60
PAST_SHEETS = 500
SHEETS = 10
MANY_SHEETS = 20
SAME = 1e-9
DEMO_SITTING = -1
SHIFT_NODES = 9

Ready = Callable[[], Callable[[], object]]
"""Makes ready, outside the time taken, what is then run once."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing asked, and a plain way to it where there is one."""

    name: str
    ready: Ready
    plain: str = ""
    plain_ready: Ready | None = None
    runs: int | None = None


def times_ms(ready: Ready, runs: int) -> tuple[float, float]:
    """Middle and longest of the times of some runs [ms]."""
    found = []
    for _ in range(runs):
        run = ready()
        start = time.perf_counter()
        run()
        found.append(1000 * (time.perf_counter() - start))
    return statistics.median(found), max(found)


def always(run: Callable[[], object]) -> Ready:
    """What needs no making ready."""
    return lambda: run


# ---- a sitting of ten sheets, and a season ----------------------------------------------------


def told(scenario: Scenario, sheets: int, first: int = 1) -> list[dict[str, Any]]:
    """Sheets of a sitting, worked by hand."""
    studio = scenario.studio
    hand = HandMethod(studio.kit, studio.sitting, scenario.past)
    found = []
    for number in range(first, first + sheets):
        made = hand.plan()
        sheet = studio.expose(made, number)
        hand.look(made, sheet.reading)
        found.append({"settings": made.as_json(), "reading": sheet.reading})
    return found


def season(scenario: Scenario) -> list[dict[str, Any]]:
    """Sixty earlier sittings of eight or nine sheets, a day apart."""
    shares = np.diff(np.linspace(0, PAST_SHEETS, PAST_SITTINGS + 1).astype(int))
    found, first = [], 100
    for n, sheets in enumerate(shares):
        sitting = dict(scenario.studio.sitting) | {"id": f"past {n}", "day": float(n)}
        found.append({"sitting": sitting, "sheets": told(scenario, int(sheets), first)})
        first += int(sheets)
    return found


def line(op: str, **more: Any) -> str:
    """One line of the loop."""
    return json.dumps({"op": op} | more)


def session_after(begin: dict[str, Any], sheets: list[dict[str, Any]]) -> LoopSession:
    """A session in which these sheets were recorded."""
    session = LoopSession()
    for text in (json.dumps(begin), *(line("record", **s) for s in sheets)):
        answer = session.answer(text)
        if "error" in answer:
            raise RuntimeError(answer["error"])
    return session


# ---- plain ways -------------------------------------------------------------------------------


def normal_cdf(x: float) -> float:
    """The normal law's, from the standard library."""
    return 0.5 * math.erfc(-x / math.sqrt(2))


def plain_odds(table: Table, made: BareSettings) -> float:
    """Odds of a keeper, state by state in loops, with the same rule for the scatter."""
    rows = table.layout.rows(made)
    c, a = rows.c[0].tolist(), rows.a[0].tolist()
    nodes, weights = np.polynomial.hermite_e.hermegauss(SHIFT_NODES)
    shifts = list(zip(nodes.tolist(), (weights / weights.sum()).tolist(), strict=True))
    targets, tols = table.target.tolist(), table.aims.tol.tolist()
    spoiled_sd = math.hypot(table.spoiled_sd, table.region_sd)
    thetas, sheet_sds = table.states.theta.tolist(), table.states.sheet_sd.tolist()
    total = 0.0
    for theta, sheet_sd, target in zip(thetas, sheet_sds, targets, strict=True):
        off = []
        for i, wanted in zip(table.rows, target, strict=True):
            light = 0.0
            for fixed, coefficients in zip(c[i], a[i], strict=True):
                stops = fixed
                for coefficient, value in zip(coefficients, theta, strict=True):
                    stops += coefficient * value
                light += 2**stops
            off.append(math.log2(light) - wanted)
        good = 0.0
        for node, weight in shifts:
            lands = weight
            for miss, tol in zip(off, tols, strict=True):
                at = miss + sheet_sd * node
                lands *= normal_cdf((tol - at) / table.region_sd) - normal_cdf(
                    (-tol - at) / table.region_sd
                )
            good += lands
        low = max(-tol - miss for miss, tol in zip(off, tols, strict=True))
        high = min(tol - miss for miss, tol in zip(off, tols, strict=True))
        bad = max(0.0, normal_cdf(high / spoiled_sd) - normal_cdf(low / spoiled_sd))
        total += (1 - table.spoiled_rate) * good + table.spoiled_rate * bad
    return total / len(targets)


def plain_words(
    posterior: Posterior, placed: list[list[float]], biases: list[list[float]]
) -> list[list[float]]:
    """Chance of every word said, state by state in loops.

    Every state has the placements of all spots and the reader's bias at each word.
    """
    e = posterior.evidence
    curves = posterior.likelihood.curves(posterior.cloud.z, e.word_spot)
    columns = [
        x[:, 0].tolist() for x in (curves.contrast, curves.asymmetry, curves.dmin, curves.dmax)
    ]
    spots, lows, highs = e.word_spot.tolist(), e.word_low.tolist(), e.word_high.tolist()
    shares = e.word_share.tolist()
    low_sds, high_sds = e.word_low_sd.tolist(), e.word_high_sd.tolist()
    words = list(zip(spots, lows, low_sds, highs, high_sds, shares, strict=True))
    found = []
    for row, off, contrast, asymmetry, dmin, dmax in zip(placed, biases, *columns, strict=True):
        chances = []
        for (spot, low, low_sd, high, high_sd, share), bias in zip(words, off, strict=True):
            inner = 1 + (2**asymmetry - 1) * math.exp(contrast * row[spot])
            tone = dmin + (dmax - dmin) * inner ** (-1 / asymmetry) + bias
            inside = normal_cdf((high - tone) / high_sd) - normal_cdf((low - tone) / low_sd)
            chances.append(0.97 * share * min(max(inside, 0.0), 1.0) + 0.03 / 5)
        found.append(chances)
    return found


def every_pair(table: Table, made: BareSettings) -> float:
    """Best odds of all pairs of two dials, all else left: a part of all that can be set."""
    light = table.light(made)
    steps = [table.layout.dials[role].steps() for role in ("key", "fill")]
    at = [table.layout.roles.index(role) for role in ("key", "fill")]
    best = 0.0
    for pair in product(*steps):
        gains = table.gains(made)
        gains[0, at] = pair
        best = max(best, float(table.odds_of_landing(table.deviations(light, gains))[0]))
    return best


def must_agree(what: str, a: float, b: float) -> None:
    """Stop where a plain way gives another answer: then the ratio would mean nothing."""
    if abs(a - b) > SAME:
        raise RuntimeError(f"{what}: the engine says {a}, the plain way {b}.")


# ---- the rows ---------------------------------------------------------------------------------


class Memo:
    """Remembers in memory."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def get(self, key: str) -> bytes | None:
        return self.kept.get(key)

    def put(self, key: str, value: bytes) -> None:
        self.kept[key] = value


def rows_of_a_sitting() -> list[Row]:
    """What is asked within one sitting of ten sheets."""
    scenario, by_eye = (build("A", SEED, mode, MATCHED) for mode in ("scan", "eye"))
    begin, sheets = scenario.begin(), told(scenario, SHEETS + 1)
    next_record = line("record", **sheets[-1])
    ten = session_after(begin, sheets[:-1])
    ask = line("forecast", settings=sheets[-1]["settings"])
    posterior = ten._now()
    table = Table(posterior.states(), posterior.layout)
    made = _bare(sheets[-1]["settings"])
    must_agree("odds", table.odds(made).p_keeper, plain_odds(table, made))
    in_words = session_after(by_eye.begin(), told(by_eye, SHEETS))._now()
    cloud, likelihood = in_words.cloud, in_words.likelihood
    placed = likelihood.placements(cloud.z, cloud.b)
    biases = (in_words._theta @ in_words.evidence.word_bias.T).tolist()

    def chances() -> FloatArray:
        return word_chance(likelihood.evidence, likelihood.tones(cloud.z, placed)[1])

    worst = np.abs(chances() - np.array(plain_words(in_words, placed.tolist(), biases))).max()
    must_agree("words", float(worst), 0.0)

    def fresh_plan() -> Callable[[], object]:
        ten._planned = None
        return lambda: ten.answer(line("plan"))

    def recorded(count: int) -> Ready:
        record = line("record", **sheets[count])

        def ready() -> Callable[[], object]:
            session = session_after(begin, sheets[:count])
            return lambda: (session.answer(record), session.answer(ask))

        return ready

    many = told(scenario, MANY_SHEETS)

    def recorded_and_planned() -> Callable[[], object]:
        session, record = session_after(begin, many[:-1]), line("record", **many[-1])
        return lambda: (session.answer(record), session.answer(line("plan")))

    def draw() -> Callable[[], object]:
        laid = [LaidSheet(posterior.layout, s) for s in ten._sheets]
        again = Posterior(ten._before, posterior.layout, laid)
        return lambda: again.cloud

    full = session_after(begin, [])
    return [
        Row(
            "forecast of given settings with its ranges, 10 sheets read",
            always(lambda: table.odds(made)),
            "state by state in loops, the same odds only",
            always(lambda: plain_odds(table, made)),
        ),
        Row(
            f"chances of {len(in_words.evidence.word_spot)} words in {len(cloud.z)} states",
            always(chances),
            "one by one in loops, the same chances",
            always(lambda: plain_words(in_words, placed.tolist(), biases)),
        ),
        Row(
            "plan after 10 sheets (dials, pops, stops)",
            fresh_plan,
            "all pairs of two dials only",
            always(lambda: every_pair(table, made)),
            runs=3,
        ),
        Row("first plan, nothing read", lambda: _unplanned(full)),
        Row("record a first sheet, and a forecast", recorded(0)),
        Row("record an 11th sheet, and a forecast", recorded(SHEETS)),
        Row(f"record the {MANY_SHEETS}th sheet, and plan the next", recorded_and_planned),
        Row("belief of 10 sheets drawn (800 states)", draw),
        Row("a line that is read and refused", always(lambda: ten.answer(next_record[:-9]))),
    ]


def _unplanned(session: LoopSession) -> Callable[[], object]:
    session._planned = None
    return lambda: session.answer(line("plan"))


def _bare(said: dict[str, Any]) -> BareSettings:
    steps = said["steps_pops"]
    return BareSettings(said["dial_stops"], said["f_number"], said["pops"], said["seconds"], steps)


def rows_of_a_season() -> list[Row]:
    """What 500 sheets in 60 sittings cost, anew and remembered."""
    scenario = build("A", SEED, "scan", MATCHED)
    past = season(scenario)
    begin = scenario.begin() | {"past": past}
    begin["sitting"] = begin["sitting"] | {"day": float(PAST_SITTINGS)}
    sheet = line("record", **told(scenario, 1)[0])
    kit: BareKit = KitModel.model_validate(begin["kit"]).bare()
    pasts: list[BarePast] = [PastModel.model_validate(p).bare() for p in past]
    remembered: Belief = fold(kit, pasts[:-1])
    text = json.dumps(begin)
    session = session_after(begin, [])
    layout = Layout(kit, SittingModel.model_validate(begin["sitting"]).bare())
    before = opened(after(remembered, kit, pasts[-1]), layout)

    def begun() -> Callable[[], object]:
        fresh = LoopSession()
        return lambda: fresh.answer(text)

    def record() -> Callable[[], object]:
        session._sheets, session._posterior = [], Posterior(before, layout)
        return lambda: (session.answer(sheet), session.answer(line("plan")))

    return [
        Row(f"begin with {PAST_SHEETS} past sheets in {PAST_SITTINGS} sittings", begun, runs=3),
        Row(
            "a sitting more, what came before remembered",
            always(lambda: after(remembered, kit, pasts[-1])),
            "the whole season anew",
            always(lambda: fold(kit, pasts)),
            runs=3,
        ),
        Row("record and plan in the season's next sitting", record),
    ]


def rows_of_a_document() -> list[Row]:
    """The example book: its sitting in progress, earlier sittings remembered or not."""
    text = demo_document()
    sitting = read_book(text, "The example book").sittings[DEMO_SITTING].id
    memo = Memo()
    advise(read_book(text, "The example book"), sitting, memo=memo)

    def asked(question: Callable[..., object], memo: Memo | None) -> Ready:
        def ready() -> Callable[[], object]:
            book = read_book(text, "The example book")  # a book known by itself is not asked anew
            return lambda: question(book, sitting, memo=memo)

        return ready

    anew = "earlier sittings anew"
    return [
        Row("the example book read and checked", always(lambda: read_book(text, "The book"))),
        Row("predict, example book", asked(predict, memo), anew, asked(predict, None)),
        Row("advise, example book", asked(advise, memo), anew, asked(advise, None)),
    ]


def main(given: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="benchmarks.engine", description=__doc__)
    parser.add_argument("--runs", type=int, default=9, help="how often each is run")
    runs = parser.parse_args(given).runs
    if runs < 1:
        parser.error(f"--runs is {runs}: give at least 1")
    print("| asked | ms | longest ms | plain way | its ms | ratio |")
    print("| --- | ---: | ---: | --- | ---: | ---: |")
    for row in [*rows_of_a_sitting(), *rows_of_a_season(), *rows_of_a_document()]:
        limited = replace(row, runs=min(runs, row.runs or runs))
        took, longest = times_ms(limited.ready, limited.runs or runs)
        plain, ratio = "", ""
        if limited.plain_ready is not None:
            plain_took, _ = times_ms(limited.plain_ready, min(3, runs))
            plain, ratio = f"{plain_took:.1f}", f"{plain_took / took:.1f}"
        cells = (row.name, f"{took:.2f}", f"{longest:.2f}", row.plain, plain, ratio)
        print("| " + " | ".join(cells) + " |", flush=True)


if __name__ == "__main__":
    main()
