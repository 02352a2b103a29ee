"""The next sheet: settings with their odds, or first a stepped sheet or a test piece."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from stillroom.advice.ahead import TIE_SHEETS, Ahead, PieceLook
from stillroom.advice.costs import PieceCost
from stillroom.advice.odds import Odds, Table
from stillroom.advice.policy import Policy
from stillroom.advice.search import Search, Trial
from stillroom.belief import Posterior
from stillroom.errors import NotPossible
from stillroom.exposure import BareSettings, Layout, ReadBy

STEPS = (1, 2, 4, 8)
"""Strips of a stepped sheet, as multiples of the first: a stop apart."""
LOOK_AHEAD_BELOW_ODDS = 0.5
"""Where a plain sheet lands likelier than this, a stepped one is not thought of."""
UNKNOWN_PAPER_SD_STOPS = 0.75
FIRST_OF_A_BATCH_SHEETS = 0.1
"""What a stepped sheet of a paper known no better than that is worth beyond this sitting: the
next ones start from it, and it is the strip that tones are held against. Invented."""
OFFERED_WITHIN_SHEETS = 0.3
"""A stepped sheet is offered beside the plain one when it costs no more than this."""
WRITTEN_WITHIN_STOPS = 1e-3


@dataclass(frozen=True, slots=True)
class NextPiece:
    """A test piece that saves more than it costs; it is made like the best plain sheet.

    Attributes
    ----------
    seen : PieceLook
        Where it is taped and what is expected of it.
    cost : PieceCost
        What it costs.
    instead_sheets : float
        Sheets expected with the sheet that would come first otherwise, itself counted in.
    instead_stepped : bool
        Whether that one is stepped.
    saves_sheets : float
        What the piece saves against it, its own cost taken off, in sheets made one at a time.
    is_first : bool
        Whether it is the next step; else it is offered.
    """

    seen: PieceLook
    cost: PieceCost
    instead_sheets: float
    instead_stepped: bool
    saves_sheets: float
    is_first: bool


@dataclass(frozen=True, slots=True)
class NextSheet:
    """What to set for the next sheet."""

    settings: BareSettings
    odds: Odds
    best: Trial
    """The best plain sheet, also when a stepped one comes first."""
    trials: tuple[Trial, ...]
    stepped_option: BareSettings | None = None
    """A stepped sheet, where it costs hardly more sheets than a plain one, or fewer."""
    ahead: Ahead | None = None
    """Looks ahead, where the odds are poor enough to ask."""
    piece: NextPiece | None = None
    """A test piece, where it is thought of and saves more than it costs."""

    @property
    def stepped(self) -> bool:
        """Whether it is a stepped sheet."""
        return self.settings.steps_pops is not None


def how_it_stands(layout: Layout, last: BareSettings | None) -> BareSettings:
    """Where changes count from: the last sheet, or the sitting's defaults."""
    if last is not None:
        dials = {role: _as_written(layout, role, d) for role, d in last.dial_stops.items()}
        return replace(last, dial_stops=dials, steps_pops=None)
    sitting = layout.sitting
    f_number = min(layout.f_numbers, key=lambda n: abs(math.log2(n / sitting.f_default)))
    return BareSettings(dict.fromkeys(layout.dials, 0.0), f_number, 1, sitting.seconds_default)


def _as_written(layout: Layout, role: str, dial: float) -> float:
    """A dial written with few places as the step of its scale that was meant."""
    scale = layout.dials.get(role)
    if scale is None:
        return dial
    steps = scale.steps()
    nearest = float(steps[np.abs(steps - dial).argmin()])
    return nearest if abs(nearest - dial) < WRITTEN_WITHIN_STOPS else dial


def next_sheet(
    posterior: Posterior,
    *,
    last: BareSettings | None,
    policy: Policy,
    read_by: ReadBy = "scan",
    stepped_allowed: bool = True,
    piece: PieceCost | None = None,
) -> NextSheet:
    """Plan the next sheet of a sitting.

    Parameters
    ----------
    posterior : Posterior
        What is believed now.
    last : BareSettings or None
        How the last sheet was made; None before the first.
    policy : Policy
        How changes are weighed.
    read_by : str
        How the sheet will be read: a plain and a stepped one teach differently by words.
    stepped_allowed : bool
        Whether a stepped sheet may be proposed.
    piece : PieceCost, optional
        What a test piece would cost; without it, or where no stepped sheet may be proposed, none
        is thought of.

    Returns
    -------
    NextSheet

    Raises
    ------
    NotPossible
        If no region is aimed: then no sheet is better than another.
    """
    layout = posterior.layout
    table = Table(posterior.states(), layout)
    if not table.aimed:
        raise NotPossible("No region is aimed, so no settings are better: give an aim tol_stops.")
    stands = how_it_stands(layout, last)
    search = Search(table, stands, policy, fresh=last is None)
    trials = search.finalists()
    best = search.with_quiet_lights(search.choose(trials))
    settings, option, ahead, first = best.settings, None, None, None
    if stepped_allowed and best.p_keeper < LOOK_AHEAD_BELOW_ODDS:
        steps = stepped_settings(search)
        ahead = Ahead(
            table, best.settings, best.p_keeper, steps, free=search.free_dials, by=read_by
        )
        saved = ahead.plain.sheets - ahead.stepped.sheets
        option = steps if saved > -OFFERED_WITHIN_SHEETS else None
        worth = FIRST_OF_A_BATCH_SHEETS if _paper_is_unknown(posterior) else 0.0
        # Within a tie the stepped sheet wins, for it teaches more.
        settings = steps if saved > -TIE_SHEETS - worth else settings
        if piece is not None:
            first = _piece(ahead, piece, worth if settings is steps else None)
            settings = best.settings if first is not None and first.is_first else settings
    odds = table.odds(settings)
    return NextSheet(settings, odds, best, tuple(trials), option, ahead, first)


def _piece(ahead: Ahead, cost: PieceCost, stepped_worth: float | None) -> NextPiece | None:
    """A test piece, where it saves more than it costs; first where that is sure.

    `stepped_worth` is what a stepped sheet is worth beyond the sitting; None where a plain one
    would come first. One that is the first of its batch keeps its place: no piece becomes the
    strip that tones are held against.
    """
    seen = ahead.piece(cost.sheets)
    stepped = stepped_worth is not None
    instead = ahead.stepped.sheets if stepped else ahead.plain.sheets
    saves = instead - (stepped_worth or 0.0) - seen.look.sheets
    if saves <= 0:
        return None
    is_first = saves > TIE_SHEETS and not stepped_worth
    return NextPiece(seen, cost, instead, stepped, saves, is_first)


def _paper_is_unknown(posterior: Posterior) -> bool:
    name = f"paper/{posterior.layout.sitting.paper}/speed"
    at = posterior.evidence.belief.positions([name])[0]
    return math.sqrt(float(posterior.belief.covariance[at, at])) > UNKNOWN_PAPER_SD_STOPS


def stepped_settings(search: Search) -> BareSettings:
    """A stepped sheet whose strips lie evenly about the aims."""
    middle = sum(math.log2(s) for s in STEPS) / len(STEPS)
    first = search.with_quiet_lights(search.quickly(target_shift=-middle, pops=(1,)))
    return replace(first.settings, steps_pops=STEPS)
