"""How many sheets to make before any is seen: what paper costs against what a round costs.

A round is everything between two looks: sheets are exposed, developed and read. What follows a
round in which none landed is judged in closed form: every sheet that was read narrows what is
believed of the light by what its own scatter and the reading allow (normal prior, normal
readings: the conjugate rule, e.g. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5),
and the next sheets are aimed anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from stillroom.advice.ahead import LEAST_ODDS
from stillroom.advice.costs import SHEETS_A_ROUND, Dear
from stillroom.advice.odds import Table
from stillroom.advice.plan import NextSheet
from stillroom.advice.several import MOST_TOGETHER, Together
from stillroom.belief import Posterior
from stillroom.exposure import ReadBy

READ_SD_STOPS: Mapping[ReadBy, float] = MappingProxyType(
    {"": 0.2, "scan": 0.1, "densitometer": 0.1, "strip": 0.2, "words": 0.5, "early_look": 0.5}
)
"""How far a reading leaves the exposure open, on the straight part of the curve; rule of thumb:
the reader's own scatter in density over half a density a stop."""


@dataclass(frozen=True, slots=True)
class Rounds:
    """What so many sheets together are expected to take until one lands.

    Attributes
    ----------
    together : Together
        The sheets of the first round.
    sheets, rounds : float
        Sheets and rounds until one lands, this round's counted in.
    cost : float
        ``sheets + weight x rounds`` [sheets].
    """

    together: Together
    sheets: float
    rounds: float
    cost: float


def rounds_ahead(
    posterior: Posterior,
    first: NextSheet,
    plans: Sequence[Together],
    *,
    dear: Dear,
    read_by: ReadBy = "",
) -> tuple[Rounds, ...]:
    """What each number of sheets together is expected to take until one lands.

    Parameters
    ----------
    posterior : Posterior
        What is believed now.
    first : NextSheet
        What is planned for one sheet.
    plans : sequence of Together
        The sets to compare, as `sheets_together` gives them.
    dear : {"paper", "time"}
        Which of the two is to be spared.
    read_by : str
        How the sheets will be read; words leave more open than a scan.

    Returns
    -------
    tuple of Rounds
        One for each set, in their order.

    Notes
    -----
    After a round without a sheet that landed, the number of sheets a round is whichever costs
    least from then on, and the odds stay as they are after that first reading: rounds are a
    little overrated where much is still to be learned. All sheets of a round are taken to be
    read.
    """
    weight = SHEETS_A_ROUND[dear]
    table = Table(posterior.states(), posterior.layout)
    settings = first.best.settings
    off = table.deviations(table.light(settings), table.gains(settings))[0]
    found = []
    for plan in plans:
        p = _odds_once_read(table, off, len(plan.settings), READ_SD_STOPS[read_by])
        more_sheets, more_rounds = _until_one_lands(p, weight)
        missed = 1 - plan.p_any
        sheets = len(plan.settings) + missed * more_sheets
        rounds = 1 + missed * more_rounds
        found.append(Rounds(plan, sheets, rounds, sheets + weight * rounds))
    return tuple(found)


def _odds_once_read(table: Table, off: np.ndarray, count: int, read_sd: float) -> float:
    """Odds of one sheet that is aimed anew after `count` were read; `off` (states, aimed)."""
    states = table.states
    scatter = states.sheet_sd**2
    believed = float(off.var(axis=0).mean())
    told = count / (scatter + table.region_sd**2 + read_sd**2)
    left = 1 / (1 / max(believed, 1e-12) + told)
    wider = replace(states, sheet_sd=np.sqrt(scatter + left))
    middle = np.broadcast_to(off.mean(axis=0), off.shape)
    again = Table(wider, table.layout).odds_of_landing(middle[None])
    return max(float(again[0]), LEAST_ODDS)


def _until_one_lands(p: float, weight: float) -> tuple[float, float]:
    """Sheets and rounds from now on, so many a round as cost least; each lands with `p`."""

    def expected(count: int) -> tuple[float, float]:
        rounds = 1 / (1 - (1 - p) ** count)
        return count * rounds, rounds

    ways = [expected(n) for n in range(1, MOST_TOGETHER + 1)]
    return min(ways, key=lambda way: way[0] + weight * way[1])
