"""From outcomes to tables: sheets and rounds needed, sheets together, next sitters, waits."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from benchmarks.world.figures import (
    BySeed,
    Figure,
    difference,
    groups,
    in_power,
    mean,
    mean_by_seed,
    ratio,
    share,
    table,
    upper,
)
from benchmarks.world.records import ALL_STRATEGIES, Made, Outcome, together_of

ROUND_MINUTES = 25
Z_90 = 1.6449  # half a 90 % range of a normal, in its sd (any table of the normal law)
_LAST_SITTERS = ((2, 4), (5, 7), (8, 8))


def sheets_table(outcomes: Iterable[Outcome], cap: int) -> str:
    """Give the table of sheets to the first keeper, with the paired differences."""
    rows = []
    for (cls, reading), case in groups(outcomes).items():
        for strategy, by_seed in case.items():
            kept = in_power(by_seed)
            if not kept:
                continue
            counts = [one.sheets for one in kept.values()]
            found = mean([float(count) for count in counts])
            rows.append(
                [
                    cls,
                    reading,
                    strategy,
                    str(len(counts)),
                    f"{found.value:.2f}",
                    f"{found.se:.2f}",
                    f"{np.median(counts):g}",
                    str(upper(counts)),
                    f"{np.mean([count == 1 for count in counts]):.3f}",
                    f"{np.mean([count <= 2 for count in counts]):.3f}",
                    str(sum(count > cap for count in counts)),
                    *_beside(strategy, kept, case),
                    str(sum(_stepped(one.made) for one in kept.values())),
                ]
            )
    head = ["class", "reading", "strategy", "sittings", "mean", "se", "median", "p95"]
    head += ["P(first)", "P(<=2)", "capped", "minus point (se)", "minus past-perfect (se)"]
    head += ["x hand", "stepped sheets"]
    return table(head, rows)


def _beside(strategy: str, kept: BySeed, case: dict[str, BySeed]) -> list[str]:
    cells = [
        "" if strategy == other else difference(kept, case.get(other, {})).signed()
        for other in ("point", "past_perfect")
    ]
    hand = ratio(kept, case.get("hand", {}))
    return [*cells, "" if strategy == "hand" or not hand.count else f"{hand.value:.2f}"]


def _stepped(made: list[Made]) -> int:
    return sum(sheet.settings["steps_pops"] is not None for sheet in made)


def together_table(outcomes: Iterable[Outcome]) -> str:
    """Give rounds and sheets of several sheets together, beside one at a time."""
    rows = []
    for (cls, reading), case in groups(outcomes).items():
        alone = in_power(case.get("engine", {}))
        for strategy in ALL_STRATEGIES:
            kept = in_power(case.get(strategy, {}))
            if not kept or (strategy != "engine" and together_of(strategy) == 1):
                continue
            rounds = mean([float(one.rounds) for one in kept.values()])
            said, happened = _p_any(kept)
            fewer = mean(
                [float(one.rounds - alone[seed].rounds) for seed, one in kept.items()]
                if strategy != "engine" and alone.keys() >= kept.keys()
                else []
            )
            rows.append(
                [
                    cls,
                    reading,
                    str(together_of(strategy)),
                    str(len(kept)),
                    str(rounds),
                    f"{ROUND_MINUTES * rounds.value:.0f}",
                    fewer.signed(),
                    str(mean([float(one.sheets) for one in kept.values()])),
                    f"{np.mean([one.rounds == 1 for one in kept.values()]):.3f}",
                    f"{said.value:.2f}" if said.count else "",
                    str(happened),
                ]
            )
    head = ["class", "reading", "together", "sittings", "rounds (se)", "minutes"]
    head += ["rounds minus alone (se)", "sheets (se)", "P(first round)"]
    head += ["one lands: said", "happened (se)"]
    return table(head, rows)


def _p_any(kept: BySeed) -> tuple[Figure, Figure]:
    """Give the odds said and the share that happened, rounds with a dial set wrong left out."""
    said, happened = [], []
    for seed, one in kept.items():
        for number in range(1, max((sheet.round for sheet in one.made), default=0) + 1):
            sheets = [sheet for sheet in one.made if sheet.round == number]
            chance = sheets[0].p_any
            if chance is not None and not any(sheet.misset for sheet in sheets):
                said.append((seed, chance))
                happened.append((seed, any(sheet.keeper for sheet in sheets)))
    return mean_by_seed(said), share(happened)


def paper_held(one: Outcome) -> bool:
    """Tell whether the paper's true speed lies in its stated 90 % range at the sitting's end."""
    if one.paper is None:
        raise ValueError("Nothing was said of the paper.")
    return abs(one.paper.true - one.paper.mean) <= Z_90 * one.paper.sd


def paper_table(outcomes: Iterable[Outcome]) -> str:
    """Give, for next sitters, how well the paper's speed is known in the end."""
    rows = []
    for (cls, reading), case in groups(outcomes).items():
        told = [one for one in case.get("engine", {}).values() if one.paper is not None]
        for first, last in _LAST_SITTERS:
            of = [one for one in told if first <= one.sitters <= last]
            papers = [one.paper for one in of if one.paper is not None]
            if not papers:
                continue
            rows.append(
                [
                    cls,
                    reading,
                    f"{first} to {last}" if first < last else str(last),
                    str(len(of)),
                    f"{np.mean([paper.sd for paper in papers]):.2f}",
                    str(mean([paper.mean - paper.true for paper in papers])),
                    str(share([(one.seed, paper_held(one)) for one in of])),
                ]
            )
    head = ["class", "reading", "sitters", "sittings", "stated sd", "said minus true (se)"]
    return table([*head, "in the 90 % range (se)"], rows)


def power_lines(outcomes: Iterable[Outcome]) -> str:
    """Give how many sittings were out of the kit's power, by class and reading."""
    lines = []
    for (cls, reading), case in groups(outcomes).items():
        by_seed = {seed: one for of in case.values() for seed, one in of.items()}
        out = sorted(seed for seed, one in by_seed.items() if not one.in_power)
        seeds = f" (seeds {', '.join(map(str, out))})" if out else ""
        lines.append(
            f"- {cls} {reading}: {len(out)} of {len(by_seed)} sittings out of the kit's power, "
            f"left out for all{seeds}"
        )
    return "\n".join(lines)


def errors_lines(outcomes: Iterable[Outcome]) -> str:
    """Give every error of the tool, or that there was none."""
    wrong = [one for one in outcomes if one.error is not None]
    if not wrong:
        return "None."
    lines = [f"{len(wrong)} sittings ended with an error of the tool; each counts as capped."]
    lines += [
        f"- {one.cls} {one.reading} {one.strategy} seed {one.seed}: {one.error}" for one in wrong
    ]
    return "\n".join(lines)


def waits_table(waits_s: dict[str, list[float]]) -> str:
    """Give how long the answers took, by what was asked."""
    rows = [
        [
            op,
            str(len(waits)),
            f"{1e3 * np.median(waits):.0f}",
            f"{1e3 * np.quantile(waits, 0.95):.0f}",
            f"{1e3 * max(waits):.0f}",
        ]
        for op, waits in sorted(waits_s.items())
        if waits
    ]
    return table(["asked", "answers", "median ms", "p95 ms", "max ms"], rows)
