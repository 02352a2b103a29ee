"""Tables and targets from outcomes, against small cases worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from benchmarks.world.calibration import (
    Foreseen,
    coverage,
    coverage_table,
    foreseen,
    odds_table,
    tenth_of,
    tenths,
)
from benchmarks.world.figures import NOTHING, Figure, difference, mean, ratio, share
from benchmarks.world.records import Made, Outcome, Paper
from benchmarks.world.tally import paper_held, paper_table, sheets_table, together_table
from benchmarks.world.targets import Target, target_lines, targets

PLAIN: dict[str, Any] = {"steps_pops": None}
STEPPED: dict[str, Any] = {"steps_pops": [1, 2, 4, 8]}


def _forecast(chance: float) -> dict[str, Any]:
    region = {"dev_mean": 0.1, "dev_sd": 0.5, "q": [-0.7, -0.2, 0.4, 0.9]}
    return {"p_keeper": chance, "key": region, "shadow": region}


def _outcome(strategy: str, seed: int, sheets: int, *, power: float = 0.9, **more: Any) -> Outcome:
    whole = Outcome("rough", "A", "scan", strategy, seed, power, sheets, rounds=sheets)
    return replace(whole, **more)


def _by_seed(counts: list[int], strategy: str = "engine") -> dict[int, Outcome]:
    return {seed: _outcome(strategy, seed, sheets) for seed, sheets in enumerate(counts)}


def _made(key: float = 0.0, chance: float = 0.4, **more: Any) -> Made:
    made = Made(PLAIN, _forecast(chance), {"key": key, "shadow": 0.0}, False, False, False)  # noqa: FBT003
    return replace(made, **more)


def _near(found: Figure, value: float, se: float, count: int) -> None:
    assert (found.value, found.se) == pytest.approx((value, se), abs=5e-5)
    assert found.count == count


def test_means_differences_and_ratios_by_hand() -> None:
    _near(mean([2.0, 4.0]), 3.0, 1.0, 2)
    ours, theirs = _by_seed([2, 2, 3]), _by_seed([3, 2, 5], "point")
    # differences -1, 0, -2: mean -1, sd 1
    _near(difference(ours, theirs), -1.0, 1 / math.sqrt(3), 3)
    # 7 of 10; what is left 2 - 2.1, 2 - 1.4, 3 - 3.5: sd 0.557, over root 3 and the mean 10 / 3
    _near(ratio(ours, theirs), 0.7, 0.0964, 3)
    assert difference(ours, {}) == NOTHING
    assert ratio(ours, {}) == NOTHING


def test_only_seeds_in_power_that_both_have_are_compared() -> None:
    ours = {**_by_seed([2, 2]), 9: _outcome("engine", 9, 9)}
    ours[7] = _outcome("engine", 7, 0, power=0.1)
    assert difference(ours, _by_seed([3, 3, 0, 0, 0, 0, 0, 0])).count == 2


def test_shares_take_the_sheets_of_a_seed_together() -> None:
    alone = [(seed, seed % 2 == 0) for seed in range(100)]
    doubled = [pair for pair in alone for _ in range(4)]
    _near(share(alone), 0.5, 0.05, 100)
    _near(share(doubled), 0.5, 0.05, 400)  # copies teach nothing


def test_the_table_pairs_seeds_and_leaves_out_what_is_out_of_power() -> None:
    counts = {"point": [3, 2, 5, 0], "engine": [2, 1, 3, 0], "past_perfect": [1, 1, 1, 0]}
    outcomes = [
        _outcome(strategy, seed, sheets, power=0.1 if seed == 3 else 0.9)
        for strategy, of in {**counts, "hand": [4, 4, 4, 0]}.items()
        for seed, sheets in enumerate(of)
    ]
    # engine: mean 2, sd 1; minus point -1, -1, -2: mean -4/3, sd 0.577; minus past-perfect
    # 1, 0, 2: mean 1, sd 1; half of the hand method's 4
    row = "| A | scan | engine | 3 | 2.00 | 0.58 | 2 | 3 | 0.333 | 0.667 | 0 | -1.33 (0.33) | "
    assert row + "+1.00 (0.58) | 0.50 | 0 |" in sheets_table(outcomes, 20)


def test_a_round_of_two_is_one_wait_and_two_sheets() -> None:
    pair = [
        _made(round=1, p_any=0.6),
        _made(round=1, p_any=0.6),
        _made(round=2, p_any=0.8, keeper=True),
        _made(round=2, p_any=0.8),
    ]
    missed = [replace(pair[0], misset=True, keeper=True), pair[1]]
    outcomes = [
        _outcome("engine", 0, 3),
        _outcome("engine", 1, 2),
        _outcome("together_2", 0, 4, rounds=2, made=pair),
        _outcome("together_2", 1, 2, rounds=1, made=missed),
    ]
    rows = together_table(outcomes).splitlines()
    assert rows[2].startswith("| A | scan | 1 | 2 | 2.50 (0.50) | 62 |  | 2.50 (0.50) | 0.000 |")
    # rounds 2 and 1, so 1 less each; the round with a dial set wrong is left out of the odds:
    # 0.6 and 0.8 said, the second happened; both are of seed 0
    assert rows[3] == (
        "| A | scan | 2 | 2 | 1.50 (0.50) | 38 | -1.00 (0.00) | 3.00 (1.00) | 0.500 | "
        "0.70 | 0.50 (0.00) |"
    )


def test_the_paper_is_held_when_it_lies_in_nine_tenths_of_the_normal() -> None:
    inside = _outcome("engine", 0, 2, cls="D", sitters=8, paper=Paper(0.0, 0.1, 0.164))
    outside = _outcome("engine", 1, 2, cls="D", sitters=8, paper=Paper(0.0, 0.1, -0.165))
    assert paper_held(inside)
    assert not paper_held(outside)
    row = paper_table([inside, outside]).splitlines()[2]
    assert row == "| D | scan | 8 | 2 | 0.10 | 0.00 (0.16) | 0.50 (0.35) |"


def _fixed(seed: int, made: list[Made], **more: Any) -> Outcome:
    return _outcome("engine", seed, 1, made=made, fixed=True, **more)


def test_coverage_counts_what_fell_inside() -> None:
    sheets = [
        _made(0.0),
        _made(0.5),
        _made(2.0, spoiled=True),
        _made(9.0, misset=True),
    ]
    outcomes = [_fixed(seed, [sheet]) for seed, sheet in enumerate(sheets)]
    # key: 0.0 is inside both intervals, 0.5 inside the wide one; the spoiled one outside.
    # Shadow always inside: three of four; with the spoiled one four of six and five of six
    row = coverage_table(outcomes).splitlines()[2]
    assert row == (
        "| A | scan | 1 | 2 | 0.50 (0.35) | 1.00 (0.00) | 1.00 (0.00) | 1.00 (0.00) | "
        "0.75 (0.18) | 1.00 (0.00) | 0.67 (0.14) | 0.83 (0.14) |"
    )


def test_runs_that_stop_at_a_keeper_say_nothing_of_odds() -> None:
    assert foreseen([_outcome("engine", 0, 1, made=[_made()])]) == []
    assert foreseen([replace(_fixed(0, [_made()]), strategy="hand")]) == []


def test_a_stepped_first_sheet_stands_for_the_plain_one_imagined_in_its_place() -> None:
    imagined = _made(0.3, 0.2, keeper=True)
    stepped = Made(STEPPED, None, {}, False, False, False)  # noqa: FBT003
    first, second = replace(stepped, imagined=imagined), stepped
    (found,) = foreseen([_fixed(0, [first, second])])
    assert found == Foreseen(
        ("A", 0), 1, imagined.forecast or {}, imagined.off_stops, keeper=True, spoiled=False
    )


@pytest.mark.parametrize(
    ("chance", "tenth"), [(0.0, 0), (0.0999, 0), (0.1, 1), (0.3, 3), (0.7, 7), (0.99, 9), (1.0, 9)]
)
def test_tenths_begin_at_their_lower_end(chance: float, tenth: int) -> None:
    assert tenth_of(chance) == tenth


def test_odds_by_tenths_list_only_what_holds_enough() -> None:
    def sheet(seed: int, chance: float, *, keeper: bool) -> Foreseen:
        return Foreseen(("A", seed), 2, _forecast(chance), {}, keeper=keeper, spoiled=False)

    sheets = [sheet(seed, 0.62, keeper=seed < 5) for seed in range(10)]
    sheets += [sheet(seed, 0.91, keeper=True) for seed in range(10, 19)]
    (found,) = tenths(sheets, fewest=10)
    assert found.low == 0.6
    assert found.said == pytest.approx(0.62)
    # half of ten: se root(0.25 / 10)
    _near(found.happened, 0.5, 0.1581, 10)
    _near(found.difference, -0.12, 0.1581, 10)


def test_the_odds_table_has_all_and_tenths_and_all_classes() -> None:
    outcomes = [
        _fixed(seed, [_made(), _made(chance=0.55, keeper=seed % 2 == 0)], cls=cls)
        for cls in ("A", "B")
        for seed in range(4)
    ]
    table = odds_table(outcomes, fewest=4)
    assert "| A | scan | 1 | all | 4 | 0.40 | 0.00 (0.00) | -0.40 (0.00) |" in table
    assert "| B | scan | 2 on | 0.5-0.6 | 4 | 0.55 | 0.50 (0.25) | -0.05 (0.25) |" in table
    assert "| all | scan | 2 on | 0.5-0.6 | 8 | 0.55 | 0.50 (0.18) | -0.05 (0.18) |" in table


def test_a_range_that_ends_at_what_happened_holds_it() -> None:
    at_end = Foreseen(("A", 0), 1, _forecast(0.5), {"key": 0.9}, keeper=False, spoiled=False)
    assert coverage([at_end], "90", ("key",)).value == 1.0
    assert coverage([at_end], "50", ("key",)).value == 0.0


def _found(outcomes: list[Outcome], name: str) -> Target:
    (target,) = [one for one in targets(outcomes) if one.name == name]
    return target


def test_a_gap_is_measured_seed_by_seed_and_said_with_its_figure() -> None:
    outcomes = [*_by_seed([2, 1, 2, 2]).values()]
    outcomes += _by_seed([1, 1, 2, 2], "past_perfect").values()
    target = _found(outcomes, "A by scan, sheets more than past-perfect")
    assert target.reached is True
    # differences 1, 0, 0, 0: mean 0.25, sd 0.5
    assert target.line() == (
        "- reached: A by scan, sheets more than past-perfect: 0.250 (se 0.250), at most 0.45, "
        "of 4 only"
    )
    outcomes[1] = _outcome("engine", 1, 2)
    assert _found(outcomes, target.name).line().startswith("- missed: ")
    assert _found([], target.name).line() == (
        "- not run: A by scan, sheets more than past-perfect, at most 0.45"
    )


def test_of_enough_sittings_nothing_more_is_said() -> None:
    outcomes = [*_by_seed([3] * 500).values(), *_by_seed([5] * 500, "hand").values()]
    line = _found(outcomes, "A by scan, share of the hand method's mean").line()
    assert line.endswith(": 0.600 (se 0.000), at most 0.6")
    assert line.startswith("- reached")


def test_every_limit_is_that_of_the_issue() -> None:
    wanted = {
        "A by scan, sheets more than past-perfect": (-math.inf, 0.45),
        "D by scan, sheets more than past-perfect": (-math.inf, 0.30),
        "D by words, sheets more than past-perfect": (-math.inf, 0.80),
        "C by patch, sheets more than point correction": (-math.inf, 0.0),
        "A by words, share of the hand method's mean": (-math.inf, 0.75),
        "A by scan, 95th percentile of sheets": (-math.inf, 5),
        "C by scan, 95th percentile of sheets": (-math.inf, 4),
        "B by words, 95th percentile of sheets": (-math.inf, 6),
        "A by scan, stepped sheet first: two sheets suffice": (0.66, math.inf),
        "A by words, stepped sheet first: two sheets suffice": (0.52, math.inf),
        "D after 8 sitters, paper speed in its 90 % range": (0.86, 0.94),
    }
    found = {one.name: (one.low, one.high) for one in targets([])}
    assert wanted.items() <= found.items()


def test_two_sheets_suffice_with_a_stepped_sheet_first() -> None:
    outcomes = [*_by_seed([2, 2, 3], "stepped_first").values()]
    target = _found(outcomes, "A by scan, stepped sheet first: two sheets suffice")
    assert target.figure.value == pytest.approx(2 / 3)
    assert target.reached is True


def test_only_eighth_sitters_count_for_the_paper_and_each_once() -> None:
    held, off = Paper(0.0, 0.1, 0.1), Paper(0.0, 0.1, 0.5)
    outcomes = [
        _outcome("engine", 6, 2, cls="D", sitters=8, paper=held),
        _outcome("engine", 6, 2, cls="D8", sitters=8, paper=held),  # the same sitting
        _outcome("engine", 7, 2, cls="D8", sitters=8, paper=off),
        _outcome("engine", 0, 2, cls="D", sitters=2, paper=off),
    ]
    target = _found(outcomes, "D after 8 sitters, paper speed in its 90 % range")
    assert (target.figure.value, target.figure.count) == (0.5, 2)


def test_ranges_and_odds_are_judged_on_runs_of_fixed_length() -> None:
    # of 400 sheets from the second on, ranges of 50 % hold always and odds of 0.55 half the time
    made = [_made(), *(_made(chance=0.55, keeper=number % 2 == 0) for number in range(4))]
    outcomes = [_fixed(seed, made) for seed in range(100)]
    lines = target_lines(outcomes).splitlines()
    later = "A by scan, sheet 2 on"
    assert (
        f"- missed: {later}, ranges of 50 % hold: 1.000 (se 0.000), 0.45 to 0.55, of 400 only"
    ) in lines
    assert (
        f"- reached: {later}, odds said 0.55, happened minus said: -0.050 (se 0.000), "
        "-0.07 to 0.07, of 400 only"
    ) in lines
    assert lines[0].endswith(" not run.")
    # A and all classes: ranges of sheet 1 and later, 50 and 90 %, hold too often: 8 missed;
    # odds of sheet 1 are in a tenth of 100 and are not judged, later ones twice
    assert lines[0].startswith("2 reached, 8 missed, ")
