"""From runs of fixed length to tables: how often ranges held, and odds said and happened."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from benchmarks.world.figures import Figure, groups, mean_by_seed, share, table
from benchmarks.world.records import Outcome

INTERVALS = {"50": (1, 2), "90": (0, 3)}  # which of q05, q25, q75, q95
AIMED = ("key", "shadow")
FEWEST = 200  # forecasts that a tenth must hold to be listed
TENTHS = 10
WHEN = ("1", "2 on")


@dataclass(frozen=True, slots=True)
class Foreseen:
    """One sheet with a forecast."""

    seed: tuple[str, int]
    number: int
    forecast: dict[str, Any]
    off_stops: dict[str, float]
    keeper: bool
    spoiled: bool

    @property
    def chance(self) -> float:
        """The odds of a keeper as said."""
        return float(self.forecast["p_keeper"])


def foreseen(outcomes: Iterable[Outcome]) -> list[Foreseen]:
    """Give the sheets of runs of fixed length that were forecast.

    Parameters
    ----------
    outcomes : iterable of Outcome
        Runs that stop at a keeper are passed over: stopping would bias the odds.

    Returns
    -------
    list of Foreseen
        In order of seed. Sheets with a dial set wrong are left out; a stepped sheet that opens
        the sitting stands for the plain one imagined in its place, other stepped ones for none.
    """
    found = []
    for one in sorted(outcomes, key=lambda one: (one.cls, one.seed)):
        if one.strategy != "engine" or not one.fixed:
            continue
        for number, made in enumerate(one.made, start=1):
            sheet = made if made.imagined is None else made.imagined
            if sheet.forecast is not None and not sheet.misset:
                found.append(
                    Foreseen(
                        (one.cls, one.seed),
                        number,
                        sheet.forecast,
                        sheet.off_stops,
                        sheet.keeper,
                        sheet.spoiled,
                    )
                )
    return found


def of_when(sheets: Iterable[Foreseen], when: str) -> list[Foreseen]:
    """Give first sheets, or those from the second on."""
    return [sheet for sheet in sheets if (sheet.number == 1) == (when == "1")]


def coverage(sheets: Iterable[Foreseen], name: str, regions: Sequence[str] = AIMED) -> Figure:
    """Give how often intervals held.

    Parameters
    ----------
    sheets : iterable of Foreseen
        In order of seed.
    name : {"50", "90"}
        Which interval.
    regions : sequence of str
        Taken together.

    Returns
    -------
    Figure
        Sheets and regions of one seed taken together.
    """
    low, high = INTERVALS[name]
    return share(
        [
            (sheet.seed, quantiles[low] <= sheet.off_stops[region] <= quantiles[high])
            for sheet in sheets
            for region in regions
            for quantiles in [sheet.forecast[region]["q"]]
        ]
    )


def coverage_table(outcomes: Iterable[Outcome]) -> str:
    """Give how often the 50 and 90 % intervals held, spoiled sheets left out and in."""
    rows = []
    for (cls, reading), case in groups(outcomes).items():
        sheets = foreseen(case.get("engine", {}).values())
        for when in WHEN:
            chosen = of_when(sheets, when)
            sound = [sheet for sheet in chosen if not sheet.spoiled]
            if not sound:
                continue
            row = [cls, reading, when, str(len(sound))]
            for regions in (*((region,) for region in AIMED), AIMED):
                row += [str(coverage(sound, name, regions)) for name in INTERVALS]
            rows.append([*row, str(coverage(chosen, "50")), str(coverage(chosen, "90"))])
    head = ["class", "reading", "sheet", "sheets"]
    for region in (*AIMED, "both"):
        head += [f"{region} {name} (se)" for name in INTERVALS]
    return table([*head, *(f"both {name}, spoiled in" for name in INTERVALS)], rows)


@dataclass(frozen=True, slots=True)
class Tenth:
    """Odds of about one size: what was said, what happened, and the one minus the other."""

    low: float
    said: float
    happened: Figure
    difference: Figure


def tenth_of(chance: float) -> int:
    """Give which tenth odds fall in, 0 to 9.

    Examples
    --------
    >>> tenth_of(0.05), tenth_of(0.3), tenth_of(1.0)
    (0, 3, 9)
    """
    return min(int(TENTHS * chance + 1e-9), TENTHS - 1)


def tenths(sheets: Sequence[Foreseen], fewest: int = FEWEST) -> list[Tenth]:
    """Give odds by tenths, those that hold enough sheets.

    Parameters
    ----------
    sheets : sequence of Foreseen
        In order of seed.
    fewest : int
        Fewer than this and a tenth is left out.

    Returns
    -------
    list of Tenth
        From the lowest; differences are happened minus said.
    """
    found = []
    for number in range(TENTHS):
        chosen = [sheet for sheet in sheets if tenth_of(sheet.chance) == number]
        if len(chosen) >= fewest:
            found.append(_said_happened(number / TENTHS, chosen))
    return found


def _said_happened(low: float, sheets: Sequence[Foreseen]) -> Tenth:
    return Tenth(
        low,
        sum(sheet.chance for sheet in sheets) / len(sheets),
        share([(sheet.seed, sheet.keeper) for sheet in sheets]),
        mean_by_seed([(sheet.seed, sheet.keeper - sheet.chance) for sheet in sheets]),
    )


def odds_table(outcomes: Iterable[Outcome], fewest: int = FEWEST) -> str:
    """Give odds of a keeper said and happened: all together, and by tenths of what was said."""
    rows = []
    for cls, reading, when, sheets in cells(outcomes):
        rows.append([cls, reading, when, "all", *_cells(_said_happened(0.0, sheets))])
        rows += [
            [cls, reading, when, f"{one.low:.1f}-{one.low + 1 / TENTHS:.1f}", *_cells(one)]
            for one in tenths(sheets, fewest)
        ]
    head = ["class", "reading", "sheet", "odds", "sheets", "said", "happened (se)"]
    return table([*head, "happened minus said (se)"], rows)


def _cells(one: Tenth) -> list[str]:
    return [
        str(one.happened.count),
        f"{one.said:.2f}",
        str(one.happened),
        one.difference.signed(),
    ]


def cells(outcomes: Iterable[Outcome]) -> list[tuple[str, str, str, list[Foreseen]]]:
    """Give (class, reading, sheet 1 or later, its forecasts), and all classes together."""
    found = []
    by_reading: dict[str, list[Foreseen]] = {}
    for (cls, reading), case in groups(outcomes).items():
        sheets = foreseen(case.get("engine", {}).values())
        by_reading.setdefault(reading, []).extend(sheets)
        found += [(cls, reading, when, of_when(sheets, when)) for when in WHEN]
    for reading, sheets in by_reading.items():
        found += [("all", reading, when, of_when(sheets, when)) for when in WHEN]
    return [cell for cell in found if cell[3]]
