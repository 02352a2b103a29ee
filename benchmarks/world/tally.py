"""From outcomes to tables: sheets needed, odds said and happened, waits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby, pairwise

import numpy as np

from benchmarks.world.runs import Made, Outcome

_BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
_INTERVALS = {"50": (1, 2), "90": (0, 3)}  # which of q05, q25, q75, q95


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)


def _mean_se(values: Sequence[float]) -> tuple[float, float]:
    if not values:
        return math.nan, math.nan
    spread = float(np.std(values, ddof=1)) if len(values) > 1 else math.nan
    return float(np.mean(values)), spread / math.sqrt(len(values))


def _groups(outcomes: list[Outcome]) -> dict[tuple[str, str], dict[str, dict[int, Outcome]]]:
    """Give outcomes by class and reading, then strategy, then seed."""
    found: dict[tuple[str, str], dict[str, dict[int, Outcome]]] = {}
    for outcome in outcomes:
        case = found.setdefault((outcome.cls, outcome.reading), {})
        case.setdefault(outcome.strategy, {})[outcome.seed] = outcome
    return found


def sheets_table(outcomes: list[Outcome], cap: int) -> str:
    """Give the table of sheets to the first keeper, with the paired difference to point."""
    rows = []
    for (cls, reading), case in _groups(outcomes).items():
        for strategy, by_seed in case.items():
            kept = {seed: one for seed, one in by_seed.items() if one.in_power}
            if not kept:
                continue
            counts = [one.sheets for one in kept.values()]
            mean, se = _mean_se(counts)
            rows.append(
                [
                    cls,
                    reading,
                    strategy,
                    str(len(counts)),
                    f"{mean:.2f}",
                    f"{se:.2f}",
                    f"{np.median(counts):g}",
                    f"{np.quantile(counts, 0.95, method='inverted_cdf'):.0f}",
                    f"{np.mean([count == 1 for count in counts]):.3f}",
                    f"{np.mean([count <= 2 for count in counts]):.3f}",
                    _difference(kept, case.get("point", {})) if strategy != "point" else "",
                    str(sum(count > cap for count in counts)),
                    str(sum(_stepped(one.made) for one in kept.values())),
                ]
            )
    head = ["class", "reading", "strategy", "sittings", "mean", "se", "median", "p95"]
    head += ["P(first)", "P(<=2)", "minus point (se)", "capped", "stepped sheets"]
    return _table(head, rows)


def _stepped(made: list[Made]) -> int:
    return sum(sheet.settings["steps_pops"] is not None for sheet in made)


def _difference(ours: dict[int, Outcome], point: dict[int, Outcome]) -> str:
    pairs = [one.sheets - point[seed].sheets for seed, one in ours.items() if seed in point]
    if not pairs:
        return ""
    mean, se = _mean_se(pairs)
    return f"{mean:+.2f} ({se:.2f})"


def power_lines(outcomes: list[Outcome]) -> str:
    """Give how many sittings were out of the kit's power, by class and reading."""
    lines = []
    for (cls, reading), case in _groups(outcomes).items():
        by_seed = next(iter(case.values()))
        out = sorted(seed for seed, one in by_seed.items() if not one.in_power)
        seeds = f" (seeds {', '.join(map(str, out))})" if out else ""
        lines.append(
            f"- {cls} {reading}: {len(out)} of {len(by_seed)} sittings out of the kit's power, "
            f"left out for all{seeds}"
        )
    return "\n".join(lines)


def errors_lines(outcomes: list[Outcome]) -> str:
    """Give every error of the tool, or that there was none."""
    wrong = [one for one in outcomes if one.error is not None]
    if not wrong:
        return "None."
    lines = [f"{len(wrong)} sittings ended with an error of the tool; each counts as capped."]
    lines += [f"- {one.cls} {one.reading} seed {one.seed}: {one.error}" for one in wrong]
    return "\n".join(lines)


def _forecast_sheets(case: dict[str, dict[int, Outcome]]) -> list[tuple[int, int, Made]]:
    """Give (seed, number, sheet) of all sheets with a forecast, dials set wrong left out."""
    return [
        (seed, number, sheet)
        for seed, one in case.get("engine", {}).items()
        for number, sheet in enumerate(one.made, start=1)
        if sheet.forecast is not None and not sheet.misset
    ]


def share_and_se(hits: Sequence[tuple[int, bool]]) -> tuple[float, float]:
    """Give a share of hits and its standard error, sheets of one seed taken together.

    Parameters
    ----------
    hits : sequence of (seed, bool)
        In order of seed.

    Returns
    -------
    tuple of float
        NaN where there is nothing.
    """
    if not hits:
        return math.nan, math.nan
    share = float(np.mean([hit for _, hit in hits]))
    sums = [
        sum(hit - share for _, hit in group)
        for _, group in groupby(hits, key=lambda pair: pair[0])
    ]
    return share, math.sqrt(sum(value**2 for value in sums)) / len(hits)


def coverage_table(outcomes: list[Outcome]) -> str:
    """Give how often the 50 and 90 % intervals held, spoiled sheets left out and in."""
    rows = []
    for (cls, reading), case in _groups(outcomes).items():
        sheets = _forecast_sheets(case)
        for label, wanted in _first_and_later():
            chosen = [one for one in sheets if wanted(one[1])]
            if not chosen:
                continue
            sound = [one for one in chosen if not one[2].spoiled]
            row = [cls, reading, label, str(len(sound))]
            for region in ("key", "shadow"):
                row += [_coverage(sound, region, name) for name in _INTERVALS]
                row.append(_coverage(chosen, region, "90"))
            rows.append(row)
    head = ["class", "reading", "sheet", "sheets"]
    for region in ("key", "shadow"):
        head += [f"{region} 50 (se)", f"{region} 90 (se)", f"{region} 90, spoiled in"]
    return _table(head, rows)


def _first_and_later() -> list[tuple[str, Callable[[int], bool]]]:
    return [("1", lambda number: number == 1), ("2 on", lambda number: number > 1)]


def _coverage(sheets: list[tuple[int, int, Made]], region: str, name: str) -> str:
    low, high = _INTERVALS[name]
    hits = []
    for seed, _, sheet in sheets:
        if sheet.forecast is None:
            continue
        quantiles = sheet.forecast[region]["q"]
        hits.append((seed, quantiles[low] <= sheet.off_stops[region] <= quantiles[high]))
    share, se = share_and_se(hits)
    return f"{share:.2f} ({se:.2f})"


def odds_table(outcomes: list[Outcome]) -> str:
    """Give odds of a keeper said and happened, by size of what was said."""
    rows = []
    for (cls, reading), case in _groups(outcomes).items():
        pairs = [
            (seed, number, float(sheet.forecast["p_keeper"]), sheet.keeper)
            for seed, number, sheet in _forecast_sheets(case)
            if sheet.forecast is not None
        ]
        for label, wanted in _first_and_later():
            chosen = [pair for pair in pairs if wanted(pair[1])]
            if chosen:
                rows.append([cls, reading, f"sheet {label}", *_said_happened(chosen)])
        for low, high in pairwise(_BINS):
            last = high == _BINS[-1]
            chosen = [
                pair for pair in pairs if low <= pair[2] < high or (last and pair[2] == high)
            ]
            if chosen:
                rows.append([cls, reading, f"said {low:.1f}-{high:.1f}", *_said_happened(chosen)])
    return _table(["class", "reading", "which", "sheets", "said", "happened (se)"], rows)


def _said_happened(pairs: list[tuple[int, int, float, bool]]) -> list[str]:
    share, se = share_and_se([(seed, keeper) for seed, _, _, keeper in pairs])
    said = float(np.mean([chance for *_, chance, _ in pairs]))
    return [str(len(pairs)), f"{said:.2f}", f"{share:.2f} ({se:.2f})"]


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
    return _table(["asked", "answers", "median ms", "p95 ms", "max ms"], rows)
